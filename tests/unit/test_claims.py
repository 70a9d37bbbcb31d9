"""What may be said: each statement flips with the figure that decides it; the case; both ways."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from lifecycle.answers.claims import in_hand, may_not_say, may_say, offer_lines
from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.evaluation.expectation import evaluate
from lifecycle.files import data, load, loads
from lifecycle.kinds import Half
from lifecycle.language.claims import case_lines, lines_of
from lifecycle.language.sentences import words
from lifecycle.quantities import FieldInfo, Figure
from lifecycle.roofs import HiddenLeak
from lifecycle.scenario import Scenario, replaced, resolve
from lifecycle.studies.case import MOST, Named, Reason, Sides, case_of, early_year, reasons_of
from lifecycle.studies.claims import (
    CANNOT,
    DOES_NOT_FIT,
    FITS,
    JUDGEMENTS,
    MONEY_AND_ROOFS,
    PARTLY,
    TROUBLE,
    Claim,
    Grounds,
    Ruling,
    claims,
)
from lifecycle.studies.doubt import Doubt, under
from lifecycle.studies.futures import futures
from lifecycle.studies.objections import (
    both_ways,
    changed_from_own,
    in_place_of_offers,
    offers_of,
    without_offers,
)
from lifecycle.studies.timing import timing

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SHIPPED = tuple(sorted(SCENARIOS.glob("*.toml")))
DRAWS = 64

EXAMPLE = (SCENARIOS / "worked-example-1.toml").read_text(encoding="utf-8")
TWO_WAYS = EXAMPLE[: EXAMPLE.index("[alternatives.coat_later]")]
"""Worked example 1 with two ways: keeping the membrane, and spraying now; no ranges."""

Edit = tuple[str, str]

LIKELY_CHEAPER = ("quote = 7100", "quote = { low = 6600, likely = 7100, high = 7600 }")
OPEN = ("quote = 7100", "quote = { low = 8000, likely = 9600, high = 12000 }")
DEARER = ("quote = 7100", "quote = { low = 11000, likely = 12000, high = 13000 }")
NO_PUNCTURES = ("puncture_rate = 0.012", "puncture_rate = 0")
NO_JOINT_LEAKS = ("joint_leaks_first_year = 0.004", "joint_leaks_first_year = 0")
NOTHING_HIDDEN = (EXAMPLE[EXAMPLE.index("hidden_now") : EXAMPLE.index("[alternatives.keep]")], "\n")
COATING_JOBS = EXAMPLE[EXAMPLE.index("warranty_share") : EXAMPLE.index("[existing]")]
NO_COATING_JOBS = (COATING_JOBS, "warranty_share = 0.8\nvisits = []\n\n")
DEAR_POWER = '[climate]\nplace = "Phoenix"\n\n[climate.cooling]\npower_price = 20\n\n[existing]'
NEVER_COOLED = '[climate]\nplace = "Phoenix"\n\n[climate.cooling]\ncooled_share = 0\n\n[existing]'
RECORD = 'basis = "record", note = "counted"'
WORN = ("age = 36 ", "age = 200 ")
DEAR_TOUCH_UP = ("every = 6\ncost = 40\n", "every = 1\ncost = 800\n")


def edited(*edits: Edit, text: str = TWO_WAYS) -> str:
    """Return a text with some pieces changed; each must be there once at least."""
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    return text


def doubted(scenario: Scenario) -> tuple[Comparison, Doubt | None]:
    """Return a comparison with its doubt, from few draws."""
    comparison = compare(scenario)
    if scenario.trouble:
        return comparison, None
    until = min(max(math.ceil(comparison.holding_period), 10), comparison.study_period)
    return comparison, under(scenario, futures(scenario, draws=DRAWS), until=until)


@cache
def shipped(place: Path) -> tuple[Comparison, Doubt | None]:
    """Return a shipped scenario with its doubt, once for all tests."""
    return doubted(load(place))


@cache
def statements(edits: tuple[Edit, ...], text: str, not_sure: tuple[str, ...]) -> dict[str, Claim]:
    """Return every statement on an edited example, once for all tests."""
    comparison, doubt = doubted(loads(edited(*edits, text=text)))
    return {claim.key: claim for claim in claims(comparison, doubt, not_sure=not_sure)}


def judged(key: str, *edits: Edit, text: str = TWO_WAYS, not_sure: tuple[str, ...] = ()) -> Claim:
    """Return one statement on an edited example."""
    return statements(edits, text, not_sure)[key]


def has_digit(sentence: str) -> bool:
    return re.search(r"\d", sentence) is not None


# --- every statement on every shipped scenario -----------------------------------------------------


@pytest.mark.parametrize("place", SHIPPED, ids=lambda place: place.stem)
def test_every_statement_is_judged_with_a_figure(place: Path) -> None:
    comparison, doubt = shipped(place)
    found = claims(comparison, doubt)
    tests = TROUBLE if comparison.trouble else MONEY_AND_ROOFS
    assert {re.sub(r"_\d+$", "", claim.key) for claim in found} == set(tests)
    for claim in found:
        assert claim.ruling.judgement in JUDGEMENTS
        assert has_digit(may_say(claim)) or claim.key == "spray_over", claim.key
        assert may_not_say(claim) and in_hand(claim)
        assert (claim.ruling.judgement == CANNOT) == bool(claim.ruling.missing)
        assert all(figure.basis for figure in claim.rests_on)


def test_every_entry_of_the_data_has_a_test_and_every_role_an_input_somewhere() -> None:
    entries = data("claims.toml")
    assert [entry["key"] for entry in entries["claims"]] and {e["key"] for e in entries["claims"]} == set(
        MONEY_AND_ROOFS
    )
    assert {entry["key"] for entry in entries["trouble"]} == set(TROUBLE)
    for claim in claims(*shipped(SCENARIOS / "humid-coast-motorhome.toml")):
        assert claim.rests_on or claim.key == "quieter", claim.key


def test_with_trouble_only_opening_it_first_may_be_said() -> None:
    found = claims(*shipped(SCENARIOS / "trouble-reported.toml"))
    rulings = {claim.key: claim.ruling.judgement for claim in found}
    assert rulings == {"open_first": FITS, "spray_over": DOES_NOT_FIT, "just_a_stain": CANNOT}
    assert "2 signs" in may_say(found[0])
    assert "stain, soft spot" in may_say(found[0])


def test_where_spraying_is_dearer_it_does_not_pay_back() -> None:
    for name in ("sells-in-three-years", "own-hands", "two-quotes"):
        found = {claim.key: claim for claim in claims(*shipped(SCENARIOS / f"{name}.toml"))}
        assert found["pays_back"].ruling.judgement == DOES_NOT_FIT, name
        assert "dearer" in may_say(found["pays_back"])


# --- each statement flips with the figure that decides it -------------------------------------------

FLIPS: tuple[tuple[str, tuple[Edit, ...], str], ...] = (
    ("no_reseal", (NO_JOINT_LEAKS,), DOES_NOT_FIT),
    ("no_reseal", (), DOES_NOT_FIT),
    ("no_reseal", (("cost = 1400", "cost = 1400\nrestores = 0.5"),), DOES_NOT_FIT),
    ("no_upkeep", (NO_COATING_JOBS, NO_JOINT_LEAKS, NO_PUNCTURES), DOES_NOT_FIT),
    ("no_upkeep", (), DOES_NOT_FIT),
    ("pays_back", (LIKELY_CHEAPER,), FITS),
    ("pays_back", (OPEN,), PARTLY),
    ("pays_back", (DEARER,), DOES_NOT_FIT),
    ("pays_back", (), PARTLY),  # every input at one value: nothing says how sure it is
    ("pays_back_5", (LIKELY_CHEAPER,), DOES_NOT_FIT),
    ("pays_back_5", (("quote = 7100", "quote = { low = 2900, likely = 3000, high = 3100 }"),), FITS),
    ("pays_back_10", (LIKELY_CHEAPER,), FITS),
    (
        "pays_back_10",
        (("quote = 7100", "quote = { low = 15000, likely = 16000, high = 17000 }"),),
        DOES_NOT_FIT,
    ),
    ("no_leaks", (NO_JOINT_LEAKS, NO_PUNCTURES), DOES_NOT_FIT),
    ("no_leaks", (("puncture_rate = 0.012", "puncture_rate = 0.05"),), DOES_NOT_FIT),
    (
        "lasts_as_coach",
        (("life_scale = 30", 'life_scale = "endless"'), NO_JOINT_LEAKS, NO_PUNCTURES),
        DOES_NOT_FIT,
    ),
    ("lasts_as_coach", (("life_scale = 30", "life_scale = 9"),), DOES_NOT_FIT),
    ("cooler", (("[existing]", DEAR_POWER),), FITS),
    ("cooler", (("[existing]", '[climate]\nplace = "Phoenix"\n\n[existing]'),), PARTLY),
    (
        "cooler",
        (("[existing]", NEVER_COOLED),),
        DOES_NOT_FIT,
    ),
    ("cooler", (), CANNOT),
    ("quieter", (), CANNOT),
    ("resale", (("resale_share = 0.2", f"resale_share = {{ value = 0.6, {RECORD} }}"),), FITS),
    (
        "resale",
        (
            ("resale_share = 0.2", f"resale_share = {{ value = 0, {RECORD} }}"),
            ("resale_share = 0.1", "resale_share = 0.05"),
            ("found_at_sale = 0.5", "found_at_sale = 0.5\nsilent_share = 0"),
        ),
        DOES_NOT_FIT,
    ),
    ("resale", (("resale_share = 0.2", 'resale_share = { value = 0.6, basis = "offer" }'),), CANNOT),
    ("resale", (), CANNOT),
    ("waiting", (LIKELY_CHEAPER, WORN), PARTLY),
    ("waiting", (LIKELY_CHEAPER, DEAR_TOUCH_UP), FITS),
    ("waiting", (DEARER,), DOES_NOT_FIT),
    ("waiting", (("holding_period = 8 ", "holding_period = 1 "),), CANNOT),
    ("waiting", (('change = "now"', "change = 3"),), CANNOT),
    ("today_only", (DEAR_TOUCH_UP, ("holding_period = 8 ", "holding_period = 2 ")), DOES_NOT_FIT),
    ("today_only", (DEAR_TOUCH_UP,), DOES_NOT_FIT),
    ("today_only", (DEARER,), DOES_NOT_FIT),
    ("today_only", (("holding_period = 8 ", "holding_period = 1 "),), CANNOT),
    (
        "membrane_life",
        (
            ("life_shape = 3.5", "life_shape = 9"),
            ("life_scale = 17 ", "life_scale = 16 "),
            ("joint_leaks_first_year = 0.06", "joint_leaks_first_year = 0"),
            ("puncture_rate = 0.05 ", "puncture_rate = 0 "),
        ),
        FITS,
    ),
    ("membrane_life", (("life_scale = 17 ", "life_scale = 8 "),), DOES_NOT_FIT),
    ("membrane_life", (("study_period = 20", "study_period = 15"),), CANNOT),
    ("free_labour", (("hour_value = 20", "hour_value = 0"),), PARTLY),
    ("free_labour", (), DOES_NOT_FIT),
    ("free_labour", (("\nhours = 1\n", "\n"), ("hours = 1.5\n", "")), CANNOT),
    (
        "insurance",
        (
            ("joint_leaks_first_year = 0.06", "joint_leaks_first_year = 0"),
            ("joint = 0.10", "joint = 0"),
            ("joint = 0.02", "joint = 0"),
            ("insured_share = 0.4", "insured_share = 1\nsudden_within = 30"),
            ("deductible = 750", "deductible = 0"),
        ),
        FITS,
    ),
    ("insurance", (), DOES_NOT_FIT),
    (
        "insurance",
        (
            ("joint_leaks_first_year = 0.06", "joint_leaks_first_year = 0"),
            ("puncture_rate = 0.05 ", "puncture_rate = 0 "),
            NOTHING_HIDDEN,
        ),
        CANNOT,
    ),
    (
        "warranty",
        (
            ("rot_cost = 7500", "rot_cost = 0"),
            ("warranty_years = 10", f"warranty_years = {{ value = 30, {RECORD} }}"),
            ("warranty_share = 0.8", f"warranty_share = {{ value = 1, {RECORD} }}"),
            ("life_scale = 30", "life_scale = 9"),
            NO_JOINT_LEAKS,
            NO_PUNCTURES,
            NOTHING_HIDDEN,
        ),
        FITS,
    ),
    (
        "warranty",
        (
            ("rot_cost = 7500", "rot_cost = 0"),
            ("warranty_years = 10", 'warranty_years = { value = 30, basis = "offer" }'),
            ("warranty_share = 0.8", 'warranty_share = { value = 1, basis = "offer" }'),
            ("life_scale = 30", "life_scale = 9"),
            NO_JOINT_LEAKS,
            NO_PUNCTURES,
            NOTHING_HIDDEN,
        ),
        PARTLY,
    ),
    ("warranty", (), DOES_NOT_FIT),
    ("warranty", (("warranty_years = 10", "warranty_years = 0"),), CANNOT),
    ("price_holds", (), DOES_NOT_FIT),
    ("price_holds", (('change = "now"', "change = 3"),), CANNOT),
)


@pytest.mark.parametrize(("key", "edits", "judgement"), FLIPS)
def test_a_statement_flips_with_its_figure(key: str, edits: tuple[Edit, ...], judgement: str) -> None:
    claim = judged(key, *edits)
    assert claim.ruling.judgement == judgement, may_say(claim)
    assert has_digit(may_say(claim))
    assert may_not_say(claim)


ABSOLUTE = {entry["key"] for entry in data("claims.toml")["claims"] if entry.get("absolute")}
"""Statements that know no exception: never more than that they do not fit."""

NO_EXCEPTION = r"never|at all|free|forever|lifetime|permanent|always|\bonly\b"
"""Words of promises that know no exception."""


def test_every_statement_but_noise_and_the_absolute_ones_flips() -> None:
    seen: dict[str, set[str]] = {}
    for key, _, judgement in FLIPS:
        seen.setdefault(re.sub(r"_\d+$", "", key), set()).add(judgement)
    assert set(seen) == set(MONEY_AND_ROOFS)
    assert all(len(judgements) > 1 for key, judgements in seen.items() if key not in {"quieter"} | ABSOLUTE)
    assert all(seen[key] <= {DOES_NOT_FIT, CANNOT} for key in ABSOLUTE)


def test_a_statement_without_a_test_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    comparison, doubt = shipped(SCENARIOS / "two-quotes.toml")
    monkeypatch.delitem(MONEY_AND_ROOFS, "quieter")  # type: ignore[misc]
    with pytest.raises(Half, match=r"\['quieter'\] stands either in data/claims.toml"):
        claims(comparison, doubt)


def test_a_statement_in_words_that_know_no_exception_is_marked_as_absolute() -> None:
    said = words("claims.statements")
    assert {key for key in MONEY_AND_ROOFS if re.search(NO_EXCEPTION, said[key]["said"])} == ABSOLUTE


def test_an_absolute_statement_does_not_fit_whatever_its_test_says(monkeypatch: pytest.MonkeyPatch) -> None:
    comparison, doubt = shipped(SCENARIOS / "two-quotes.toml")
    for key in ABSOLUTE:
        monkeypatch.setitem(MONEY_AND_ROOFS, key, lambda grounds: Ruling(FITS, {}))  # type: ignore[misc]
    found = {claim.key: claim.ruling.judgement for claim in claims(comparison, doubt)}
    assert {found[key] for key in ABSOLUTE} == {DOES_NOT_FIT}


def test_what_was_not_done_in_a_year_may_never_be_done() -> None:
    """A cheap year of waiting is no reason to spray at a price that never comes back."""
    dear = ("quote = 7100", "quote = { low = 89000, likely = 90000, high = 91000 }")
    claim = judged("waiting", DEAR_TOUCH_UP, dear)
    assert (claim.ruling.judgement, claim.ruling.sentence) == (DOES_NOT_FIT, "never")
    assert "cheaper than never" in may_say(claim)


def test_the_price_holds_where_a_cap_is_on_paper() -> None:
    text = (SCENARIOS / "two-quotes.toml").read_text(encoding="utf-8")
    lists = SCENARIOS / "two-quotes.toml"
    comparison, doubt = shipped(lists)
    found = {claim.key: claim for claim in claims(comparison, doubt)}
    assert found["price_holds"].ruling.judgement == PARTLY
    assert "cap of 11,500 " in may_say(found["price_holds"])
    assert "cap = 11500" in text
    price = found["price_holds"].ruling.figures["price"].value
    assert isinstance(price, float) and price < 11500
    for cap, judgement in ((None, DOES_NOT_FIT), (price, FITS), (1e6, DOES_NOT_FIT)):
        capped = {name: replace(quote, cap=cap) for name, quote in comparison.scenario.quotes.items()}
        other = replace(comparison, scenario=replace(comparison.scenario, quotes=capped))
        claim = next(claim for claim in claims(other, doubt) if claim.key == "price_holds")
        assert claim.ruling.judgement == judgement, cap
    assert "limits nothing" in may_say(claim)


def test_a_price_with_a_cap_holds_within_limits_where_many_roofs_hide_wet_wood() -> None:
    """Half a leak hidden for a year, on average: the cap is no promise of the price any more."""
    comparison, doubt = shipped(SCENARIOS / "two-quotes.toml")
    listed = replace(comparison.case.existing, hidden_now=(HiddenLeak(12, joint=0.5),))
    wet = replace(comparison, case=replace(comparison.case, existing=listed))
    claim = next(claim for claim in claims(wet, doubt) if claim.key == "price_holds")
    assert claim.ruling.judgement == PARTLY
    assert claim.ruling.figures["wet"].value > 0.15
    assert "up to the cap of 11,500 can be asked" in may_say(claim)


def test_without_a_price_or_a_plan_nothing_is_said_of_paying_back() -> None:
    for asked in ("quote", "otherwise"):
        claim = judged("pays_back", LIKELY_CHEAPER, not_sure=(asked,))
        assert claim.ruling.judgement == CANNOT and claim.ruling.missing == asked
    assert judged("waiting", LIKELY_CHEAPER, not_sure=("quote",)).ruling.judgement == CANNOT


CHEAPER_UPKEEP = """
[roofs.seldom]
like = "membrane"
[[roofs.seldom.visits]]
name = "reseal"
every = 36
cost = 300
finds = 0.6
restores = 1

[alternatives.seldom]
title = "A cheap reseal every third year"
roof = "seldom"
"""


def test_a_cheaper_way_of_keeping_limits_that_it_pays_back() -> None:
    alone = judged("pays_back", LIKELY_CHEAPER)
    beside = judged("pays_back", LIKELY_CHEAPER, text=TWO_WAYS + CHEAPER_UPKEEP)
    assert (alone.ruling.judgement, beside.ruling.judgement) == (FITS, PARTLY)
    assert "against the cheapest upkeep it is on average about" in may_say(beside)


def test_waiting_is_priced_as_in_the_study_of_timing() -> None:
    place = SCENARIOS / "sells-in-three-years.toml"
    comparison, doubt = shipped(place)
    assert doubt is not None
    found = Grounds(comparison, doubt).waiting
    study = timing(load(place), draws=DRAWS)
    now, later = study.change[0], study.change[1]
    assert found is not None and later.price_rise is not None
    assert found.more == pytest.approx(float(later.cost.mean - now.cost.mean), rel=1e-9)
    assert found.rise == pytest.approx(later.price_rise, rel=1e-9)


def test_jobs_are_those_of_the_standing_roof_until_the_change_and_of_the_new_one_after() -> None:
    comparison, doubt = doubted(loads(edited(('change = "now"', "change = 3"))))
    assert doubt is not None
    grounds = Grounds(comparison, doubt)
    names = [job.name for job in grounds.jobs(grounds.way)]
    # Reseals fall due after 2 and 14 months; the one after 26 is left out in the year before the change.
    assert names.count("reseal") == 2
    assert names.count("inspection") == 11 + 4  # months 3, 6 ... 33; then 48, 60, 72, 84
    assert names.count("touch-up") == 5  # months 6, 12 ... 30
    assert names.count("topcoat") == 0


# --- the case for and against -----------------------------------------------------------------------


@pytest.mark.parametrize("place", SHIPPED, ids=lambda place: place.stem)
def test_the_case_has_two_sides_of_equal_length_with_a_figure_in_each_line(place: Path) -> None:
    comparison, doubt = shipped(place)
    lines = case_lines(comparison, doubt)
    assert len(lines.for_) == len(lines.against)
    if comparison.trouble:
        assert lines.for_ == ()
        return
    assert 4 <= len(lines.for_) <= MOST
    assert all(has_digit(line) for line in (*lines.for_, *lines.against))
    assert len({*lines.for_, *lines.against}) == 2 * len(lines.for_)
    assert doubt is not None
    sides = case_of(comparison, doubt)
    for side, reasons in (("for", sides.for_), ("against", sides.against)):
        own = [abs(reason.money) for reason in reasons if reason.side == side]
        assert own == sorted(own, reverse=True)
        assert {reason.side for reason in reasons[: len(own)]} <= {side}


def test_the_case_against_names_what_a_doubter_asks_for() -> None:
    comparison, doubt = shipped(SCENARIOS / "humid-coast-motorhome.toml")
    assert doubt is not None
    keys = {reason.key for reason in case_of(comparison, doubt).against}
    assert keys >= {"sell_early", "cheaper_upkeep", "badly_done", "later_leak", "makers_warranty"}


@pytest.mark.parametrize("subject", ["coat_now", "coat_later"])
def test_the_reasons_by_category_add_up_to_the_verdict(subject: str) -> None:
    """A check of the whole: with insurance, the categories and the change are all that differs."""
    text = edited(("subject = true\n", ""), text=EXAMPLE)
    text = text.replace(f"[alternatives.{subject}]", f"[alternatives.{subject}]\nsubject = true")
    comparison, doubt = doubted(loads(text))
    assert doubt is not None and comparison.subject == subject
    averages = doubt.by_category()
    way, base = averages[subject], averages[comparison.base_case]
    money = {reason.key: reason.money for reason in reasons_of(comparison, doubt)}
    change = next(key for key in money if key.startswith("paid_"))
    categories = ("upkeep", "new_roofs", "leaks", "own_hours", "days", "cooling", "sale", "warranty_pays")
    insurance = base["insurance"] - way["insurance"]
    total = sum(money[key] for key in (*categories, change)) + insurance
    gap = doubt.futures.weights @ (doubt.cost(comparison.base_case) - doubt.cost(subject))
    assert total == pytest.approx(float(gap), abs=1e-6)
    assert change == ("paid_today" if subject == "coat_now" else "paid_later")


def test_a_reason_moves_to_the_side_where_its_figure_points() -> None:
    dear, cheap = (
        {reason.key: reason.side for reason in reasons_of(comparison, doubt)}
        for comparison, doubt in (
            doubted(loads(edited(LIKELY_CHEAPER))),
            doubted(loads(edited(("quote = 7100", "quote = { low = 400, likely = 500, high = 600 }")))),
        )
        if doubt is not None
    )
    assert dear["sell_early"] == "against"
    assert cheap["sell_early"] == "for"


def test_a_side_that_is_short_says_what_points_the_other_way() -> None:
    free = {"quote = 7100": "quote = 0", "days = 4": "days = 0"}
    comparison, doubt = doubted(loads(edited(*free.items(), NO_COATING_JOBS, NO_JOINT_LEAKS, NO_PUNCTURES)))
    lines = case_lines(comparison, doubt)
    assert len(lines.for_) == len(lines.against)
    assert any(line.startswith("Points the other way: ") for line in lines.against)


def test_a_reason_that_points_nowhere_stays_at_home_and_says_so() -> None:
    reason = Reason(
        "makers_warranty", 0.0, {"age": Named(3.0, "years"), "left": Named(0.0, "years")}, "against"
    )
    assert (reason.points, reason.side) == ("same", "against")
    line = lines_of(Sides((), (reason,)), "us").against[0]
    assert "Nothing is counted for it" in line and not line.startswith("Points the other way: ")


def test_selling_early_is_the_low_end_of_the_years_kept_or_half_of_them() -> None:
    ranged = ("holding_period = 8 ", "holding_period = { low = 3, likely = 8, high = 12 } ")
    assert early_year(compare(loads(edited(ranged)))) == 3
    assert early_year(compare(loads(TWO_WAYS))) == 4
    assert early_year(compare(loads(edited(("holding_period = 8 ", "holding_period = 1 "))))) == 1


def test_the_warranty_of_the_standing_roof_may_end() -> None:
    covered = ("resale_share = 0.1", "resale_share = 0.1\nwarranty_years = 12\nwarranty_share = 1")
    comparison, doubt = doubted(loads(edited(covered)))
    assert doubt is not None
    money = {reason.key: reason.money for reason in reasons_of(comparison, doubt)}["makers_warranty"]
    assert money == pytest.approx(comparison.ways["keep"].by_category["warranty"])
    assert money < 0.0


def test_a_case_needs_two_ways() -> None:
    comparison, doubt = doubted(loads(TWO_WAYS))
    assert doubt is not None
    with pytest.raises(ValueError, match="two ways"):
        case_of(replace(comparison, subject=None), doubt)
    with pytest.raises(ValueError, match="two ways"):
        claims(replace(comparison, subject=None), doubt)


# --- figures that come from a seller, both ways ------------------------------------------------------


def costs(scenario: Scenario) -> dict[str, float]:
    """Return what each way costs at likely values."""
    ledgers = evaluate(resolve(scenario), totals_only=True)
    return {name: float(ledger.at_holding[0]) for name, ledger in ledgers.items()}


def lines_without(text: str, *starts: str) -> str:
    """Return a text without the lines that begin so; each must be there."""
    kept = [line for line in text.splitlines() if not line.startswith(starts)]
    assert len(kept) == len(text.splitlines()) - len(starts)
    return "\n".join(kept)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("sells-in-three-years", ("shop_reseal_cost",)),
        ("humid-coast-motorhome", ("warranty_years", "warranty_share")),
    ],
)
def test_the_tools_own_in_place_of_offers_is_a_scenario_that_never_stated_them(
    name: str, said: tuple[str, ...]
) -> None:
    text = (SCENARIOS / f"{name}.toml").read_text(encoding="utf-8")
    own, never = without_offers(loads(text)), loads(lines_without(text, *said))
    assert costs(own) == costs(never)
    assert costs(own) != costs(loads(text))
    for path, figure in never.inputs.items():
        other = own.inputs[path]
        assert (other.low, other.likely, other.high) == (figure.low, figure.likely, figure.high), path
        assert (other.basis, other.tool) == (figure.basis, figure.tool), path


def test_offers_are_counted_and_what_cannot_be_replaced_is_named() -> None:
    comparison, doubt = shipped(SCENARIOS / "humid-coast-motorhome.toml")
    assert doubt is not None
    found = both_ways(comparison, doubt)
    assert [figure.path for figure in found.offers] == [
        "roofs.coating.warranty_years",
        "roofs.coating.warranty_share",
        "figures.coating_quote",
    ]
    assert [figure.path for figure in found.stay] == ["figures.coating_quote"]
    assert found.with_own is not None
    assert found.as_stated.middle > found.with_own.middle
    text = " ".join(offer_lines(comparison, doubt))
    assert text.startswith("3 figures come from the shop: the years of warranty on the coating")
    for part in (
        "With the figures as stated",
        "With the tool's own in place of",
        "stays as stated",
    ):
        assert part in text


def test_both_ways_are_the_same_where_nothing_is_offered() -> None:
    comparison, doubt = shipped(SCENARIOS / "worked-example-1.toml")
    assert doubt is not None
    found = both_ways(comparison, doubt)
    assert (found.offers, found.with_own) == ((), None)
    assert offer_lines(comparison, doubt) == ("No figure comes from the shop.",)


def test_the_second_answer_is_that_of_the_scenario_itself() -> None:
    place = SCENARIOS / "hidden-wet-spot.toml"
    comparison, doubt = shipped(place)
    assert doubt is not None
    own = without_offers(comparison.scenario)
    alone = under(own, futures(own, draws=DRAWS), until=8)
    found = both_ways(comparison, doubt).with_own
    assert found is not None
    assert found.middle == pytest.approx(float(alone.band(alone.net_savings("coat_now")).mean), rel=1e-12)
    assert found.chance == pytest.approx(alone.chance_cheaper("coat_now"), rel=1e-12)


def test_a_changed_figure_is_one_that_differs_from_the_tools_own() -> None:
    scenario = load(SCENARIOS / "sells-in-three-years.toml")
    paths = {figure.path for figure in changed_from_own(scenario)}
    assert "figures.shop_reseal_cost" in paths and "owner.holding_period" in paths
    figure = scenario.inputs["figures.shop_reseal_cost"]
    assert figure.tool is not None
    back = replaced(scenario, {figure.path: figure.tool})
    assert "figures.shop_reseal_cost" not in {one.path for one in changed_from_own(back)}
    assert {one.path for one in offers_of(back)} == {"figures.coating_quote"}
    assert in_place_of_offers(back) == {}


def test_an_offered_saving_on_cooling_is_nothing_of_the_tools_own() -> None:
    offered = ("resale_share = 0.1", 'resale_share = 0.1\nenergy_cost = { value = 300, basis = "offer" }')
    scenario = loads(edited(offered))
    assert in_place_of_offers(scenario) == {"roofs.membrane.energy_cost": 0.0}
    stated, own = costs(scenario), costs(without_offers(scenario))
    assert own == costs(loads(TWO_WAYS))
    assert stated["keep"] > own["keep"]


def test_the_weights_of_a_doubt_do_not_depend_on_the_ways_left_out() -> None:
    """Both ways evaluate two ways only: the futures stay the same."""
    comparison, doubt = shipped(SCENARIOS / "hidden-wet-spot.toml")
    assert doubt is not None
    ways = tuple(way for way in comparison.scenario.alternatives if way.name in ("keep", comparison.subject))
    two = futures(replace(comparison.scenario, alternatives=ways), draws=DRAWS)
    assert np.array_equal(two.weights, doubt.futures.weights)


def test_a_figure_that_is_offered_without_a_field_of_the_tool_stays() -> None:
    field = FieldInfo("cost", "visits", "price", unit="money", low=0, high=1e6, ranged=True)
    path = "roofs.membrane.visits.reseal.cost"
    scenario = loads(TWO_WAYS)
    offer = Figure(path, 700.0, 700.0, 700.0, "", "offer", "", "", field)
    assert in_place_of_offers(replaced(scenario, {path: offer})) == {}
