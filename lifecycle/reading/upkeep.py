"""Reading upkeep jobs, alone or as a plan.

Lecture
-------
A *plan* has a list of jobs for a membrane and one for a coating; a skin of fibreglass has the joints and
the jobs of a membrane, unless the plan has a list for it. A roof gets its jobs from its own
list, else from a plan. The numbers of a plan's jobs are inputs of the plan, those of a roof's own
jobs are inputs of the roof, unless they name a figure.
"""

from __future__ import annotations

from typing import Any

from lifecycle.errors import nearest
from lifecycle.kinds import COVERINGS
from lifecycle.reading.numbers import read_number
from lifecycle.reading.reader import Reader, Table
from lifecycle.scenario import Stated, StatedVisit


def read_visits(reader: Reader, raw: Any, place: str, *, shared: bool = False) -> tuple[StatedVisit, ...]:
    """Read a list of upkeep jobs.

    Parameters
    ----------
    reader : Reader
        Notes the faults.
    raw : Any
        As parsed.
    place : str
        Path of the list; a job's path is ``place.NAME``.
    shared : bool
        Whether it stands in the shared data.

    Returns
    -------
    tuple of StatedVisit
        Those without a fault.
    """
    found: list[StatedVisit] = []
    names: set[str] = set()
    for where, entry in reader.tables(raw, place):
        known = reader.table(entry, where, "visits")
        complete = reader.required(known, "visits", where, instead={})
        numbers = {
            name: read_number(reader, value, f"{where}.{name}", reader.fields["visits"][name], shared=shared)
            for name, value in known.items()
            if name != "name"
        }
        if not complete or not reader.is_name(known["name"], f"{where}.name"):
            continue
        name = str(known["name"])
        if name in names:
            reader.fault(
                f"{where}.name", "must be the name of one job only", name, "name the second otherwise"
            )
            continue
        names.add(name)
        fine: dict[str, Stated] = {key: use for key, use in numbers.items() if use is not None}
        if len(fine) == len(numbers):
            found.append(StatedVisit(name, fine))
    return tuple(found)


def plan_visits(reader: Reader, plan: Any, covering: str, place: str) -> tuple[StatedVisit, ...]:
    """Return the jobs of a plan for a covering.

    Parameters
    ----------
    reader : Reader
        Notes the faults.
    plan : Any
        Name of the plan, as parsed.
    covering : str
        Name of a covering.
    place : str
        Where the plan is named.

    Returns
    -------
    tuple of StatedVisit
        Empty after a fault.
    """
    own = reader.own.get("plans", {})
    own = own if isinstance(own, dict) else {}
    shared = all_plans(reader.shared)
    if not isinstance(plan, str) or plan not in (*own, *shared):
        remedy = nearest(plan, (*own, *shared)) if isinstance(plan, str) else "write a name"
        reader.fault(place, "must name an upkeep plan", plan, remedy)
        return ()
    table = own.get(plan, shared.get(plan))
    if not isinstance(table, dict):
        return ()
    covering = covering if covering in table else COVERINGS[covering].kept_as
    where = f"plans.{plan}.{covering}"
    return read_visits(reader, table.get(covering, []), where, shared=plan not in own)


def all_plans(shared: Table) -> dict[str, Any]:
    """Return the shipped plans, those that are offered besides among them, by name."""
    return {**shared.get("plans", {}), **shared.get("other_plans", {})}


def check_plans(reader: Reader) -> None:
    """Note the faults of the plans that the file states, used or not."""
    if "plans" not in reader.own:
        return
    for name, raw in reader.named_tables(reader.own["plans"], "plans").items():
        known = reader.table(raw, f"plans.{name}", "plans")
        if "title" in known:
            reader.text(known["title"], f"plans.{name}.title")
        for covering in COVERINGS:
            if covering in known:
                read_visits(reader, known[covering], f"plans.{name}.{covering}")
