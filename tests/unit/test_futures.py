"""The evaluator of futures: what is kept is what is worked out, and nothing is worked out twice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import fields, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from lifecycle.evaluation import expectation
from lifecycle.evaluation.expectation import evaluate
from lifecycle.files import load
from lifecycle.roofs import Case, Roof, Visit
from lifecycle.scenario import resolve
from lifecycle.studies import futures as module
from lifecycle.studies.assessment import whole
from lifecycle.studies.doubt import under
from lifecycle.studies.futures import Evaluator, futures, in_draws, lines_at_holding, priced, unpriced

SCENARIOS = Path(__file__).parents[2] / "scenarios"
DRAWS = 40


@cache
def case() -> Case:
    """Return a shipped scenario in a few futures; years kept differ from future to future."""
    scenario = load(SCENARIOS / "sells-in-three-years.toml")
    return in_draws(scenario, futures(scenario, draws=DRAWS, seed=4))


def sold_after(years: float, last: int, of: Case | None = None) -> Case:
    """Return a case sold after the same years in all futures, with curves to a last year."""
    asked = of or case()
    return replace(asked, terms=replace(asked.terms, study_period=last, holding_period=years))


@pytest.fixture
def ways(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """Count the ways that are evaluated, by name."""
    counted: Counter[str] = Counter()

    def seen(asked: Case, **options: Any) -> Any:
        counted.update(way.name for way in asked.alternatives)
        return evaluate(asked, **options)

    monkeypatch.setattr(module, "evaluate", seen)
    return counted


def test_costs_are_those_of_the_expectation() -> None:
    got = Evaluator().costs(case(), DRAWS)
    assert list(got) == [way.name for way in case().alternatives]
    for name, ledger in evaluate(case(), totals_only=True).items():
        assert_allclose(got[name].by_year, ledger.net_present_cost, rtol=1e-12)
        assert_allclose(got[name].at_holding, ledger.at_holding, rtol=1e-12)
        assert_allclose(got[name].first_change, ledger.first_change_at_holding, rtol=1e-12)


@pytest.mark.parametrize("years", [3.0, 2.5])
def test_what_is_kept_is_what_is_worked_out_anew(years: float, ways: Counter[str]) -> None:
    work = Evaluator()
    work.costs(sold_after(years, 8), DRAWS)
    ways.clear()
    kept = work.costs(sold_after(years, 4), DRAWS)
    assert not ways
    anew = Evaluator().costs(sold_after(years, 4), DRAWS)
    for name, cost in anew.items():
        assert cost.by_year.shape == kept[name].by_year.shape == (DRAWS, 5)
        assert_array_equal(kept[name].by_year, cost.by_year)
        assert_array_equal(kept[name].at_holding, cost.at_holding)


def test_only_what_a_change_touches_is_worked_out_again(ways: Counter[str]) -> None:
    work = Evaluator()
    work.costs(sold_after(3.0, 5), DRAWS)
    base = case().base_case
    other = tuple(way for way in case().alternatives if way.name != base.name)
    ways.clear()
    dearer = replace(other[0], days=np.asarray(other[0].days) + 1.0)
    renamed = replace(base, name="as before", title="another title")
    found = work.costs(sold_after(2.0, 5, replace(case(), alternatives=(dearer, renamed, *other[1:]))), DRAWS)
    assert ways == {dearer.name: 1}, "neither another name nor other whole years are another way"
    assert_array_equal(found["as before"].at_holding, found["as before"].by_year[:, 2])
    work.costs(sold_after(2.0, 6), DRAWS)
    assert ways[base.name] == 1, "a longer curve is"
    work.costs(sold_after(2.5, 6), DRAWS)
    assert ways[base.name] == 2, "and years that are not whole"


@pytest.mark.parametrize("years", [3.0, 2.5])
def test_another_price_of_the_first_change_needs_no_evaluation(years: float, ways: Counter[str]) -> None:
    now = next(way for way in case().alternatives if way.change_month == 0)
    later = replace(now, name="later", change_month=12)
    asked = sold_after(years, 5, replace(case(), alternatives=(case().base_case, now, later)))
    work = Evaluator()
    work.costs(asked, DRAWS)
    ways.clear()
    prices = np.linspace(5000.0, 9000.0, DRAWS)
    dearer = tuple(replace(way, quote=prices) for way in asked.alternatives)
    asked = replace(asked, alternatives=dearer)
    got = work.costs(asked, DRAWS)
    assert not ways
    for name, ledger in evaluate(asked, totals_only=True).items():
        assert_allclose(got[name].by_year, ledger.net_present_cost, rtol=1e-12)
        assert_allclose(got[name].at_holding, ledger.at_holding, rtol=1e-12)


def test_ways_alike_are_worked_out_once_and_equal_roofs_to_follow_run_once(
    ways: Counter[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    laid: list[str] = []
    run = expectation.new_roof

    def seen(roof: Any, *rest: Any) -> Any:
        laid.append(roof.name)
        return run(roof, *rest)

    monkeypatch.setattr(expectation, "found", lambda: (None, "the numpy form is looked into"))
    monkeypatch.setattr(expectation, "new_roof", seen)
    base = case().base_case
    twin = replace(base, name="twin", base_case=False)
    copy = replace(base.then, name="the same roof again")
    later = replace(base, name="later", base_case=False, change_month=24, then=copy)
    found = Evaluator().costs(replace(case(), alternatives=(base, twin, later)), DRAWS)
    assert ways == {base.name: 1, "later": 1} and len(laid) == 1
    assert_array_equal(found["twin"].by_year, found[base.name].by_year)
    assert np.all(found["later"].by_year[:, 3] != found[base.name].by_year[:, 3])


def test_it_says_how_far_it_is_and_can_be_stopped_between_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_BLOCK", 16)
    monkeypatch.setattr(module, "_WAYS", 2)
    told: list[tuple[int, int]] = []
    number = len(case().alternatives)
    Evaluator().costs(case(), DRAWS, progress=lambda done, of: told.append((done, of)))
    assert told[0] == (0, DRAWS * number) and told[-1] == (DRAWS * number, DRAWS * number)
    assert len(told) == 1 + 3 * -(-number // 2) and told == sorted(told)

    def stop(done: int, of: int) -> None:
        if done:
            raise InterruptedError

    work = Evaluator()
    with pytest.raises(InterruptedError):
        work.costs(case(), DRAWS, progress=stop)
    whole = work.costs(case(), DRAWS)
    assert_array_equal(
        whole[case().base_case.name].by_year, Evaluator().costs(case(), DRAWS)[case().base_case.name].by_year
    )


def test_what_is_kept_has_a_limit(monkeypatch: pytest.MonkeyPatch, ways: Counter[str]) -> None:
    monkeypatch.setattr(module, "KEPT", 0)
    work = Evaluator()
    first = work.costs(sold_after(3.0, 5), DRAWS)
    again = work.costs(sold_after(3.0, 5), DRAWS)
    assert set(ways.values()) == {2}
    for name, cost in first.items():
        assert_array_equal(again[name].by_year, cost.by_year)


def test_one_case_stands_for_all_futures() -> None:
    plain = resolve(load(SCENARIOS / "worked-example-1.toml"))
    got = Evaluator().costs(plain, 3)["keep"]
    assert got.by_year.shape == (3, 21) and got.at_holding.shape == (3,)
    assert got.at_holding == pytest.approx(np.full(3, 11030.51), abs=0.005)


def test_costs_at_own_years_do_not_depend_on_the_block(monkeypatch: pytest.MonkeyPatch) -> None:
    def costs() -> dict[str, Any]:
        lines = lines_at_holding(case(), rows=DRAWS)
        return {
            way.name: priced(lines[way.name], unpriced(way, case().terms)[1]) for way in case().alternatives
        }

    once = costs()
    monkeypatch.setattr(module, "_BLOCK_AT_HOLDING", 7)
    often = costs()
    assert set(once) == set(often) == {way.name for way in case().alternatives}
    for name, ledger in evaluate(case(), totals_only=True).items():
        assert_allclose(once[name], ledger.at_holding, rtol=1e-12)
        assert_allclose(often[name], once[name], rtol=1e-12)


def test_a_whole_study_works_out_no_way_of_its_scenario_twice(ways: Counter[str]) -> None:
    """The curves of the doubt serve the table of 20s; only the look, another past, runs each way again."""
    scenario = load(SCENARIOS / "humid-coast-motorhome.toml")
    whole(scenario, draws=16)
    assert ways["keep"] == 2 and ways["coat_now"] == 3  # once more without the warranty that the shop states
    assert "keep under shop_every_year" not in ways and ways["keep under nothing"] == 1


def dearer(visits: tuple[Visit, ...]) -> tuple[Visit, ...]:
    return tuple(replace(visit, cost=2.0 * visit.cost + 11.0) for visit in visits)


def test_other_prices_of_jobs_hours_and_days_need_no_evaluation(ways: Counter[str]) -> None:
    def roof(one: Roof) -> Roof:
        return replace(one, visits=dearer(one.visits), visits_after=dearer(one.visits_after))

    before = case()
    terms = replace(
        before.terms, hour_value=41.0, day_cost=before.terms.day_cost + np.linspace(3.0, 99.0, DRAWS)
    )
    others = tuple(
        replace(way, quote=way.quote + 500.0, roof=roof(way.roof), then=roof(way.then))
        for way in before.alternatives
    )
    after = replace(before, terms=terms, alternatives=others)
    work = Evaluator()
    cheap = work.costs(before, DRAWS)
    ways.clear()
    got = work.costs(after, DRAWS)
    assert not ways
    for name, ledger in evaluate(after, totals_only=True).items():
        assert np.all(got[name].at_holding > cheap[name].at_holding)
        assert_allclose(got[name].by_year, ledger.net_present_cost, rtol=1e-12)
        assert_allclose(got[name].at_holding, ledger.at_holding, rtol=1e-12)


def test_visits_of_one_name_may_differ_in_price(ways: Counter[str]) -> None:
    """Then their line is money, and another price is another way."""
    way = next(one for one in case().alternatives if one.then.visits and one.roof.visits)
    named = replace(
        way.then, visits=tuple(replace(one, name=way.roof.visits[0].name) for one in way.then.visits)
    )
    asked = replace(case(), alternatives=(replace(way, then=replace(named, visits=dearer(named.visits))),))
    work = Evaluator()
    exact = evaluate(asked, totals_only=True)[way.name].at_holding
    assert_allclose(work.costs(asked, DRAWS)[way.name].at_holding, exact, rtol=1e-12)
    ways.clear()
    work.costs(replace(asked, alternatives=(replace(way, then=named),)), DRAWS)
    assert ways == {way.name: 1}


def test_a_doubt_of_some_ways_is_that_of_all() -> None:
    scenario = load(SCENARIOS / "sells-in-three-years.toml")
    drawn = futures(scenario, draws=16)
    every, some = under(scenario, drawn), under(scenario, drawn, ways=("keep", "coat_now"))
    assert some.names == ("keep", "coat_now") and len(every.names) > 2
    assert_array_equal(some.cost("coat_now"), every.cost("coat_now"))


def moved(thing: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Return a thing with one of its numbers moved, for each number within, with the place of the number."""
    if isinstance(thing, bool) or thing is None or isinstance(thing, str):
        return
    if isinstance(thing, int | float):
        if np.isfinite(thing):
            yield path, thing + 1 if isinstance(thing, int) else thing * 0.5 + 0.125
    elif isinstance(thing, Mapping):
        for key, value in thing.items():
            yield from ((place, {**thing, key: new}) for place, new in moved(value, f"{path}.{key}"))
    elif isinstance(thing, tuple):
        for at, value in enumerate(thing):
            for place, new in moved(value, path):
                yield place, (*thing[:at], new, *thing[at + 1 :])
    else:
        for part in fields(thing):
            value = getattr(thing, part.name)
            for place, new in moved(value, f"{path}.{part.name}"):
                yield place, replace(thing, **{part.name: new})


def test_every_number_that_a_cost_stands_on_tells_two_ways_apart(ways: Counter[str]) -> None:
    """A number that is moved makes another way, but for those that move no cost of this way."""
    plain = resolve(load(SCENARIOS / "worked-example-2.toml"))
    keep = plain.alternative("keep")
    terms = replace(plain.terms, study_period=2, holding_period=2.0, escalation={"upkeep": 0.01})
    existing = replace(plain.existing, last_visits={"reseal": 3}, leaks_found=1)
    asked = replace(plain, terms=terms, existing=existing, alternatives=(keep,), loan=None)
    free = {
        ".existing.leaks_found",  # weighs futures, costs nothing
        *(f".existing.roof.visits.{name}" for name in ("cost", "hours", "days")),  # paid already
        ".alternatives.quote",  # added for the number of first changes
        ".terms.hour_value",  # and of hours
        ".terms.day_cost",  # and of days
    }
    work = Evaluator()
    work.costs(asked, 1)
    silent, told = set(), set()
    for place, other in moved(asked):
        if place in (".terms.study_period", ".terms.holding_period"):
            continue  # the curve has both, as far as it goes: tested above
        ways.clear()
        work.costs(other, 1)
        (told if ways else silent).add(place)
    assert silent == free
    assert len(told) > 40 and ".terms.escalation.upkeep" in told and ".existing.last_visits.reseal" in told
