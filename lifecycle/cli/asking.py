"""Write a scenario from the seven questions, asked at a prompt or answered in a file.

Lecture
-------
Each part of a question is asked until it has an answer that its rule allows. Questions 1 to 3 have
no default: an empty line there is asked again, "not sure" is an answer. Elsewhere an empty line
leaves the part out, which counts as "not sure". What was understood is said back where a number
could be read in two ways.

An answers file is a TOML file with `[answers]`; a scenario that `lifecycle new` wrote is one. In a
file with `units = "metric"` lengths are metres; they are converted here, at the border.
"""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from lifecycle import files
from lifecycle.cli.given import place_of_scenario
from lifecycle.errors import Fault, ScenarioError, fault
from lifecycle.interview import (
    NEVER,
    NOT_SURE,
    Part,
    broken_rule,
    contradictions,
    parts,
    questions,
    scenario_text,
)
from lifecycle.interview.site import place_in
from lifecycle.interview.typed import in_feet, understood
from lifecycle.language.sentences import say

WITHOUT_DEFAULT = (1, 2, 3)
"""Questions to which an empty line is no answer."""

CURRENCY = "USD"
"""Of every price that is asked for: so are the prices that stand in for what is not answered."""

PLACES = ("place", "second_place")
"""Parts that name a place."""


def new(arguments: Namespace) -> str:
    """Write a scenario from the answers to seven questions.

    Parameters
    ----------
    arguments : Namespace
        file (or None: the scenario itself is returned), answers (or None: they are asked for).

    Returns
    -------
    str
        The scenario, or where it was written.

    Raises
    ------
    ScenarioError
        With what is wrong with the answers or the place to write to.
    """
    place = place_of_scenario(arguments.file) if arguments.file else None

    answers = read_answers(arguments.answers) if arguments.answers else ask(_typed, _shown)
    text = scenario_text(answers, base_date=date.today())
    if place is None:
        return text.rstrip("\n")
    files.write(place, text.encode("utf-8"), new=True)
    return say("asking.written", place=place)


def _typed(prompt: str) -> str:
    """Return a line typed at a prompt; the prompt is no part of the output."""
    sys.stderr.write(prompt)
    sys.stderr.flush()
    if sys.stdin is None:  # closed
        raise EOFError
    try:
        line = sys.stdin.readline()
        line.encode()
    except UnicodeError:
        remedy = "save it as UTF-8, or use --answers FILE"
        raise fault("the standard input", "must be text in UTF-8", "", remedy) from None
    if not sys.stdin.isatty():
        sys.stderr.write(line if line.endswith("\n") else f"{line}\n")
    if not line:
        raise EOFError
    return line.rstrip("\n")


def _shown(line: str) -> None:
    """Show a line that is no part of the output."""
    sys.stderr.write(f"{line}\n")


def ask(
    input: Callable[[str], str] = input,
    output: Callable[[str], object] = print,
) -> dict[str, Any]:
    """Ask the seven questions and return the answers.

    Parameters
    ----------
    input : callable
        Shows a prompt and returns the line typed.
    output : callable
        Shows one line.

    Returns
    -------
    dict
        `[answers]`, lengths in feet, free of faults.

    Raises
    ------
    ScenarioError
        If the input ends before the last question.
    """
    output(say("asking.start"))
    answers: dict[str, Any] = {}
    for question in questions():
        output("")
        output(f"{question.number}. {question.text}")
        for part in question.parts:
            if part.after and answers.get(part.after, NOT_SURE) == NOT_SURE:
                continue
            needed = part.needed or question.number in WITHOUT_DEFAULT
            value = _ask_part(part, needed=needed, answers=answers, input=input, output=output)
            if value is not None:
                answers[part.key] = value
    return answers


def _ask_part(
    part: Part,
    *,
    needed: bool,
    answers: Mapping[str, Any],
    input: Callable[[str], str],
    output: Callable[[str], object],
) -> Any:
    """Ask one part until it is answered; None if it is left out."""
    for number, choice in enumerate(part.choices, start=1):
        output(f"   {number}  {choice['text']}")
    while True:
        try:
            typed = input(f"   {part.ask}{_currency(part)}{'' if part.ask.endswith('?') else ':'} ").strip()
        except EOFError:
            remedy = "start again, or use --answers FILE"
            raise fault(f"answers.{part.key}", "must be answered", "the end of the input", remedy) from None
        if not typed and not needed:
            return None
        value = understood(part, typed)
        trouble = _objection(part, value, typed, answers)
        if trouble is None:
            if part.kind in ("amount", "age") and value != NOT_SURE:
                output(f"      {say('asking.understood', value=_said_back(part, value))}")
            if part.key in PLACES and value != NOT_SURE and place_in(value) is None:
                output(f"      {say('asking.unknown_place')}")
            return value
        output(f"      {trouble}")


def _objection(part: Part, value: Any, typed: str, answers: Mapping[str, Any]) -> str | None:
    """Return what is wrong with an answer, as a sentence, or None."""
    if not typed:
        return say("asking.needs_answer_or_not_sure" if part.not_sure else "asking.needs_answer")
    if broken_rule(part, value):
        if value == NOT_SURE:
            return say("asking.guess")
        return say("asking.no_answer", typed=typed, wanted=wanted(part))
    for found in contradictions({**answers, part.key: value}):
        if found.place == f"answers.{part.key}":
            rule, remedy = _in_words(found.rule), _in_words(found.remedy)
            return say(
                "asking.does_not_fit", typed=typed, rule=rule, remedy=f"{remedy[0].upper()}{remedy[1:]}"
            )
    return None


def wanted(part: Part) -> str:
    """Say what may be typed.

    Parameters
    ----------
    part : Part
        What is asked.

    Examples
    --------
    >>> wanted(parts()["climbs"]), wanted(parts()["otherwise"])
    ("yes or no, or 'not sure'", "a number from 1 to 7, or 'not sure'")
    >>> wanted(parts()["keep"])
    "one number from 1 to 60 years, or three with the smallest first, or 'not sure'"
    """
    unit = "" if part.unit.startswith("money") else f" {part.unit}"
    low, high = (f"{end:,.10g}" for end in (part.low, part.high))
    match part.kind:
        case "yes_no" | "age" | "months" | "text":
            said = say(f"asking.wanted.{part.kind}")
        case "choice" | "several":
            said = say(f"asking.wanted.{part.kind}", number=len(part.choices))
        case kind:
            limits = say("asking.wanted.limits", low=low, high=high, unit=unit)
            said = say(f"asking.wanted.{'amount' if kind == 'amount' else 'number'}", limits=limits)
    for word in [NOT_SURE] * part.not_sure + [NEVER] * part.never:
        said = say("asking.wanted.or", wanted=said, free=word)
    return said


def _in_words(text: str) -> str:
    """Return a rule of a file in the words of the questions."""
    for part in parts().values():
        for choice in part.choices:
            text = text.replace(repr(choice["value"]), f'"{choice["text"]}"')
    return text.replace("must be true", "must be yes")


def _currency(part: Part) -> str:
    """Return the unit of an amount of money, to stand behind what is asked."""
    return f" ({part.unit.replace('money', CURRENCY)})" if part.unit.startswith("money") else ""


def _said_back(part: Part, value: Any) -> str:
    """Say an amount or an age back."""
    if isinstance(value, str):
        return value
    numbers = value.values() if isinstance(value, Mapping) else (value,)
    unit = f" {part.unit.replace('money', CURRENCY)}"
    return " / ".join(f"{number:,.10g}" for number in numbers) + unit


def read_answers(path: str | Path) -> dict[str, Any]:
    """Read the answers to the seven questions from a TOML file with `[answers]`.

    Parameters
    ----------
    path : str or Path
        An answers file, or a scenario that holds its answers.

    Returns
    -------
    dict
        `[answers]`, lengths in feet. `scenario_text` checks them.

    Raises
    ------
    ScenarioError
        If the file cannot be read, is no TOML, or holds no `[answers]`.
    """
    document = _document(path)
    answers = document.get("answers")
    if not isinstance(answers, Mapping):
        rule = "must hold a section [answers]"
        raise ScenarioError((Fault(str(path), rule, "none", "write the answers under [answers]"),))
    if document.get("currency", CURRENCY) != CURRENCY:
        remedy = "write the scenario by hand for another currency"
        rule = f"must be {CURRENCY!r}: so are the prices that stand in for what is not answered"
        raise ScenarioError((Fault("currency", rule, repr(document["currency"]), remedy),))
    units = document.get("units", "us")
    if units not in ("us", "metric"):
        raise ScenarioError((Fault("units", "must be 'us' or 'metric'", repr(units), "us means feet"),))
    return in_feet(answers, units)


def _document(path: str | Path) -> dict[str, Any]:
    """Parse a TOML file that need not be a whole scenario, by the rules of scenario files."""
    content = files._bytes(str(path), str(path))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ScenarioError((Fault(str(path), "must be text in UTF-8", "", "save it as UTF-8"),)) from None
    return files._parsed(text, str(path))
