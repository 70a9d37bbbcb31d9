"""Reading a whole scenario: every section, then what they are together.

Lecture
-------
The order is that of the file's questions: what it is, the years, the owner, the leaks, the roofs,
the roof that stands, the ways. Whatever fails is noted and the reading goes on, so that the
rules between the numbers that could be read are checked as well. Only with no fault at all is the
scenario given back.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from lifecycle.errors import ScenarioError
from lifecycle.quantities import Fields, Figure
from lifecycle.reading.existing import (
    check_last_visits,
    read_existing,
    read_trouble,
    with_looks,
    without_clocks,
)
from lifecycle.reading.numbers import read_number, read_on, read_section, read_tables, unused_figures
from lifecycle.reading.quotes import PriceLists, add_up, read_costing, read_quotes, with_promises
from lifecycle.reading.reader import WORDS, Reader, Table, placed
from lifecycle.reading.roofs import EITHER, Roofs, check_plans, note_both
from lifecycle.reading.site import read_climate, read_coach
from lifecycle.reading.ways import (
    read_alternatives,
    read_loan,
    roofs_in_use,
    said_to_end,
    without_climbing,
)
from lifecycle.roofs import ESCALATING
from lifecycle.scenario import (
    Numbers,
    Scenario,
    Stated,
    StatedAlternative,
    StatedExisting,
    StatedLoan,
    StatedRoof,
    broken_rules,
    numbers_of_site,
    paths_in,
)

SECTIONS = (
    *("figures", "study", "owner", "leaks", "roofs", "plans", "existing", "alternatives", "loan"),
    *("coach", "climate", "quotes", "costing", "correlations", "answers"),
)
"""Sections of a file."""

EARLIEST, LATEST = 1900, 2200
"""Years of a base date: roofs are older, and plans later, by some decades. [years]"""


def read_scenario(
    own: Table,
    shared: Table,
    fields: Fields,
    *,
    text: str = "",
    source: str = "",
    sha256: str = "",
    price_lists: PriceLists | None = None,
) -> Scenario:
    """Read a parsed scenario on top of the shared data.

    Parameters
    ----------
    own, shared : mapping
        The file and the shared data, as parsed.
    fields : Fields
        The field metadata.
    text : str
        The file as text, to find the lines of faults.
    source, sha256 : str
        Name and digest of the file.
    price_lists : mapping or None
        Parsed price lists by the name that its quotes give them, or the fault of one that cannot be read.

    Returns
    -------
    Scenario
        Checked.

    Raises
    ------
    ScenarioError
        With all faults of the file.
    """
    reader = Reader(fields, own, shared)
    head = _head(reader, source)
    account = _account(reader)
    roofs = Roofs(reader)
    check_plans(reader)
    existing = read_existing(reader, roofs)
    seen = read_trouble(reader)
    existing = with_looks(reader, existing, seen)
    ways = read_alternatives(reader, roofs, existing.roof)
    loan = read_loan(reader, reader.section("alternatives"))
    coach, climate = read_coach(reader), read_climate(reader)
    used = roofs_in_use(reader, roofs, existing.roof, ways)
    ways = said_to_end(reader, roofs, ways, used)
    quotes = read_quotes(reader, price_lists or {})
    ways = with_promises(reader, ways, {name: roofs.draft(name).numbers for name in used}, quotes)
    sections = _kept(reader)
    unused_figures(reader)
    if existing.roof:
        check_last_visits(reader, existing, used)
    left_out = without_climbing(reader, ways, used) if account.get("climbs") is False else {}
    scenario = Scenario(
        inputs={},
        **_compared(existing, ways, used, loan, left_out),
        trouble=seen.stops,
        seen=seen,
        notices=tuple(dict.fromkeys(reader.notices)),
        coach=coach,
        climate=climate,
        costing=read_costing(reader),
        sections={**sections, "quotes": quotes} if quotes else sections,
        price_lists=price_lists or {},
        sha256=sha256,
        source=source,
        text=text,
        **account,
        **head,
    )
    scenario = add_up(reader, replace(scenario, inputs=_inputs(scenario, reader.figures)), quotes)
    if faults := [*reader.faults, *broken_rules(scenario)]:
        raise ScenarioError(placed(faults, text), source)
    return scenario


def _compared(
    existing: StatedExisting,
    ways: tuple[StatedAlternative, ...],
    used: Mapping[str, StatedRoof],
    loan: StatedLoan | None,
    left_out: Mapping[str, str],
) -> dict[str, Any]:
    """Return what of a scenario is compared, by its field: ways that are not left out, and what they need."""
    aside = {way.name: way.title for way in ways if way.aside and way.name not in left_out}
    ways = tuple(way for way in ways if way.name not in left_out and way.name not in aside)
    names = {existing.roof, *(name for way in ways for name in (way.roof, way.then))}
    roofs = {name: roof for name, roof in used.items() if name in names}
    return {
        "roofs": roofs,
        "existing": without_clocks(existing, roofs.values()) if aside else existing,
        "alternatives": ways,
        "left_out": left_out,
        "aside": aside,
        "loan": None if loan is None or loan.alternative in (*left_out, *aside) else loan,
    }


def _head(reader: Reader, source: str) -> dict[str, Any]:
    """Read what a file says of itself, and set how its numbers are read."""
    own, fields = reader.own, reader.fields["scenario"]
    reader.table(own, "", "scenario", also=SECTIONS)
    schema = own.get("schema", 1)
    newest = int(fields["schema"].high)
    if isinstance(schema, bool) or not isinstance(schema, int) or schema < 1:
        reader.fault("schema", f"must be a whole number from 1 to {newest}", schema, "write schema = 1")
    elif schema > newest:
        rule = f"must be at most {newest}: this version knows no later layout"
        reader.fault("schema", rule, schema, "use a newer version of the tool")
    title = reader.text(own["title"], "title") if "title" in own else source
    if "units" in own:
        reader.units = reader.choice(own["units"], "units", fields["units"].choices) or "us"
    if "basis" in own and (basis := reader.choice(own["basis"], "basis", fields["basis"].choices)):
        reader.basis = basis
        reader.note = WORDS["notes"]["demo" if basis == "demo" else "without_note"]
    return {
        "schema": newest,
        "title": title or WORDS["said"]["untitled"],
        "currency": _currency(reader, own.get("currency", "USD")),
        "units": reader.units,
        "base_date": _base_date(reader),
    }


def _currency(reader: Reader, raw: Any) -> str:
    """Read the currency: a short word."""
    if isinstance(raw, str) and 0 < len(raw) <= 8 and raw.isprintable() and " " not in raw:
        return raw
    reader.fault("currency", "must be a word of 1 to 8 letters", raw, 'for instance "USD"')
    return "USD"


def _base_date(reader: Reader) -> date:
    """Read the base date; whether it stands is checked with its section."""
    raw = reader.section("study").get("base_date")
    if raw is not None and (isinstance(raw, datetime) or not isinstance(raw, date)):
        reader.fault("study.base_date", "must be a date", raw, "write it as 2027-04-01, no quotation marks")
    elif raw is not None and not EARLIEST <= raw.year <= LATEST:
        reader.fault(
            "study.base_date", f"must be a day of the years {EARLIEST} to {LATEST}", raw, "check the year"
        )
    elif isinstance(raw, date):
        return raw
    return date(1, 1, 1)


def _account(reader: Reader) -> dict[str, Any]:
    """Read years, rates, owner and leaks, by the field of a scenario."""
    found: dict[str, Any] = {section: _section(reader, section) for section in ("study", "owner", "leaks")}
    raw = reader.section("owner")
    for name in ("climbs", "climbs_in_ten_years"):
        if name in raw:
            found[name] = reader.flag(raw[name], f"owner.{name}")
    return {**found, "escalation": _escalation(reader)}


def _section(reader: Reader, section: str) -> Numbers:
    """Read the numbers of a section, on top of the shared ones if it is like them."""
    if section not in reader.own:
        reader.fault(section, "is required", None, f'write it, or [{section}] with like = "shared"')
        return {}
    raw = reader.table(reader.own[section], section, section)
    note_both(reader, raw, section)
    tools: Table = {}
    if "like" in raw and reader.choice(raw["like"], f"{section}.like", ("shared",)):
        shared = reader.shared.get(section, {})
        tools = {name: value for name, value in shared.items() if EITHER.get(name) not in raw}
    reader.required({**tools, **raw}, section, section)
    return read_on(reader, raw, tools, section, reader.fields[section])


def _escalation(reader: Reader) -> Numbers:
    """Read real escalation by category of cost."""
    raw = reader.section("study").get("escalation", {})
    place, info = "study.escalation", reader.fields["study"]["escalation"]
    found: dict[str, Stated] = {}
    for name, value in reader.named_tables(raw, place).items():
        if name not in ESCALATING:
            reader.choice(name, f"{place}.{name}", ESCALATING)
            continue
        use = read_number(reader, value, f"{place}.{name}", info)
        if use is not None:
            found[name] = use
    return found


def _kept(reader: Reader) -> dict[str, Any]:
    """Read what is kept for other questions, as far as the file has it: answers and correlations."""
    own, found = reader.own, dict[str, Any]()
    if "answers" in own:
        found["answers"] = read_section(reader, own["answers"], "answers", "answers")
        decided = found["answers"].get("decided", False)
        if not isinstance(decided, bool):
            remedy = "write true once you have said yes or paid a deposit"
            reader.fault("answers.decided", "must be true or false", decided, remedy)
    if "correlations" in own:
        found["correlations"] = read_tables(reader, own["correlations"], "correlations", "correlations")
    return found


def _inputs(scenario: Scenario, figures: Mapping[str, Figure]) -> dict[str, Figure]:
    """Return every figure that a scenario uses, in the order of the file."""
    existing = scenario.existing
    stated = (
        *(scenario.study, scenario.escalation, scenario.owner, scenario.leaks, scenario.roofs),
        *(existing.numbers, existing.last_visits, existing.hidden_now, existing.past_visits),
        *((way.change, way.quote, way.days, way.warranty) for way in scenario.alternatives),
        scenario.loan,
        *numbers_of_site(scenario),
    )
    return {path: figures[path] for path in paths_in(stated)}
