"""Tricks of a dishonest seller: what the tool must say of each, and what no trick may move.

Common practice, no source: each is known from counters.
"""

from __future__ import annotations

from functools import cache

import pytest

from lifecycle.answers.claims import judged, says, scenario_of, verdict_on
from lifecycle.answers.parts import Silent
from lifecycle.answers.quote import quote
from lifecycle.files import data
from lifecycle.language.sentences import words
from lifecycle.quote import counted
from lifecycle.scenario import Scenario

DRAWS = 256
TRICKS = data("tricks.toml")["tricks"]

MUST_SAY = {
    "inflated_alternative": ("Keep the membrane and touch it up yourself each year",),
    "no_looks": ("The same first line as without the trick.",),
    "first_row": ("The same first line as without the trick.",),
    "years_stretched": ("Do not spray now", "sold after 5 years: spraying now is cheaper in fewer"),
    "age_hidden": ("so check what was said",),
    "hour_inflated": ("Do not spray now",),
    "best_place": ("The same first line as without the trick.",),
    "spray_over": ("Open it first. Trouble is reported: soft spot.",),
    "never_leaks": ("Does not fit: It can leak",),
    "lifetime": ("Does not fit", "need a new roof that nobody planned"),
    "waiting": ("Does not fit: Do not count on it",),
    "today_only": ("Does not fit: Take your time.",),
    "sells_for_more": ("Cannot be judged: Nobody has published",),
    "warranty_spoken": ("Does not fit: It pays about", "Rot is not counted in it."),
    "cap_far": ("a cap of 1,000,000 USD: so far above its price of 9,870 that it limits nothing",),
    "drip_price": ("On top of 8,700 USD may come: topcoat (the job needs it). This quote counts as 9,870",),
    "left_out": ("This quote is not the whole job: 1 part left out.", "spray the topcoat (the job needs it)"),
    "overall_length": ("The same prices on the sprayed length give 8,193 USD: 1,663 less.",),
    "thin_film": ("promises a film of 60 mil; usual are 125 mil to 220 mil",),
    "bait": ("ask how the price can be so low, and what is not done",),
}  # fmt: skip


@cache
def played(key: str) -> Scenario:
    return scenario_of(TRICKS[key] if key else {})


def test_there_are_twenty_each_with_words_and_something_that_must_be_said() -> None:
    assert len(TRICKS) == 20
    assert list(TRICKS) == list(words("tricks.told")) == list(MUST_SAY)


@pytest.mark.parametrize("key", MUST_SAY)
def test_the_tool_answers_a_trick(key: str) -> None:
    said = says(key, draws=DRAWS)
    for part in MUST_SAY[key]:
        assert part in said, said


@pytest.mark.parametrize("key", ["cap_far", "drip_price", "left_out", "thin_film"])
def test_a_trick_of_the_quote_stands_on_the_first_screen_of_the_quote(key: str) -> None:
    first = quote([played(key)]).blocks[:6]
    assert any(
        getattr(block, "text", "") in says(key, draws=DRAWS) for block in first if hasattr(block, "text")
    )


@pytest.mark.parametrize("key", ["drip_price", "left_out", "cap_far", "thin_film", "today_only", "first_row"])
def test_no_trick_of_the_quote_makes_spraying_look_cheaper(key: str) -> None:
    """By difference: the price of the comparison is no lower, and the first line the same.

    Where nobody prices the part that is left out the tool's own price stands, which may be below the shop's.
    """
    honest, tricked = (one.inputs["quotes.shop.price"] for one in (played(""), played(key)))
    if key == "left_out":
        own = counted(played(key).quotes["shop"])
        assert own.stated < own.least < honest.likely < own.most
    else:
        assert (tricked.low, tricked.likely, tricked.high) == (honest.low, honest.likely, honest.high)
    assert verdict_on(TRICKS[key], DRAWS).lines[0] == verdict_on({}, DRAWS).lines[0]


def test_a_price_that_leaves_out_what_the_job_needs_does_not_hold() -> None:
    """Though its cap is the price to the cent: what is beside the price is in no cap."""
    topcoat = {"topcoat": {"left_out": True}}
    for items, judgement in (({}, "fits these figures"), (topcoat, "does not fit")):
        cap = 8700 if items else 9870
        found = judged(scenario_of({"quote": {"cap": cap, "items": items}}), draws=16, told=Silent().step)
        ruling = next(claim.ruling for claim in found.claims if claim.key == "price_holds")
        assert ruling.judgement == judgement


def test_a_discount_from_a_list_that_was_raised_first_is_no_discount() -> None:
    raised = {"strip": {"price": 5000}}
    dearer = scenario_of({"quote": {"discount": 3000, "items": raised}})
    assert dearer.inputs["quotes.shop.price"].likely == played("").inputs["quotes.shop.price"].likely
