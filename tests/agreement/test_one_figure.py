"""One number for one gap: every face on six scenarios, and every figure that two of them share.

Nothing here comes from outside: faces are held against each other, to the cent. Which ways there are, what
they cost on average, what line 1 says and in how many of 20 futures must be the same wherever it stands.
"""

from __future__ import annotations

import io
import json
from contextlib import redirect_stdout
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from lifecycle.answers.papers import Gathered, gather
from lifecycle.cli.main import main
from lifecycle.files import load
from lifecycle.language.verdict import first_lines
from lifecycle.pages.panels.session import Answer, Answering
from lifecycle.studies.doubt import of_20

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SIX = (
    "humid-coast-motorhome",
    "two-quotes",
    "cold-stored-trailer",
    "hidden-wet-spot",
    "own-hands",
    "sells-in-three-years",
)

DRAWS = 64
"""Futures where a face says how many: as many for all, and few, for what is held together is to the cent."""

pytestmark = [pytest.mark.slow, pytest.mark.usefixtures("few_lives")]


@pytest.fixture(params=SIX, scope="module")
def name(request: pytest.FixtureRequest) -> str:
    """A scenario; all that is asked of it stands together, so that no command is given twice."""
    return str(request.param)


def file(name: str) -> str:
    return str(SCENARIOS / f"{name}.toml")


@cache
def asked(command: str, *arguments: str) -> dict[str, Any]:
    """Return the JSON of a command."""
    with redirect_stdout(io.StringIO()) as out:
        assert main((command, *arguments, "--json")) == 0
    found: dict[str, Any] = json.loads(out.getvalue())
    return found


def of(command: str, name: str) -> dict[str, Any]:
    return asked(command, file(name), "--draws", str(DRAWS))


@cache
def page(name: str) -> Answer:
    return Answering(draws=DRAWS).whole(load(file(name)), lambda: None)


@cache
def papers(name: str) -> Gathered:
    return gather(load(file(name)), draws=DRAWS)


def means(command: str, name: str) -> dict[str, float]:
    """Return the mean cost of each way at the years kept, as a command has it."""
    found = of(command, name)
    ways = found["doubt"]["alternatives"] if command == "compare" else found["alternatives"]
    return {way: said["cost"]["mean"][found["holding_period"]] for way, said in ways.items()}


def test_the_verdict_is_the_same_on_every_face(name: str) -> None:
    compared, doubted = of("compare", name), of("doubt", name)
    assert compared["verdict"] == doubted["verdict"]
    for answer in (page(name).verdict, papers(name).answer):
        assert [*answer.lines, *answer.beside] == compared["verdict"]
        parts = json.loads(json.dumps(answer.parts.as_result()))
        for part in ("do", "leads", "level_with", "leads_over", "word", "of_20", "if_sold", "border"):
            assert parts[part] == compared["verdict_parts"][part], part
        assert answer.parts.middle == pytest.approx(compared["verdict_parts"]["middle"], rel=1e-9)


def test_the_same_way_has_the_same_mean_to_the_cent(name: str) -> None:
    here, there = means("compare", name), means("doubt", name)
    assert here == pytest.approx(there, abs=0.005)
    found = page(name).found
    assert found is not None
    on_page = dict(zip(found.doubt.names, found.doubt.futures.weights @ found.doubt.at_years, strict=True))
    assert on_page == pytest.approx(here, abs=0.005)
    timed = {choice["when"]: choice["cost"]["mean"] for choice in of("timing", name)["change"]}
    at = {way.name: way for way in found.scenario.alternatives}
    changed = 0
    for way, mean in here.items():
        change = at[way].change
        if way.startswith("coat") and way not in (found.judged.others if found.judged else ()):
            when = "when it must" if change is None else round(found.scenario.likely(change))
            assert timed[when] == pytest.approx(mean, abs=0.005), way
            changed += 1
    assert changed >= 3
    kept = [mean for way, mean in here.items() if way.startswith("keep")]
    assert timed["never"] == pytest.approx(min(kept), abs=0.005)


def test_line_1_is_never_undercut_by_another_date(name: str) -> None:
    """`timing` tries every date under every upkeep: none may be cheaper than what line 1 says."""
    parts = of("compare", name)["verdict_parts"]
    least = min(choice["cost"]["mean"] for choice in of("timing", name)["change"])
    assert means("compare", name)[parts["leads"]] == pytest.approx(least, abs=0.005)


def test_gaps_and_counts_follow_from_the_same_table(name: str) -> None:
    found = of("doubt", name)
    parts, cost = found["verdict_parts"], means("doubt", name)
    by = parts["by"]
    assert by["mean"] == pytest.approx(abs(cost[parts["leads"]] - cost[parts["leads_over"]]), abs=0.005)
    assert parts["middle"] == pytest.approx(cost[parts["against"]] - cost[parts["subject"]], abs=0.005)
    pairs = found["chance_cheaper"]
    assert parts["of_20"] == of_20(pairs[parts["subject"]][parts["against"]])
    assert by["of_20"] == of_20(pairs[parts["leads"]][parts["leads_over"]])
    assert parts["do"] == found["verdict"][0]


def test_what_to_do_stands_on_the_other_answers_too(name: str) -> None:
    """Sensitivity, climate and difference take the default draws; so does this comparison."""
    do = asked("compare", file(name))["verdict_parts"]["do"]
    assert asked("climate", file(name))["do"] == do
    assert asked("sensitivity", file(name))["do"] == do
    both = asked("difference", file(name), file(name))
    assert both["agree"] is True and both["do"] == [do, do]
    assert asked("claims", file(name))["do"] == do


def test_difference_and_sensitivity_speak_of_the_same_mean(name: str) -> None:
    """Both take the default draws, as this comparison does: one number for one gap, to the cent."""
    parts = asked("compare", file(name))["verdict_parts"]
    both = asked("difference", file(name), file(name))
    changed = asked("sensitivity", file(name))
    for said in (both["first"], both["second"], changed):
        assert (said["subject"], said["against"]) == (parts["subject"], parts["against"])
        assert said["net_savings"] == pytest.approx(parts["middle"], abs=0.005)
    assert changed["defaults"]["word"] == parts["word"]


def test_climate_says_the_mean_of_the_verdict_where_the_coach_stands(name: str) -> None:
    parts, found = asked("compare", file(name))["verdict_parts"], asked("climate", file(name))
    assert (found["subject"], found["base_case"]) == (parts["subject"], parts["against"])
    assert found["here"]["net_savings"] == pytest.approx(parts["middle"], abs=0.005)
    assert found["here"]["cheapest"] == parts["leads"]
    costs = asked("compare", file(name))["doubt"]["alternatives"]
    at = found["here"]["net_present_cost"]
    assert at == pytest.approx({way: costs[way]["cost"]["mean"][parts["years"]] for way in at}, abs=0.005)


def test_the_owners_row_of_the_table_of_20s_says_what_the_verdict_says(name: str) -> None:
    """With the default draws, of which those near a limit are settled by more."""
    found = asked("doubt", file(name))
    parts, scenario = found["verdict_parts"], load(file(name))
    said = {**parts["if_sold"], str(parts["years"]): parts["of_20"]}
    row = found["table_of_20s"][scenario.roofs[scenario.base_case.roof].plan or ""]
    shared = said.keys() & row.keys()
    assert shared and {year: row[year] for year in shared} == {year: said[year] for year in shared}


def test_what_to_do_stands_on_an_answer_about_quotes() -> None:
    found = asked("compare", file("two-quotes"))
    assert asked("quote", file("two-quotes"))["scenarios"][0]["do"] == found["verdict_parts"]["do"]
    with redirect_stdout(io.StringIO()) as out:
        main(("quote", file("two-quotes")))
    price = next(line for line in found["verdict"] if line.startswith("The highest price"))
    assert price in " ".join(out.getvalue().split())


def test_with_nothing_logged_a_logbook_says_what_to_do_as_the_comparison(tmp_path: Path) -> None:
    scenario = load(file("humid-coast-motorhome"))
    log = tmp_path / "log.csv"
    log.write_text("date,kind,cost,hours,note\n", encoding="utf-8")
    of_what = "--scenario", file("humid-coast-motorhome"), "--today", str(scenario.base_date)
    said = asked("logbook", str(log), *of_what)
    assert said["do"] == asked("compare", file("humid-coast-motorhome"))["verdict_parts"]["do"]


def test_quote_and_compare_agree_on_the_cheaper_quote() -> None:
    scoped = {row["name"]: row["complete"] for row in asked("quote", file("two-quotes"))["on_one_scope"]}
    scenario = load(file("two-quotes"))
    subject = of("compare", "two-quotes")["verdict_parts"]["subject"]
    way = next(one for one in scenario.alternatives if one.name == subject)
    assert min(scoped, key=lambda name: scoped[name]) in getattr(way.quote, "path", "")


@pytest.mark.parametrize("of_one", ["humid-coast-motorhome", "hidden-wet-spot", "two-quotes"])
def test_twenty_seeds_say_the_same_or_say_that_they_cannot_tell(of_one: str) -> None:
    """Leading way, line 1 and word; where a seed says otherwise, some seed says that it is a border."""
    scenario = load(file(of_one))
    said = [first_lines(scenario, seed=seed)[1].parts for seed in range(1, 21)]
    borders = {border["what"].split()[0] for parts in said for border in parts.border}
    for part, what in (("leads", {"leads"}), ("do", {"leads", "level_with"}), ("word", {"of_20"})):
        assert len({getattr(parts, part) for parts in said}) == 1 or what & borders, part
