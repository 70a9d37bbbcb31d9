"""The seven questions on a page: a group of fields for each, in the order of asking.

Lecture
-------
Questions 1 to 3 come first and have no default. A part that hangs on another (the feet of a quote) is
asked when that one is answered. Beside each question stands whether it still has to be answered.

Left out: what follows from the answers.
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import Any

import ipywidgets

from lifecycle.interview import NOT_SURE, Question, questions
from lifecycle.language.sentences import words
from lifecycle.pages.panels.fields import Field, Took
from lifecycle.pages.panels.guard import Say

ALONE = ("otherwise", "keep", "trouble")
"""Parts that take the whole width; the others stand two beside each other."""


class Questions:
    """The seven questions.

    Parameters
    ----------
    took : callable
        Takes key and answer, returns what is wrong with it beside the others.
    say : callable
        Shows a sentence in the status line.
    units : str
        "us" or "metric".
    """

    def __init__(self, took: Took, say: Say, units: str = "us") -> None:
        self.units = units

        def took_and_follow(key: str, value: Any) -> str:
            wrong = took(key, value)
            if not wrong:
                self._follow({**self._answers(), key: value})
            return wrong

        self.fields = {
            part.key: Field(part, took_and_follow, say, units)
            for question in questions()
            for part in question.parts
        }
        self._heads = {question.number: ipywidgets.HTML() for question in questions()}
        self.box = ipywidgets.VBox([self._group(question) for question in questions()])
        self.box.add_class("lc-questions")
        self.show({})
        self.mark(())

    def show(self, answers: Mapping[str, Any]) -> None:
        """Show answers without taking them."""
        for key, field in self.fields.items():
            field.show(answers.get(key))
        self._follow(answers)

    def mark(self, needed: tuple[int, ...]) -> None:
        """Mark the questions that still have to be answered."""
        for question in questions():
            number = question.number
            still = ' <span class="lc-needed">needed</span>' if number in needed else ""
            self._heads[number].value = f"<h3>{number}&ensp;{escape(question.heading)}{still}</h3>"

    def _answers(self) -> dict[str, Any]:
        """Return the last good answers."""
        return {key: field.answer for key, field in self.fields.items() if field.answer is not None}

    def _group(self, question: Question) -> Any:
        """Return the fields of one question below its heading."""
        said = (
            [ipywidgets.HTML(f"<p>{escape(words('asking.page.years'))}</p>")] if question.number == 2 else []
        )
        alone = [self.fields[part.key].box for part in question.parts if part.key in ALONE]
        others = ipywidgets.Box(
            [self.fields[part.key].box for part in question.parts if part.key not in ALONE]
        )
        others.add_class("lc-two")
        rest = [others] if others.children else []
        group = ipywidgets.VBox([self._heads[question.number], *said, *alone, *rest])
        group.add_class("lc-question")
        return group

    def _follow(self, answers: Mapping[str, Any]) -> None:
        """Ask what hangs on another part only where that one is answered."""
        for field in self.fields.values():
            if field.part.after:
                given = answers.get(field.part.after, NOT_SURE) not in (NOT_SURE, None)
                field.box.layout.display = "" if given else "none"
