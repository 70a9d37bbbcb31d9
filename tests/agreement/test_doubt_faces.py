"""One doubt on every face: library, command line in words and as JSON, and comparison say the same."""

from __future__ import annotations

import io
import json
from contextlib import redirect_stdout
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from lifecycle.cli.main import main
from lifecycle.evaluation.comparison import compare
from lifecycle.files import load
from lifecycle.language.verdict import verdict_under
from lifecycle.studies.assessment import brief
from lifecycle.studies.difference import difference
from lifecycle.studies.doubt import doubt, of_20
from lifecycle.studies.futures import futures
from lifecycle.studies.habits import habits
from lifecycle.studies.timing import timing
from lifecycle.studies.ways import one_set
from lifecycle.writers import as_json

SCENARIOS = Path(__file__).parents[2] / "scenarios"
ALL = sorted(
    path.stem for path in SCENARIOS.glob("*.toml") if 'trouble = ["' not in path.read_text(encoding="utf-8")
)
DRAWS, SEED = 32, 3
ASKED = ("--draws", str(DRAWS), "--seed", str(SEED))


pytestmark = pytest.mark.usefixtures("few_lives")


def said(*arguments: str) -> str:
    """Return what a command prints."""
    with redirect_stdout(io.StringIO()) as out:
        assert main(arguments) == 0
    return out.getvalue()


once = cache(said)
"""What a command printed the first time."""


def read(text: str) -> dict[str, Any]:
    """Read JSON; NaN and infinity are none."""

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} in the result")

    found: dict[str, Any] = json.loads(text, parse_constant=refuse)
    return found


def file(name: str) -> str:
    return str(SCENARIOS / f"{name}.toml")


@cache
def by_doubt(name: str) -> dict[str, Any]:
    return read(once("doubt", file(name), *ASKED, "--json"))


@cache
def by_compare(name: str) -> dict[str, Any]:
    return read(said("compare", file(name), *ASKED, "--json"))


@pytest.mark.parametrize("name", ALL)
def test_the_comparison_gives_the_verdict_of_the_doubt(name: str) -> None:
    assert by_compare(name)["verdict"] == by_doubt(name)["verdict"]
    assert by_compare(name)["verdict_parts"] == by_doubt(name)["verdict_parts"]


@pytest.mark.parametrize("name", ["humid-coast-motorhome", "worked-example-1"])
def test_the_comparison_in_words_gives_the_verdict_of_its_result(name: str) -> None:
    text = " ".join(said("compare", file(name), *ASKED).split())
    for line in by_compare(name)["verdict"]:
        assert " ".join(line.split()) in text


@pytest.mark.parametrize("name", ALL)
def test_what_the_comparison_carries_of_the_doubt_is_the_doubt(name: str) -> None:
    whole, part = by_doubt(name), by_compare(name)["doubt"]
    apart = {"reasons", "table_of_20s", "look_before_signing"}
    assert {key: value for key, value in part.items() if key not in apart} == {
        key: whole[key] for key in part if key not in apart
    }
    assert set(part["reasons"]) == apart - {"reasons"}
    assert part["table_of_20s"] is part["look_before_signing"] is None


@pytest.mark.parametrize("name", ALL)
def test_the_result_holds_together(name: str) -> None:
    found = by_doubt(name)
    assert sum(found["chance_cheapest"].values()) == pytest.approx(1.0, abs=1e-9)
    loss = min(found["expected_opportunity_loss"].values())
    assert found["perfect_information"]["total"] == pytest.approx(loss, rel=1e-9, abs=1e-6)
    worths = (found["perfect_information"][part] for part in ("by_group", "by_input"))
    assert all(-1e-9 <= worth <= loss + 1e-6 for part in worths for worth in part.values())
    ways = list(found["alternatives"])
    for table in ("chance_cheapest", "chance_cheaper", "expected_opportunity_loss"):
        assert list(found[table]) == ways
    assert set(found["luck"]["alternatives"]) == set(ways)
    for row in found["table_of_20s"].values():
        assert all(0 <= number <= 20 and isinstance(number, int) for number in row.values())
    for way in found["alternatives"].values():
        lengths = {
            len(values) for band in (way["cost"], way.get("net_savings", {})) for values in band.values()
        }
        assert len(lengths) == 1
    assert (found["draws"], found["seed"]) == (DRAWS, SEED)
    assert 0.0 < found["effective_draws"] <= DRAWS + 1e-9


@pytest.mark.parametrize("name", ["humid-coast-motorhome", "worked-example-2"])
def test_the_library_gives_the_figures_of_the_command_line(name: str) -> None:
    scenario = load(file(name))
    scenario = one_set(scenario, futures(scenario, draws=DRAWS, seed=SEED))
    result, found = doubt(scenario, draws=DRAWS, seed=SEED), by_doubt(name)
    for way, costs in result.costs.items():
        band = result.band(costs)
        for point in ("mean", "p10", "p50", "p90"):
            assert found["alternatives"][way]["cost"][point] == getattr(band, point).tolist()
    for way, than in found["chance_cheaper"].items():
        for other, chance in than.items():
            assert chance == result.chance_cheaper(way, other)
    table = habits(scenario, draws=DRAWS, seed=SEED)
    assert found["table_of_20s"] == {
        plan: {str(year): number for year, number in row.items()} for plan, row in table.of_20.items()
    }


def test_the_verdict_follows_from_the_curves() -> None:
    """At whole years kept the parts of the verdict stand in the curves of the same result."""
    found = by_doubt("humid-coast-motorhome")
    parts, years = found["verdict_parts"], found["holding_period"]
    savings = found["alternatives"][parts["subject"]]["net_savings"]
    assert parts["middle"] == pytest.approx(savings["mean"][years])
    assert (parts["low"], parts["high"]) == pytest.approx((savings["p10"][years], savings["p90"][years]))
    assert parts["of_20"] == of_20(found["chance_cheaper"][parts["subject"]][parts["against"]])


def test_the_library_gives_the_verdict_of_the_command_line() -> None:
    scenario = load(file("own-hands"))
    answer = verdict_under(compare(scenario), brief(scenario, draws=DRAWS, seed=SEED))
    assert [*answer.lines, *answer.beside] == by_compare("own-hands")["verdict"]


def test_timing_and_difference_are_those_of_the_library() -> None:
    scenario = load(file("sells-in-three-years"))
    found = read(once("timing", file("sells-in-three-years"), *ASKED, "--json"))
    times = timing(scenario, draws=DRAWS, seed=SEED)
    assert [choice["cost"]["mean"] for choice in found["change"]] == [
        float(c.cost.mean) for c in times.change
    ]
    assert found["best_reseal"] == (times.best_reseal.when if times.best_reseal else None)
    names = ("humid-coast-motorhome", "own-hands")
    why = read(once("difference", *map(file, names), "--json"))
    split = difference(*map(load, map(file, names)))
    assert why["difference"] == split.total
    assert [cause["amount"] for cause in why["causes"]] == [cause.amount for cause in split.causes]
    assert np.isclose(sum(cause["amount"] for cause in why["causes"]), why["difference"], rtol=1e-9)


@pytest.mark.parametrize(
    "arguments",
    [
        ("doubt", file("humid-coast-motorhome"), *ASKED, "--json"),
        ("timing", file("sells-in-three-years"), *ASKED, "--json"),
        ("sensitivity", file("sells-in-three-years"), "--json"),
        ("difference", file("humid-coast-motorhome"), file("own-hands"), "--json"),
    ],
    ids=lambda arguments: arguments[0],
)
def test_the_same_seed_gives_the_same_bytes(arguments: tuple[str, ...]) -> None:
    assert said(*arguments) == once(*arguments)


def test_another_seed_gives_other_draws_and_other_luck() -> None:
    other = read(said("doubt", file("humid-coast-motorhome"), "--draws", str(DRAWS), "--seed", "4", "--json"))
    found = by_doubt("humid-coast-motorhome")
    assert other["alternatives"]["keep"]["cost"]["mean"] != found["alternatives"]["keep"]["cost"]["mean"]
    luck = (result["luck"]["alternatives"]["keep"]["chance_of_new_roof"] for result in (other, found))
    assert next(luck) != next(luck)


def test_results_are_plain_json() -> None:
    with pytest.raises(ValueError, match=r"not JSON compliant|Out of range float"):
        as_json({"a": float("nan")})
    assert read(as_json(by_doubt("own-hands"))) == by_doubt("own-hands")
