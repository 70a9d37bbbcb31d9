"""Ask the seven questions at a prompt, or read their answers from a file.

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

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from lifecycle import files
from lifecycle.errors import Fault, ScenarioError
from lifecycle.interview import NEVER, NOT_SURE, Part, broken_rule, contradictions, parts, questions
from lifecycle.interview.site import place_in

WITHOUT_DEFAULT = (1, 2, 3)
"""Questions to which an empty line is no answer."""

UNSURE = ("not sure", "notsure", "unsure", "don't know", "dont know", "?")
"""What may be typed for "not sure"."""

CURRENCY = "USD"
"""Of every price that is asked for: so are the prices that stand in for what is not answered."""

CHANGE_EARLIER = "To change an earlier answer, stop with Ctrl-C and start again."

PLACES = ("place", "second_place")
"""Parts that name a place."""

UNKNOWN_PLACE = (
    "It is not in the table, so a middling climate stands in. The file written says how to name one."
)

METRES_IN_A_FOOT = 0.3048
LENGTHS = ("length", "quoted_length")


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
    output("Seven questions. 'not sure' is an answer. Nothing leaves this computer.")
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
            place = f"answers.{part.key}"
            fault = Fault(
                place, "must be answered", "the end of the input", "start again, or use --answers FILE"
            )
            raise ScenarioError((fault,)) from None
        if not typed and not needed:
            return None
        value = understood(part, typed)
        trouble = _objection(part, value, typed, answers)
        if trouble is None:
            if part.kind in ("amount", "age") and value != NOT_SURE:
                output(f"      understood: {_said_back(part, value)}")
            if part.key in PLACES and value != NOT_SURE and place_in(value) is None:
                output(f"      {UNKNOWN_PLACE}")
            return value
        output(f"      {trouble}")


def _objection(part: Part, value: Any, typed: str, answers: Mapping[str, Any]) -> str | None:
    """Return what is wrong with an answer, as a sentence, or None."""
    if not typed:
        return "No answer is assumed here." + (f" Say '{NOT_SURE}' if you are." if part.not_sure else "")
    if broken_rule(part, value):
        if value == NOT_SURE:
            return "This one has to be known: a good guess will do."
        return f"'{typed}' is no answer here. Say {wanted(part)}."
    for fault in contradictions({**answers, part.key: value}):
        if fault.place == f"answers.{part.key}":
            rule, remedy = _in_words(fault.rule), _in_words(fault.remedy)
            return f"'{typed}' does not fit: it {rule}. {remedy[0].upper()}{remedy[1:]}. {CHANGE_EARLIER}"
    return None


def wanted(part: Part) -> str:
    """Say what may be typed at a prompt.

    Parameters
    ----------
    part : Part
        What is asked.

    Returns
    -------
    str

    Examples
    --------
    >>> from lifecycle.interview import parts
    >>> wanted(parts()["climbs"]), wanted(parts()["otherwise"])
    ("yes or no, or 'not sure'", "a number from 1 to 7, or 'not sure'")
    >>> wanted(parts()["keep"])
    "one number from 1 to 60 years, or three with the smallest first, or 'not sure'"
    """
    unit = "" if part.unit.startswith("money") else f" {part.unit}"
    limits = f"from {part.low:,.10g} to {part.high:,.10g}{unit}"
    said = {
        "yes_no": "yes or no",
        "choice": f"a number from 1 to {len(part.choices)}",
        "several": f"numbers from 1 to {len(part.choices)}, or none",
        "age": "months or years, as 14 months or 7 years",
        "months": "a number of months from 0 to 12",
        "text": "a few words on one line",
        "amount": f"one number {limits}, or three with the smallest first",
    }.get(part.kind, f"a number {limits}")
    free = [NOT_SURE] * part.not_sure + [NEVER] * part.never
    return said + "".join(f", or {word!r}" for word in free)


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


def understood(part: Part, typed: str) -> Any:
    """Turn a typed line into an answer, allowed or not.

    Parameters
    ----------
    part : Part
        What was asked.
    typed : str
        What was typed.

    Returns
    -------
    Any
        The answer; the text itself if nothing could be made of it.

    Examples
    --------
    >>> from lifecycle.interview import parts
    >>> understood(parts()["keep"], "6, 10, 15")
    {'low': 6, 'likely': 10, 'high': 15}
    >>> understood(parts()["quote"], "$8,130")
    8130
    >>> understood(parts()["roof_age"], "1 year 2 months")
    14
    >>> understood(parts()["trouble"], "none")
    []
    """
    text = typed.strip().lower()
    if text in UNSURE:
        return NOT_SURE
    if part.never and text in (NEVER, f"{NEVER} redone"):
        return NEVER
    match part.kind:
        case "yes_no":
            return {"yes": True, "y": True, "no": False, "n": False}.get(text, typed)
        case "text":
            return typed.strip()
        case "choice":
            return _chosen(part, text)
        case "several":
            return _several(part, text)
        case "age":
            return _months(text)
        case "months":
            months = _numbers(text)
            return round(months[0] / 12, 4) if len(months) == 1 else typed
        case "amount":
            numbers = _numbers(text)
            if len(numbers) == 3:
                return dict(zip(("low", "likely", "high"), numbers, strict=True))
            return numbers[0] if len(numbers) == 1 else typed
        case _:
            return _feet(text)


def _chosen(part: Part, text: str) -> str:
    """Return the choice that a number, a value or its words name."""
    for number, choice in enumerate(part.choices, start=1):
        if text in (str(number), choice["value"], choice["text"].lower()):
            return choice["value"]
    return text


def _several(part: Part, text: str) -> list[str]:
    """Return the choices that a line names, in the order of the list."""
    if text in ("none", "no", "nothing"):
        return []
    words = re.split(r"\s*(?:,|;|\band\b)\s*", text)
    if all(word.isdigit() for word in text.replace(",", " ").split()):
        words = text.replace(",", " ").split()
    chosen = [_chosen(part, word) for word in words if word]
    return sorted(chosen, key=lambda value: part.values.index(value) if value in part.values else 0)


def _numbers(text: str) -> list[int | float]:
    """Return the numbers in a line; a comma before three digits parts thousands."""
    joined = re.sub(r"(?<=\d),(?=\d{3}(?!\d))", "", text)
    return [_whole(float(number)) for number in re.findall(r"-?\d+(?:\.\d+)?", joined)]


def _whole(number: float) -> int | float:
    """Return a whole number as one."""
    return int(number) if number == int(number) else number


def _months(text: str) -> int | float | str:
    """Return an age in months; the text itself if months and years cannot be told apart."""
    found = re.findall(r"(\d+(?:\.\d+)?)\s*(years?|y|months?|m|mo)\b", text)
    if not found:
        return text
    months = sum(float(number) * (12 if unit.startswith("y") else 1) for number, unit in found)
    return round(months)


def _feet(text: str) -> int | float | str:
    """Return a length in feet; metres are converted."""
    found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(ft|feet|foot|'|m|metres?|meters?)?", text)
    if not found:
        return text
    metric = (found[2] or "").startswith("m")
    return round(float(found[1]) / METRES_IN_A_FOOT, 1) if metric else _whole(float(found[1]))


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


def in_feet(answers: Mapping[str, Any], units: str) -> dict[str, Any]:
    """Return answers with their lengths in feet.

    Parameters
    ----------
    answers : mapping
        As they stand in a file.
    units : str
        Of the file: "us" or "metric".

    Examples
    --------
    >>> in_feet({"length": 9.0, "keep": 8}, "metric"), in_feet({"length": 30}, "us")
    ({'length': 29.53, 'keep': 8}, {'length': 30})
    """
    return {key: _in_feet(key, value) if units == "metric" else value for key, value in answers.items()}


def _document(path: str | Path) -> dict[str, Any]:
    """Parse a TOML file that need not be a whole scenario, by the rules of scenario files."""
    content = files._bytes(str(path), str(path))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ScenarioError((Fault(str(path), "must be text in UTF-8", "", "save it as UTF-8"),)) from None
    return files._parsed(text, str(path))


def _in_feet(key: str, value: Any) -> Any:
    """Convert a length in metres to feet; leave everything else."""
    is_length = key in LENGTHS and isinstance(value, int | float) and not isinstance(value, bool)
    return round(value / METRES_IN_A_FOOT, 2) if is_length else value
