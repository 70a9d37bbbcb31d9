"""Now, later or never? When to change, and how often to reseal, as text and as plain data.

Lecture
-------
The first sentence names the cheapest date on average: change now, wait until a year, wait until the
roof must go, or never. Where another date costs about the same (`verdict.about_the_same`) that is
said, and so is in how many of 20 futures the date named is the best.

*The last day of an offer*: what waiting one year costs or saves, with the best upkeep for that year.
If it is about the same, nothing in the figures makes the day matter. If waiting saves, the price may
rise by so much before it no longer does.

*How often*: the cheapest interval between full reseals of a way that has them, everything else as it
is.

Left out: that prices may fall, and that one learns while waiting.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import lifecycle
from lifecycle.answers.doubt_answer import rounded_signed
from lifecycle.answers.results import SCHEMA
from lifecycle.answers.tables import Row, laid_out
from lifecycle.language.labels import HEADINGS, inner, rounded, years_text
from lifecycle.language.lines import blocks, wrapped
from lifecycle.language.words import best_of_20, shared_out
from lifecycle.quantities import about, money_text
from lifecycle.scenario import Scenario
from lifecycle.studies.timing import NEVER, WHEN_IT_MUST, Choice, Timing
from lifecycle.studies.verdict import about_the_same

EVERY = {
    6: "every six months",
    12: "every year",
    18: "every 18 months",
    24: "every second year",
    36: "every third year",
    48: "every fourth year",
    60: "every fifth year",
    72: "every sixth year",
}
"""Intervals in words. [months]"""

ONE_VALUE = "Every input stands at one value: nothing here says how sure this is."
"""Said where there are no futures."""

RISE_NAMED = 0.01
"""Least rise of the price that is named, as a share of it. [-]"""


def timing_text(scenario: Scenario, found: Timing) -> str:
    """Return the whole answer as plain text.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    found : Timing
        Its dates and intervals.

    Returns
    -------
    str
        Many lines.
    """
    return blocks(
        [HEADINGS["timing"], scenario.title],
        wrapped([when_sentence(scenario, found)]),
        wrapped([last_day_sentence(found)]),
        wrapped([how_often_sentence(scenario, found)]) if found.reseal else [],
        [] if any_range(scenario) else wrapped([ONE_VALUE]),
        _dates(scenario, found),
        _intervals(scenario, found),
    )


def any_range(scenario: Scenario) -> bool:
    """Whether any input is a range, so that there are futures to speak of."""
    return any(figure.ranged for figure in scenario.inputs.values())


def _mean(choice: Choice) -> float:
    """Mean cost of a choice. [money]"""
    return float(choice.cost.mean)


def _verb(scenario: Scenario, found: Timing) -> str:
    """Return what the change is, as a verb."""
    way = next(way for way in scenario.alternatives if way.name == found.subject)
    return "coat" if scenario.roofs[way.then].covering == "coating" else "change the roof"


def when_sentence(scenario: Scenario, found: Timing) -> str:
    """Say when to change.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    found : Timing
        Its dates.

    Returns
    -------
    str
        For instance "Wait until year 6: ...", "Never coat: ...".
    """
    verb, best, now = _verb(scenario, found), found.best_change, found.change[0]
    kept = years_text(found.years)
    start = {
        0: f"{verb[0].upper()}{verb[1:]} now",
        WHEN_IT_MUST: f"Wait until the roof must go, then {verb}",
        NEVER: f"Never {verb}: lay the same roof again when it must go",
    }.get(best.when, f"Wait until year {best.when}, then {verb}")
    average = " on average" if any_range(scenario) else ""
    sentences = [f"{start}. That costs {about(_mean(best))}{average}, if you keep it {kept}."]
    if best.when != 0:
        more = _mean(now) - _mean(best)
        if about_the_same(more, _mean(now)):
            sentences.append("To do it now costs about the same.")
        else:
            sentences.append(f"To do it now costs {about(more)} more.")
    if any_range(scenario):
        sentences.append(f"{_named(best)} is best in {_often(found.change, best)} futures.")
    alike = [
        _date(choice)
        for choice in found.change
        if choice.when not in (best.when, 0) and about_the_same(_mean(choice) - _mean(best), _mean(choice))
    ]
    if alike:
        sentences.append(f"About the same: {'; '.join(alike)}.")
    return " ".join(sentences)


def _named(best: Choice) -> str:
    """Name a date as the subject of a sentence."""
    return {0: "To do it now", NEVER: "Never"}.get(best.when, "To wait so long")


def _often(choices: Sequence[Choice], best: Choice) -> str:
    """Say in how many of 20 futures a choice is the best of its table."""
    return best_of_20({choice.when: choice.chance_best for choice in choices}, best.when)


def _date(choice: Choice) -> str:
    """Return a date in words."""
    return {0: "now", WHEN_IT_MUST: "when the roof must go", NEVER: "never"}.get(
        choice.when, f"in year {choice.when}"
    )


def last_day_sentence(found: Timing) -> str:
    """Say whether the last day of an offer matters.

    Parameters
    ----------
    found : Timing
        With its dates.

    Returns
    -------
    str
    """
    later = [choice for choice in found.change if isinstance(choice.when, int) and choice.when > 0]
    if not later:
        return "You sell within the year: there is no later date to wait for."
    now, year = found.change[0], later[0]
    saves = _mean(now) - _mean(year)
    best = max(later, key=lambda choice: choice.price_rise or 0.0)
    if about_the_same(saves, _mean(now)):
        first = (
            "Nothing in these figures makes the offer's last day matter: waiting a year costs or saves less "
            f"than {_above(abs(saves))}, if you look after the roof in the cheapest way meanwhile."
        )
    elif saves > 0.0:
        first = (
            f"The offer's last day does not matter: waiting a year saves {about(saves)}, if you look after "
            "the roof in the cheapest way meanwhile."
        )
    else:
        first = (
            f"Waiting a year costs {about(saves)}; a month of waiting costs {about(saves / 12.0)}. An "
            "offer's last day matters by no more than that."
        )
    if best.price_rise is None or best.price_rise <= RISE_NAMED * found.quote:
        return first
    share = round(100.0 * best.price_rise / found.quote)
    return (
        f"{first} The price may rise by {about(best.price_rise)} ({share} %) in "
        f"{years_text(float(best.when))} before that wait costs more than to do it now."
    )


def _above(amount: float) -> str:
    """Return a round amount that is not below another.

    Examples
    --------
    >>> _above(231.0), _above(3.0), _above(1210.0)
    ('300', '100', '1,300')
    """
    return f"{100 * (int(amount // 100) + 1):,}"


def how_often_sentence(scenario: Scenario, found: Timing) -> str:
    """Say how often to reseal.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    found : Timing
        With its intervals.

    Returns
    -------
    str
        For instance "Reseal every third year ...".
    """
    best = found.best_reseal
    if best is None:
        return ""
    kept = _kept_titles(scenario)[found.resealed]
    start = "Never reseal in full" if best.when == NEVER else f"Reseal {_every(best)}"
    sentence = f'{start}, if you keep the roof as in "{kept}" but for that: {about(_mean(best))}'
    if any_range(scenario):
        sentence += f" on average, the best in {_often(found.reseal, best)} futures"
    planned = _planned(scenario, found)
    if planned is not None and planned.when != best.when:
        more = about(_mean(planned) - _mean(best))
        sentence += f"; {_every(planned)}, as it stands there, costs {more} more"
    sentences = [f"{sentence}."]
    alike = [
        _every(choice)
        for choice in found.reseal
        if choice.when != best.when and about_the_same(_mean(choice) - _mean(best), _mean(choice))
    ]
    if alike:
        sentences.append(f"About the same: {'; '.join(alike)}.")
    return " ".join(sentences)


def _planned(scenario: Scenario, found: Timing) -> Choice | None:
    """Return the interval that the scenario states, if it is among those compared."""
    months = {
        scenario.likely(visit.numbers["every"])
        for visit in scenario.roofs[found.resealed].visits
        if scenario.likely(visit.numbers.get("restores", 0.0)) == 1.0
    }
    return next((choice for choice in found.reseal if choice.when in months), None)


def _every(choice: Choice) -> str:
    """Return an interval in words."""
    return EVERY.get(choice.when, f"every {choice.when} months") if isinstance(choice.when, int) else "never"


def _kept_titles(scenario: Scenario) -> dict[str, str]:
    """Return for each standing roof the title of the first way that has it."""
    titles: dict[str, str] = {}
    for way in scenario.alternatives:
        titles.setdefault(way.roof, way.title)
    return titles


def _dates(scenario: Scenario, found: Timing) -> list[str]:
    """Return the table of dates."""
    titles, sure = _kept_titles(scenario), any_range(scenario)
    kept = dict.fromkeys(choice.upkeep for choice in found.change if choice.when != 0)
    numbers = {name: f"({place})" for place, name in enumerate(kept, 1)}
    rows = []
    often = _best_of_20(found.change)
    for choice in found.change:
        label = _date(choice) if choice.when == 0 else f"{_date(choice)} {numbers[choice.upkeep]}"
        rise = rounded(choice.price_rise) if choice.price_rise and choice.price_rise > 0.5 else ""
        rows.append(Row(label, (*_cost_cells(choice, often, sure), rise)))
    heads = [*_cost_heads(sure), "may rise by"]
    head = (
        f"The change at other dates, {scenario.currency} in today's money, if you keep it "
        f"{years_text(found.years)}"
    )
    if any(row.cells[-1] for row in rows):
        head += "; and how far its price may rise before waiting so long costs more than now"
    else:
        rows = [Row(row.label, row.cells[:-1]) for row in rows]
        heads = heads[:-1]
    where = [f"{number} {inner(titles[name])}" for name, number in numbers.items()]
    return [
        *wrapped([head]),
        *laid_out(rows, len(heads), heads=heads),
        "Until then, what is cheapest:",
        *where,
    ]


def _cost_heads(sure: bool) -> list[str]:
    """Return the heads of the columns of a choice; `sure` is whether there are futures."""
    return ["on average", "8 in 10 from", "best, of 20"] if sure else ["cost"]


def _best_of_20(choices: Sequence[Choice]) -> dict[str | int, int]:
    """Share twenty futures out over the choices of a table by which is the best."""
    return shared_out({choice.when: choice.chance_best for choice in choices})


def _cost_cells(choice: Choice, often: Mapping[str | int, int], sure: bool) -> tuple[str, ...]:
    """Return the cells of a choice under these heads; a mean with three digits, to tell dates apart."""
    if not sure:
        return (money_text(_mean(choice)),)
    band = f"{rounded_signed(float(choice.cost.p10))} to {rounded_signed(float(choice.cost.p90))}"
    return money_text(float(f"{_mean(choice):.3g}")), band, str(often[choice.when])


def _intervals(scenario: Scenario, found: Timing) -> list[str]:
    """Return the table of reseal intervals."""
    if not found.reseal:
        return []
    sure = any_range(scenario)
    often = _best_of_20(found.reseal)
    rows = [Row(_every(choice), _cost_cells(choice, often, sure)) for choice in found.reseal]
    heads = _cost_heads(sure)
    head = f'A full reseal at other intervals, all else as in "{_kept_titles(scenario)[found.resealed]}"'
    return [*wrapped([head]), *laid_out(rows, len(heads), heads=heads)]


def timing_result(scenario: Scenario, found: Timing) -> dict[str, Any]:
    """Return the answer as plain data for a result file.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    found : Timing
        Its dates and intervals.

    Returns
    -------
    dict
        Of str, int, float, None, lists and dicts.
    """
    best = found.best_reseal
    answer: dict[str, Any] = {
        "schema": SCHEMA,
        "title": scenario.title,
        "currency": scenario.currency,
        "subject": found.subject,
        "holding_period": int(found.years) if found.years == int(found.years) else found.years,
        "quote": found.quote,
        "change": [_choice(choice) for choice in found.change],
        "best_change": found.best_change.when,
        "resealed": found.resealed or None,
        "reseal": [_choice(choice) for choice in found.reseal],
        "best_reseal": best.when if best else None,
        "said": [
            when_sentence(scenario, found),
            last_day_sentence(found),
            *([how_often_sentence(scenario, found)] if best else []),
        ],
        "draws": found.draws,
        "seed": found.seed,
        "made_by": {
            "version": lifecycle.__version__,
            "method": "expectation by future",
            "scenario_sha256": scenario.sha256,
        },
    }
    reasons: Mapping[str, str] = (
        {}
        if best
        else dict.fromkeys(("resealed", "best_reseal"), "no way of keeping the roof has a full reseal")
    )
    return {**answer, "reasons": reasons} if reasons else answer


def _choice(choice: Choice) -> dict[str, Any]:
    """Return one date or interval as plain data."""
    cost = {name: float(getattr(choice.cost, name)) for name in ("mean", "p10", "p50", "p90")}
    return {
        "when": choice.when,
        "upkeep": choice.upkeep,
        "cost": cost,
        "chance_best": choice.chance_best,
        "price_rise": choice.price_rise,
    }
