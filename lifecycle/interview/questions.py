"""The seven questions, and what may be answered to each.

Lecture
-------
An owner knows a few things about the own coach and nothing about leak rates. Seven questions ask
for the former; the latter are the shared figures. The questions, their parts and what may be
answered to each part are data (`questions.toml`). Asking them belongs to the pages and the command
line, writing the answers down to `writing.py`; here they are checked, all faults at once.

Answers are held in US units, ages in months, times of the year as shares. "not sure" is an answer
to every part but the age of the roof. A part without an answer counts as "not sure", but for the
parts that must be answered: what the owner would do otherwise, the years, the quote, the roof's age.

What is allowed but hardly meant is a *doubt* (`doubts`): whoever asks asks back, and takes a yes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from lifecycle import files
from lifecycle.errors import Fault, nearest
from lifecycle.kinds import COVERINGS
from lifecycle.reading.existing import WET_READING
from lifecycle.reading.reader import is_number
from lifecycle.reading.roofs import all_plans
from lifecycle.scenario import LEAKED, Meter, Opened, Seen

NOT_SURE = "not sure"
NEVER = "never"
NOT_YET = "not yet"
RANGE = ("low", "likely", "high")

READING = re.compile(r"([^\d,;][^,;]*?)\s*[:=]?\s+(\d{1,3}(?:\.\d+)?)\s*(?:%|percent)?")
"""A place, and what a moisture meter read there. [percent]"""

SAME = 0.05
"""Lengths that differ by less are the same: they were typed in other units. [ft]"""

Answers = Mapping[str, Any]


@dataclass(frozen=True)
class Part:
    """One part of a question: one key of `[answers]`.

    Parameters
    ----------
    key : str
        Name in `[answers]`.
    kind : str
        choice, several, amount, number, yes_no, age, months, text, line or readings.
    ask, ask_on_page : str
        What is asked, at a prompt and on a page; "" on a page: the same. {ft} stands for feet or metres.
    short : str
        The part in a few words.
    unit : str
        Unit of a number, for messages.
    low, high : float
        Smallest and largest number allowed. [unit]
    needed : bool
        Whether it must be answered.
    not_sure : bool
        Whether "not sure" is an answer.
    never : bool
        Whether "never" is an answer.
    after : str
        Part without an answer to which this one is not asked, or "".
    choices : tuple of dict
        Allowed values with the words for each.
    by_choice : bool
        Whether it is asked only of those who choose to answer it.
    three : bool
        Whether three numbers may be typed for the one; a file may hold three for any amount.
    words : mapping of str to float
        Words that may be typed for a number, as "new" for an age of 0.
    optional : bool
        Whether an empty line is always an answer: no.
    """

    key: str
    kind: str
    ask: str
    short: str
    ask_on_page: str = ""
    unit: str = ""
    low: float = 0.0
    high: float = math.inf
    needed: bool = False
    not_sure: bool = True
    never: bool = False
    after: str = ""
    choices: tuple[Mapping[str, str], ...] = ()
    by_choice: bool = False
    three: bool = False
    words: Mapping[str, float] = field(default_factory=dict)
    optional: bool = False

    @property
    def values(self) -> tuple[str, ...]:
        """The values that may be chosen."""
        return tuple(choice["value"] for choice in self.choices)


@dataclass(frozen=True)
class Question:
    """One of the seven questions."""

    number: int
    heading: str
    text: str
    parts: tuple[Part, ...]


@cache
def questions() -> tuple[Question, ...]:
    """Return the seven questions in their order.

    Examples
    --------
    >>> [question.number for question in questions()]
    [1, 2, 3, 4, 5, 6, 7]
    """
    return tuple(
        Question(
            number=question["number"],
            heading=question["heading"],
            text=question["text"],
            parts=tuple(map(part_of, question["parts"])),
        )
        for question in files.data("questions.toml")["questions"]
    )


def part_of(raw: Mapping[str, Any]) -> Part:
    """Return a part as the data state it."""
    ask = raw["ask"].replace("{places}", ", ".join(files.shared()["places"]))
    return Part(**{**raw, "ask": ask, "choices": tuple(raw.get("choices", ()))})


def parts() -> Mapping[str, Part]:
    """Return every part of every question by its key, in the order of asking."""
    return {part.key: part for question in questions() for part in question.parts}


def follows(part: Part, answers: Answers) -> bool:
    """Whether a part is to be asked, after the answers given so far.

    Examples
    --------
    >>> [follows(parts()["opened"], {"trouble": seen}) for seen in ([], ["stain"], NOT_SURE)]
    [False, True, False]
    """
    if part.key == "opened":
        return bool(seen_of(answers).signs)
    return not part.after or answers.get(part.after) not in (None, NOT_SURE, NOT_YET, 0, [], ())


def seen_of(answers: Answers) -> Seen:
    """Return what answers say of trouble, of what was found there, and of a moisture meter.

    Wet wood that nobody repaired is as closed as before.

    Examples
    --------
    >>> seen_of({"trouble": ["stain"], "opened": "wet"}).stops
    ('stain',)
    >>> seen_of({"trouble": ["stain"], "opened": "wet", "repaired": "one panel"}).stops
    ()
    """
    signs, cost = answers.get("trouble"), answers.get("repair_cost")
    seen = tuple(signs) if isinstance(signs, Sequence) and not isinstance(signs, str) else ()
    rows, limit = read_readings(str(answers.get("readings", ""))), answers.get("meter_limit")
    wood = float(files.shared()["usual_meter"]["limit"])
    meter = Meter(float(limit), rows, wood=wood) if rows and is_number(limit) else None
    if meter is not None and meter.wet:
        seen = (*seen, WET_READING)
    found, done = answers.get("opened"), answers.get("repaired")
    repaired = done.strip() if isinstance(done, str) and done != NOT_SURE else ""
    closed = not seen or found not in ("dry", *LEAKED) or (found in LEAKED and not repaired)
    opened = None if closed else Opened(str(found), repaired, float(str(cost)) if is_number(cost) else None)
    return Seen(seen, opened, meter)


def read_readings(text: str) -> tuple[tuple[str, float], ...] | None:
    """Read places and percents of a moisture meter; None where they cannot be read whole.

    Examples
    --------
    >>> read_readings("front cap 9, left edge: 12.5 %")
    (('front cap', 9.0), ('left edge', 12.5))
    >>> read_readings("front cap") is None, read_readings("vent 140") is None
    (True, True)
    """
    rows = []
    for piece in (one.strip() for one in re.split(r"[,;]", text)):
        found = READING.fullmatch(piece)
        if found is None or float(found[2]) > 100.0:
            return None
        rows.append((found[1].strip(), float(found[2])))
    return tuple(rows)


def groups() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return the parts in the order of a counter: heading and keys of each group."""
    return tuple(
        (group["heading"], tuple(group["parts"])) for group in files.data("questions.toml")["groups"]
    )


def faults(answers: Answers) -> tuple[Fault, ...]:
    """Return everything that is wrong with answers, lengths in feet; empty if they can be written down.

    Examples
    --------
    >>> [fault.place for fault in faults({"otherwise": "nothing", "keep": 8, "quote": 8000})]
    ['answers.roof_age']
    """
    found = part_faults(answers, parts(), "answers", "is not a question")
    return tuple(found) if found else tuple(contradictions(answers))


def part_faults(
    answers: Answers, known: Mapping[str, Part], place: str, unknown: str, remedy: str = ""
) -> list[Fault]:
    """Return what is unknown, breaks its rule, or must be answered and is not; `remedy` says how to, then."""
    found = [
        Fault(f"{place}.{key}", unknown, repr(key), nearest(key, tuple(known)))
        for key in answers
        if key not in known
    ]
    for key, part in known.items():
        if key in answers:
            if rule := broken_rule(part, answers[key]):
                found.append(Fault(f"{place}.{key}", rule, repr(answers[key]), f"it answers: {part.ask}"))
        elif part.needed:
            usual = f"answer it, or say {NOT_SURE!r}" if part.not_sure else "answer it"
            found.append(Fault(f"{place}.{key}", "must be answered", "no answer", remedy or usual))
    return found


def broken_rule(part: Part, value: Any) -> str | None:
    """Return the rule of a part that an answer breaks, or None if it is one.

    Examples
    --------
    >>> broken_rule(parts()["keep"], {"low": 4, "likely": 8, "high": 15}) is None
    True
    >>> broken_rule(parts()["keep"], 0)
    'must be from 1 to 60 years'
    """
    if (part.not_sure and value == NOT_SURE) or (part.never and value == NEVER):
        return None
    match part.kind:
        case "yes_no":
            return None if isinstance(value, bool) else _said(part, "true or false")
        case "readings":
            fine = isinstance(value, str) and value.isprintable() and read_readings(value) is not None
            return None if fine else _said(part, "places and percents, as: front cap 9, left edge 12")
        case "text" | "line":
            fine = isinstance(value, str) and value.isprintable() and 0 < len(value) <= 100
            return None if fine else _said(part, "a few words on one line")
        case "choice":
            fine = isinstance(value, str) and value in part.values
            return None if fine else _said(part, "one of " + ", ".join(map(repr, part.values)))
        case "several":
            fine = isinstance(value, Sequence) and not isinstance(value, str)
            fine = fine and all(item in part.values for item in value)
            return None if fine else _said(part, "a list of " + ", ".join(map(repr, part.values)))
        case "amount" if isinstance(value, Mapping):
            return _broken_range(part, value)
        case "age":
            if is_number(value) and value != int(value):
                return "must be a whole number of months"
    return _broken_number(part, value)


def _said(part: Part, wanted: str) -> str:
    """Join what is wanted with the free answers of `part`."""
    free = [NOT_SURE] * part.not_sure + [NEVER] * part.never
    return f"must be {wanted}" + "".join(f", or {word!r}" for word in free)


def _broken_number(part: Part, value: Any) -> str | None:
    """Return the rule that one number breaks."""
    unit = f" {part.unit}" if part.unit else ""
    if not is_number(value):
        unit_of = f" of {part.unit}" if part.kind == "age" else f" [{part.unit}]"
        return _said(part, f"a number{unit_of}")
    if not part.low <= value <= part.high:
        return f"must be from {part.low:g} to {part.high:g}{unit}"
    return None


def _broken_range(part: Part, value: Mapping[str, Any]) -> str | None:
    """Return the rule that a table of three numbers breaks."""
    if set(value) != set(RANGE):
        return _said(part, "a number or a table of low, likely and high")
    for name in RANGE:
        rule = _broken_number(part, value[name])
        if rule:
            return f"{name} {rule}"
    if not value["low"] <= value["likely"] <= value["high"]:
        return "must have low <= likely <= high"
    return None


def contradictions(answers: Answers) -> Iterator[Fault]:
    """Yield what does not fit together among answers that are fine one by one.

    Examples
    --------
    >>> [fault.rule for fault in contradictions({"roof_age": 14, "seal_age": 20})]
    ['must not be above the age of the roof, 14 months']
    """
    numbers = {key: value for key, value in answers.items() if is_number(value)}
    if numbers.get("seal_age", 0) > numbers.get("roof_age", math.inf):
        yield Fault(
            "answers.seal_age",
            f"must not be above the age of the roof, {numbers['roof_age']:g} months",
            f"{numbers['seal_age']:g} months",
            f"say {NEVER!r} if the joints are as old as the roof",
        )
    if numbers.get("quoted_length", 0) > numbers.get("length", math.inf) + SAME:
        yield Fault(
            "answers.length",
            f"must not be below the feet of the quote, {numbers['quoted_length']:g} ft",
            f"{numbers['length']:g} ft",
            "ask the shop what is measured",
        )
    if answers.get("climbs") is False and answers.get("otherwise") in own_plans():
        yield Fault(
            "answers.climbs",
            f"must be true for what you would do otherwise, {answers['otherwise']!r}",
            "false",
            "say a plan of a shop, or 'nothing'",
        )


@dataclass(frozen=True)
class Doubt:
    """An answer that is allowed, but hardly meant.

    Parameters
    ----------
    name : str
        Of the sentence that asks back: "low_quote", "ends_not_sprayed" or "long_warranty".
    keys : tuple of str
        The answers that bring it about.
    amount, feet : float
        What the sentence names; of a warranty the amount is its years. [money, ft]
    """

    name: str
    keys: tuple[str, ...]
    amount: float
    feet: float


def doubts(answers: Answers) -> Iterator[Doubt]:
    """Yield what is allowed among the answers, but hardly meant.

    A quote below the low end of the shared price for its feet (for the shortest coach, where nobody knows
    them); sprayed feet that are the whole coach, with the usual price of ends that nobody sprays; a warranty
    that is longer than any coating is taken to live.

    Parameters
    ----------
    answers : mapping
        Answers given so far; each obeys its own rule.

    Yields
    ------
    Doubt

    Examples
    --------
    >>> [doubt.name for doubt in doubts({"quote": 90})]
    ['low_quote']
    >>> whole = {"quote": 6550, "quoted_length": 26, "quoted_by": "sprayed", "length": 26}
    >>> [(doubt.name, round(doubt.amount)) for doubt in doubts(whole)]
    [('ends_not_sprayed', 1114)]
    >>> [doubt.name for doubt in doubts({"quote": 9000, "warranty_years": 99})]
    ['long_warranty']
    """
    years, coating = answers.get("warranty_years", 0.0), files.data("shared.toml")["roofs"]["coating"]
    if is_number(years) and years > coating["life_mean"]["high"]:
        yield Doubt("long_warranty", ("warranty_years",), years, 0.0)
    quote = answers.get("quote")
    price = quote["likely"] if isinstance(quote, Mapping) else quote
    if not is_number(price):
        return
    numbers = {key: answers[key] for key in ("quoted_length", "length") if is_number(answers.get(key))}
    coach = files.shared()["coach"]
    share = coach["sprayed_share"]["likely"]
    feet = numbers.get("quoted_length", numbers.get("length", parts()["length"].low))
    by_sprayed = answers.get("quoted_by") == "sprayed" and "quoted_length" in numbers
    reference = coach["reference_length"]["value"] * (share if by_sprayed else 1.0)
    least = coating["renew_cost"]["low"] * feet / reference
    if price < least:
        yield Doubt("low_quote", ("quote", "quoted_length", "quoted_by", "length"), least, feet)
    if by_sprayed and numbers["quoted_length"] >= numbers.get("length", math.inf) - SAME:
        yield Doubt("ends_not_sprayed", ("quoted_length", "quoted_by", "length"), price * (1.0 - share), feet)


def own_plans() -> tuple[str, ...]:
    """Return the plans in which the owner does all the work.

    Examples
    --------
    >>> own_plans()
    ('own_reseal', 'own_touch_up', 'only_looks', 'own_every_third_year', 'own_roll_on')
    """
    plans = all_plans(files.shared())
    stand = [name for name, kind in COVERINGS.items() if not kind.sprayed]
    jobs = {name: [job for one in stand for job in plan.get(one, ())] for name, plan in plans.items()}
    return tuple(name for name, found in jobs.items() if found and all("hours" in job for job in found))
