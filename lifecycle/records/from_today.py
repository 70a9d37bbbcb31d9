"""From today on: the scenario brought forward by the logged years, and whether the answer still stands.

Lecture
-------
After the logged time the question is asked anew. The scenario *brought forward* differs from the first in

- the base date: today; the years kept are less by those that have passed (but at least `LEAST_YEARS`);
- the roof that stands: older by the time passed, or the new one with its age; each job was last done when
  the log says; the seal age follows the log, a touch-up taking its share away (at likely values);
- what is hidden: "from upkeep", its past upkeep being that of the longer part of its life: the jobs that
  were logged, or those that the scenario knew of;
- planned changes, which are nearer by the time passed, or over.

Both are evaluated in the *same futures*. Before the log they have the weights of the roof's history, after
it those times the likelihood of the log (`logged_years`). So nothing differs but the log and the years.

With a new roof of another covering the old question is closed. Then the answer of the base date is held
against itself with the weights after the log (*in hindsight*), and what is left to choose is how to look
after the new roof: as planned, or without one of its jobs.

Left out: prices that the log shows to be others than expected are said, but not taken over; effective
age of the roof is that of its past upkeep.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from lifecycle.data import data
from lifecycle.quantities import Figure
from lifecycle.records.logbook import RENEWAL, Log
from lifecycle.records.logged_years import Stretch, stretches
from lifecycle.scenario import (
    Scenario,
    Stated,
    StatedAlternative,
    StatedExisting,
    StatedRoof,
    StatedVisit,
    Use,
    replaced,
    years_kept,
)
from lifecycle.studies.doubt import Doubt, under
from lifecycle.studies.futures import Futures
from lifecycle.studies.verdict import CHEAPER, DEARER, word_under_doubt, word_without_doubt

LEAST_YEARS = 1.0
"""Years that the coach is kept from today on at least, however long it was meant to be kept. [years]"""

_TITLES: Mapping[str, str] = data("words/logbook.toml")["logbook"]["titles"]

AS_PLANNED, WITHOUT = "as planned", "without "
"""How the ways of looking after a new roof are called."""


@dataclass(frozen=True)
class Answer:
    """What the comparison of two ways says.

    Parameters
    ----------
    subject, against : str
        Titles of the two ways.
    years : float
        Years kept. [years]
    word : str
        The word of the verdict.
    middle, low, high : float
        Net savings of the subject: mean, 10 and 90 % points. [money]
    chance : float or None
        That it is cheaper; None without doubt. [-]
    """

    subject: str
    against: str
    years: float
    word: str
    middle: float
    low: float
    high: float
    chance: float | None


STANDS, SHIFTS, CHANGES = "stands", "shifts", "changes"
"""What becomes of an answer: the same word, another word on the same side, another side."""


def what_becomes(then: Answer, now: Answer) -> str:
    """Say whether an answer about one way stands.

    Examples
    --------
    >>> ways = ("Spray now", "Keep it", 10.0)
    >>> then = Answer(*ways, "probably cheaper", 900.0, -100.0, 2000.0, 0.8)
    >>> what_becomes(then, replace(then, word="cheaper"))
    'shifts'
    """
    if then.word == now.word:
        return STANDS
    sides = [
        next((side for side in (CHEAPER, DEARER) if one.word.endswith(side)), one.word) for one in (then, now)
    ]
    return SHIFTS if sides[0] == sides[1] else CHANGES


@dataclass(frozen=True)
class FromToday:
    """Whether the answer stands, and what is left to choose.

    Parameters
    ----------
    scenario : Scenario
        Brought forward to today.
    then : Answer or None
        At the base date; None if there was only one way.
    hindsight : Answer or None
        At the base date, with what the log has shown.
    now : Answer or None
        From today on; None where the question is closed, or one way is left.
    remaining : tuple of Answer
        Ways of looking after a new roof, each against what is planned; empty where the question is open.
    closed : bool
        Whether a roof of another covering was laid.
    over : tuple of str
        Titles of ways whose planned change is over.
    years_are_up : bool
        Whether the coach has been kept as long as it was meant to be.
    effective, draws : float, int
        Effective number of draws after the log, and draws.
    doubted : bool
        Whether any input is a range.
    """

    scenario: Scenario
    then: Answer | None
    hindsight: Answer | None
    now: Answer | None
    remaining: tuple[Answer, ...]
    closed: bool
    over: tuple[str, ...]
    years_are_up: bool
    effective: float
    draws: int
    doubted: bool


def from_today(scenario: Scenario, log: Log, drawn: Futures, after: Futures) -> FromToday:
    """Compare from today on, and hold the answer against that of the base date.

    The scenario is without trouble, its log without a sale; `drawn` and `after` are draws of its inputs with
    their weights before and after the log.
    """
    new = brought_forward(scenario, log)
    closed = is_closed(scenario, log)
    subject, now = (way.name if way else None for way in (scenario.subject, new.subject))
    first = _evaluated(scenario, drawn, subject)
    second = _evaluated(new, after, None if closed else now)
    names = {way.name for way in new.alternatives}
    return FromToday(
        scenario=new,
        then=_answer(scenario, first, subject) if subject else None,
        hindsight=_answer(scenario, replace(first, futures=after), subject) if subject else None,
        now=_answer(new, second, now) if now and not closed else None,
        remaining=tuple(_answer(new, second, name) for name in _others(new)) if closed else (),
        closed=closed,
        over=tuple(way.title for way in scenario.alternatives if way.name not in names and not closed),
        years_are_up=years_kept(scenario) - log.months / 12.0 < LEAST_YEARS,
        effective=after.effective,
        draws=after.sample.draws,
        doubted=bool(after.sample.values),
    )


def _others(scenario: Scenario) -> tuple[str, ...]:
    """Return the names of all ways but the base case."""
    return tuple(way.name for way in scenario.alternatives if not way.base_case)


def _evaluated(scenario: Scenario, drawn: Futures, subject: str | None) -> Doubt:
    """Evaluate the base case and the subject (None: all ways) in some futures, to the years kept."""
    names = (subject, scenario.base_case.name)
    ways = tuple(way for way in scenario.alternatives if subject is None or way.name in names)
    until = max(1, math.ceil(years_kept(scenario) - 1e-9))
    return under(replace(scenario, alternatives=ways), drawn, until=until)


def _answer(scenario: Scenario, found: Doubt, subject: str) -> Answer:
    """Return the answer about one way against what the owner would do otherwise."""
    base = found.base_case
    titles = {way.name: way.title for way in scenario.alternatives}
    savings = found.band(found.net_savings(subject))
    dearer = max(float(found.band(found.cost(name)).mean) for name in (subject, base))
    middle = float(savings.mean)
    chance = found.chance_cheaper(subject) if found.futures.sample.values else None
    word = word_without_doubt(middle, dearer) if chance is None else word_under_doubt(chance)
    low, high = float(savings.p10), float(savings.p90)
    return Answer(titles[subject], titles[base], found.years, word, middle, low, high, chance)


def is_closed(scenario: Scenario, log: Log) -> bool:
    """Whether the log has a new roof of another covering than the one that stood at the base date."""
    if log.renewal is None:
        return False
    laid = scenario.roofs[scenario.alternative(log.way).then]
    return laid.covering != scenario.roofs[scenario.existing.roof].covering


def brought_forward(scenario: Scenario, log: Log) -> Scenario:
    """Return the scenario as it stands today; itself if no month passed and nothing was logged."""
    if not log.entries and log.months == 0:
        return scenario
    stretch = stretches(log)[-1]
    new = _with_years(scenario, log.months)
    new = replace(new, roofs={name: _with_plan(new, roof, stretch) for name, roof in new.roofs.items()})
    if is_closed(scenario, log):
        new = _left_to_choose(new, scenario.alternative(log.way).then)
    else:
        ways = (_nearer(way, scenario, log.months) for way in scenario.alternatives)
        new = replace(new, alternatives=tuple(way for way in ways if way is not None))
    kept = {way.name for way in new.alternatives}
    loan = new.loan if new.loan is not None and new.loan.alternative in kept else None
    existing = _standing(scenario, new, log, stretch)
    return replace(new, base_date=log.until, existing=existing, loan=loan, text="", sha256="")


def _with_years(scenario: Scenario, months: int) -> Scenario:
    """Return the scenario with the years kept less those that have passed."""
    stated = scenario.owner["holding_period"]
    if not isinstance(stated, Use) or months == 0:
        return scenario
    figure = scenario.inputs[stated.path]

    def left(years: float) -> float:
        return max(LEAST_YEARS, years - months / 12.0)

    changed: Figure = replace(
        figure, low=left(figure.low), likely=left(figure.likely), high=left(figure.high), basis=figure.basis
    )
    return replaced(scenario, {stated.path: changed})


def _with_plan(scenario: Scenario, roof: StatedRoof, stretch: Stretch) -> StatedRoof:
    """Return a roof with the end of its plan nearer; one that was laid anew has the plan after that."""
    if "plan_ends" not in roof.numbers:
        return roof
    if stretch.renewed:
        return roof.under(roof.visits_after, roof.plan_after)
    left = max(0.0, scenario.likely(roof.numbers["plan_ends"]) - stretch.last)
    return replace(roof, numbers={**roof.numbers, "plan_ends": left})


def _nearer(way: StatedAlternative, scenario: Scenario, months: int) -> StatedAlternative | None:
    """Return a way with its planned change nearer by the months passed; None if that is over."""
    if way.change is None or scenario.likely(way.change) == 0.0:
        return way
    left = round(12.0 * scenario.likely(way.change)) - months
    if left <= 0 and not way.base_case:
        return None
    title = _TITLES["planned"].format(title=way.title)
    return replace(way, change=max(0.0, left / 12.0), title=title if months else way.title)


def _left_to_choose(scenario: Scenario, name: str) -> Scenario:
    """Return the scenario with the ways of looking after a new roof as its alternatives."""
    roof = scenario.roofs[name]
    plans = {AS_PLANNED: roof}
    for visit in roof.visits if len(roof.visits) > 1 else ():
        left_out = f"{WITHOUT}{visit.name}"
        visits = tuple(other for other in roof.visits if other is not visit)
        plans[left_out] = replace(roof, name=f"{name} {left_out}", visits=visits)
    ways = tuple(_keeping(plan, one, roof) for plan, one in plans.items())
    roofs: dict[str, StatedRoof] = {**scenario.roofs, **{one.name: one for one in plans.values()}}
    return replace(scenario, roofs=roofs, alternatives=ways)


def _keeping(plan: str, roof: StatedRoof, then: StatedRoof) -> StatedAlternative:
    """Return the way of keeping a roof under a plan, and laying the same again when it must go."""
    jobs = " and ".join(visit.name for visit in roof.visits) or _TITLES["no_upkeep"]
    title = _TITLES["as_planned" if plan == AS_PLANNED else "without"]
    return StatedAlternative(
        name=plan,
        title=title.format(jobs=jobs, job=plan.removeprefix(WITHOUT)),
        roof=roof.name,
        then=roof.name,
        change=None,
        quote=then.numbers.get("renew_cost", 0.0),
        days=then.numbers.get("renew_days", 0.0),
        base_case=plan == AS_PLANNED,
    )


def _standing(scenario: Scenario, new: Scenario, log: Log, stretch: Stretch) -> StatedExisting:
    """Return the roof that stands today, with its age, its joints and its clocks."""
    old = scenario.existing
    jobs = _jobs(scenario)
    at_start = 0 if stretch.renewed else round(scenario.likely(old.numbers["age"]))
    passed = log.months - stretch.first
    age = at_start + passed
    seal = 0 if stretch.renewed else round(scenario.likely(old.numbers.get("seal_age", float(at_start))))
    numbers: dict[str, Stated] = {
        "age": float(age),
        "seal_age": float(min(age, _seal_age(seal, stretch, log, scenario, jobs))),
    }
    before = scenario.likely(old.numbers["leaks_found"]) if "leaks_found" in old.numbers else None
    if stretch.renewed or before is not None:
        numbers["leaks_found"] = float(stretch.leaks + (0 if stretch.renewed else before or 0))
    names = {visit.name for way in new.alternatives for visit in new.roofs[way.roof].all_visits}
    clocks = {
        name: float(min(age, months))
        for name, months in _last_done(seal, stretch, log, scenario, jobs).items()
        if name in names
    }
    logged = {entry.kind for entry in stretch.entries}
    way = scenario.alternative(log.way)
    roof = way.then if stretch.renewed else old.roof
    plan = scenario.roofs[roof if stretch.renewed else way.roof]
    past = tuple(visit for visit in plan.visits if visit.name in logged)
    longer = passed > at_start
    return StatedExisting(
        roof=roof,
        numbers=numbers,
        hidden_now=None,
        last_visits=clocks,
        past_visits=past if longer else old.past_visits,
    )


def _jobs(scenario: Scenario) -> Mapping[str, StatedVisit]:
    """Return every job of a scenario by its name."""
    past = {visit.name: visit for visit in scenario.existing.past_visits or ()}
    return past | {visit.name: visit for roof in scenario.roofs.values() for visit in roof.all_visits}


def _restores(scenario: Scenario, job: StatedVisit) -> float:
    """Return the likely share of the seal age that a job takes away. [-]"""
    return scenario.likely(job.numbers.get("restores", 0.0))


def _seal_age(
    at_start: int, stretch: Stretch, log: Log, scenario: Scenario, jobs: Mapping[str, StatedVisit]
) -> int:
    """Return the seal age today, in whole months, every job at its likely value. [months]"""
    age, month = float(at_start), stretch.first
    for entry in stretch.entries:
        if entry.kind in jobs:
            done = log.month(entry.day)
            age = (age + done - month) * (1.0 - _restores(scenario, jobs[entry.kind]))
            month = done
    return round(age + log.months - month)


def _last_done(
    seal_age: int, stretch: Stretch, log: Log, scenario: Scenario, jobs: Mapping[str, StatedVisit]
) -> dict[str, int]:
    """Return how many months ago each job was last done on the roof that stands. [months]"""
    passed = log.months - stretch.first
    old = {} if stretch.renewed else scenario.existing.last_visits
    ago = {}
    for name, job in jobs.items():
        usual = seal_age if _restores(scenario, job) == 1.0 and not stretch.renewed else 0
        before = round(scenario.likely(old[name])) if name in old else usual
        ago[name] = before + passed
    ago |= {entry.kind: log.months - log.month(entry.day) for entry in stretch.entries if entry.kind in ago}
    return ago


def renewed_as(scenario: Scenario, log: Log) -> StatedRoof | None:
    """Return the roof that the log's new roof is, if there is one."""
    laid = any(entry.kind == RENEWAL for entry in log.entries)
    return scenario.roofs[scenario.alternative(log.way).then] if laid else None
