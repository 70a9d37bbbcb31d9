"""What the pocket page carries with it: figures, roofs, plans, points, words and the compiled kernel.

Lecture
-------
The page evaluates the model itself, in the compiled form (`evaluation.compiled`), and draws the same even
points. So nothing is worked out beforehand: it carries what a scenario that `lifecycle new` writes stands on.
One scenario for each kind of roof that may stand, with every plan, every place and a warranty in it, is read
like any other; what was read is written down as plain data:

- *figures*: each input by its path, with its range and bounds,
- *numbers*: what a roof, a job, the account or a climate states: a number, or the path of its figure and the
  paths of what multiplies it,
- *points*: the random digits that scramble the even points, as one row: what a point is made of does not
  depend on how many inputs there are,
- *words*: the sentences of the verdict, and the seven questions,
- *rules*: limits and shares that the verdict goes by, so that each stands in one place.

Left out: whatever the page does not ask (`NOT_ASKED`), and lists of hidden leaks, loans, quotes, rules that
climates of single ways need.
"""

from __future__ import annotations

import base64
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, fields
from datetime import date
from typing import Any

import numpy as np

import lifecycle
from lifecycle import files
from lifecycle.evaluation.compiled.calling import COUNT_LINES
from lifecycle.evaluation.flows import FLOWS
from lifecycle.interview import questions, scenario_text
from lifecycle.interview.questions import own_plans
from lifecycle.kinds import COVERINGS
from lifecycle.language import verdict as verdict_words
from lifecycle.language.labels import PLURALS, in_percent
from lifecycle.language.sentences import words
from lifecycle.quantities import Figure, convert, unit_text
from lifecycle.reading import read_scenario
from lifecycle.reading.roofs import all_plans
from lifecycle.roofs import Leaks, Roof, Visit
from lifecycle.scenario import Numbers, Scenario, Stated, StatedVisit, Use
from lifecycle.studies import decision, futures, habits, sampling, verdict, ways

CURRENCY = "USD"
UNITS = "us"
"""Of the page."""

DRAWS = 256
"""Futures that the page evaluates."""

STANDING = ("membrane", "fibreglass")
"""What may stand on the coach."""

NOT_ASKED = (
    "climbs_in_ten_years",
    "decided",
    "opened",
    "repaired",
    "repair_cost",
    "readings",
    "meter_limit",
)
"""Parts of the questions that the page leaves to the tool."""

SAID_ELSEWHERE = {
    "title": "labels.headings.card",
    "questions": "pages.seven",
    "again": "pages.bar.over",
    "working": "sliders.working",
    "not_sure": "asking.page.not_sure",
    "likely": "asking.page.likely",
    "at_most": "asking.page.high",
}
"""What the page says that stands among the words of another face."""

LIMITS = {"age": 720, "years": 30}
"""The oldest roof, and the longest time kept, that the page works out. [months, years]"""

MOST_INPUTS = 96
"""Coordinates of an even point that the page has random digits for."""


def stored() -> dict[str, Any]:
    """Return what the page carries, as plain data.

    Returns
    -------
    dict
        Of numbers, texts, lists and tables; no number that JSON does not know.
    """
    scenarios = {roof: _with_everything(roof) for roof in STANDING}
    first = scenarios[STANDING[0]]
    if first.coach is None or first.climate is None:
        raise ValueError("a coach and a climate must stand in what the page carries")
    figures = {path: one for scenario in scenarios.values() for path, one in scenario.inputs.items()}
    return {
        "made": {
            "version": lifecycle.__version__,
            "day": date.today().isoformat(),
            "draws": DRAWS,
            "seed": futures.SEED,
            "currency": CURRENCY,
        },
        "figures": {path: _figure(one) for path, one in figures.items()},
        "standing": {roof: _roofs(scenario, roof) for roof, scenario in scenarios.items()},
        "leaks": _numbers(first.leaks),
        "study": _numbers(first.study),
        "owner": _numbers(first.owner),
        "coach": _numbers(first.coach.numbers),
        "climate": _numbers(first.climate.numbers),
        "reference": _numbers(first.climate.reference),
        "places": {place.name: _numbers(place.numbers) for place in first.climate.places},
        "surfaces": {name: kind.kept_as for name, kind in COVERINGS.items()},
        "plans": _plans(),
        "offers": _offers(),
        "points": _points(),
        "rules": _rules(),
        "words": _words(),
        "questions": list(_questions()),
        "limits": LIMITS,
        "kernel": {
            "categories": list(FLOWS),
            "counts": list(COUNT_LINES),
            "defaults": {kind.__name__: _defaults(kind) for kind in (Roof, Visit, Leaks)},
        },
    }


def _with_everything(roof: str) -> Scenario:
    """Read a scenario in which every plan and every place stands, and a warranty."""
    answers = {
        "otherwise": "shop_every_year",
        "keep": "not sure",
        "quote": 8000,
        "roof_age": 100,
        "length": 26,
        "covering": roof,
        "sheltered_share": 0.2,
        "warranty_years": 5,
        "warranty_in_writing": True,
        "trouble": [],
    }
    shared = files.shared()
    own = tomllib.loads(scenario_text(answers, base_date=date.today()))
    own["climate"]["places"] = [
        {"place": place, "share": 1.0 / len(shared["places"])} for place in shared["places"]
    ]
    spoken = {**own["roofs"]["coating"], "in_writing": False}
    ways: dict[str, Any] = own["alternatives"]
    for plan in all_plans(shared):
        kept, coated = f"{roof} {plan}", f"coating {plan}"
        own["roofs"] |= {kept: {"like": roof, "plan": plan}, coated: {"like": "coating", "plan": plan}}
        ways[kept] = {"title": plan, "roof": kept}
        ways[coated] = {"title": plan, "roof": kept, "then": coated, "change": "now"}
    own["roofs"]["spoken"] = spoken
    ways["spoken"] = {"title": "spoken", "then": "spoken", "change": "now"}
    return read_scenario(own, shared, files.fields())


def _figure(figure: Figure) -> dict[str, Any]:
    """Return a figure as plain data."""
    if figure.ranged and figure.shape != "pert":
        raise ValueError(f"{figure.path}: the page draws ranges of the shape pert only, not {figure.shape}")
    found = {name: getattr(figure, name) for name in ("low", "likely", "high", "basis")}
    return {
        **found,
        "name": figure.field.name,
        "least": figure.field.low,
        "most": _finite(figure.field.high),
        "telephone": figure.field.by_telephone,
        "shown": _shown(figure),
    }


def _shown(figure: Figure) -> dict[str, Any]:
    """Return how a value of a figure is written: as percent, as a rate, or by a factor with its unit."""
    info = figure.field
    unit = info.unit_in(UNITS)
    name = unit_text(unit, CURRENCY)
    offset = convert(0.0, info.unit, unit)
    return {
        "percent": info.unit == "-" and figure.high <= 1.0,
        "years": info.unit == "years",
        "rate": in_percent(figure),
        "factor": convert(1.0, info.unit, unit) - offset,
        "offset": offset,
        "unit": name,
        "one": name[:-1] if name in PLURALS else name,
    }


def _said(scenario: Scenario) -> dict[str, dict[str, str]]:
    """Return what is said of each figure that turns an answer, or is to be asked for."""
    tables = {"below": words("verdict.hangs.below"), "above": words("verdict.hangs.above")}
    tables["ask"] = words("verdict.next.asks")
    ranged = [figure for figure in scenario.inputs.values() if figure.ranged]
    return {
        figure.path: {
            which: verdict_words.by_field(table, scenario, figure, value="{value}")
            for which, table in tables.items()
        }
        for figure in ranged
    }


def _finite(value: float) -> float | None:
    """Return a number; None where it has no end, for JSON has no word for that."""
    return float(value) if np.isfinite(value) else None


def _stated(stated: Stated) -> float | list[str] | None:
    """Return a number, or the paths that it is made of."""
    return [stated.path, *stated.ratios] if isinstance(stated, Use) else _finite(stated)


def _numbers(numbers: Numbers) -> dict[str, Any]:
    """Return the numbers of a section."""
    return {name: _stated(stated) for name, stated in numbers.items()}


def _roofs(scenario: Scenario, roof: str) -> dict[str, Any]:
    """Return the roof that stands and the coating: numbers, and jobs by plan; what a warranty adds."""
    coating, spoken = scenario.roofs["coating"].numbers, scenario.roofs["spoken"].numbers
    plans = all_plans(files.shared())
    return {
        "roof": _numbers(scenario.roofs[roof].numbers),
        "said": _said(scenario),
        "coating": {name: one for name, one in _numbers(coating).items() if name not in verdict.WARRANTY},
        "leaking_ends": _stated(coating["warranty_leaking_ends"]),
        "honoured": {
            "true": _stated(coating["warranty_honoured"]),
            "false": _stated(spoken["warranty_honoured"]),
        },
        "visits": {plan: list(_visits(scenario, f"{roof} {plan}")) for plan in plans},
        "coating_visits": {plan: list(_visits(scenario, f"coating {plan}")) for plan in plans},
    }


def _visits(scenario: Scenario, roof: str) -> Iterable[dict[str, Any]]:
    """Go through the upkeep jobs of a roof."""
    for visit in scenario.roofs[roof].visits:
        every = visit.numbers["every"]
        yield {
            "name": visit.name,
            "every": round(scenario.likely(every)),
            "numbers": {name: one for name, one in _numbers(visit.numbers).items() if name != "every"},
            "climbs": _climbs(scenario, visit),
        }


def _climbs(scenario: Scenario, visit: StatedVisit) -> bool:
    """Whether a job counts on the owner's own hours."""
    return ways.may_be_any(scenario, visit.numbers.get("hours", 0.0))


def _plans() -> dict[str, Any]:
    """Return every plan: its title and its words."""
    said = words("verdict.plans")
    return {
        name: {"title": plan["title"], **said[name], "own": name in own_plans()}
        for name, plan in all_plans(files.shared()).items()
    }


def _offers() -> dict[str, Any]:
    """Return which ways of keeping the roof are offered, and what is scaled by the length."""
    data, shared = files.data("questions.toml"), files.shared()
    return {
        "ways": [way for way in data["ways"] if "sheltered_share" not in way],
        "rows": data["rows"],
        "when_not_sure": data["when_not_sure"],
        "shipped": list(shared["plans"]),
        "by_shop": shared["stops_climbing"]["plans"],
        "reference_length": shared["coach"]["reference_length"]["value"],
        "sprayed_share": shared["coach"]["sprayed_share"]["likely"],
        "renew_cost": {
            roof: {end: files.data("shared.toml")["roofs"][roof]["renew_cost"][end] for end in ENDS}
            for roof in (*STANDING, "coating")
        },
    }


ENDS = ("low", "likely", "high")


def _points() -> dict[str, Any]:
    """Return what the even points and the quantiles of ranges are made of."""
    number = MOST_INPUTS * sampling.DIGITS * (sampling.DIGITS + 1)
    digits = {}
    for seed in (futures.SEED, futures.SEED + 1):
        packed = np.packbits(sampling.random_digits(number, seed).astype(np.uint8))
        digits[str(seed)] = base64.b64encode(packed.tobytes()).decode()
    return {
        "directions": files.data("directions.toml")["numbers"][:MOST_INPUTS],
        "digits": digits,
        "quantiles": files.data("quantiles.toml")["coefficients"],
        "reach": sampling.REACH,
    }


def _rules() -> dict[str, Any]:
    """Return the limits that the verdict goes by."""
    return {
        "words": [list(pair) for pair in verdict.WORDS],
        "dearer": verdict.DEARER,
        "limits": list(verdict.LIMITS),
        "level_of_20": verdict.LEVEL_OF_20,
        "level_share": verdict.LEVEL_SHARE,
        "alike_share": verdict.ALIKE_SHARE,
        "errors": verdict.ERRORS,
        "unsure_years": list(verdict.UNSURE_YEARS),
        "else_sold": verdict.ELSE_SOLD,
        "else_if_same": verdict.ELSE_IF_SAME,
        "same_within": decision.SAME_WITHIN,
        "first": ways.FIRST,
        "within": ways.WITHIN,
        "rounding": ways.ROUNDING,
        "prices": list(futures.PRICES),
        "prices_together": futures.PRICES_TOGETHER,
        "lives": list(futures.LIVES),
        "lives_together": futures.LIVES_TOGETHER,
        "table_years": list(habits.YEARS),
        "named": verdict_words.NAMED,
        "few": verdict_words.FEW,
        "outermost": decision.OUTERMOST,
        "worth_naming": verdict.WORTH_NAMING,
        "hidden_named": verdict_words.HIDDEN_NAMED,
    }


def _words() -> dict[str, Any]:
    """Return the sentences that the page may say."""
    told = words("verdict")
    return {
        "verdict": {name: part for name, part in told.items() if name != "plans"},
        "counts": words("counts"),
        "cautions": words("cautions"),
        "labels": {
            name: words(f"labels.{name}") for name in ("and", "about", "difference", "percent", "sold_after")
        },
        "trouble": {
            name: words(f"trouble.{name}") for name in ("stay_off", "open", "what", "call", "insurer", "keep")
        },
        "under_1_percent": words("finding_out.under_1_percent"),
        "twenties": {name: words(f"doubt.{name}") for name in ("twenties", "twenties_note", "own_row")},
        "written": {name: words(f"written.{name}") for name in ("titles", "roofs")},
        "page": {**words("pocket"), **{name: words(other) for name, other in SAID_ELSEWHERE.items()}},
    }


def _questions() -> Iterable[Mapping[str, Any]]:
    """Go through the seven questions with the parts that the page asks."""
    for question in questions():
        yield {
            "number": question.number,
            "text": question.text,
            "parts": [
                {
                    "key": part.key,
                    "kind": part.kind,
                    "short": part.short,
                    "ask": (part.ask_on_page or part.ask).replace("{ft}", "feet"),
                    "low": part.low,
                    "high": _finite(part.high),
                    "needed": part.needed,
                    "after": part.after,
                    "choices": [dict(choice) for choice in part.choices],
                }
                for part in question.parts
                if part.key not in NOT_ASKED
            ],
        }


def _defaults(kind: type) -> dict[str, float | None]:
    """Return what the numbers of a kind of thing are where nothing is stated; None: endless."""
    return {
        one.name: _finite(one.default)
        for one in fields(kind)
        if one.default is not MISSING and isinstance(one.default, float)
    }
