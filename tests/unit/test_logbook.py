"""The owner's log: reading it, what was spent, what leaks prove, and the scenario brought forward."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from lifecycle import files
from lifecycle.errors import ScenarioError
from lifecycle.evaluation.past import standing_and_found
from lifecycle.records.from_today import (
    CHANGES,
    SHIFTS,
    STANDS,
    Answer,
    brought_forward,
    from_today,
    is_closed,
    what_becomes,
)
from lifecycle.records.logbook import (
    Entry,
    Log,
    checked_log,
    kinds_of,
    months_between,
    read_csv,
    read_table,
)
from lifecycle.records.logged_years import (
    Rate,
    found_as_planned,
    poisson_log,
    rate_of,
    seen,
    stretches,
    weighed,
)
from lifecycle.records.so_far import (
    CHANGE,
    REPAIRS,
    Held,
    other_way,
    prices_paid,
    so_far,
    spent_by_row,
)
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.doubt import Band, doubt
from lifecycle.studies.futures import Futures, futures
from lifecycle.studies.upkeep_calendar import day_after

SCENARIOS = Path(__file__).parents[2] / "scenarios"
DRAWS = 64
START = date(2027, 4, 1)

PLAIN = """
schema = 1
title = "A small one (invented)"
basis = "demo"
[study]
base_date = 2027-04-01
study_period = 20
discount_rate = 0.03
inflation = 0.1
[owner]
holding_period = 8
[leaks]
patch_cost = 300
rot_time = 2
severe_after = 50
sign_rate = SIGNS
[roofs.membrane]
life_shape = 1
life_scale = "endless"
puncture_rate = PUNCTURES
renew_cost = 5000
[[roofs.membrane.visits]]
name = "reseal"
every = 12
cost = 500
hours = 2
finds = 0.5
restores = 1
[[roofs.membrane.visits]]
name = "touch-up"
every = 24
cost = 40
restores = 0.5
[roofs.coating]
covering = "coating"
life_shape = 1
life_scale = "endless"
renew_cost = 7000
warranty_years = 10
[[roofs.coating.visits]]
name = "look"
every = 12
hours = 1
[[roofs.coating.visits]]
name = "topcoat"
every = 36
cost = 900
[existing]
roof = "membrane"
age = 0
[alternatives.keep]
title = "Keep it"
base_case = true
[alternatives.coat_now]
title = "Spray now"
change = "now"
then = "coating"
quote = 6000
subject = true
[alternatives.coat_in_year_5]
title = "Spray in year 5"
change = 5
then = "coating"
quote = 6000
"""


def plain(punctures: str = "0.2", signs: str = "1.0") -> Scenario:
    return files.loads(PLAIN.replace("PUNCTURES", punctures).replace("SIGNS", signs))


DOUBTED = "{ low = 0.02, likely = 0.2, high = 0.8 }"


@cache
def shipped(name: str) -> tuple[Scenario, Futures]:
    scenario = files.load(SCENARIOS / f"{name}.toml")
    return scenario, futures(scenario, draws=DRAWS)


def log_of(
    scenario: Scenario,
    *rows: tuple[str, str] | tuple[str, str, float],
    today: str = "2030-04-01",
    way: str = "",
) -> Log:
    entries = tuple(Entry(date.fromisoformat(row[0]), row[1], *row[2:]) for row in rows)
    return checked_log(entries, scenario, date.fromisoformat(today), way=way or None)


# --- Months ------------------------------------------------------------------------------------------


@given(st.dates(date(2000, 1, 1), date(2100, 12, 31)), st.integers(0, 700))
@settings(max_examples=50)
def test_so_many_months_later_is_so_many_months(start: date, months: int) -> None:
    later = day_after(start, months)
    assert months_between(start, later) == months
    assert months_between(start, day_after(start, months + 1)) == months + 1


def test_a_month_in_which_something_was_done_counts_whole() -> None:
    scenario = plain()
    assert log_of(scenario).months_of_account == 36
    assert log_of(scenario, today="2030-04-20").months_of_account == 37
    assert log_of(scenario, ("2030-04-01", "reseal")).months_of_account == 37
    assert log_of(scenario, ("2030-04-01", "sale")).months_of_account == 36
    assert log_of(scenario, today="2027-04-01").months_of_account == 0


# --- Reading -----------------------------------------------------------------------------------------


def test_csv_and_toml_say_the_same() -> None:
    rows = '2027-04-19,renewal,9870,,"a note, with a comma"\n\n2028-04-20,leak,1.5,2,\n'
    by_csv = read_csv(f"\ufeffDate , kind,cost,hours,note\n{rows}".removeprefix("\ufeff"))
    table = {
        "way": "coat_now",
        "entries": [
            {"date": date(2027, 4, 19), "kind": "renewal", "cost": 9870, "note": "a note, with a comma"},
            {"date": "2028-04-20", "kind": "leak", "cost": 1.5, "hours": 2},
        ],
    }
    by_toml = read_table(table, "")
    bare = [tuple(replace(entry, line=None) for entry in one.entries) for one in (by_csv, by_toml)]
    assert bare[0] == bare[1] and len(bare[0]) == 2
    assert [entry.line for entry in by_csv.entries] == [2, 4]
    assert (by_csv.way, by_toml.way) == (None, "coat_now")
    assert not by_csv.faults and not by_toml.faults


def test_semicolons_separate_too() -> None:
    (entry,) = read_csv("date;kind;cost\n2028-04-20;reseal;12.5\n").entries
    assert (entry.kind, entry.cost) == ("reseal", 12.5)


BAD = [
    ("2027-03-31,reseal,1,,", "must not be before study.base_date, 2027-04-01; got 2027-03-31"),
    ("2031-01-01,reseal,1,,", "must not be after today, 2030-04-01; got 2031-01-01"),
    ("2028-05-02,reseal,1,,\n2028-05-01,reseal,1,,", "must not be before the entry above it, 2028-05-02"),
    ("2028-02-30,reseal,1,,", "date (line 2) must be a day written as YYYY-MM-DD; got 2028-02-30"),
    ("4/5/2028,reseal,1,,", "must be a day written as YYYY-MM-DD; got 4/5/2028"),
    (",reseal,1,,", "must be a day written as YYYY-MM-DD; got nothing"),
    ("2028-05-01,resael,1,,", 'got "resael": did you mean "reseal"?'),
    ("2028-05-01,,1,,", "kind (line 2) must be a name; got nothing"),
    ("2028-05-01,reseal,-5,,", "must be an amount of money from 0 to 10,000,000; got -5"),
    ("2028-05-01,reseal,nan,,", "must be an amount of money from 0 to 10,000,000; got nan"),
    ("2028-05-01,reseal,1 200,,", "got 1 200: write 1250.50"),
    ("2028-05-01,reseal,1,-1,", "hours (line 2) must be a number of hours from 0"),
    ("2028-05-01,sale,1,,\n2028-06-01,leak,1,,", "must be the last entry where it is a sale"),
    ("2028-05-01,renewal,1,,\n2028-05-01,renewal,2,,", "must not stand twice on one day as a renewal"),
    (f"2028-05-01,reseal,1,,{'x' * 501}", "note (line 2) must be a text of at most 500 letters; got 501"),
]


@pytest.mark.parametrize(("rows", "said"), BAD, ids=[said[:40] for _, said in BAD])
def test_what_is_wrong_with_a_row_is_said(rows: str, said: str) -> None:
    scenario = plain()
    written = read_csv(f"date,kind,cost,hours,note\n{rows}\n", "a.csv", kinds_of(scenario))
    with pytest.raises(ScenarioError) as caught:
        checked_log(written.entries, scenario, date(2030, 4, 1), source="a.csv", faults=written.faults)
    assert said in str(caught.value)
    assert "line" in str(caught.value)


def test_everything_wrong_is_said_at_once_and_once() -> None:
    scenario = plain()
    rows = "\n".join(row for row, _ in BAD[:12])
    written = read_csv(f"date,kind,cost,hours,note\n{rows}\n", "a.csv", kinds_of(scenario))
    with pytest.raises(ScenarioError) as caught:
        checked_log(
            written.entries, scenario, date(2030, 4, 1), way="coat", source="a.csv", faults=written.faults
        )
    faults = caught.value.faults
    assert len(faults) == len(set(faults)) >= 13
    assert [fault.line or 0 for fault in faults] == sorted(fault.line or 0 for fault in faults)
    assert any('did you mean "coat_now"' in str(fault) for fault in faults)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "must have a row that names its columns; got an empty file"),
        ("date,cost\n", 'must have a column "kind" (what happened)'),
        ("date,kind,costs\n", 'column costs (line 1) is not known here: did you mean "cost"?'),
        ("date,kind,kind\n", 'column "kind" (line 1) must stand once; got columns 2 and 3'),
        ('date,kind\n"2028', "must be CSV"),
        (
            "date,kind\n2028-05-01,reseal,b\n",
            "a row (line 2) must have 2 cells, as the first row has; got more",
        ),
        ("date,kind\n" + "2028-01-01,leak\n" * 5001, "must have at most 5,000 entries; got 5,001"),
    ],
)
def test_a_csv_that_is_no_log_is_refused(text: str, said: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        read_csv(text, "a.csv")
    assert said in str(caught.value)


def test_a_toml_that_is_no_log_is_refused() -> None:
    with pytest.raises(ScenarioError) as caught:
        read_table({"wey": "keep"}, "wey = 'keep'")
    assert 'did you mean "way"' in str(caught.value) and "entries must be a list" in str(caught.value)
    text = 'schema = 2\nway = 3\n[[entries]]\ndate = 2028-01-01\nkind = "leak"\ncots = 3\n'
    table = {"schema": 2, "way": 3, "entries": [{"date": date(2028, 1, 1), "kind": "leak", "cots": 3}, 7]}
    faults = "\n".join(map(str, read_table(table, text).faults))
    assert "schema (line 1) must be 1" in faults and "way (line 2) must be a name" in faults
    assert 'entries.1.cots (line 6) is not a known name here: did you mean "cost"?' in faults
    assert "entries.2 must be a table; got 7" in faults
    assert not read_table({"entries": []}, "").entries


def test_a_line_that_stands_twice_is_a_warning() -> None:
    log = log_of(plain(), ("2028-04-01", "reseal", 5.0), ("2028-04-01", "reseal", 5.0))
    assert "2028-04-01, reseal, stands twice" in log.notices[0]
    assert not log_of(plain(), ("2028-04-01", "reseal", 5.0), ("2028-04-01", "reseal", 6.0)).notices


def test_today_must_fit_the_scenario() -> None:
    with pytest.raises(ScenarioError, match=r"must not be before study\.base_date"):
        log_of(plain(), today="2026-01-01")
    with pytest.raises(ScenarioError, match="must be within 60 years"):
        log_of(plain(), today="2088-01-01")
    with pytest.raises(ScenarioError, match="must be within 60 years"):
        log_of(plain(), today="9999-12-31")


def test_the_way_is_the_one_that_fits() -> None:
    scenario = plain()
    assert log_of(scenario).way == "keep"
    assert log_of(scenario, ("2027-05-01", "renewal")).way == "coat_now"
    assert log_of(scenario, ("2029-05-01", "renewal")).way == "keep"
    assert log_of(scenario, ("2029-05-01", "renewal"), way="coat_in_year_5").way == "coat_in_year_5"
    trailer, _ = shipped("cold-stored-trailer")
    assert log_of(trailer, ("2028-05-01", "own touch-up")).way == "keep_touched_up"


# --- Money -------------------------------------------------------------------------------------------


def test_what_was_spent_is_brought_to_the_money_of_the_base_date() -> None:
    """By hand: inflation 10 %; 1,100 after a year of 366 days is 1,000 less a little."""
    scenario = plain()
    log = log_of(
        scenario, ("2027-04-01", "renewal", 6000.0), ("2028-04-01", "look", 1100.0, 3.0), way="coat_now"
    )
    spent, hours = spent_by_row(scenario, log)
    assert spent == {CHANGE: 6000.0, "look": pytest.approx(1100.0 / 1.1 ** (366 / 365.25))}
    assert hours == 3.0
    kept, _ = spent_by_row(scenario, log_of(scenario, ("2027-04-01", "renewal", 6000.0), way="keep"))
    assert kept == {REPAIRS: 6000.0}


def test_a_small_account_by_hand() -> None:
    """No leaks and an endless life: three years of keeping are resealed in months 12 and 24.

    To the first day of month 36 the third reseal is not due yet; the touch-up was, in month 24. With one
    more day the month counts whole, and so does its reseal.
    """
    scenario = plain(punctures="0")
    drawn = futures(scenario, draws=DRAWS)
    found = so_far(scenario, log_of(scenario, ("2028-04-01", "reseal", 500.0)), drawn)
    expected = {row.name: float(row.expected.mean) for row in found.rows}
    assert expected == {"reseal": pytest.approx(1000.0), "touch-up": pytest.approx(40.0)}
    assert float(found.hours.expected.mean) == pytest.approx(4.0)
    assert (found.other, float(found.other_total.mean)) == ("coat_now", pytest.approx(6000.0))  # type: ignore[union-attr]
    assert (found.no_repairs, found.fewer_repairs) == (1.0, 0.0)
    later = so_far(scenario, log_of(scenario, today="2030-04-02"), drawn)
    assert float(later.total.expected.mean) == pytest.approx(1540.0)
    none = so_far(scenario, log_of(scenario, today="2027-04-01"), drawn)
    assert float(none.total.expected.mean) == 0.0 and not none.rows


def test_repairs_are_expected_as_often_as_leaks_are_found() -> None:
    """Punctures 0.2 a year, found at once by signs that show nearly all: three years, 300 each, no rot.

    A leak starts in mid-month, so what is damaged by then is at most half a month's rot, which costs 0.
    """
    scenario = plain(punctures="0.2", signs="1000")
    drawn = futures(scenario, draws=DRAWS)
    found = so_far(scenario, log_of(scenario, ("2029-01-01", "leak", 350.0)), drawn)
    repairs = next(row for row in found.rows if row.name == REPAIRS)
    assert float(repairs.expected.mean) == pytest.approx(0.2 * 3 * 300.0)
    assert found.no_repairs == pytest.approx(math.exp(-0.6), abs=0.02)
    assert not repairs.within


def test_the_account_is_that_of_the_expectation() -> None:
    """With a sale after eight years and no discounting, it is what `evaluate` says, to the cent."""
    scenario, drawn = shipped("humid-coast-motorhome")
    log = log_of(scenario, ("2035-04-01", "sale"), today="2035-04-01", way="coat_now")
    case = resolve(scenario, drawn.sample.values)
    found = so_far(scenario, log, drawn)

    from lifecycle.evaluation.expectation import evaluate

    terms = replace(case.terms, discount_rate=0.0, holding_period=8.0)
    ledger = evaluate(replace(case, terms=terms))["coat_now"]
    money = ledger.at_holding - sum(ledger.by_category.get(name, 0.0) for name in ("days", "hours", "energy"))
    assert float(found.total.expected.mean) == pytest.approx(float(drawn.weights @ money), abs=0.01)
    assert found.total.expected.p10 < found.total.expected.p50 < found.total.expected.p90


def test_prices_that_differ_are_named() -> None:
    scenario = plain()
    log = log_of(scenario, ("2027-04-01", "reseal", 300.0), ("2027-04-02", "touch-up", 42.0))
    reseal, touch_up = prices_paid(scenario, log)
    assert (reseal.name, reseal.times, reseal.paid, reseal.taken) == ("reseal", 1, 300.0, 500.0)
    assert reseal.another and not touch_up.another


def test_a_row_is_within_its_band_but_for_rounding() -> None:
    band = Band(*(np.array(value) for value in (1000.0, 900.0, 1000.0, 1100.0)))
    assert [Held("a", spent, band).within for spent in (870.0, 881.0, 1119.0, 1130.0)] == [
        False,
        True,
        True,
        False,
    ]


def test_the_other_way_is_what_one_would_do_otherwise() -> None:
    assert other_way(plain(), "coat_in_year_5") == "keep"
    assert other_way(plain(), "keep") == "coat_now"
    lone = replace(plain(), alternatives=plain().alternatives[:1])
    assert other_way(lone, "keep") is None


# --- Leaks -------------------------------------------------------------------------------------------


def test_leaks_that_are_found_at_once_by_hand() -> None:
    """Punctures 0.2 a year, signs that show all: in three years 0.6 are found, P(none) = exp(-0.6)."""
    scenario = plain(punctures="0.2", signs="1000")
    case = resolve(scenario)
    found = seen(case, log_of(scenario, ("2028-05-01", "leak")), 1)
    assert found.found[0] == pytest.approx(0.6)
    assert found.log_likelihood[0] == pytest.approx(math.log(0.6 * math.exp(-0.6)))
    rate = rate_of(found.found, np.ones(1), 1)
    assert rate.chance(0) == pytest.approx(math.exp(-0.6)) and rate.times == 1.0


def test_jobs_that_were_done_find_leaks_and_those_that_were_not_do_not() -> None:
    """Without signs, one reseal after a year finds half of the year's 0.2 leaks; nothing logged: none."""
    scenario = plain(punctures="0.2", signs="0")
    case = resolve(scenario)
    assert seen(case, log_of(scenario), 1).found[0] == 0.0
    assert seen(case, log_of(scenario, ("2028-04-01", "reseal")), 1).found[0] == pytest.approx(0.1)


def test_stretches_begin_with_a_new_roof() -> None:
    scenario = plain()
    log = log_of(
        scenario,
        ("2027-05-01", "leak"),
        ("2028-04-01", "renewal"),
        ("2028-04-01", "look"),
        ("2029-04-01", "leak"),
        way="coat_now",
    )
    first, second = stretches(log)
    assert (first.first, first.last, first.leaks, first.renewed) == (0, 12, 1, False)
    assert (second.first, second.last, second.leaks, second.renewed) == (12, 36, 1, True)


def test_the_gamma_variable_in_closed_form() -> None:
    """The conjugate update, against scipy's gamma and negative binomial."""
    rate = Rate(0.4, 0.08, 2)
    a, b = 0.4**2 / 0.08, 0.4 / 0.08
    assert rate.after == pytest.approx(stats.gamma(a + 2, scale=1.0 / (b + 1.0)).mean())
    for number in range(6):
        assert rate.chance(number) == pytest.approx(stats.nbinom(a, b / (b + 1.0)).pmf(number))
    assert rate.chance_of_as_many() == pytest.approx(stats.nbinom(a, b / (b + 1.0)).sf(1))
    assert Rate(0.4, 0.0, 2).chance_of_as_many() == pytest.approx(stats.poisson(0.4).sf(1))
    assert Rate(0.0, 0.0, 0).chance(0) == 1.0 and Rate(0.0, 0.0, 1).chance_of_as_many() == 0.0


@given(st.floats(0.001, 20.0), st.floats(0.001, 5.0), st.integers(0, 12))
@settings(max_examples=60)
def test_more_leaks_never_lower_the_rate(mean: float, spread: float, leaks: int) -> None:
    few, more = (Rate(mean, (spread * mean) ** 2, number) for number in (leaks, leaks + 1))
    assert few.after < more.after
    assert more.chance_of_as_many() <= few.chance_of_as_many() + 1e-9 or leaks == 0
    assert few.after < mean if leaks == 0 else True


def test_the_closed_form_agrees_with_drawing_by_brute_force() -> None:
    """Rates drawn from the gamma variable, leaks drawn from each rate: what is left where 2 were found."""
    rate = Rate(0.5, 0.1, 2)
    chance = np.random.default_rng(5)
    drawn = chance.gamma(rate.shape, 1.0 / rate.rate, 400_000)
    leaks = chance.poisson(drawn)
    assert drawn[leaks == 2].mean() == pytest.approx(rate.after, rel=0.01)
    assert np.mean(leaks == 0) == pytest.approx(rate.chance(0), abs=0.003)


@pytest.mark.parametrize("leaks", [0, 1, 3])
def test_weighing_the_futures_agrees_roughly_with_the_closed_form(leaks: int) -> None:
    scenario, _ = shipped("cold-stored-trailer")
    drawn = futures(scenario, draws=256)
    rows = [(f"2029-0{month}-01", "leak") for month in range(1, leaks + 1)]
    found = seen(
        resolve(scenario, drawn.sample.values), log_of(scenario, ("2028-05-01", "reseal"), *rows), 256
    )
    after = weighed(drawn, found.log_likelihood)
    rate = rate_of(found.found, drawn.weights, leaks)
    assert after.weights @ found.found == pytest.approx(rate.after, rel=0.12)
    assert after.weights.sum() == pytest.approx(1.0)
    none = drawn.weights @ np.exp(poisson_log(0, found.found))
    assert none == pytest.approx(rate.chance(0), abs=0.01)


def test_a_log_from_new_is_the_roofs_history() -> None:
    """A roof that is new at the base date: the log says what `leaks_found` would say of it."""
    scenario = plain(punctures=DOUBTED)
    drawn = futures(scenario, draws=DRAWS)
    rows = [
        ("2028-04-01", "reseal"),
        ("2029-04-01", "reseal"),
        ("2029-04-01", "touch-up"),
        ("2029-06-01", "leak"),
    ]
    log = log_of(scenario, *rows, today="2030-03-31")
    found = seen(resolve(scenario, drawn.sample.values), log, DRAWS)
    new = brought_forward(scenario, log)
    case = resolve(new, drawn.sample.values)
    assert (case.existing.age, case.existing.seal_age, case.existing.leaks_found) == (35, 11, None)
    _, by_history = standing_and_found(case.existing, case.leaks, DRAWS)
    assert by_history == pytest.approx(found.found, rel=1e-9)


def test_leaks_found_before_are_added_to_those_of_the_log() -> None:
    scenario, _ = shipped("humid-coast-motorhome")
    new = brought_forward(scenario, log_of(scenario, ("2028-04-01", "reseal"), ("2029-01-01", "leak")))
    assert new.likely(new.existing.numbers["leaks_found"]) == 1.0
    sprayed = log_of(scenario, ("2027-04-19", "leak"), ("2027-04-20", "renewal"), ("2028-04-20", "leak"))
    assert brought_forward(scenario, sprayed).existing.numbers["leaks_found"] == 1.0


def test_a_way_as_planned_finds_what_its_jobs_find() -> None:
    scenario = plain(punctures="0.2", signs="1000")
    case = resolve(scenario)
    assert found_as_planned(case, "keep", 36, 1)[0] == pytest.approx(0.6)
    assert found_as_planned(case, "coat_now", 36, 1)[0] == 0.0
    assert found_as_planned(case, "coat_in_year_5", 96, 1)[0] == pytest.approx(1.0)


def test_a_log_that_no_future_can_explain() -> None:
    from lifecycle.studies.futures import NoFuture

    scenario = plain(punctures="0")
    drawn = futures(scenario, draws=DRAWS)
    found = seen(resolve(scenario, drawn.sample.values), log_of(scenario, ("2028-04-01", "leak")), DRAWS)
    with pytest.raises(NoFuture, match="no draw of the inputs can explain it"):
        weighed(drawn, found.log_likelihood)


# --- From today on -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["humid-coast-motorhome", "worked-example-1"])
def test_an_empty_log_says_what_the_comparison_says(name: str) -> None:
    scenario, drawn = shipped(name)
    log = log_of(scenario, today=str(scenario.base_date))
    assert brought_forward(scenario, log) is scenario
    found = from_today(scenario, log, drawn, drawn)
    compared = doubt(scenario, draws=DRAWS)
    savings = compared.band(compared.net_savings("coat_now"))
    assert found.now == found.then == found.hindsight
    assert found.now is not None and found.now.middle == pytest.approx(float(savings.mean))
    assert (found.now.low, found.now.high) == pytest.approx((float(savings.p10), float(savings.p90)))
    chance = compared.chance_cheaper("coat_now") if drawn.sample.values else None
    assert found.now.chance == (None if chance is None else pytest.approx(chance))


def test_the_roof_is_brought_forward_with_its_clocks() -> None:
    """By hand: resealed in month 12, touched up (half of it) in month 18, today month 30.

    The seal age is (0 + 6) / 2 = 3 months after the touch-up, and 3 + 12 = 15 today; the reseal was 18
    months ago, the touch-up 12.
    """
    scenario = plain()
    log = log_of(scenario, ("2028-04-01", "reseal"), ("2028-10-01", "touch-up"), today="2029-10-01")
    new = brought_forward(scenario, log)
    existing = resolve(new).existing
    assert (existing.age, existing.seal_age) == (30, 15)
    assert existing.last_visits == {"reseal": 18, "touch-up": 12}
    assert new.base_date == date(2029, 10, 1)
    assert resolve(new).terms.holding_period == pytest.approx(5.5)
    assert [round(12 * new.likely(way.change or 0.0)) for way in new.alternatives] == [0, 0, 30]
    assert existing.hidden_now is None


def test_a_job_that_was_never_done_is_overdue() -> None:
    scenario, _ = shipped("cold-stored-trailer")
    existing = resolve(brought_forward(scenario, log_of(scenario))).existing
    assert (existing.age, existing.seal_age, existing.last_visits["reseal"]) == (120, 76, 76)


def test_a_planned_change_that_is_over_is_left_out() -> None:
    scenario = plain()
    drawn = futures(scenario, draws=DRAWS)
    log = log_of(scenario, today="2032-06-01")
    found = from_today(scenario, log, drawn, drawn)
    assert found.over == ("Spray in year 5",) and not found.closed
    assert [way.name for way in found.scenario.alternatives] == ["keep", "coat_now"]


def test_whoever_keeps_it_longer_than_meant_is_reckoned_one_more_year() -> None:
    scenario = plain()
    drawn = futures(scenario, draws=DRAWS)
    found = from_today(scenario, log_of(scenario, today="2036-06-01"), drawn, drawn)
    assert found.years_are_up and found.now is not None and found.now.years == 1.0


def test_with_another_covering_the_question_is_closed() -> None:
    """What is left is upkeep. By hand: kept another 5 years, aged 36 months, a topcoat each 36 months.

    As planned a topcoat of 900 is due today (month 36) and again after 3 years; without it both fall away.
    """
    scenario = plain(punctures="0")
    drawn = futures(scenario, draws=DRAWS)
    log = log_of(scenario, ("2027-04-01", "renewal", 6000.0))
    assert is_closed(scenario, log)
    found = from_today(scenario, log, drawn, drawn)
    assert found.closed and found.now is None and found.hindsight == found.then
    existing = resolve(found.scenario).existing
    assert (existing.roof.name, existing.age, existing.leaks_found) == ("coating", 36, 0)
    without = {answer.subject: answer for answer in found.remaining}
    saved = 900.0 * (1.0 + 1.03**-3)
    assert without["Leave out the topcoat"].middle == pytest.approx(saved, abs=0.01)
    assert without["Leave out the topcoat"].years == 5.0
    assert without["Leave out the look"].middle == pytest.approx(0.0, abs=1e-6)


def test_with_the_same_covering_the_question_stays_open() -> None:
    scenario = plain()
    log = log_of(scenario, ("2028-04-01", "renewal", 5000.0), way="keep")
    assert not is_closed(scenario, log)
    existing = resolve(brought_forward(scenario, log)).existing
    assert (existing.age, existing.seal_age, existing.last_visits) == (24, 24, {"reseal": 24, "touch-up": 24})


def test_many_leaks_speak_for_a_roof_without_joints() -> None:
    """Leaks found on the membrane raise its rate, and with it what spraying saves from today on."""
    scenario = plain(punctures=DOUBTED, signs="4")
    drawn = futures(scenario, draws=DRAWS)
    middles = []
    for leaks in (0, 4):
        rows = [(f"2029-0{month}-01", "leak") for month in range(1, leaks + 1)]
        log = log_of(scenario, *rows)
        found = seen(resolve(scenario, drawn.sample.values), log, DRAWS)
        answer = from_today(scenario, log, drawn, weighed(drawn, found.log_likelihood)).now
        middles.append(answer.middle if answer else math.nan)
    assert middles[1] > middles[0] + 100.0


@pytest.mark.parametrize(
    ("then", "now", "becomes"),
    [
        ("cheaper", "cheaper", STANDS),
        ("probably dearer", "dearer", SHIFTS),
        ("cheaper", "could go either way", CHANGES),
        ("about the same", "probably cheaper", CHANGES),
    ],
)
def test_an_answer_stands_on_its_side(then: str, now: str, becomes: str) -> None:
    answers = [Answer("Spray", "Keep", 8.0, word, 0.0, 0.0, 0.0, None) for word in (then, now)]
    assert what_becomes(*answers) == becomes
