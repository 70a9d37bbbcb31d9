r"""The owner's log: what was done on the roof and when, what it cost, and which leaks were found.

Lecture
-------
A log is a list of *entries* in the order of their dates, kept by the owner as TOML::

    way = "coat_now"       # the way that you took, as the scenario calls it
    [[entries]]
    date = 2027-04-19
    kind = "renewal"       # a job's name in the scenario, leak, renewal, sale
    cost = 9870            # what you paid on that day
    hours = 0              # your own
    note = "..."

or as a table (`tables`) with the columns date, kind, cost, hours, note; the first two are
required. The cost of a sale is what the buyer took off the price for the roof.

Months are counted from the base date of the scenario: an entry belongs to the month that has begun.
What was paid is in the money of its day; with inflation e and t years since the base date it is worth
``cost / (1 + e)^t`` in the money of the base date.

A log that does not say which way was taken is taken for the way that fits it: with a new roof in the
first year, the way that changes now (the subject before others); else the way without a change now
whose jobs fit most entries, what the owner would do otherwise before others.

Both forms come down to rows. A date is written 2027-04-19; forms that can be read in two ways need a column
map. An amount is a number from 0 with a point, without separators and currency; left out it is 0. Whatever
is wrong is noted with its line, and the reading goes on; only a file without its columns, or without entries
at all, is given back at once.

Left out: who did a job; a renewal's reason.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, BinaryIO

from lifecycle.data import data
from lifecycle.errors import Fault, ScenarioError, nearest, stop_at
from lifecycle.reading.reader import line_of, lines_by_place
from lifecycle.records.columns import ColumnMap, lacking, read_date
from lifecycle.records.tables import read_sheet
from lifecycle.scenario import Scenario, StatedAlternative
from lifecycle.studies.upkeep_calendar import day_after

LEAK, RENEWAL, SALE = "leak", "renewal", "sale"
"""Kinds of entries besides the jobs of the scenario."""

DAYS_A_YEAR = 365.25

LONGEST = 60
"""Years that a log may run at most. [years]"""

FIRST_YEAR = 12
"""A new roof by this month is the change today. [months]"""


@dataclass(frozen=True)
class Entry:
    """One line of the log.

    Parameters
    ----------
    day : date
        When it was done or found.
    kind : str
        Name of a job, or leak, renewal, sale.
    cost : float
        Paid, in the money of the day. [money]
    hours : float
        The owner's own. [h]
    note : str
        In the owner's words.
    line : int or None
        Line of the file.
    """

    day: date
    kind: str
    cost: float = 0.0
    hours: float = 0.0
    note: str = ""
    line: int | None = None


def leaks_in(entries: Iterable[Entry]) -> int:
    """Return how many leaks were found."""
    return sum(entry.kind == LEAK for entry in entries)


@dataclass(frozen=True)
class Log:
    """A log that fits its scenario.

    Parameters
    ----------
    entries : tuple of Entry
        In the order of their dates.
    start, today : date
        Base date of the scenario; day to which the log is complete.
    way : str
        Name of the way that was taken.
    way_said : bool
        Whether the owner named it.
    notices : tuple of str
        What the owner should know about how the log was understood.
    """

    entries: tuple[Entry, ...]
    start: date
    today: date
    way: str
    way_said: bool = False
    notices: tuple[str, ...] = ()

    @property
    def until(self) -> date:
        """Day on which the account closes: that of the sale, else today."""
        return self.sale.day if self.sale is not None else self.today

    @property
    def sale(self) -> Entry | None:
        """The sale, if the coach is sold."""
        return next((entry for entry in self.entries if entry.kind == SALE), None)

    @property
    def renewal(self) -> Entry | None:
        """The last new roof, if one was laid."""
        return next((entry for entry in reversed(self.entries) if entry.kind == RENEWAL), None)

    @property
    def leaks(self) -> int:
        """Leaks found."""
        return leaks_in(self.entries)

    @property
    def months(self) -> int:
        """Whole months from the base date to the day on which the account closes. [months]"""
        return self.month(self.until)

    @property
    def months_of_account(self) -> int:
        """Months that the account counts: one in which something was done counts whole. [months]"""
        begun = self.months
        whole = self.until == day_after(self.start, begun)
        idle = all(self.month(entry.day) < begun for entry in self.entries if entry.kind != SALE)
        return begun if whole and idle else begun + 1

    def month(self, day: date) -> int:
        """Whole months from the base date to a day. [months]"""
        return months_between(self.start, day)

    def years(self, day: date) -> float:
        """Years from the base date to a day. [years]"""
        return (day - self.start).days / DAYS_A_YEAR

    def real_cost(self, entry: Entry, inflation: float) -> float:
        """Return what was paid, in the money of the base date. [money]"""
        return float(entry.cost / (1.0 + inflation) ** self.years(entry.day))


def months_between(start: date, day: date) -> int:
    """Whole months from one day to another that is not before it.

    Examples
    --------
    >>> months_between(date(2027, 4, 1), date(2028, 3, 31))
    11
    >>> months_between(date(2027, 1, 31), date(2027, 2, 28))
    1
    """
    months = 12 * (day.year - start.year) + day.month - start.month
    return months if day >= day_after(start, months) else months - 1


def kinds_of(scenario: Scenario) -> tuple[str, ...]:
    """Return the kinds that a log of a scenario may name: its jobs, then leak, renewal, sale."""
    roofs = [visit.name for roof in scenario.roofs.values() for visit in roof.all_visits]
    past = [visit.name for visit in scenario.existing.past_visits or ()]
    return tuple(dict.fromkeys([*roofs, *past, LEAK, RENEWAL, SALE]))


def checked_log(
    entries: tuple[Entry, ...],
    scenario: Scenario,
    today: date,
    *,
    way: str | None = None,
    source: str = "",
    faults: tuple[Fault, ...] = (),
) -> Log:
    """Hold entries, in the order of the file, against a scenario without trouble.

    The log is complete to the day of `today`; `way` is the one that was taken, None: the one that fits;
    `faults` is what is wrong already. All that is wrong is raised as one `ScenarioError`, each fault with its
    line.
    """
    start = scenario.base_date
    found = [
        *faults,
        *_wrong_today(today, start),
        *_wrong_names(entries, way, scenario),
        *_wrong_days(entries, start, today),
        *_wrong_order(entries),
    ]
    if found:
        raise ScenarioError(sorted(dict.fromkeys(found), key=lambda fault: fault.line or 0), source)
    taken = way or fitting_way(entries, scenario)
    return Log(entries, start, today, taken, way is not None, _doubled(entries))


def _wrong_today(today: date, start: date) -> Iterator[Fault]:
    """Check that today is not before the base date, and not ages after it."""
    if today < start:
        remedy = "give the day to which the log runs: --today YYYY-MM-DD"
        yield Fault("today", f"must not be before study.base_date, {start}", str(today), remedy)
    elif months_between(start, today) > 12 * LONGEST:
        rule = f"must be within {LONGEST} years of study.base_date, {start}"
        yield Fault("today", rule, str(today), "check the year")


def _wrong_names(entries: tuple[Entry, ...], way: str | None, scenario: Scenario) -> Iterator[Fault]:
    """Check that the way taken and every kind are of the scenario."""
    names, kinds = [one.name for one in scenario.alternatives], kinds_of(scenario)
    if way is not None and way not in names:
        yield Fault("way", "must name a way of the scenario", f'"{way}"', nearest(way, names))
    yield from (unknown_kind(one.kind, kinds, one.line) for one in entries if one.kind not in kinds)


def unknown_kind(kind: str, kinds: tuple[str, ...], line: int | None) -> Fault:
    """Return the fault of a kind that the scenario does not know."""
    rule = "must be a job of the scenario, or leak, renewal, sale"
    return Fault("kind", rule, f'"{kind}"', nearest(kind, kinds), line)


def _wrong_days(entries: tuple[Entry, ...], start: date, today: date) -> Iterator[Fault]:
    """Check that days lie between the base date and today, and do not run backwards."""
    last = date.min
    for entry in entries:
        day, rule, remedy = entry.day, "", ""
        if day < start:
            rule, remedy = f"before study.base_date, {start}", "what came before stands in the scenario"
        elif day > today:
            rule, remedy = f"after today, {today}", "enter what was done; --today says which day it is"
        elif day < last:
            rule, remedy = f"before the entry above it, {last}", "put the entries in the order of their dates"
        if rule:
            yield Fault("date", f"must not be {rule}", str(day), remedy, entry.line)
        last = max(last, day)


def _wrong_order(entries: tuple[Entry, ...]) -> Iterator[Fault]:
    """Check that nothing comes after a sale, and that no two roofs were laid on one day."""
    sale = next((entry for entry in entries[:-1] if entry.kind == SALE), None)
    if sale is not None:
        remedy = "after the sale the log is the next owner's"
        yield Fault("kind", "must be the last entry where it is a sale", str(sale.day), remedy, sale.line)
    laid: set[date] = set()
    for entry in entries:
        if entry.kind == RENEWAL and entry.day in laid:
            rule, remedy = "must not stand twice on one day as a renewal", "add their costs on one line"
            yield Fault("kind", rule, str(entry.day), remedy, entry.line)
        laid |= {entry.day} if entry.kind == RENEWAL else set()


def _doubled(entries: tuple[Entry, ...]) -> tuple[str, ...]:
    """Say which lines stand twice; both count."""
    words = data("words/logbook.toml")["logbook"]
    first: dict[Entry, Entry] = {}
    notices = []
    for entry in entries:
        bare = replace(entry, note="", line=None)
        if bare in first:
            lines = {"first": first[bare].line, "second": entry.line}
            said = words["twice_on_lines" if all(lines.values()) else "twice"]
            notices.append(said.format(day=entry.day, kind=entry.kind, **lines))
        first.setdefault(bare, entry)
    return tuple(notices)


def fitting_way(entries: tuple[Entry, ...], scenario: Scenario) -> str:
    """Return the name of the way that entries of known kinds fit best."""
    start = scenario.base_date
    early = [
        entry for entry in entries if entry.kind == RENEWAL and months_between(start, entry.day) <= FIRST_YEAR
    ]
    now = [way for way in scenario.alternatives if changes_now(way, scenario)]
    if early and now:
        return next((way for way in now if way.subject), now[0]).name
    others = [way for way in scenario.alternatives if way not in now] or list(now)
    order = sorted(others, key=lambda way: not way.base_case)
    jobs = [entry.kind for entry in entries]

    def fit(way: StatedAlternative) -> int:
        names = {visit.name for visit in scenario.roofs[way.roof].all_visits}
        return sum(job in names for job in jobs)

    return max(order, key=fit).name


def changes_now(way: StatedAlternative, scenario: Scenario) -> bool:
    """Whether a way changes the roof today."""
    return way.change is not None and scenario.likely(way.change) == 0.0


REQUIRED = ("date", "kind")

COLUMNS = (*REQUIRED, "cost", "hours", "note")
"""Columns of a log; the first two must be there."""

MOST = 5000
"""Entries of a log at most."""

DEAREST = 1e7
"""Most that an entry may cost, or take in hours."""

LONGEST_TEXT = 500
"""Letters of a note at most."""


@dataclass(frozen=True)
class Written:
    """What a file says.

    Parameters
    ----------
    entries : tuple of Entry
        Those that could be read.
    way : str or None
        Way that was taken, where the file names it.
    faults : tuple of Fault
        What could not be read.
    """

    entries: tuple[Entry, ...]
    way: str | None
    faults: tuple[Fault, ...]


Row = tuple[int | None, Mapping[str, Any]]
"""Line of a row, and its cells by column."""


def read_csv(
    content: str | bytes | BinaryIO,
    source: str = "",
    kinds: tuple[str, ...] = (),
    known: ColumnMap | None = None,
) -> Written:
    r"""Read a log from a table; a `ScenarioError` if it is none, or lacks its columns.

    Without `kinds` these are not looked at here. Without a map every column must be one of `COLUMNS`.

    Examples
    --------
    >>> read_csv("date,kind,cost\n2027-04-19,renewal,9870\n").entries[0].cost
    9870.0
    """
    columns = known or ColumnMap()
    sheet = read_sheet(content, source, may_be_empty=True, may_be_short=True)
    faults = lacking(sheet, columns, REQUIRED, COLUMNS)
    for name in sheet.names if known is None else ():
        if name.casefold() not in COLUMNS:
            where = f"column {name[:40] or 'without a name'}"
            faults.append(Fault(where, "is not known here", "", nearest(name, COLUMNS), 1))
    faults += _too_many(len(sheet.rows), source)
    stop_at(faults, source)
    there = [name for name in COLUMNS if sheet.has(columns.named(name))]
    cells = zip(*(sheet.column(columns.named(name)) for name in there), strict=True)
    rows = (
        (int(line), dict(zip(there, row, strict=True))) for line, row in zip(sheet.lines, cells, strict=True)
    )
    return _written(rows, None, kinds, faults, columns.forms)


def read_table(own: Mapping[str, Any], text: str, source: str = "", kinds: tuple[str, ...] = ()) -> Written:
    """Read a log from a parsed TOML file and its text; a `ScenarioError` if it has no entries at all.

    Examples
    --------
    >>> read_table({"way": "keep", "entries": [{"date": date(2027, 4, 19), "kind": "leak"}]}, "").way
    'keep'
    """
    known = ("schema", "way", "entries")
    lines = lines_by_place(text)
    faults = [
        Fault(
            str(name)[:40], "is not a known name here", remedy=nearest(str(name), known), line=lines.get(name)
        )
        for name in own
        if name not in known
    ]
    if own.get("schema", 1) != 1:
        rule = "must be 1: this version knows no other layout"
        faults.append(Fault("schema", rule, str(own["schema"])[:40], "write schema = 1", lines.get("schema")))
    way = own.get("way")
    if way is not None and not isinstance(way, str):
        remedy = 'write it in quotation marks: way = "keep"'
        faults.append(Fault("way", "must be a name", str(way)[:40], remedy, lines.get("way")))
        way = None
    entries = own.get("entries")
    if not isinstance(entries, list):
        remedy = "write each as [[entries]] with date and kind, or entries = [] if nothing was done yet"
        got = "" if entries is None else str(entries)[:40]
        raise ScenarioError([*faults, Fault("entries", "must be a list of tables", got, remedy)], source)
    if too_many := _too_many(len(entries), source):
        raise ScenarioError(too_many, source)
    return _written(_tables(entries, lines, faults), way, kinds, faults)


def _tables(entries: list[Any], lines: dict[str, int], faults: list[Fault]) -> Iterator[Row]:
    """Go through the entries of a TOML file; note those that are no tables, and unknown names."""
    for count, entry in enumerate(entries, start=1):
        place = f"entries.{count}"
        line = line_of(place, lines)
        if not isinstance(entry, Mapping):
            faults.append(Fault(place, "must be a table", str(entry)[:40], "write [[entries]]", line))
            continue
        for name in entry:
            if name not in COLUMNS:
                where = line_of(f"{place}.{name}", lines)
                remedy = nearest(str(name), COLUMNS)
                faults.append(Fault(f"{place}.{name}"[:60], "is not a known name here", "", remedy, where))
        yield line, entry


def _too_many(number: int, source: str) -> list[Fault]:
    """Check the number of entries."""
    return [Fault(source, f"must have at most {MOST:,} entries", f"{number:,}")] if number > MOST else []


def _written(
    rows: Iterator[Row],
    way: str | None,
    kinds: tuple[str, ...],
    faults: list[Fault],
    forms: tuple[str, ...] = (),
) -> Written:
    """Read every row; note what is wrong with each."""
    read = (_entry(cells, line, kinds, faults, forms) for line, cells in rows)
    entries = [entry for entry in read if entry is not None]
    return Written(tuple(entries), way, tuple(faults))


def _entry(
    cells: Mapping[str, Any],
    line: int | None,
    kinds: tuple[str, ...],
    faults: list[Fault],
    forms: tuple[str, ...],
) -> Entry | None:
    """Read one row; None if its day or kind cannot be read."""
    day = _day(cells.get("date", ""), line, faults, forms)
    kind = cells.get("kind", "")
    if not isinstance(kind, str) or not kind.strip():
        remedy = "name the job as the scenario calls it, or leak, renewal, sale"
        faults.append(Fault("kind", "must be a name", str(kind)[:40] or "nothing", remedy, line))
        kind = ""
    kind = kind.strip()[:60]
    if kind and kinds and kind not in kinds:
        faults.append(unknown_kind(kind, kinds, line))
    cost, hours = (_amount(cells.get(name, ""), name, line, faults) for name in ("cost", "hours"))
    note = cells.get("note", "")
    if not isinstance(note, str) or len(note) > LONGEST_TEXT:
        rule = f"must be a text of at most {LONGEST_TEXT} letters"
        faults.append(Fault("note", rule, f"{len(str(note)):,} letters", "shorten it", line))
        note = ""
    if day is None or not kind:
        return None
    return Entry(day, kind, cost, hours, note, line)


def _day(raw: Any, line: int | None, faults: list[Fault], forms: tuple[str, ...]) -> date | None:
    """Read a date."""
    if isinstance(raw, date) and not isinstance(raw, datetime):
        return raw
    found = read_date(raw, forms) if isinstance(raw, str) else None
    if found is not None and found[2] is not None:
        return date(found[0], found[1], found[2])
    got, rule = str(raw)[:40] or "nothing", "must be a day written as YYYY-MM-DD"
    faults.append(Fault("date", rule, got, "year, month, day: 2027-04-19", line))
    return None


def _amount(raw: Any, name: str, line: int | None, faults: list[Fault]) -> float:
    """Read an amount of money, or hours; nothing is 0."""
    if raw == "":
        return 0.0
    try:
        amount = math.nan if isinstance(raw, bool) else float(raw)
    except (TypeError, ValueError, OverflowError):
        amount = math.nan
    if 0.0 <= amount <= DEAREST:
        return amount
    what = {"cost": "an amount of money", "hours": "a number of hours"}[name]
    remedy = (
        "what an insurance or a warranty paid is taken off the cost" if amount < 0.0 else _number_remedy(raw)
    )
    faults.append(Fault(name, f"must be {what} from 0 to {DEAREST:,.0f}", str(raw)[:40], remedy, line))
    return 0.0


def _number_remedy(raw: Any) -> str:
    """Say how a number is written."""
    return "write 1250.50: a point, no other marks, no currency" if isinstance(raw, str) else "check it"
