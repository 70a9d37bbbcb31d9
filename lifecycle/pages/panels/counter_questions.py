"""What the customer is asked at the counter: the seven questions, but for what the shop and the walk say.

Lecture
-------
Trouble comes first, for with it nothing else counts. Then what the customer would do otherwise, the
years, the roof and the place. The price and the length are not asked: one is the shop's, the other is
measured. The fields are those of every page (`fields`).

Left out: what follows from the answers.
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import Any

import ipywidgets

from lifecycle.interview import follows, groups, parts
from lifecycle.language.sentences import words
from lifecycle.pages.panels.counter_customer import FROM_ELSEWHERE, METER, Customer
from lifecycle.pages.panels.fields import Field, Took
from lifecycle.pages.panels.guard import Say

ALONE = ("otherwise", "keep", "trouble")
"""Parts that take the whole width."""


class CounterQuestions:
    """What the customer is asked.

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
        def took_and_follow(key: str, value: Any) -> str:
            wrong = took(key, value)
            if not wrong:
                self._follow({**self._answers(), key: value})
            return wrong

        self.fields = {
            key: Field(part, took_and_follow, say, units)
            for key, part in parts().items()
            if key not in (*FROM_ELSEWHERE, *METER)
        }
        self.box = ipywidgets.VBox(
            [
                ipywidgets.HTML(f"<h2>{escape(words('asking.page.ask_first'))}</h2>"),
                *(self._group(*group) for group in groups()),
            ]
        )
        self.box.add_class("lc-questions")
        self.show({})

    def show(self, answers: Mapping[str, Any]) -> None:
        """Show answers without taking them."""
        for key, field in self.fields.items():
            field.show(answers.get(key))
        self._follow(answers)

    def follow(self, customer: Customer) -> None:
        """Ask what hangs on something else only where that is known, from the walk too."""
        self._follow(customer.known)

    def _answers(self) -> dict[str, Any]:
        """Return the last good answers."""
        return {key: field.answer for key, field in self.fields.items() if field.answer is not None}

    def _group(self, heading: str, keys: tuple[str, ...]) -> Any:
        """Return the fields of a group below its heading."""
        said = f"<p>{escape(words('asking.page.years'))}</p>" if "keep" in keys else ""
        head = ipywidgets.HTML(f"<h3>{escape(heading)}</h3>{said}")
        alone = [self.fields[key].box for key in keys if key in ALONE]
        others = ipywidgets.Box([self.fields[key].box for key in keys if key not in ALONE])
        others.add_class("lc-two")
        group = ipywidgets.VBox([head, *alone, *([others] if others.children else [])])
        group.add_class("lc-question")
        return group

    def _follow(self, answers: Mapping[str, Any]) -> None:
        """Ask what hangs on another part only where that one is answered."""
        for field in self.fields.values():
            if field.part.after:
                field.box.layout.display = "" if follows(field.part, answers) else "none"
