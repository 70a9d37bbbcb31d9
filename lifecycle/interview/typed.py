"""What a person types: the one reader of prices, ages, years and lengths, at a prompt or on a page.

Lecture
-------
A line is turned into an answer, allowed or not; whether it is allowed says `answers`. Lengths are feet
inside; metres are converted here, at the border.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from lifecycle.interview.answers import NEVER, NOT_SURE, Part

UNSURE = ("not sure", "notsure", "unsure", "don't know", "dont know", "?")
"""What may be typed for "not sure"."""

METRES_IN_A_FOOT = 0.3048
LENGTHS = ("length", "quoted_length")


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


def _in_feet(key: str, value: Any) -> Any:
    """Convert a length in metres to feet; leave everything else."""
    is_length = key in LENGTHS and isinstance(value, int | float) and not isinstance(value, bool)
    return round(value / METRES_IN_A_FOOT, 2) if is_length else value
