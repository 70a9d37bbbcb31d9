"""The sign of what every ranged input does to every way's own cost: as its name promises, or with a reason.

Expected signs and reasons are data of the package, by judgement; that more bad jobs cannot make a way
cheaper, nor a warranty dearer, needs no source.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from lifecycle import files
from lifecycle.evaluation.comparison import compare
from lifecycle.scenario import replaced
from lifecycle.studies.tracing import Effect, effects

SCENARIOS = Path(__file__).parents[2] / "scenarios"
RANGED = sorted(path.stem for path in SCENARIOS.glob("*.toml") if not path.stem.startswith("worked"))
RANGED.remove("price-card")
SAID = files.data("effects.toml")
COAST = (SCENARIOS / "humid-coast-motorhome.toml").read_text(encoding="utf-8")


@cache
def of(name: str) -> tuple[Effect, ...]:
    return effects(files.load(SCENARIOS / f"{name}.toml"))


@pytest.mark.parametrize("name", RANGED)
def test_every_sign_is_the_expected_one_or_has_a_reason(name: str) -> None:
    found = of(name)
    assert len(found) > 30
    unsaid = {one.figure.path for one in found if one.expected == 0}
    assert not unsaid, "say in effects.toml whether it raises or lowers the cost"
    assert not [(one.figure.path, one.surprising) for one in found if one.surprising and not one.reason]


def test_every_reason_is_needed_somewhere_and_no_name_is_said_twice() -> None:
    seen = {one.figure.field.name for name in RANGED for one in of(name) if one.surprising}
    assert seen == set(SAID["surprises"])
    assert not set(SAID["raises"]) & set(SAID["lowers"])
    assert set(SAID["surprises"]) <= {*SAID["raises"], *SAID["lowers"]}


def test_no_input_of_the_coast_is_without_effect_on_all_ways_but_those_past_the_sale() -> None:
    """A topcoat of the tenth year comes after the sale; inflation matters only for a loan."""
    idle = {one.figure.path for one in of("humid-coast-motorhome") if not any(map(one.sign, one.changes))}
    assert idle == {
        "study.inflation",
        "coach.sprayed_share",
        *(f"figures.topcoat_{what}" for what in ("cost", "days", "rejuvenates")),
    }


@pytest.mark.parametrize("promise", ["", "in_writing = true\n", None], ids=["spoken", "in writing", "none"])
def test_more_bad_jobs_never_make_spraying_look_better(promise: str | None) -> None:
    text = re.sub(r"\n(warranty_\w+|in_writing) =[^\n]*", "", COAST)
    if promise is not None:
        text = text.replace(
            "[roofs.coating]\n", f"[roofs.coating]\nwarranty_years = 10\nwarranty_share = 1\n{promise}"
        )
    scenario = files.loads(text)
    savings = []
    for share in (0.0, 0.05, 0.15, 0.3, 0.6):
        found = compare(replaced(scenario, {"roofs.coating.defect_share": share}))
        costs = [float(found.ways[way].net_present_cost[10]) for way in ("keep", "coat_now")]
        savings.append(costs[0] - costs[1])
    assert savings == sorted(savings, reverse=True)
    assert savings[0] - savings[-1] > 2000.0


def test_bad_jobs_of_coatings_and_of_membranes_are_two_inputs() -> None:
    scenario = files.loads(COAST)
    own, other = "roofs.coating.defect_share", "roofs.membrane.defect_share"
    by_path = {one.figure.path: one for one in of("humid-coast-motorhome")}
    assert by_path[own].sign("coat_now") == 1 and by_path[own].sign("keep") == 0
    assert by_path[other].sign("keep") == 1 and by_path[other].sign("coat_now") == 0
    assert scenario.inputs[own].low == scenario.inputs[other].low


def test_with_a_word_of_the_shop_the_life_of_a_coating_is_not_hidden() -> None:
    """Paid in full and for certain, twelve years or thirty are nearly the same; that is what a word hides."""
    unsaid = re.sub(r"\nin_writing =[^\n]*", "", COAST)
    sure = files.loads(unsaid.replace("\nwarranty_years", "\nwarranty_honoured = 1\nwarranty_years", 1))
    spoken = files.loads(unsaid)
    change = {}
    for name, scenario in (("sure", sure), ("spoken", spoken)):
        costs = [
            float(
                compare(replaced(scenario, {"roofs.coating.life_mean": life}))
                .ways["coat_now"]
                .net_present_cost[10]
            )
            for life in (12.0, 30.0)
        ]
        change[name] = costs[0] - costs[1]
    assert 0.0 < change["sure"] < 0.25 * change["spoken"]
