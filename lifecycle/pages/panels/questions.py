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

from lifecycle.answers.seven_answers import doubt_text, said_back
from lifecycle.interview import NOT_SURE, Part, Question, doubts, follows, groups, parts, questions
from lifecycle.language.sentences import say
from lifecycle.pages.panels.fields import Field, Took
from lifecycle.pages.panels.pieces import Tell, below, beside, button, html, part, put_away, said, title

ALONE = ("otherwise", "keep", "trouble")
"""Parts that take the whole width; the others stand two beside each other."""


def laid_out(fields: Iterable[Field]) -> list[Any]:
    """Return fields below each other, short ones two beside each other; years are explained."""
    found = list(fields)
    years = [said(say("asking.page.years"))] if any(field.part.key == "keep" for field in found) else []
    alone = [field.box for field in found if field.part.key in ALONE]
    others = [field.box for field in found if field.part.key not in ALONE]
    return [*years, *alone, *([beside("lc-two", *others)] if others else [])]


class Fields:
    """Fields that ask parts; one that hangs on another is asked when that one is answered."""

    def __init__(self, keys: Iterable[str], took: Took, tell: Tell, units: str) -> None:
        def took_and_followed(key: str, value: Any) -> str:
            wrong = took(key, value)
            if not wrong:
                self.taken(key, {**self._answers(), key: value})
            return wrong

        self.units = units
        self.fields = {key: Field(parts()[key], took_and_followed, tell, units) for key in keys}

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
        follow(self.fields.values(), answers)

    def _answers(self) -> dict[str, Any]:
        """Return the last good answers."""
        return {key: field.answer for key, field in self.fields.items() if field.answer is not None}


def follow(fields: Iterable[Field], answers: Mapping[str, Any]) -> None:
    """Ask what hangs on another part only where that one is answered."""
    for field in fields:
        if field.part.after:
            put_away(field.box, not follows(field.part, answers))


class CounterQuestions(Fields):
    """What a customer is asked at a counter."""

    def __init__(self, took: Took, tell: Tell, units: str = "us") -> None:
        super().__init__((key for _, keys in groups() for key in keys), took, tell, units)
        groups_shown = (self._group(*group) for group in groups())
        self.box = below("lc-questions", title(say("asking.page.ask_first")), *groups_shown)
        self.show({})

    def _group(self, heading: str, keys: tuple[str, ...]) -> Any:
        """Return the fields of a group below its heading."""
        return below("lc-question", title(heading, 3), *laid_out(self.fields[key] for key in keys))


class Group:
    """One question: its heading, its fields (of all, by key), and the line that it folds to."""

    def __init__(self, question: Question, fields: Mapping[str, Field], units: str, tell: Tell) -> None:
        self._question, self._units = question, units
        self._fields = [fields[part.key] for part in question.parts]
        self.head, self._on_paper = html(), html(kind="lc-on-paper")
        self.line = button("", lambda: self.fold(False), tell)
        self.line.add_class("lc-folded")
        self._body = below("lc-body", self.head, *laid_out(self._fields))
        self.box = below("lc-question", self.line, self._body, self._on_paper)
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
        still = say("asking.page.needed") if needed else ""
        self.head.value = part("question", self._question.number, self._question.heading, still)

    def fold(self, folded: bool) -> None:
        """Fold it to its line, or open it."""
        self.name({field.part.key: field.answer for field in self._fields})
        put_away(self.line, not folded)
        put_away(self._body, folded)

    def name(self, answers: Mapping[str, Any]) -> None:
        """Say on its line, and on paper, what was answered."""
        given = [(one.part, answers.get(one.part.key)) for one in self._fields]
        texts = [self._said(part, answer) for part, answer in given if answer is not None]
        answer = "; ".join(texts) or say("asking.page.unanswered")
        number, heading = self._question.number, self._question.heading
        self.line.description = say("asking.page.folded", question=f"{number} {heading}", answer=answer)
        self._on_paper.value = part("on_paper", number, heading, answer)

    def _said(self, part: Part, answer: Any) -> str:
        """Return an answer; one that does not say by itself what it answers, with that."""
        said = said_back(part, answer, self._units)
        alone = part.kind != "yes_no" and answer != NOT_SURE
        return said if alone else say("asking.page.named", what=part.short, answer=said)


class Questions(Fields):
    """The seven questions."""

    def __init__(self, took: Took, tell: Tell, units: str = "us") -> None:
        super().__init__(parts(), took, tell, units)
        self._groups = {one.number: Group(one, self.fields, units, tell) for one in questions()}
        self._of = {part.key: question.number for question in questions() for part in question.parts}
        first, rest = below("lc-first", title(say("pages.seven"), kind="lc-eyebrow")), below("lc-rest")
        for question in questions():
            asked = first if any(part.needed for part in question.parts) else rest
            asked.children = [*asked.children, self._groups[question.number].box]
        self.box = below("lc-questions", first, rest)
        self.show({})
        self.mark(())

    def show(self, answers: Mapping[str, Any]) -> None:
        """Show answers without taking them; what is answered folds."""
        super().show(answers)
        self._ask_back(answers)
        for group in self._groups.values():
            group.fold(group.answered)

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
