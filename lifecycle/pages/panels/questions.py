"""The questions on a page: a group of fields for each, in the order of asking.

Lecture
-------
Questions 1 to 3 come first and have no default. A part that hangs on another (the feet of a quote) is
asked when that one is answered. Beside each question stands whether it still has to be answered.

An answered question folds to one line as soon as another one is answered; the line says the answer, and opens
the question again. So a page on a telephone stays short, and what was answered stays in sight. On paper all
answers stand, and no field.

At a counter trouble comes first, for with it nothing else counts; the price and the length are not asked: one
is the shop's, the other is measured. There all groups stay open, for customer and seller look at one screen.

Left out: what follows from the answers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import ipywidgets

from lifecycle.answers.seven_answers import doubt_text, said_back
from lifecycle.interview import NOT_SURE, Part, Question, doubts, follows, groups, parts, questions
from lifecycle.language.sentences import say as sentence
from lifecycle.language.sentences import words
from lifecycle.pages.panels.fields import Field, Took
from lifecycle.pages.panels.guard import Say, guarded
from lifecycle.pages.panels.words_on_page import paragraphs, part

ALONE = ("otherwise", "keep", "trouble")
"""Parts that take the whole width; the others stand two beside each other."""


def laid_out(fields: Iterable[Field]) -> list[Any]:
    """Return fields below each other, short ones two beside each other; years are explained."""
    found = list(fields)
    years = [ipywidgets.HTML(paragraphs([sentence("asking.page.years")]))]
    alone = [field.box for field in found if field.part.key in ALONE]
    others = ipywidgets.Box([field.box for field in found if field.part.key not in ALONE])
    others.add_class("lc-two")
    said = years if any(field.part.key == "keep" for field in found) else []
    return [*said, *alone, *([others] if others.children else [])]


class Asked:
    """Fields that ask parts of the questions; one that hangs on another is asked when that one is answered.

    Parameters
    ----------
    keys : iterable of str
        Of the parts.
    took : callable
        Takes key and answer, returns what is wrong with it beside the others.
    say : callable
        Shows a sentence in the status line.
    units : str
        "us" or "metric".
    """

    def __init__(self, keys: Iterable[str], took: Took, say: Say, units: str) -> None:
        def took_and_followed(key: str, value: Any) -> str:
            wrong = took(key, value)
            if not wrong:
                self.taken(key, {**self._answers(), key: value})
            return wrong

        self.units = units
        self.fields = {key: Field(parts()[key], took_and_followed, say, units) for key in keys}

    def show(self, answers: Mapping[str, Any]) -> None:
        """Show answers without taking them."""
        for key, field in self.fields.items():
            field.show(answers.get(key))
        self.follow(answers)

    def taken(self, key: str, answers: Mapping[str, Any]) -> None:
        """Follow a new answer, which stands among all of them."""
        self.follow(answers)

    def follow(self, answers: Mapping[str, Any]) -> None:
        """Ask what hangs on another part only where that one is answered."""
        for field in self.fields.values():
            if field.part.after:
                field.box.layout.display = "" if follows(field.part, answers) else "none"

    def _answers(self) -> dict[str, Any]:
        """Return the last good answers."""
        return {key: field.answer for key, field in self.fields.items() if field.answer is not None}


class CounterQuestions(Asked):
    """What a customer is asked at a counter.

    Parameters
    ----------
    took, say, units
        As for `Asked`.
    """

    def __init__(self, took: Took, say: Say, units: str = "us") -> None:
        super().__init__((key for _, keys in groups() for key in keys), took, say, units)
        head = ipywidgets.HTML(part("title", words("asking.page.ask_first")))
        self.box = ipywidgets.VBox([head, *(self._group(*group) for group in groups())])
        self.box.add_class("lc-questions")
        self.show({})

    def _group(self, heading: str, keys: tuple[str, ...]) -> Any:
        """Return the fields of a group below its heading."""
        head = ipywidgets.HTML(part("title", heading, 3))
        group = ipywidgets.VBox([head, *laid_out(self.fields[key] for key in keys)])
        group.add_class("lc-question")
        return group


class Group:
    """One question: its heading, its fields, and the line that it folds to.

    Parameters
    ----------
    question : Question
        What is asked.
    fields : mapping of str to Field
        Of every part of every question, by key.
    units : str
        "us" or "metric".
    say : callable
        Shows a sentence in the status line.
    """

    def __init__(self, question: Question, fields: Mapping[str, Field], units: str, say: Say) -> None:
        self._question, self._units = question, units
        self._fields = [fields[part.key] for part in question.parts]
        self.head, self.line = ipywidgets.HTML(), ipywidgets.Button()
        self.line.add_class("lc-folded")
        self.line.on_click(guarded(lambda _: self.fold(False), say))
        self._body = ipywidgets.VBox([self.head, *laid_out(self._fields)])
        self._body.add_class("lc-body")
        self._on_paper = ipywidgets.HTML()
        self._on_paper.add_class("lc-on-paper")
        self.box = ipywidgets.VBox([self.line, self._body, self._on_paper])
        self.box.add_class("lc-question")
        self.fold(False)

    @property
    def answered(self) -> bool:
        """Whether every field that shows has an answer, and nothing in it is wrong."""
        shown = [field for field in self._fields if field.box.layout.display != "none"]
        return all(
            (field.answer is not None or field.part.by_choice or field.part.optional)
            and not (field.message.value or field.doubted)
            for field in shown
        )

    def mark(self, needed: bool) -> None:
        """Mark whether it still has to be answered."""
        still = sentence("asking.page.needed") if needed else ""
        self.head.value = part("question", self._question.number, self._question.heading, still)

    def fold(self, folded: bool) -> None:
        """Fold it to its line, or open it."""
        self.name({field.part.key: field.answer for field in self._fields})
        self.line.layout.display = "" if folded else "none"
        self._body.layout.display = "none" if folded else ""

    def name(self, answers: Mapping[str, Any]) -> None:
        """Say on its line, and on paper, what was answered."""
        given = [(one.part, answers.get(one.part.key)) for one in self._fields]
        texts = [self._said(part, answer) for part, answer in given if answer is not None]
        answer = "; ".join(texts) or sentence("asking.page.unanswered")
        number, heading = self._question.number, self._question.heading
        self.line.description = sentence("asking.page.folded", question=f"{number} {heading}", answer=answer)
        self._on_paper.value = part("on_paper", number, heading, answer)

    def _said(self, part: Part, answer: Any) -> str:
        """Return an answer; one that does not say by itself what it answers, with that."""
        said = said_back(part, answer, self._units)
        alone = part.kind != "yes_no" and answer != NOT_SURE
        return said if alone else sentence("asking.page.named", what=part.short, answer=said)

    def fold_if_answered(self) -> None:
        """Fold it if it is answered; else open it."""
        self.fold(self.answered)


class Questions(Asked):
    """The seven questions.

    Parameters
    ----------
    took, say, units
        As for `Asked`.
    """

    def __init__(self, took: Took, say: Say, units: str = "us") -> None:
        super().__init__(parts(), took, say, units)
        self._groups = {question.number: Group(question, self.fields, units, say) for question in questions()}
        self._of = {part.key: question.number for question in questions() for part in question.parts}
        head = ipywidgets.HTML(part("title", sentence("pages.seven"), kind="lc-eyebrow"))
        needed, others = ([], [])  # type: tuple[list[Any], list[Any]]
        for question in questions():
            asked = needed if any(part.needed for part in question.parts) else others
            asked.append(self._groups[question.number].box)
        first, rest = ipywidgets.VBox([head, *needed]), ipywidgets.VBox(others)
        self.box = ipywidgets.VBox([first, rest])
        for box, kind in ((first, "lc-first"), (rest, "lc-rest"), (self.box, "lc-questions")):
            box.add_class(kind)
        self.show({})
        self.mark(())

    def show(self, answers: Mapping[str, Any]) -> None:
        """Show answers without taking them; what is answered folds."""
        super().show(answers)
        self._ask_back(answers)
        for group in self._groups.values():
            group.fold_if_answered()

    def taken(self, key: str, answers: Mapping[str, Any]) -> None:
        """Follow a new answer, ask back what it brings about, and fold what else is answered."""
        super().taken(key, answers)
        self._ask_back(answers)
        self._groups[self._of[key]].name(answers)
        for number, group in self._groups.items():
            if number != self._of[key] and group.answered:
                group.fold(True)

    def mark(self, needed: tuple[int, ...]) -> None:
        """Mark the questions that still have to be answered."""
        for number, group in self._groups.items():
            group.mark(number in needed)

    def _ask_back(self, answers: Mapping[str, Any]) -> None:
        """Ask back below the first answer that brings a doubt about."""
        found = [(doubt.keys[0], doubt_text(doubt)) for doubt in doubts(answers)]
        for key, field in self.fields.items():
            field.doubt(tuple(text for place, text in found if place == key))
