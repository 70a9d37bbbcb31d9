"""The library's own face: what it offers, how results show themselves, what can be changed."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import lifecycle
from lifecycle.errors import ScenarioError
from lifecycle.studies.doubt import averaged

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SHORT = "sells-in-three-years"


@pytest.fixture(scope="module")
def scenario() -> lifecycle.scenario.Scenario:
    return lifecycle.load(SCENARIOS / f"{SHORT}.toml")


def test_it_names_what_it_offers_and_nothing_else() -> None:
    assert dir(lifecycle) == sorted(lifecycle.__all__)
    types = ast.parse(Path(lifecycle.__file__).with_suffix(".pyi").read_text())
    told = [node for node in types.body if isinstance(node, ast.Assign)]
    assert ast.literal_eval(told[0].value) == lifecycle.__all__
    functions = set(lifecycle.__all__) - {"__version__", "charts"}
    assert all(callable(getattr(lifecycle, name)) for name in functions)
    with pytest.raises(AttributeError, match="it has __version__, agreement"):
        lifecycle.compares  # noqa: B018


def test_all_that_it_offers_is_there_once_it_is_imported() -> None:
    """In a process of its own, in which nothing else has imported a room before."""
    asked = (
        "import lifecycle; print(*(type(getattr(lifecycle, name)).__name__ for name in lifecycle.__all__))"
    )
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    found = dict(zip(lifecycle.__all__, done.stdout.split(), strict=True))
    assert found["charts"] == "module" and found["__version__"] == "str"


NO_RESULT = {"__version__", "charts", "dumps", "save", "shipped_file"}
"""What gives no result that shows itself: a number, a room, a text, a file, and where one is."""

A_SCREEN = {"ask", "fleet", "printed", "verdict"}
"""Answers, which show what the command line shows."""

NO_TABLE = {"load", "loads", "example", "change", "resolve", "sliders"}
"""Results in which no table is natural."""


def _results(scenario: lifecycle.scenario.Scenario) -> dict[str, object]:
    """Return a result of each function that the library offers, by its name."""
    swept = lifecycle.sweep(
        scenario, rows=[{"existing.age": 80}, {"existing.age": 150}], draws=16, ratios=True
    )
    record, columns = (
        lifecycle.shipped_file("records", f"daily-weather{end}") for end in (".csv", "-columns.toml")
    )
    fleet = SCENARIOS / "fleets"
    few = [
        getattr(lifecycle, name)(scenario, draws=64)
        for name in ("doubt", "timing", "habits", "verdict", "assess")
    ]
    return {
        **dict(zip(("doubt", "timing", "habits", "verdict", "assess"), few, strict=True)),
        **{name: getattr(lifecycle, name)(scenario) for name in ("compare", "sensitivity", "by_place")},
        **{name: getattr(lifecycle, name)(scenario) for name in ("workbench", "resolve", "sliders")},
        "load": scenario,
        "loads": lifecycle.loads(scenario.text),
        "example": lifecycle.example("trouble-reported"),
        "change": lifecycle.change(scenario, quote=9000),
        "two_way_map": lifecycle.two_way_map(scenario, "owner.holding_period", "figures.coating_quote"),
        "weather": lifecycle.weather(record, columns=columns),
        "sweep": swept,
        "coaches": lifecycle.coaches(
            fleet / "forty-coaches.csv", lifecycle.load(fleet / "rental-motorhomes.toml")
        ),
        "fleet": lifecycle.fleet(swept, 9000),
        "difference": lifecycle.difference(scenario, lifecycle.change(scenario, quote=9000)),
        "ask": lifecycle.ask("compare", scenario, draws=64),
        "step": lifecycle.step(scenario, "life"),
        "agreement": lifecycle.agreement(scenario, lives=1000),
        "printed": lifecycle.printed(),
    }


def test_every_result_shows_itself_in_a_few_lines_and_as_a_table(
    scenario: lifecycle.scenario.Scenario,
) -> None:
    results = _results(scenario)
    assert set(results) == set(lifecycle.__all__) - NO_RESULT
    for name, result in results.items():
        lines = repr(result).splitlines()
        assert 0 < len(lines) <= (60 if name in A_SCREEN else 12), name
        if name not in A_SCREEN:
            assert max(map(len, lines)) <= 170 and len(repr(result)) <= 600, name
        if name not in A_SCREEN | NO_TABLE:
            assert len(result.to_frame()) > 0, name  # type: ignore[attr-defined]


def test_tables_hold_what_the_results_hold(scenario: object) -> None:
    comparison, doubt = lifecycle.compare(scenario), lifecycle.doubt(scenario, draws=64)
    frame = comparison.to_frame()
    for name, way in comparison.ways.items():
        assert frame.loc[name, "net-present cost [USD]"] == way.at_holding
        assert frame.loc[name, "leak damage [USD]"] == way.by_category["leak damage"]
    weights = doubt.futures.weights
    assert weights.size == 64 and weights.sum() == pytest.approx(1.0)
    for name in doubt.names:
        mean = float((doubt.cost(name) * weights).sum())
        assert doubt.to_frame().loc[name, f"cost, mean [{doubt.currency}]"] == pytest.approx(mean)


def test_an_input_and_the_place_are_changed_in_a_new_scenario(scenario: object) -> None:
    sooner = lifecycle.change(scenario, {"owner.holding_period": 2.0})
    assert lifecycle.compare(sooner).holding_period == 2.0
    assert lifecycle.compare(scenario).holding_period == 3.0
    hot, cold = (lifecycle.change(scenario, place=place) for place in ("Phoenix", "Duluth"))
    base = scenario.base_case.name
    costs = [lifecycle.compare(one).ways[base].net_present_cost[-1] for one in (hot, cold)]
    assert abs(costs[0] - costs[1]) > 100.0
    with pytest.raises(ScenarioError, match="Duluth"):
        lifecycle.change(scenario, place="Dulut")
    with pytest.raises(ScenarioError, match="must be a number"):
        lifecycle.change(scenario, {"owner.holding_period": "ten"})
    with pytest.raises(ScenarioError, match="is not an input"):
        lifecycle.change(scenario, {"owner.holding": 2.0})


@pytest.mark.slow
def test_an_answer_is_that_of_the_command_and_is_kept_in_every_form(scenario: object, tmp_path: Path) -> None:
    asked = lifecycle.ask("compare", scenario, draws=64)
    assert repr(asked).startswith("Which way is cheaper?")
    assert list(asked.data["verdict"][: len(lifecycle.verdict(scenario, draws=64).lines)]) == list(
        lifecycle.verdict(scenario, draws=64).lines
    )
    assert asked._repr_html_().count("<table") >= 1
    for form in ("html", "pdf", "txt", "json"):
        asked.save(tmp_path / f"answer.{form}")
        assert (tmp_path / f"answer.{form}").stat().st_size > 500
    with pytest.raises(ScenarioError, match="must end in"):
        asked.save(tmp_path / "answer.docx")
    with pytest.raises(ScenarioError, match="timing"):
        lifecycle.ask("timings", scenario)
    with pytest.raises(ScenarioError, match="draws"):
        lifecycle.ask("timing", scenario, draw=64)


def test_two_scenarios_differ_by_causes_that_add_up(scenario: object) -> None:
    other = lifecycle.change(scenario, {"owner.holding_period": 5.0})
    found = lifecycle.difference(scenario, other)
    assert found.to_frame()["net savings by it [USD]"].sum() == pytest.approx(found.total)
    assert repr(found).startswith("Difference of ")


def test_a_mistake_shows_its_message_and_no_traceback() -> None:
    from IPython.core.interactiveshell import InteractiveShell
    from IPython.utils.capture import capture_output

    with capture_output() as shown:
        shell = InteractiveShell()
        shell.run_cell("import lifecycle; lifecycle.load('no-such-roof.toml')")
    assert "no-such-roof.toml" in shown.stdout and "Traceback" not in shown.stdout
    assert "files.py" not in shown.stdout and len(shown.stdout.strip().splitlines()) == 1


def test_the_year_from_which_it_pays_is_known_by_future(scenario: object) -> None:
    doubt = lifecycle.doubt(scenario, draws=64)
    years = doubt.break_even_years("coat_now")
    assert years.shape == (64,) and (years >= 1.0).all()
    for year, future in zip(years, range(64), strict=True):
        savings = doubt.costs[doubt.base_case][future] - doubt.costs["coat_now"][future]
        if np.isinf(year):
            assert savings[-1] < 0.0
        else:
            assert (savings[int(year) :] >= -1e-6).all()
            assert year == 1.0 or savings[int(year) - 1] < 0.0


def test_sliders_redraw_and_say_what_came_of_it(scenario: object) -> None:
    sliders = lifecycle.sliders(scenario)
    quote = sliders.sliders["figures.coating_quote"]
    said, picture = sliders.said.value, sliders._picture.image.value
    quote.value = quote.min
    assert sliders.said.value != said and sliders._picture.image.value != picture
    changes = {path: slider.value for path, slider in sliders.sliders.items()}
    way = lifecycle.compare(lifecycle.change(scenario, changes)).ways["coat_now"]
    assert f"from year {way.measures.break_even_year.value:.0f}" in sliders.said.value
    with pytest.raises(ScenarioError, match="something to compare"):
        lifecycle.sliders(lifecycle.example("trouble-reported"))


def test_a_station_is_a_place_of_ones_own(scenario: object) -> None:
    file, columns = (
        lifecycle.shipped_file("records", f"daily-weather{end}") for end in (".csv", "-columns.toml")
    )
    station = lifecycle.weather(file, columns=columns)
    assert list(station.to_frame().index) == list(station.likely)
    moved = lifecycle.change(scenario, place=station.likely)
    base = scenario.base_case.name  # type: ignore[attr-defined]
    assert lifecycle.by_place(moved).here.drivers.wet_days == pytest.approx(station.likely["wet_days"])
    assert lifecycle.compare(moved).ways[base].at_holding != lifecycle.compare(scenario).ways[base].at_holding
    with pytest.raises(ScenarioError, match="wet_days"):
        lifecycle.change(scenario, place={"wet_day": 3.0})


def test_every_place_is_compared_as_if_the_coach_stood_there(scenario: object) -> None:
    places = lifecycle.by_place(scenario)
    moved = lifecycle.doubt(lifecycle.change(scenario, place="Duluth"), draws=256)
    for name in moved.names:
        mean = float(moved.futures.weights @ moved.cost(name))
        assert places.to_frame().loc["Duluth", f"{name} [USD]"] == pytest.approx(mean, rel=0.03)
    axes = lifecycle.charts.by_place(places)
    widths = sorted(bar.get_width() for bar in axes.patches)
    assert len(widths) == len(places.places) + 1
    savings = sorted(places.net_savings(one) for one in (places.here, *places.places))
    assert widths[0] / widths[-1] == pytest.approx(savings[0] / savings[-1])


def test_the_break_even_chart_marks_its_year_and_its_band(scenario: object) -> None:
    comparison, doubt = lifecycle.compare(scenario), lifecycle.doubt(scenario, draws=64)
    axes = lifecycle.charts.break_even(comparison, doubt)
    year = averaged(comparison, doubt).ways["coat_now"].measures.break_even_year.value
    assert any(line.get_marker() == "o" and list(line.get_xdata()) == [year] for line in axes.lines)
    said = axes.figure.text_alternative
    assert f"from year {year:.0f}" in said and "in 16 of 20 futures" in said
    data, metadata = axes.figure._repr_mimebundle_()
    assert data["text/plain"] == metadata["image/png"]["alt"] == said and len(data["image/png"]) < 100_000


def test_a_fleet_is_answered_as_the_command_answers_it() -> None:
    """The rows of a sweep are the coaches; what is wrong with what is given is one message."""
    base = lifecycle.example(SHORT)
    coaches = [{"existing.age": 80}, {"existing.age": 150}]
    found = lifecycle.sweep(base, rows=coaches, labels=["young", "old"], draws=16, ratios=True)
    answer = lifecycle.fleet(found, 9000)
    assert {coach["coach"] for coach in answer.data["coaches"]} == {"young", "old"}
    assert answer._repr_html_().count("<table") >= 1
    for budget in (0, -5, float("nan"), float("inf"), "much", True):
        with pytest.raises(ScenarioError, match="budget must be an amount of money above 0"):
            lifecycle.fleet(found, budget)
    with pytest.raises(ScenarioError, match="must be of one scenario at its own years, with ratios"):
        lifecycle.fleet(lifecycle.sweep(base, rows=coaches, draws=16), 9000)


def test_tables_in_a_notebook_say_money_in_whole_numbers_and_show_no_nan(scenario: object) -> None:
    comparison = lifecycle.compare(scenario)
    html = comparison._repr_html_()
    assert "NaN" not in html and "None" not in html
    for way in comparison.ways.values():
        assert f"<td>{round(way.at_holding):,}</td>" in html
    trouble = lifecycle.compare(lifecycle.example("trouble-reported"))
    assert "nothing is compared" in trouble._repr_html_()


def test_what_needs_another_library_says_how_it_is_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ipywidgets", None)
    monkeypatch.delitem(sys.modules, "lifecycle.pages.panels.sliders", raising=False)
    with pytest.raises(
        ImportError, match=r"sliders needs the library ipywidgets: .*'lifecycle\[notebooks\]'"
    ):
        lifecycle.sliders  # noqa: B018
