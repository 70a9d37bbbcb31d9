"""Editions: a protocol fixed beforehand, and what changed since the last one.

Lecture
-------
*Protocol.* Whoever chooses regions, habits and years after having seen the answer can prove anything. So the
file of regions is the protocol: it is fixed, with a date, before the records are read. What is fixed is a
digest of the file and one of the rule, of the objections and of how they are tried. An answer from any other
file, or by another rule, is not that edition, and says so.

*What changed.* Cells of two editions are laid side by side by region, habit and year. A cell that only one
of them has is new or gone. Why a region changed is split by cause between its two scenarios
(`studies.difference`), for each edition carries the text of its scenarios.

Left out: what the tool's own figures did between two versions; that they changed is known by their digest.
Source: a convention of our own.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from lifecycle.errors import Fault, ScenarioError
from lifecycle.files import data, shared
from lifecycle.studies.regions import RULE, Key


@dataclass(frozen=True)
class Fixed:
    """What was fixed: digest of the protocol, digest of the rule, the day."""

    protocol: str
    rule: str
    day: str


@dataclass(frozen=True)
class Standing:
    """How an answer stands to what was fixed.

    Parameters
    ----------
    sha256, rule : str
        Digests of the protocol and of the rule as they are.
    fixed : Fixed or None
        What was fixed; None: nothing.
    """

    sha256: str
    rule: str
    fixed: Fixed | None

    @property
    def changed(self) -> tuple[str, ...]:
        """Return what is no longer as it was fixed."""
        if self.fixed is None:
            return ()
        pairs = {
            "the protocol": (self.fixed.protocol, self.sha256),
            "the rule or an objection": (self.fixed.rule, self.rule),
        }
        return tuple(name for name, (then, now) in pairs.items() if then != now)

    @property
    def is_fixed(self) -> bool:
        """Whether the answer is the edition that was fixed."""
        return self.fixed is not None and not self.changed


def rule_sha256() -> str:
    """Return a digest of the rule and of every objection."""
    return _digest({"rule": dict(RULE), "objections": data("objections.toml")})


def shared_sha256() -> str:
    """Return a digest of the tool's own figures."""
    return _digest(shared())


def _digest(of: Mapping[str, Any]) -> str:
    """Return a digest of plain data."""
    return hashlib.sha256(json.dumps(of, sort_keys=True, default=str).encode()).hexdigest()


def fixed_text(name: str, sha256: str, day: date) -> str:
    """Return the file that fixes a protocol.

    Parameters
    ----------
    name, sha256 : str
        Of the protocol.
    day : date
        Today.
    """
    return (
        "# Fixes a protocol: an answer is this edition only if both digests still hold.\n"
        f"protocol = {json.dumps(name)}\n"
        f"fixed_on = {day.isoformat()}\n"
        f'sha256 = "{sha256}"\n'
        f'rule_sha256 = "{rule_sha256()}"\n'
    )


def read_fixed(raw: Mapping[str, Any], source: str) -> Fixed:
    """Read what was fixed.

    Parameters
    ----------
    raw : mapping
        As parsed.
    source : str
        Name of the file.

    Returns
    -------
    Fixed

    Raises
    ------
    ScenarioError
        If it is no such file.
    """
    wanted = {"fixed_on": date, "sha256": str, "rule_sha256": str}
    faults = [
        Fault(name, "is required", "", "fix the protocol anew, as another edition")
        for name, kind in wanted.items()
        if not isinstance(raw.get(name), kind)
    ]
    if faults:
        raise ScenarioError(faults, source)
    return Fixed(raw["sha256"], raw["rule_sha256"], raw["fixed_on"].isoformat())


@dataclass(frozen=True)
class Told:
    """What an edition said of a cell."""

    of_20: int
    word: str
    firmness: str


@dataclass(frozen=True)
class Edition:
    """An edition as its result file tells it.

    Parameters
    ----------
    title, protocol, fixed_on, version, figures : str
        Title; digest of the protocol; the day it was fixed, "" if it was not; version of the tool; digest
        of its own figures.
    currency : str
        Of every amount.
    drawn : tuple of int
        Number of futures, and their seed.
    cells : mapping of (str, str, int) to Told
        By region, habit and year; withheld ones are not there.
    scenarios : mapping of str to str
        Text of each region's scenario, where it can be read without other files.
    """

    title: str
    protocol: str
    fixed_on: str
    version: str
    figures: str
    currency: str
    drawn: tuple[int, int]
    cells: Mapping[Key, Told]
    scenarios: Mapping[str, str]


def read_edition(text: str, source: str) -> Edition:
    """Read the result file of an edition.

    Parameters
    ----------
    text : str
        JSON, as the regions command prints it.
    source : str
        Name of the file.

    Returns
    -------
    Edition

    Raises
    ------
    ScenarioError
        If it is no such file.
    """
    try:
        raw = json.loads(text)
        cells = {
            (row["region"], row["habit"], int(year)): Told(cell["of_20"], cell["word"], cell["firmness"])
            for row in raw["rows"]
            for year, cell in row["years"].items()
            if cell.get("of_20") is not None
        }
        return Edition(
            title=str(raw["title"]),
            protocol=str(raw["protocol"]["sha256"]),
            fixed_on=str(raw["protocol"]["fixed_on"] or ""),
            version=str(raw["made_by"]["version"]),
            figures=str(raw["made_by"]["shared_sha256"]),
            currency=str(raw["currency"]),
            drawn=(int(raw["draws"]), int(raw["seed"])),
            cells=cells,
            scenarios={one["name"]: one["scenario"] for one in raw["regions"] if one.get("scenario")},
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        rule = "must be the result of an edition"
        remedy = "lifecycle regions FILE --json > EDITION.json"
        raise ScenarioError([Fault(source, rule, "something else", remedy)]) from None


@dataclass(frozen=True)
class Moved:
    """A cell that two editions say differently; None: one of them lacks it."""

    key: Key
    before: Told | None
    now: Told | None

    @property
    def in_words(self) -> bool:
        """Whether more than the count moved: the word, or how firmly it may be said."""
        if self.before is None or self.now is None:
            return True
        return (self.before.word, self.before.firmness) != (self.now.word, self.now.firmness)


def moved(before: Mapping[Key, Told], now: Mapping[Key, Told]) -> tuple[Moved, ...]:
    """Return the cells that two editions do not say alike, in the order of the later one.

    Parameters
    ----------
    before, now : mapping of (str, str, int) to Told
        Cells of the two.
    """
    every = dict.fromkeys([*now, *before])
    return tuple(
        Moved(key, before.get(key), now.get(key)) for key in every if before.get(key) != now.get(key)
    )
