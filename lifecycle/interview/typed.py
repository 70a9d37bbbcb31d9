"""What a person types: the one reader of prices, ages, years, lengths and places, at a prompt or on a page.

Lecture
-------
A line is turned into an answer, allowed or not; whether it is allowed says `questions`. It is understood
whole or not at all: "8,130 plus tax" is no 8,130. A line is numbers, words for numbers, units and a few
words that change nothing ("about"); which words those are is data (`questions.toml`, section `reading`). A
quantity is

    number [thousand | hundred] unit, the units falling: "2 years and 3 months", "nine thousand two hundred"

A fraction is added to the whole number before it ("1 1/2") or to the unit before it ("a year and a half").
A year of the calendar is counted from today. What can be read in two ways ("8.130") is not read: `readings`
names both. A place is of the table of places if its name alone, or one that stands in the answer ("Miami,
Florida"), is.

Lengths are feet inside; metres are converted here, at the border. Left out: other currencies, decimal
commas.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from lifecycle import files
from lifecycle.interview.questions import NEVER, NOT_SURE, RANGE, Part
from lifecycle.reading.reader import is_number

METRES_IN_A_FOOT = 0.3048
LENGTHS = ("length", "quoted_length")

TOKEN = re.compile(
    r"(?P<fraction>1/2|[1-3]/[34]|[1-7]/8)(?!\d)|(?P<number>\d{1,3}(?:,\d{3})+(?![\d,])(?:\.\d+)?|\d+(?:\.\d+)?|\.\d+)"
    r"|(?P<word>[a-z]+|[$%'\",])|(?P<blank>\s+)"
)
POINT = re.compile(r"(?<![\d.,])(\d{1,3})\.(\d{3})(?![\d.,])")
"""A point before three digits: of thousands, or of a fraction?"""

BETWEEN = (r"\s*[,;]\s*(?:and\s+)?|\s+and\s+", r"\s*/\s*", r"\s*[-–]\s*", r"\s+to\s+", r"\s+")
"""What may stand between three numbers."""


def understood(part: Part, typed: str, today: date | None = None) -> Any:
    """Turn a typed line into an answer, allowed or not.

    Parameters
    ----------
    part : Part
        What was asked.
    typed : str
        What was typed.
    today : date or None
        From which a year of the calendar counts; None: the day of the clock.

    Returns
    -------
    Any
        The answer; the text itself if it could not be understood whole.

    Examples
    --------
    >>> from lifecycle.interview import parts
    >>> understood(parts()["keep"], "6, 10, 15")
    {'low': 6, 'likely': 10, 'high': 15}
    >>> understood(parts()["quote"], "$8,130"), understood(parts()["quote"], "8,130 plus tax")
    (8130, '8,130 plus tax')
    >>> understood(parts()["roof_age"], "a year and a half")
    18
    >>> understood(parts()["trouble"], "none")
    []
    """
    text, known = _plain(typed), reading()
    if text in known["unsure"]:
        return NOT_SURE
    if part.never and text in known["never"]:
        return NEVER
    match part.kind:
        case "yes_no":
            return True if text in known["yes"] else False if text in known["no"] else typed
        case "text" | "line" | "readings":
            return typed.strip()
        case "choice":
            return _chosen(part, text)
        case "several":
            return _several(part, text)
    found = _number(part, text, today or date.today())
    if found is None and text.startswith("-"):
        below = _number(part, text[1:], today or date.today())
        found = None if below is None else -below
    if found is None and part.three:
        return _three(part, text) or typed
    return typed if found is None else found


def reading() -> Mapping[str, Any]:
    """Return the words that are understood."""
    known: Mapping[str, Any] = files.data("questions.toml")["reading"]
    return known


def readings(part: Part, typed: str) -> tuple[str, str] | None:
    """Return the two numbers that an amount of money with a point may mean; None if there is no such doubt.

    Examples
    --------
    >>> from lifecycle.interview import parts
    >>> readings(parts()["quote"], "8.130"), readings(parts()["length"], "26.125")
    (('8,130', '8.13'), None)
    """
    found = POINT.search(typed) if part.unit.startswith("money") else None
    return (f"{found[1]},{found[2]}", f"{float(found[0]):g}") if found else None


def _plain(typed: str) -> str:
    """Return a line in small letters and plain digits, without what changes nothing."""
    apart = re.sub(r"([¼-¾⅐-⅞])", r" \1", typed.strip().rstrip(".!").replace("’", "'"))
    text = unicodedata.normalize("NFKC", apart).replace("⁄", "/").lower()
    return " ".join(text.split())


def _without(text: str, words: list[str]) -> str:
    """Take words that change nothing out of a line."""
    for word in sorted(words, key=len, reverse=True):
        text = re.sub(rf"(?<![a-z]){re.escape(word)}(?![a-z])", " ", text)
    return " ".join(text.split())


def _number(part: Part, text: str, today: date) -> int | float | None:
    """Return the one number that a line says, in the unit of the part; None if it says none, or more."""
    known = reading()
    if text in part.words:
        return part.words[text]
    if readings(part, text):
        return None
    text = _without(text, known["about"] + known["beside"].get(part.unit, []))
    months, shares = part.unit in ("months", "years"), part.unit == "share of the year"
    if months and (year := re.fullmatch(r"(?:[a-z ]+ )?((?:19|20)\d\d)", text)):
        return _from_year(part, int(year[1]), text, today)
    if part.unit.startswith("money"):
        text = re.sub(r"(?<![\d.,])(\d{1,3})((?: \d{3})+)(?!\d)", lambda m: m[0].replace(" ", ""), text)
        text = _without(text.replace("$", " $ "), ["us $", "$", *known["money"]])
        found = _quantity(text, {}, 1.0)
    elif months or shares:
        bare = {"months": None, "years": 12.0}.get(part.unit, 1.0)
        found = _quantity(text, known["months"], bare)
    else:
        found = _quantity(text, known["units"].get(part.unit, {}), 1.0)
    if found is None:
        return None
    if part.kind == "age":
        return round(found)
    return _whole(round(found / 12.0 if months or shares else found, 4 if months or shares else 2))


def _from_year(part: Part, year: int, text: str, today: date) -> int | float | None:
    """Return how long ago, or how long from today, a year of the calendar is; its middle is meant."""
    before = text.removesuffix(str(year)).strip()
    if before and before not in reading()["in_a_year"]:
        return None
    if part.kind == "age":
        return round(max(0.0, 12 * (today.year - year) + today.month - 6.5)) if year <= today.year else None
    return year - today.year


def _three(part: Part, text: str) -> dict[str, int | float] | None:
    """Return the three numbers that a line says; None if it does not say three."""
    text = _without(text, reading()["ends"])
    for between in BETWEEN:
        pieces = [piece for piece in re.split(between, re.sub(r" ?(years|yrs)$", "", text)) if piece]
        found = [_number(part, piece, date.today()) for piece in pieces]
        numbers = [number for number in found if number is not None]
        if len(pieces) == len(numbers) == len(RANGE):
            return dict(zip(RANGE, numbers, strict=True))
    return None


def _tokens(text: str) -> Iterator[tuple[str, float | str]]:
    """Go through a line: fraction, number, tens, word; "other" is what it is not made of."""
    numbers: Mapping[str, float] = reading()["numbers"]
    text = re.sub(r"(?<=[a-z\d])-(?=[a-z])", " ", text)
    text = re.sub(r"\ban? (half|quarter)\b", r"\1", text)
    text = re.sub(r"\b(half|quarter) an?\b", r"\1", text)
    place = 0
    while place < len(text):
        found = TOKEN.match(text, place)
        if found is None:
            yield "other", text[place:]
            return
        place, word, kind = found.end(), found[0], str(found.lastgroup)
        if kind == "fraction":
            over, under = word.split("/")
            yield kind, int(over) / int(under)
        elif kind == "number":
            yield kind, float(word.replace(",", ""))
        elif word in numbers:
            number = numbers[word]
            yield "fraction" if number < 1 else "tens" if number >= 20 else "number", number
        elif kind == "word":
            yield kind, word


def _quantity(text: str, units: Mapping[str, float], bare: float | None) -> float | None:
    """Return the quantity that a line says, whole; None otherwise.

    `units` are the words for each unit with what one of it is; `bare` is what one is where no unit is said.
    """
    times: Mapping[str, float] = reading()["times"]
    total, group, least = 0.0, 0.0, float("inf")
    before, now, last, any_number = "", None, None, False
    for kind, token in _tokens(text):
        if isinstance(token, float | int):
            if now is not None and kind != "fraction" and not (before == "tens" and token < 10):
                return None
            if now is not None and (now != int(now) or before == "fraction"):
                return None
            now, before, any_number = (now or 0.0) + token, kind, True
        elif token in times and now is not None and times[token] < least:
            group, least, now = group + now * times[token], times[token], None
        elif token in units and (now is not None or group) and (last is None or units[token] < last):
            total, last = total + (group + (now or 0.0)) * units[token], units[token]
            group, now, least = 0.0, None, float("inf")
        elif token not in ("and", ",") or not any_number:
            return None
        if now is not None and now >= least:
            return None
    left = group + (now or 0.0)
    if last is None:
        return left * bare if any_number and bare is not None else None
    if not left:
        return total
    return total + left * last if before == "fraction" and left < 1.0 else None


def _chosen(part: Part, text: str) -> str:
    """Return the choice that a number, a value or its words name."""
    for number, choice in enumerate(part.choices, start=1):
        if text in (str(number), choice["value"], choice["text"].lower()):
            return choice["value"]
    return text


def _several(part: Part, text: str) -> list[str]:
    """Return the choices that a line names, in the order of the list."""
    if text in ("none", *reading()["no"], "nothing"):
        return []
    words = re.split(r"\s*(?:,|;|\band\b)\s*", text)
    if all(word.isdigit() for word in text.replace(",", " ").split()):
        words = text.replace(",", " ").split()
    chosen = [_chosen(part, word) for word in words if word]
    return sorted(chosen, key=lambda value: part.values.index(value) if value in part.values else 0)


def _whole(number: float) -> int | float:
    """Return a whole number as one."""
    return int(number) if number == int(number) else number


def in_feet(answers: Mapping[str, Any], units: str) -> dict[str, Any]:
    """Return the answers of a file with their lengths in feet.

    Examples
    --------
    >>> in_feet({"length": 9.0, "keep": 8}, "metric"), in_feet({"length": 30}, "us")
    ({'length': 29.53, 'keep': 8}, {'length': 30})
    """
    lengths = {key for key in LENGTHS if units == "metric" and is_number(answers.get(key))}
    return {key: round(one / METRES_IN_A_FOOT, 2) if key in lengths else one for key, one in answers.items()}


def place_in(answer: Any) -> str | None:
    """Return the place of the table that an answer names, or None.

    Examples
    --------
    >>> place_in("duluth"), place_in("Miami, Florida"), place_in("a humid coast")
    ('Duluth', 'Miami', None)
    """
    if not isinstance(answer, str):
        return None
    said = f" {''.join(letter if letter.isalnum() else ' ' for letter in answer.casefold())} "
    named = [name for name in files.shared()["places"] if f" {name.casefold()} " in said]
    return named[0] if len(named) == 1 else None


def near_places(answer: str) -> tuple[str, ...]:
    """Return the places of the table whose names are nearest to what was typed; all if none is near.

    Examples
    --------
    >>> near_places("Miamy, FL"), len(near_places("a humid coast")) > 10
    (('Miami',), True)
    """
    names = {name.casefold(): name for name in files.shared()["places"]}
    words = [answer.casefold(), *answer.casefold().replace(",", " ").split()]
    near = [names[one] for word in words for one in difflib.get_close_matches(word, names, n=3, cutoff=0.7)]
    return tuple(dict.fromkeys(near)) or tuple(names.values())
