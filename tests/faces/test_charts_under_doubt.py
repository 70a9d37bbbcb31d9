"""Charts of doubt, luck and waiting: what they draw is what was computed, and it can be read."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import matplotlib
import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.patches import FancyBboxPatch, Rectangle
from matplotlib.text import Text
from matplotlib.transforms import Bbox
from PIL import Image

import lifecycle
from lifecycle import charts
from lifecycle.charts.owning import spread_bars
from lifecycle.charts.palette import GROUND, INK
from lifecycle.charts.twenties import luck_sentences
from lifecycle.evaluation.simulation import simulate
from lifecycle.language.labels import many_of_20
from lifecycle.places import scenario_path
from lifecycle.scenario import Scenario
from lifecycle.studies import stories as lives_told
from lifecycle.studies.assessment import Assessment, whole
from lifecycle.studies.doubt import of_20
from lifecycle.studies.habits import Habits
from lifecycle.studies.sensitivity import Indices, TwoWayMap, indices, two_way_map
from lifecycle.studies.stories import Stories, stories
from lifecycle.studies.timing import Timing, timing
from tests.faces.browsing import chromium
from tests.faces.drawn import drawn_bars

pytestmark = pytest.mark.usefixtures("few_lives")

Texts = Callable[[Figure], list[tuple[str, float, Bbox]]]
Faults = Callable[[Figure], list[str]]
Said = Callable[[Figure], str]

SHOWN, LONG, BARE, TROUBLE = (
    "humid-coast-motorhome",
    "cold-stored-trailer",
    "worked-example-1",
    "trouble-reported",
)
DRAWS = 128


@cache
def scenario(name: str) -> Scenario:
    return lifecycle.load(scenario_path(name))


@cache
def assessed(name: str) -> Assessment:
    return whole(scenario(name), draws=DRAWS)


@cache
def timed(name: str) -> Timing:
    return timing(scenario(name), draws=DRAWS)


@cache
def told(name: str) -> Stories:
    return stories(scenario(name), lives=2000)


@cache
def shared_out(name: str) -> Indices:
    return indices(scenario(name), points=32)


@cache
def mapped(name: str) -> TwoWayMap:
    first, second = lifecycle.compare(scenario(name)).swings[:2]
    return two_way_map(scenario(name), first.figure.path, second.figure.path, steps=7)


def table(name: str) -> Habits:
    found = assessed(name).habits
    assert found is not None
    return found


def figure_of(ax: Axes) -> Figure:
    figure = ax.get_figure(root=True)
    assert figure is not None
    return figure


CHARTS: dict[str, Callable[[str], Axes]] = {
    "owning under doubt": lambda name: charts.owning_under_doubt(assessed(name)),
    "spread": lambda name: charts.savings_spread(assessed(name)),
    "table of 20s": lambda name: charts.table_of_20s(table(name)),
    "twenty coaches": lambda name: charts.twenty_coaches(assessed(name), "keep"),
    "when": lambda name: charts.when_to_change(timed(name), currency="USD"),
    "how often": lambda name: charts.how_often_to_reseal(timed(name), currency="USD"),
    "indices": lambda name: charts.indices(shared_out(name)),
    "map": lambda name: charts.answer_map(mapped(name), scenario(name)),
}


@pytest.mark.parametrize("chart", CHARTS)
@pytest.mark.parametrize("name", [SHOWN, LONG])
def test_every_chart_can_be_read_and_is_said_in_a_sentence(name: str, chart: str, faults_of: Faults) -> None:
    figure = figure_of(CHARTS[chart](name))
    assert faults_of(figure) == []
    assert len(figure.text_alternative) > 60  # type: ignore[attr-defined]


@pytest.mark.parametrize("chart", ["owning under doubt", "spread", "indices"])
def test_without_ranges_a_sentence_stands_for_the_chart(chart: str, said_by: Said, faults_of: Faults) -> None:
    figure = figure_of(CHARTS[chart](BARE))
    assert said_by(figure) == figure.text_alternative  # type: ignore[attr-defined]
    assert faults_of(figure) == [] and not figure.axes[0].patches


@pytest.mark.parametrize("chart", ["owning under doubt", "spread", "twenty coaches"])
def test_with_trouble_a_sentence_stands_for_the_chart(chart: str, said_by: Said) -> None:
    figure = figure_of(CHARTS[chart](TROUBLE))
    assert said_by(figure) == figure.text_alternative  # type: ignore[attr-defined]
    assert "Nothing is compared" in said_by(figure)


# How sure is this?


def test_lines_and_bands_are_means_and_percentiles() -> None:
    found = assessed(SHOWN)
    ax = charts.owning_under_doubt(found)
    for name in ("keep", "coat_now"):
        band = found.costs[name]
        assert any(np.allclose(np.asarray(line.get_ydata()) * 1e3, band.mean[1:]) for line in ax.lines)
        corners = [group.get_paths()[0].get_extents() for group in ax.collections]
        low, high = band.p10[1:].min() / 1e3, band.p90[1:].max() / 1e3
        assert any(box.y0 == pytest.approx(low) and box.y1 == pytest.approx(high) for box in corners)


def test_the_spread_shows_the_shares_of_futures_on_either_side_of_zero(said_by: Said) -> None:
    found = assessed(SHOWN)
    ax = charts.savings_spread(found)
    weights, said = found.doubt.futures.weights, said_by(figure_of(ax))
    lead = found.judged.acting.place.way
    assert lead not in ("keep", "coat_now")  # so that there are two rows, the lead's above
    bars = [bar for bar, _ in drawn_bars(ax)]
    floors = sorted({bar.y0 for bar in bars}, reverse=True)
    for than, floor in zip((lead, "keep"), floors, strict=True):
        savings = found.doubt.net_savings("coat_now", than=than) / 1e3
        row = [bar for bar in bars if bar.y0 == floor]
        share = sum(bar.height for bar in row if bar.x0 < -1e-9) / sum(bar.height for bar in row)
        assert share == pytest.approx(weights[savings < 0.0].sum(), abs=0.021)  # ends lie beyond the picture
        number = of_20(found.doubt.chance_cheaper("coat_now", than=than))
        assert f"dearer in {many_of_20(20 - number)}" in said
        assert f"cheaper in {many_of_20(number)}" in said
        band = found.doubt.band(savings)
        assert any(list(line.get_xdata()) == pytest.approx([band.p10, band.p90]) for line in ax.lines)
    assert [list(line.get_xdata()) for line in ax.lines].count([0.0, 0.0]) == 2


def test_the_spread_has_one_row_where_nothing_else_leads() -> None:
    found = assessed(SHOWN)
    alone = replace(found, judged=None)  # nothing leads: only what is done otherwise is left
    assert len({bar.y0 for bar, _ in drawn_bars(charts.savings_spread(alone))}) == 1


def test_zero_is_on_the_picture_though_every_future_is_dearer() -> None:
    found = assessed("sells-in-three-years")
    ax = charts.savings_spread(found)
    assert (found.doubt.net_savings("coat_now") < 0.0).mean() > 0.9
    assert ax.get_xlim()[0] < 0.0 <= ax.get_xlim()[1]


@pytest.mark.parametrize("shift", [-7.3, 0.0, 4.1])
def test_bars_of_a_spread_have_one_width_and_an_edge_at_zero(shift: float) -> None:
    rng = np.random.default_rng(2)
    values, weights = rng.normal(shift, 2.0, 5000), np.full(5000, 1 / 5000)
    edges, shares = spread_bars(values, weights)
    widths = np.diff(edges)
    assert np.allclose(widths, widths[0])
    assert np.isclose(edges / widths[0], np.round(edges / widths[0])).all()
    assert 0.975 <= shares.sum() <= 1.0
    assert 12 <= shares.size <= 40


def test_a_spread_of_one_value_is_one_bar() -> None:
    edges, shares = spread_bars(np.full(16, 3.0), np.full(16, 1 / 16))
    assert shares.sum() == pytest.approx(1.0) and np.count_nonzero(shares) == 1
    assert edges[0] <= 3.0 <= edges[-1]


# Twenties.


def test_the_table_shows_every_number_and_fills_its_bars_as_far(texts_of: Texts) -> None:
    found = table(SHOWN)
    ax = charts.table_of_20s(found)
    texts = [text for text, _, _ in texts_of(figure_of(ax))]
    numbers = [number for row in found.of_20.values() for number in row.values()]
    written = [int(text) for text in texts if text.isdigit()]
    assert sorted(written) == sorted([*numbers, *found.years])
    bars = [patch for patch in ax.patches if isinstance(patch, Rectangle)]
    shares = [part.get_width() / whole.get_width() for part, whole in zip(bars[::2], bars[1::2], strict=True)]
    assert shares == pytest.approx([number / 20 for number in numbers])


def test_twenty_coaches_are_always_twenty_and_filled_from_the_left() -> None:
    found = assessed(SHOWN)
    ax = charts.twenty_coaches(found, "keep_looked_at")
    coaches = [patch for patch in ax.patches if isinstance(patch, FancyBboxPatch)]
    counts = [number for _, number in luck_sentences(found, "keep_looked_at") if number is not None]
    assert len(coaches) == 20 * len(counts) and max(counts) > 5
    for place, number in enumerate(counts):
        row = coaches[20 * place : 20 * (place + 1)]
        assert [coach.get_x() for coach in row] == sorted(coach.get_x() for coach in row)
        assert [to_hex(coach.get_facecolor()) == INK for coach in row] == [at < number for at in range(20)]


def test_luck_is_said_both_ways_and_what_is_grave_by_itself() -> None:
    found = assessed(SHOWN)
    luck = found.luck["keep"]
    said = luck_sentences(found, "keep")
    number = of_20(float(luck.chance_of_leak[10]))
    assert said[0][0].startswith("This is luck") and said[0][1] is None
    assert said[1] == (f"{number} meet a leak, {20 - number} do not.", number)
    # Rare and grave: alone in its line, as one in so many; but of 20, as all else, from 1 in 40 on.
    often = of_20(float(luck.chance_of_severe_find[10]))
    assert often > 0 and said[-1] == (f"Deck gone: {often} of 20.", often)
    rare = replace(luck, chance_of_severe_find=0.1 * luck.chance_of_severe_find)
    seldom = luck_sentences(replace(found, luck={"keep": rare}), "keep")[-1]
    assert seldom == (f"Deck gone: 1 of {round(10 / luck.chance_of_severe_find[10])}.", None)


def test_without_luck_twenty_coaches_say_so(said_by: Said) -> None:
    found = replace(assessed(SHOWN), luck={})
    figure = figure_of(charts.twenty_coaches(found, "keep"))
    assert said_by(figure) == "The luck of single coaches was not drawn."


# Waiting.


def test_choices_show_their_means_bands_and_chances(texts_of: Texts) -> None:
    found = timed(SHOWN)
    ax = charts.when_to_change(found, currency="USD")
    assert [label.get_text() for label in ax.get_yticklabels()][:2] == ["today", "in year 1"]
    assert [label.get_text() for label in ax.get_yticklabels()][-2:] == ["when the roof must go", "never"]
    assert "thousand USD in today's money" in ax.get_xlabel()
    for place, choice in enumerate(found.change):
        ends = [choice.cost.p10 / 1e3, choice.cost.p90 / 1e3]
        assert any(
            list(line.get_ydata()) == [place, place] and list(line.get_xdata()) == pytest.approx(ends)
            for line in ax.lines
        )
    (ring,) = [line for line in ax.lines if line.get_markersize() == 12]
    best = min(range(len(found.change)), key=lambda place: float(found.change[place].cost.mean))
    assert ring.get_ydata()[0] == best
    texts = [text for text, _, _ in texts_of(figure_of(ax))]
    assert str(of_20(found.change[best].chance_best)) in texts


def test_choices_of_one_case_say_nothing_of_futures(texts_of: Texts) -> None:
    ranged, one_case = (
        [text for text, _, _ in texts_of(figure_of(charts.when_to_change(timed(name), currency="USD")))]
        for name in (SHOWN, "worked-example-1")
    )
    assert any("of 20" in text for text in ranged) and "cheapest on average" in ranged
    assert not any("of 20" in text or "average" in text for text in one_case)
    assert "0" not in one_case and "20" not in one_case and "never" in one_case


def test_intervals_are_named_in_words() -> None:
    ax = charts.how_often_to_reseal(timed(SHOWN))
    names = [label.get_text() for label in ax.get_yticklabels()]
    assert names[:4] == ["every 6 months", "every year", "every 18 months", "every 2 years"]
    assert names[-1] == "never"


def test_no_reseal_no_intervals(said_by: Said) -> None:
    figure = figure_of(charts.how_often_to_reseal(replace(timed(SHOWN), reseal=())))
    assert "no interval to choose" in said_by(figure)


# What brings the doubt.


def test_bars_of_indices_are_the_indices_and_say_first_what_must_be_said(said_by: Said) -> None:
    found = shared_out(SHOWN)
    ax = charts.indices(found, shown=5)
    drawn = sorted(bar.get_width() for bar in ax.patches)
    assert drawn == pytest.approx(sorted(part for row in found.inputs[:5] for part in (row.first, row.total)))
    assert found.said_first in said_by(figure_of(ax))


def test_the_map_marks_the_likely_point_and_the_line_where_the_answer_turns() -> None:
    found = mapped(SHOWN)
    assert found.net_savings.min() < 0.0 < found.net_savings.max()
    ax = charts.answer_map(found, scenario(SHOWN))
    likely = [found.across.likely, found.up.likely]
    assert any(
        [float(line.get_xdata()[0]), float(line.get_ydata()[0])] == pytest.approx(likely)
        for line in ax.lines
        if len(line.get_xdata())
    )
    turns = [group for group in ax.collections if list(getattr(group, "levels", ())) == [0.0]]
    (path,) = turns[0].get_paths()
    column = found.across_values.size // 2
    crossing = np.interp(0.0, found.net_savings[:, column], found.up_values)
    near = path.vertices[np.argmin(np.abs(path.vertices[:, 0] - found.across_values[column]))]
    assert near[1] == pytest.approx(crossing, rel=0.02)


def test_the_map_names_the_unit_of_money_and_draws_rates_in_percent() -> None:
    kept = scenario(SHOWN)
    found = two_way_map(kept, "study.discount_rate", "owner.hour_value", steps=3)
    ax = charts.answer_map(found, kept)
    said = " ".join(text.get_text().replace("\n", " ") for text in figure_of(ax).findobj(Text))
    assert "above inflation [% a year]" in said and f"[{kept.currency} an hour]" in said
    assert ax.get_xlim() == pytest.approx(tuple(100.0 * found.across_values[[0, -1]]))


# Drawings of lines.


def test_a_drawing_of_lines_looks_as_the_drawing_library_writes_it() -> None:
    """Our SVG against matplotlib's own writer, both as Chromium paints them; places are rounded otherwise."""
    figures = {name: figure_of(chart(SHOWN)) for name, chart in CHARTS.items()}
    figures["categories"] = figure_of(charts.cost_by_category(lifecycle.compare(scenario(SHOWN))))
    with chromium() as browser:
        page = browser.new_page(viewport={"width": 900, "height": 1600}, device_scale_factor=2)
        for name, figure in figures.items():
            out = io.BytesIO()
            with matplotlib.rc_context({"svg.fonttype": "path", "svg.hashsalt": "1"}):
                figure.savefig(out, format="svg", facecolor=GROUND)
            old, ours = (painted(page, one) for one in (out.getvalue(), charts.picture_bytes(figure, "svg")))
            apart = np.abs(old - ours).max(axis=-1)
            assert (old < 128.0).any() and old.shape == ours.shape, name
            assert (apart > 48.0).mean() < 2e-4 and apart.mean() < 1.0, name


def painted(page: Any, content: bytes) -> np.ndarray:
    """Red, green and blue of an SVG file as a browser paints it, nine dots together."""
    page.set_content(f"<body style='margin:0'>{content[content.index(b'<svg') :].decode()}</body>")
    with Image.open(io.BytesIO(page.locator("svg").screenshot())) as image:
        seen = np.asarray(image.convert("RGB"), dtype=float)
    return seen[: len(seen) // 3 * 3].reshape(len(seen) // 3, 3, -1, 3, 3).mean(axis=(1, 3))


# Stories.


def test_a_story_is_one_life_and_its_bills_are_what_that_life_paid() -> None:
    """Without discounting and sale the running cost of a life is what it paid."""
    case = lives_told.unsold(lifecycle.resolve(scenario(BARE))).kept(8.0)
    paid = simulate(case, lives=2000, seed=1)["keep"]
    found = told(BARE).ways["keep"]
    assert list(found) == ["good", "middle", "bad"]
    totals = [story.total for story in found.values()]
    assert totals == sorted(totals) and totals[0] < totals[2]
    for story, percent in zip(found.values(), (10.0, 50.0, 90.0), strict=True):
        rows = np.isclose(paid.net_present_cost[:, 1:], np.cumsum(story.bills), rtol=1e-5).all(axis=1)
        life = int(np.flatnonzero(rows)[0])
        assert story.new_roof == (paid.new_roof[life] if paid.new_roof[life] <= 8 else None)
        last = paid.net_present_cost[:, 8]
        between = np.abs(last - np.percentile(last, percent))
        assert abs(story.total - np.percentile(last, percent)) <= between.min() + 1e-2


def test_bills_without_leaks_and_ends_are_the_plain_visits() -> None:
    good = told(BARE).ways["keep"]["good"]
    quiet = 950.0 + 2 * 40.0 + (4 * 1.0 + 2 * 1.5) * 20.0  # a reseal, touch-ups, hours of looks and touch-ups
    assert (good.leak, good.new_roof, good.deck_gone) == (None, None, None)
    assert np.median(good.bills) == pytest.approx(quiet)
