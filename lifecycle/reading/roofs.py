"""Reading roofs and their upkeep: what a roof takes over from another, what stands in its place, its jobs.

Lecture
-------
``like = "Y"`` takes over everything of roof Y but what stands here. Y is another roof of the file,
else the shared one; a roof that is like its own name is like the shared roof of that name. Within
the shared data Y is always a shared roof: what a file says of its own membrane does not change the
shared coating. What is taken over keeps its path, so it stays one input. A shared figure whose path
the file uses for another figure is called ``shared.roofs...``.

Of two forms of one number (`life_scale` or `life_mean`, `joint_leaks_first_year` or
`joint_leaks_ten_years`) the one that stands here counts. `leak_ratio` multiplies the joint, age and
puncture figures taken over, and only those; a roof that is like the shared roof of its own name
replaces that roof's ratio instead of multiplying once more.

*Upkeep.* A *plan* has a list of jobs for a membrane and one for a coating; a skin of fibreglass has the
joints and the jobs of a membrane, unless the plan has a list for it. A roof gets its jobs from its own list,
else from a plan. The numbers of a plan's jobs are inputs of the plan, those of a roof's own jobs are inputs
of the roof, unless they name a figure.

Left out: a roof like two others.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from lifecycle.errors import nearest
from lifecycle.kinds import COVERINGS
from lifecycle.quantities import Figure
from lifecycle.reading.numbers import read_number, read_numbers
from lifecycle.reading.reader import WORDS, Reader, Table
from lifecycle.scenario import Stated, StatedRoof, StatedVisit, Use

EITHER = {
    "life_scale": "life_mean",
    "life_mean": "life_scale",
    "joint_leaks_first_year": "joint_leaks_ten_years",
    "joint_leaks_ten_years": "joint_leaks_first_year",
    "sign_rate": "sign_years",
    "sign_years": "sign_rate",
}
"""Two forms of one number: only one of them may stand."""

LEAKING = ("joint_leaks_first_year", "joint_leaks_ten_years", "age_leaks_ten_years", "puncture_rate")
"""What `leak_ratio` multiplies."""

OF_A_WARRANTY = ("warranty_honoured", "warranty_leaking_ends")
"""Of no use to a roof without a warranty."""

ENDLESS = float("inf")
FAULTY = 0.0
"""Stands for a number with a fault, so that it is not noted as missing too."""


@dataclass(frozen=True)
class Draft:
    """A roof before it is known which jobs a coating without any gets."""

    covering: str = "membrane"
    numbers: Mapping[str, Stated] = field(default_factory=dict)
    plan: str | None = None
    visits: tuple[StatedVisit, ...] | None = None
    plan_after: str | None = None
    visits_after: tuple[StatedVisit, ...] | None = None


class Roofs:
    """The roofs of a file and of the shared data, each read once.

    Parameters
    ----------
    reader : Reader
        Notes the faults.
    """

    def __init__(self, reader: Reader) -> None:
        self.reader = reader
        raw = reader.own.get("roofs", {})
        self.own = reader.named_tables(raw, "roofs")
        shared: Mapping[str, Any] = reader.shared.get("roofs", {})
        self.shared = shared
        self._drafts: dict[tuple[str, bool], Draft | None] = {}
        for name in self.own:
            self.draft(name)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all roofs."""
        return tuple(dict.fromkeys((*self.own, *self.shared)))

    def known(self, name: Any, place: str) -> str | None:
        """Return the name of a roof; note it if there is no such roof."""
        rule = "must name a roof of the file or of the shared data"
        return self.reader.known(name, place, rule, self.names, "write the name of a roof")

    def draft(self, name: str, *, shared: bool = False) -> Draft:
        """Return the draft of a roof of the file, else of the shared data."""
        shared = shared or name not in self.own
        key = (name, shared)
        if key not in self._drafts:
            self._drafts[key] = None
            self._drafts[key] = self._read(name, shared)
        draft = self._drafts[key]
        if draft is None:
            self.reader.fault(
                f"roofs.{name}.like", "must not lead back to the roof itself", None, "break the circle"
            )
            return Draft()
        return draft

    def roof(self, name: str) -> StatedRoof:
        """Return a roof whole."""
        draft, place = self.draft(name), f"roofs.{name}"

        def jobs(
            visits: tuple[StatedVisit, ...] | None, plan: str | None, key: str
        ) -> tuple[StatedVisit, ...]:
            if visits is None and plan is not None:
                return plan_visits(self.reader, plan, draft.covering, f"{place}.{key}")
            return visits or ()

        self.reader.required(draft.numbers, "roofs", place, instead={"life_scale": "life_mean"})
        numbers, plan_after = dict(draft.numbers), draft.plan_after
        if not {"warranty_years", "warranty_share"} <= numbers.keys():
            for key in OF_A_WARRANTY:
                numbers.pop(key, None)
        if (by_shop := self.by_shop(name)) is not None:
            numbers["plan_ends"] = float(self.reader.shared["stops_climbing"]["after"])
            plan_after = by_shop
        return StatedRoof(
            name,
            draft.covering,
            numbers,
            jobs(draft.visits, draft.plan, "plan"),
            draft.plan,
            jobs(draft.visits_after, plan_after, "plan_after"),
            plan_after,
        )

    def by_shop(self, name: str) -> str | None:
        """Return the shop's plan that stands for a roof's once the owner does not go up any more.

        None where the owner goes on, where a shop does all, or where the file says itself what goes on.
        """
        draft, stops = self.draft(name), self.reader.section("owner").get("climbs_in_ten_years") is False
        if not stops or draft.plan is None or "plan_ends" in draft.numbers:
            return None
        plans: Mapping[str, str] = self.reader.shared["stops_climbing"]["plans"]
        return plans.get(draft.plan)

    def _read(self, name: str, shared: bool) -> Draft:
        """Read one roof."""
        reader, place = self.reader, f"roofs.{name}"
        raw = reader.table((self.shared if shared else self.own)[name], place, "roofs")
        parent, same = self._parent(name, raw, shared)
        own = self._numbers(name, raw, parent, shared)
        if "in_writing" in raw:
            self._in_writing(raw, place, own)
        inherited = self._inherited(name, own, parent, same=same)
        covering = parent.covering
        if "covering" in raw:
            covering = reader.choice(raw["covering"], f"{place}.covering", tuple(COVERINGS)) or covering
        plan, visits = parent.plan, parent.visits
        plan_after, visits_after = parent.plan_after, parent.visits_after
        if "plan" in raw or "visits" in raw:  # the end of a plan goes with the plan
            inherited.pop("plan_ends", None)
            plan_after, visits_after = None, None
        if "plan" in raw:
            plan, visits = self._plan(raw["plan"], covering, f"{place}.plan"), None
        if "visits" in raw:
            visits, plan = read_visits(reader, raw["visits"], f"{place}.visits", shared=shared), None
        if "plan_after" in raw:
            plan_after, visits_after = self._plan(raw["plan_after"], covering, f"{place}.plan_after"), None
        if "visits_after" in raw:
            where = f"{place}.visits_after"
            visits_after, plan_after = read_visits(reader, raw["visits_after"], where, shared=shared), None
        own.pop("leak_ratio", None)
        numbers = {**inherited, **own}
        after = [key for key in ("plan_after", "visits_after") if key in raw]
        if after and "plan_ends" not in numbers:
            remedy = "add plan_ends, in months from the base date"
            reader.fault(f"{place}.{after[0]}", "needs plan_ends beside it", None, remedy)
        if "plan_ends" in own and not after and plan_after is None and visits_after is None:
            rule = "needs plan_after or visits_after beside it: what is done then"
            reader.fault(f"{place}.plan_ends", rule, None, "visits_after = [] says that nothing is")
        return Draft(covering, numbers, plan, visits, plan_after, visits_after)

    def _in_writing(self, raw: Table, place: str, own: dict[str, Stated]) -> None:
        """Enter the shared chance that a warranty is honoured, in writing or spoken."""
        reader, key = self.reader, "warranty_honoured"
        written = reader.flag(raw["in_writing"], f"{place}.in_writing")
        if key in raw:
            rule = f"must not stand beside {key}"
            reader.fault(f"{place}.in_writing", rule, None, "keep one of the two")
        elif written is not None:
            figure = "warranty_in_writing" if written else "warranty_spoken"
            use = read_number(reader, figure, f"{place}.{key}", reader.fields["roofs"][key])
            own[key] = FAULTY if use is None else use

    def _plan(self, raw: Any, covering: str, place: str) -> str | None:
        """Return the name of an upkeep plan; note it if there is none."""
        plan_visits(self.reader, raw, covering, place)
        return raw if isinstance(raw, str) else None

    def _parent(self, name: str, raw: Table, shared: bool) -> tuple[Draft, bool]:
        """Return the roof that a roof is like, and whether it is the shared one of its own name."""
        if "like" not in raw:
            if "leak_ratio" in raw:
                rule = "needs like: it multiplies what is taken over"
                self.reader.fault(f"roofs.{name}.leak_ratio", rule, None, 'add like = "..."')
            return Draft(), False
        other, place = raw["like"], f"roofs.{name}.like"
        if not shared and other != name and isinstance(other, str) and other in self.own:
            return self.draft(other), False
        if isinstance(other, str) and other in self.shared:
            return self.draft(other, shared=True), other == name
        known = [known for known in self.names if known != name or known in self.shared]
        remedy = nearest(other, known) if isinstance(other, str) else "write the name of a roof"
        rule = "must name another roof of the file, or one of the shared data"
        self.reader.fault(place, rule, other, remedy)
        return Draft(), False

    def _numbers(self, name: str, raw: Table, parent: Draft, shared: bool) -> dict[str, Stated]:
        """Read the numbers that stand with a roof itself."""
        reader, found = self.reader, dict[str, Stated]()
        note_both(reader, raw, f"roofs.{name}")
        for key, value in raw.items():
            info = reader.fields["roofs"][key]
            if info.kind != "number":
                continue
            if isinstance(value, str) and value in info.words:
                found[key] = ENDLESS
                continue
            path = self._path(name, key, shared)
            tool = None if shared else self._tool(parent, name, key)
            use = read_number(reader, value, path, info, shared=shared, tool=tool)
            found[key] = FAULTY if use is None else use
        return found

    def _path(self, name: str, key: str, shared: bool) -> str:
        """Return the path of an input; a shared one whose path the file uses is called shared."""
        path = f"roofs.{name}.{key}"
        own = self.own.get(name)
        return f"shared.{path}" if shared and isinstance(own, Mapping) and key in own else path

    def _tool(self, parent: Draft, name: str, key: str) -> Figure | None:
        """Return the tool's own figure that a roof's figure takes the place of."""
        figures = self.reader.figures
        stated = parent.numbers.get(key)
        if key == "leak_ratio":
            figure = figures.get(f"shared.roofs.{name}.{key}")
        elif isinstance(stated, Use):
            figure = figures.get(stated.path)
        else:
            return None
        if figure is None:
            return None
        tool = figure if figure.shared else figure.tool
        ratios = stated.ratios if isinstance(stated, Use) else ()
        return _scaled(tool, [figures[path] for path in ratios]) if tool else None

    def _inherited(
        self, name: str, own: Mapping[str, Stated], parent: Draft, *, same: bool
    ) -> dict[str, Stated]:
        """Return what a roof takes over, its leaks multiplied by its ratio."""
        taken = {
            key: stated
            for key, stated in parent.numbers.items()
            if key not in own and EITHER.get(key) not in own
        }
        ratio = own.get("leak_ratio")
        if isinstance(ratio, Use):
            replaced = f"shared.roofs.{name}.leak_ratio" if same else None
            for key in LEAKING:
                stated = taken.get(key)
                if isinstance(stated, Use):
                    others = tuple(path for path in stated.ratios if path != replaced)
                    taken[key] = replace(stated, ratios=(*others, ratio.path))
        return taken


def note_both(reader: Reader, names: Iterable[str], place: str) -> None:
    """Note two forms of one number in one table."""
    names = tuple(names)
    for name, other in EITHER.items():
        if name < other and name in names and other in names:
            reader.fault(f"{place}.{name}", f"must not stand beside {other}", None, "keep one of the two")


def _scaled(figure: Figure, ratios: Iterable[Figure]) -> Figure:
    """Return the tool's figure times the ratios on its way, each at the tool's likely value."""
    scale = 1.0
    for ratio in ratios:
        scale *= (ratio if ratio.shared else ratio.tool or ratio).likely
    if scale == 1.0:
        return figure
    note = "; ".join(part for part in (figure.note, WORDS["notes"]["leak_ratio"]) if part)
    ends = {end: getattr(figure, end) * scale for end in ("low", "likely", "high")}
    return replace(figure, note=note, **ends)


def read_visits(reader: Reader, raw: Any, place: str, *, shared: bool = False) -> tuple[StatedVisit, ...]:
    """Read a list of upkeep jobs, each at ``place.NAME``; those with a fault are left out."""
    found: list[StatedVisit] = []
    names: set[str] = set()
    for where, entry in reader.tables(raw, place):
        known = reader.table(entry, where, "visits")
        complete = reader.required(known, "visits", where)
        numbers, all_read = read_numbers(reader, known, where, "visits", shared=shared)
        if not complete or not reader.is_name(known["name"], f"{where}.name"):
            continue
        name = str(known["name"])
        if name in names:
            reader.fault(
                f"{where}.name", "must be the name of one job only", name, "name the second otherwise"
            )
            continue
        names.add(name)
        if all_read:
            found.append(StatedVisit(name, numbers))
    return tuple(found)


def plan_visits(reader: Reader, plan: Any, covering: str, place: str) -> tuple[StatedVisit, ...]:
    """Return the jobs of a plan, which is named at `place`, for a covering; empty after a fault."""
    own, shared = reader.section("plans"), all_plans(reader.shared)
    if reader.known(plan, place, "must name an upkeep plan", (*own, *shared), "write a name") is None:
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
