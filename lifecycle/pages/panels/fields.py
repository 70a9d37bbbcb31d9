"""What asks: a field for a part of a question, a number with two large buttons, and the questions of a page.

Lecture
-------
A field shows what is asked, takes what is typed or chosen, and hands on an answer only if its rule allows
it; what is wrong is explained right below it, and the last good answer goes on counting. "not sure" is
an answer and stands in every field that takes it. What is typed is understood as at the prompt of
`lifecycle new`, and said back below the field; what is allowed but hardly meant is asked back. Only plain
controls are used: they work by keyboard, by finger and with a screen reader.

A stepper holds a number or none, for a finger in a glove. A press from none begins at a usual value, the next
presses go a step up or down; the number can be typed as well.

Questions 1 to 3 come first and have no default. A part that hangs on another (the feet of a quote) is
asked when that one is answered. Beside each question stands whether it still has to be answered. An answered
question folds to one line as soon as another one is answered; the line says the answer, and opens
the question again. So a page on a telephone stays short, and what was answered stays in sight. On paper all
answers stand, and no field.

At a counter trouble comes first, for with it nothing else counts; the price and the length are not asked: one
is the shop's, the other is measured. There all groups stay open, for customer and seller look at one screen.

Left out: what the answers make together (`session`), and what a stepped number means.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import ipywidgets

from lifecycle import files
from lifecycle.answers.seven_answers import NUMBERS, doubt_text, said_back
from lifecycle.interview import (
    NEVER,
    NOT_SURE,
    Part,
    Question,
    broken_rule,
    doubts,
    follows,
    groups,
    parts,
    questions,
)
from lifecycle.interview.typed import LENGTHS, METRES_IN_A_FOOT, readings, understood
from lifecycle.language.sentences import say
from lifecycle.pages.panels.pieces import (
    Tell,
    below,
    beside,
    button,
    dropdown,
    html,
    mark,
    put_away,
    said,
    title,
    watched,
)
from lifecycle.pages.panels.pieces import part as part_of_page
from lifecycle.quantities import number_text

Took = Callable[[str, Any], str]
"""Takes key and answer (None: none any more); returns what is wrong with it beside the others, or ""."""

THREE = ("low", "likely", "high")

SEEN, CLEAN = "seen", "clean"
"""Somebody looked and saw something; and nothing."""

NONE, UNCHOSEN = "none", ""
"""There is no second place; nothing was chosen from a list yet."""

UNFINISHED = "..."
"""Stands for a number that was not filled in."""

TookNumber = Callable[[float | None], str]
"""Takes a number, or none; returns what is wrong with it beside the others, or ""."""

DIGITS = 4
"""Of a number that is shown."""


class Field:
    """One part of a question on a page; `took` takes an answer that its own rule allows."""

    def __init__(self, part: Part, took: Took, tell: Tell, units: str = "us") -> None:
        self.part, self.units = part, units
        self._took, self._quiet = took, False
        self.answer: Any = None
        """The last good answer; None if there is none."""
        self.message = html(kind="lc-message", layout={"display": "none"})
        self.said = html(layout={"display": "none"})
        self.sure = button(say("asking.page.is_so"), self._confirm, tell, layout={"display": "none"})
        self._doubts: tuple[str, ...] = ()
        self._confirmed: tuple[str, ...] = ()
        self.controls = self._build()
        short = " lc-short" if part.kind == "yes_no" or part.key == "quoted_by" else ""
        self.box = below(f"lc-field{short}", *self._laid_out(), self.message, self.said, self.sure)
        for control in self.controls.values():
            watched(control, lambda _: self._read(), tell)

    def show(self, answer: Any) -> None:
        """Show an answer without taking it."""
        self._quiet = True
        try:
            self.answer = answer
            self._put(answer)
            self.complain("")
            self._remark("")
        finally:
            self._quiet = False

    def complain(self, text: str) -> None:
        """Explain what is wrong, right below the field; "" takes it away."""
        _complain(self.message, text)
        mark(self.box, "lc-wrong", bool(text))

    def doubt(self, sentences: tuple[str, ...]) -> None:
        """Ask back what is allowed, but hardly meant; it counts meanwhile."""
        if sentences != self._doubts:
            self._doubts, self._confirmed = sentences, ()
            self._remark("" if sentences else self._understood())

    @property
    def doubted(self) -> bool:
        """Whether something was asked back, and not confirmed."""
        return bool(self._doubts) and self._confirmed != self._doubts

    def _confirm(self) -> None:
        """Take what was asked back as meant."""
        self._confirmed = self._doubts
        self._remark(self._understood())

    def _remark(self, text: str) -> None:
        """Say below the field what was understood, or ask back."""
        asked = self.doubted
        self.said.value = part_of_page("asked_back", self._doubts) if asked else part_of_page("note", text)
        put_away(self.said, not (asked or text))
        put_away(self.sure, not asked)

    def _understood(self) -> str:
        """Say how the last answer was understood, where one was typed."""
        if self.part.kind not in NUMBERS or self.answer in (None, NOT_SURE, NEVER):
            return ""
        return say("asking.understood", value=said_back(self.part, self.answer, self.units))

    def _build(self) -> dict[str, Any]:
        """Make the controls, by what each holds."""
        part, ask = self.part, self._ask()
        not_sure = say("asking.page.not_sure")
        unsure = ipywidgets.Checkbox(description=not_sure, indent=False, tooltip=not_sure)
        if part.kind == "several":
            options = [("nobody_looked", NOT_SURE), ("saw_nothing", CLEAN), ("saw", SEEN)]
            radio = ipywidgets.RadioButtons(
                description=say("asking.page.look"),
                options=[(say(f"asking.page.{name}"), value) for name, value in options],
                index=None,
                tooltip=self.part.ask,
            )
            signs = {choice["value"]: _sign(choice["text"]) for choice in part.choices}
            return {"chosen": radio, **signs}
        if part.kind in ("choice", "yes_no"):
            whole = [*_options(part), *([(not_sure, NOT_SURE)] if part.not_sure else [])]
            chosen = ipywidgets.RadioButtons(description=ask, options=whole, index=None, tooltip=ask)
            return {"chosen": chosen}
        if part.kind == "text":
            first = (say("asking.page.none"), NONE) if part.after else (not_sure, NOT_SURE)
            places = [(name, name) for name in files.shared()["places"]]
            return {"chosen": dropdown(ask, [(say("asking.page.choose"), UNCHOSEN), first, *places])}
        if part.kind == "amount" and part.key == "keep":
            return {**{name: _text(say(f"asking.page.{name}")) for name in THREE}, "unsure": unsure}
        if part.never:
            unsure.description = say("asking.page.never")
        return {"typed": _text(ask), **({"unsure": unsure} if part.not_sure else {})}

    def _ask(self) -> str:
        """Return what is asked, in the units of the page."""
        ask = self.part.ask_on_page or self.part.ask
        return ask.replace("{ft}", "metres" if self.units == "metric" else "feet")

    def _laid_out(self) -> list[Any]:
        """Return the controls as they stand below each other."""
        part, controls = self.part, self.controls
        if part.kind == "several":
            signs = (controls[choice["value"]] for choice in part.choices)
            return [controls["chosen"], beside("lc-row", *signs)]
        if part.kind == "amount" and part.key == "keep":
            return [beside("lc-three", *(controls[name] for name in THREE)), controls["unsure"]]
        if "unsure" in controls:
            return [beside("lc-row", controls["typed"], controls["unsure"])]
        return list(controls.values())

    def _read(self) -> None:
        """Read the controls, and take what they hold if its rule allows it."""
        if self._quiet:
            return
        typed, answer = self._held()
        self._follow()
        rule = None if answer is None else broken_rule(self.part, answer)
        if rule and UNFINISHED in typed and self.answer is None:
            self.complain("")
            return
        if rule:
            self.complain(f"{_explained(self.part, typed, rule)}{self._still()}")
            return
        self._confirmed = ()
        if wrong := self._took(self.part.key, answer):
            self.complain(f"{wrong}{self._still()}")
            return
        self.answer = answer
        self.complain("")
        self._remark(self._understood())

    def _still(self) -> str:
        """Say which answer goes on counting."""
        return "" if self.answer is None else f" {say('asking.page.still')}"

    def _held(self) -> tuple[str, Any]:
        """Return what the controls hold, as text and as an answer; None where nothing is answered."""
        part, controls = self.part, self.controls
        if "unsure" in controls and controls["unsure"].value:
            return NOT_SURE, NOT_SURE
        if part.kind == "several":
            chosen = controls["chosen"].value
            seen = [choice["value"] for choice in part.choices if controls[choice["value"]].value]
            answer = {None: None, NOT_SURE: NOT_SURE, CLEAN: [], SEEN: seen or None}[chosen]
            return ", ".join(seen), answer
        if "chosen" in controls:
            value = controls["chosen"].value
            return str(value), None if value in (NONE, UNCHOSEN) else value
        if "likely" in controls:
            return _three([controls[name].value.strip() for name in THREE], part)
        typed = controls["typed"].value.strip()
        if not typed:
            return "", None
        metric = part.key in LENGTHS and self.units == "metric" and typed.replace(".", "", 1).isdigit()
        return typed, understood(part, f"{typed} m" if metric else typed)

    def _follow(self) -> None:
        """Let the controls follow each other: signs only where something was seen, no text if not sure."""
        controls = self.controls
        if self.part.kind == "several":
            for choice in self.part.choices:
                controls[choice["value"]].disabled = controls["chosen"].value != SEEN
        if "unsure" in controls:
            for name in {"typed", *THREE} & set(controls):
                controls[name].disabled = controls["unsure"].value

    def _put(self, answer: Any) -> None:
        """Put an answer into the controls."""
        part, controls = self.part, self.controls
        if part.kind == "several":
            listed = answer if isinstance(answer, list | tuple) else []
            chosen = answer if answer in (None, NOT_SURE) else (SEEN if listed else CLEAN)
            controls["chosen"].value = chosen
            for choice in part.choices:
                controls[choice["value"]].value = choice["value"] in listed
        elif part.kind == "text":
            options = controls["chosen"].options
            if answer is not None and answer not in [value for _, value in options]:
                controls["chosen"].options = [*options, (answer, answer)]
            controls["chosen"].value = UNCHOSEN if answer is None else answer
        elif "chosen" in controls:
            controls["chosen"].value = answer
        else:
            self._put_typed(answer)
        self._follow()

    def _put_typed(self, answer: Any) -> None:
        """Put an answer into controls that are typed into."""
        controls = self.controls
        if "unsure" in controls:
            controls["unsure"].value = answer in (NOT_SURE, NEVER)
        free = answer in (None, NOT_SURE, NEVER)
        if "likely" in controls:
            three = answer if isinstance(answer, Mapping) else {"likely": answer}
            for name in THREE:
                controls[name].value = "" if free or name not in three else f"{three[name]:g}"
            return
        controls["typed"].value = "" if free else typed_text(self.part, answer, self.units)


def _options(part: Part) -> list[tuple[str, Any]]:
    """Return words and value of each choice."""
    if part.kind == "yes_no":
        return [(say("asking.page.yes"), True), (say("asking.page.no"), False)]
    return [(choice["text"], choice["value"]) for choice in part.choices]


def _sign(text: str) -> Any:
    """Return a box to tick for something that was seen."""
    return ipywidgets.Checkbox(description=text, indent=False, disabled=True, tooltip=text)


def _text(ask: str) -> Any:
    """Return a line to type into; it is read when it is left, or at Enter."""
    return ipywidgets.Text(description=ask, continuous_update=False, tooltip=ask)


def _explained(part: Part, typed: str, rule: str) -> str:
    """Say in plain words which rule is broken."""
    if UNFINISHED in typed:
        return say("asking.page.three")
    if two := readings(part, typed):
        return say("asking.two_readings", typed=typed, one=two[0], other=two[1])
    if part.kind == "age" and "a number of" in rule:
        return say("asking.page.age", typed=typed)
    if part.kind == "months":
        return say("asking.page.months", typed=typed)
    plain = re.sub(r" \[[^]]*\]", "", rule).replace("low <= likely <= high", say("asking.page.rising"))
    return say("asking.page.rule", typed=typed, rule=plain)


def _three(typed: list[str], part: Part) -> tuple[str, Any]:
    """Return three numbers, or the one in the middle, as text and as an answer."""
    given = [text for text in typed if text]
    if not given:
        return "", None
    said = " / ".join(text or UNFINISHED for text in typed)
    if len(given) == 1 and typed[1]:
        return typed[1], understood(part, typed[1])
    if len(given) < len(typed):
        return said, said
    return said, understood(part, ", ".join(typed))


def typed_text(part: Part, answer: Any, units: str) -> str:
    """Return an answer as it is typed.

    Examples
    --------
    >>> from lifecycle.interview import parts
    >>> typed_text(parts()["roof_age"], 84, "us"), typed_text(parts()["length"], 30, "metric")
    ('7 years', '9.1')
    """
    if isinstance(answer, str):
        return answer
    if isinstance(answer, Mapping):
        return " / ".join(f"{answer[name]:g}" for name in THREE)
    if part.kind == "age":
        years, months = divmod(int(answer), 12)
        return f"{years} years" if years and not months else f"{answer:g} months"
    if part.kind == "months":
        return f"{12.0 * answer:.3g}"
    if part.key in LENGTHS and units == "metric":
        return f"{answer * METRES_IN_A_FOOT:.1f}"
    return number_text(answer)


@dataclass(frozen=True)
class Steps:
    """How a number is stepped.

    Parameters
    ----------
    step, first : float
        Between two numbers; where the first press begins.
    low, high : float
        Smallest and largest allowed.
    unit : str
        Said behind the name, and after the allowed numbers; "": none, or the name says it.
    whole : bool
        Whether only whole numbers are allowed.
    """

    step: float
    first: float
    low: float
    high: float
    unit: str = ""
    whole: bool = False


class Stepper:
    """A number with two large buttons; without them it is typed."""

    def __init__(
        self, label: str, steps: Steps, took: TookNumber, tell: Tell, *, buttons: bool = True
    ) -> None:
        self.steps, self._took, self._quiet = steps, took, False
        self.value: float | None = None
        self.label = html()
        named = f"{label} [{steps.unit}]" if steps.unit else label
        self.text = ipywidgets.Text(continuous_update=False, placeholder="?", description=named)
        self.message = html(kind="lc-message", layout={"display": "none"})
        row = beside("lc-step-row" if buttons else "lc-typed-row", self.text)
        if buttons:
            less, more = (say(f"asking.page.{one}", what=label) for one in ("less", "more"))
            self.less = button("−", lambda: self._press(-1), tell, tooltip=less)
            self.more = button("+", lambda: self._press(1), tell, tooltip=more)
            row.children = [self.less, self.text, self.more]
        self.box = below("lc-stepper", self.label, row, self.message)
        self.name(label)
        watched(self.text, lambda _: self._typed(), tell)

    def name(self, label: str, note: str = "") -> None:
        """Name it, with its unit; a note stands behind in small print."""
        unit = f" [{self.steps.unit}]" if self.steps.unit else ""
        self.label.value = part_of_page("step_name", label + unit, note)

    def show(self, value: float | None) -> None:
        """Show a number without taking it."""
        self.value, self._quiet = value, True
        try:
            self.text.value = "" if value is None else number_text(value, DIGITS)
        finally:
            self._quiet = False
        self.complain("")

    def complain(self, text: str) -> None:
        """Explain what is wrong; "" takes it away."""
        _complain(self.message, text)

    def _press(self, way: int) -> None:
        """Go a step up or down."""
        steps, value = self.steps, self.value
        new = steps.first if value is None else value + way * steps.step
        self._take(min(max(round(new, 6), steps.low), steps.high), shown=False)

    def _typed(self) -> None:
        """Read what was typed."""
        if self._quiet:
            return
        typed = self.text.value.strip().replace(",", "")
        if not typed:
            self._take(None)
            return
        try:
            number = float(typed)
        except ValueError:
            number = float("nan")
        steps = self.steps
        if not steps.low <= number <= steps.high or (steps.whole and number != int(number)):
            low, high = number_text(steps.low, DIGITS), number_text(steps.high, DIGITS)
            name = "whole_number" if steps.whole else "number"
            unit = f" {steps.unit}" if steps.unit else ""
            said = say(f"asking.page.{name}", typed=typed, low=low, high=high, unit=unit)
            self.complain(f"{said}{self._still()}")
            return
        self._take(number)

    def _take(self, value: float | None, *, shown: bool = True) -> None:
        """Take a number if it goes with the others."""
        if wrong := self._took(value):
            self.complain(f"{wrong}{self._still()}")
            return
        self.value = value
        self.complain("")
        if not shown:
            self.show(value)

    def _still(self) -> str:
        """Say which number goes on counting."""
        return "" if self.value is None else f" {say('asking.page.number_still')}"


def _complain(message: Any, text: str) -> None:
    """Explain what is wrong; "" takes it away."""
    message.value = part_of_page("alert", text)
    put_away(message, not text)


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
        self.head.value = part_of_page("question", self._question.number, self._question.heading, still)

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
        self._on_paper.value = part_of_page("on_paper", number, heading, answer)

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
