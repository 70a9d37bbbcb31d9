"""Fields that ask one part of a question: widgets made from the questions, each explaining what is wrong.

Lecture
-------
A field shows what is asked, takes what is typed or chosen, and hands on an answer only if its rule allows
it; what is wrong is explained right below it, and the last good answer goes on counting. "not sure" is
an answer and stands in every field that takes it. What is typed is understood as at the prompt of
`lifecycle new`, and said back below the field; what is allowed but hardly meant is asked back.

Only plain controls are used: they work by keyboard, by finger and with a screen reader.

Left out: what the answers make together (`state`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

import ipywidgets

from lifecycle import files
from lifecycle.answers.seven_answers import NUMBERS, said_back
from lifecycle.interview import NEVER, NOT_SURE, Part, broken_rule
from lifecycle.interview.typed import LENGTHS, METRES_IN_A_FOOT, readings, understood
from lifecycle.language.sentences import say
from lifecycle.pages.panels.guard import Say, guarded
from lifecycle.pages.panels.words_on_page import part as part_of_page
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


class Field:
    """One part of a question on a page.

    Parameters
    ----------
    part : Part
        What is asked.
    took : callable
        Takes an answer that its own rule allows.
    say_status : callable
        Shows a sentence in the status line.
    units : str
        "us" or "metric".
    """

    def __init__(self, part: Part, took: Took, say_status: Say, units: str = "us") -> None:
        self.part, self.units = part, units
        self._took, self._quiet = took, False
        self._good: Any = None
        self.message = ipywidgets.HTML(layout={"display": "none"})
        self.message.add_class("lc-message")
        self._changed = guarded(lambda _: self._read(), say_status)
        self.said = ipywidgets.HTML(layout={"display": "none"})
        self.sure = ipywidgets.Button(description=say("asking.page.is_so"), layout={"display": "none"})
        self.sure.on_click(guarded(lambda _: self._confirm(), say_status))
        self._doubts: tuple[str, ...] = ()
        self._confirmed: tuple[str, ...] = ()
        self.controls = self._build()
        self.box = ipywidgets.VBox([*self._laid_out(), self.message, self.said, self.sure])
        self.box.add_class("lc-field")
        if part.kind == "yes_no" or part.key == "quoted_by":
            self.box.add_class("lc-short")
        for control in self.controls.values():
            control.observe(self._changed, names="value")

    @property
    def answer(self) -> Any:
        """The last good answer; None if there is none."""
        return self._good

    def show(self, answer: Any) -> None:
        """Show an answer without taking it."""
        self._quiet = True
        try:
            self._good = answer
            self._put(answer)
            self.complain("")
            self._remark("")
        finally:
            self._quiet = False

    def complain(self, text: str) -> None:
        """Explain what is wrong, right below the field; "" takes it away."""
        self.message.value = part_of_page("alert", text)
        self.message.layout.display = "" if text else "none"
        # Marked is the box: a change of any trait of a line would wipe out what is half typed into it.
        (self.box.add_class if text else self.box.remove_class)("lc-wrong")

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
        self.said.layout.display = "" if asked or text else "none"
        self.sure.layout.display = "" if asked else "none"

    def _understood(self) -> str:
        """Say how the last answer was understood, where one was typed."""
        if self.part.kind not in NUMBERS or self._good in (None, NOT_SURE, NEVER):
            return ""
        return say("asking.understood", value=said_back(self.part, self._good, self.units))

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
            return {
                "chosen": ipywidgets.RadioButtons(description=ask, options=whole, index=None, tooltip=ask)
            }
        if part.kind == "text":
            first = (say("asking.page.none"), NONE) if part.after else (not_sure, NOT_SURE)
            places = [(name, name) for name in files.shared()["places"]]
            return {
                "chosen": ipywidgets.Dropdown(
                    description=ask,
                    options=[(say("asking.page.choose"), UNCHOSEN), first, *places],
                    tooltip=ask,
                )
            }
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
            signs = ipywidgets.Box([controls[choice["value"]] for choice in part.choices])
            signs.add_class("lc-row")
            return [controls["chosen"], signs]
        if part.kind == "amount" and part.key == "keep":
            three = ipywidgets.Box([controls[name] for name in THREE])
            three.add_class("lc-three")
            return [three, controls["unsure"]]
        if "unsure" in controls:
            row = ipywidgets.Box([controls["typed"], controls["unsure"]])
            row.add_class("lc-row")
            return [row]
        return list(controls.values())

    def _read(self) -> None:
        """Read the controls, and take what they hold if its rule allows it."""
        if self._quiet:
            return
        typed, answer = self._held()
        self._follow()
        rule = None if answer is None else broken_rule(self.part, answer)
        if rule and UNFINISHED in typed and self._good is None:
            self.complain("")
            return
        if rule:
            self.complain(f"{_explained(self.part, typed, rule)}{self._still()}")
            return
        self._confirmed = ()
        wrong = self._took(self.part.key, answer)
        if wrong:
            self.complain(f"{wrong}{self._still()}")
            return
        self._good = answer
        self.complain("")
        self._remark(self._understood())

    def _still(self) -> str:
        """Say which answer goes on counting."""
        return "" if self._good is None else f" {say('asking.page.still')}"

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
    plain = re.sub(r" \[[^]]*\]", "", rule).replace("low <= likely <= high", "the three numbers rising")
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
