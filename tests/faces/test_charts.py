"""Charts of a comparison: what they draw is what was computed, and it can be read.

Every shipped scenario is drawn. Texts are recorded as they are drawn; none may touch another, leave the
picture or be too small for a phone.
"""

from __future__ import annotations

import itertools
import re
import struct
import subprocess
import sys
import zlib
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import matplotlib
import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.transforms import Bbox

from lifecycle import charts, files
from lifecycle.charts.palette import (
    CURVES,
    FILLS,
    GROUND,
    HATCH,
    INK,
    KEEP,
    KEEP_FILL,
    LOOKS,
    PART,
    QUIET,
    SPRAY,
    SPRAY_FILL,
    TINT,
    WHOLE,
    in_the_dark,
    looks,
)
from lifecycle.evaluation.comparison import Comparison, compare, yearly_by_category
from lifecycle.language.verdict import verdict_under
from lifecycle.places import scenario_path
from lifecycle.studies.assessment import brief
from tests.faces.drawn import drawn_bars

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
NAMES = [path.stem for path in SCENARIOS]
COMPARED = [name for name in NAMES if name != "trouble-reported"]
RANGED = [name for name in COMPARED if not name.startswith("worked-example")]

CHARTS: dict[str, Callable[[Comparison], Axes | Figure]] = {
    "costs": charts.cost_by_category,
    "owning": charts.cost_of_owning,
    "spending": charts.yearly_spending,
    "first look": charts.first_look,
}

Texts = Callable[[Figure], list[tuple[str, float, Bbox]]]
Faults = Callable[[Figure], list[str]]


@cache
def compared(name: str) -> Comparison:
    return compare(files.load(next(path for path in SCENARIOS if path.stem == name)))


def changed(name: str, **texts: str) -> Comparison:
    """Compare a shipped scenario with some pieces of its text replaced."""
    text = next(path for path in SCENARIOS if path.stem == name).read_text(encoding="utf-8")
    for old, new in texts.items():
        old = old.replace("_is_", " = ")
        assert old in text
        text = text.replace(old, new)
    return compare(files.loads(text, name))


def figure_of(drawn: Axes | Figure) -> Figure:
    figure = drawn if isinstance(drawn, Figure) else drawn.get_figure(root=True)
    assert figure is not None
    return figure


@pytest.mark.parametrize("chart", CHARTS)
@pytest.mark.parametrize("name", COMPARED)
def test_no_text_touches_another_or_leaves_the_picture(name: str, chart: str, faults_of: Faults) -> None:
    assert faults_of(figure_of(CHARTS[chart](compared(name)))) == []


@pytest.mark.parametrize("name", RANGED)
def test_no_text_of_the_swings_touches_another(name: str, faults_of: Faults) -> None:
    assert faults_of(figure_of(charts.swings(compared(name)))) == []


def test_the_overlap_check_sees_an_overlap(faults_of: Faults) -> None:
    figure = figure_of(charts.cost_of_owning(compared("worked-example-1")))
    figure.axes[0].set_title("over the years kept")
    assert faults_of(figure)


@pytest.mark.parametrize("years", [1, 2, 60])
def test_short_and_long_study_periods_are_drawn(years: int, faults_of: Faults) -> None:
    kept = min(8, years)
    comparison = changed(
        "worked-example-1",
        study_period_is_20=f"study_period = {years}",
        holding_period_is_8=f"holding_period = {kept}",
    )
    for chart in CHARTS.values():
        assert faults_of(figure_of(chart(comparison))) == []


def test_titles_are_taken_literally_and_wrapped(faults_of: Faults, texts_of: Texts) -> None:
    long = "Spray $now$ for 100 % of 5,000 and an_unbreakably" + "_long" * 12 + "_word"
    comparison = changed("worked-example-1", **{'title_is_"Spray now"': f'title = "{long}"'})
    for chart in CHARTS.values():
        figure = figure_of(chart(comparison))
        assert faults_of(figure) == []
        assert any("$now$" in text for text, _, _ in texts_of(figure))


def test_the_check_sees_text_that_is_too_small_for_a_phone(faults_of: Faults) -> None:
    figure = figure_of(charts.cost_of_owning(compared("worked-example-1")))
    figure.text(0.02, 0.02, "tiny", fontsize=8)
    assert faults_of(figure) == ["small: 'tiny'"]


@pytest.mark.parametrize("name", COMPARED)
def test_stacked_costs_and_receipts_add_up_to_what_a_way_costs(name: str) -> None:
    comparison = compared(name)
    ax = charts.cost_by_category(comparison)
    assert "thousand USD in today's money" in ax.get_xlabel()
    bars = bars_of(ax)
    rows = sorted({round(bottom, 9) for _, bottom, _, _ in bars})
    base = comparison.base_case
    order = [comparison.ways[base], *(way for way in comparison.ways.values() if way.name != base)]
    assert len(rows) == len(order)
    for y, way in zip(rows, order, strict=True):
        ends = [(left, right) for left, bottom, right, _ in bars if bottom == pytest.approx(y)]
        widths = [right - left for left, right in ends if right > 1e-9]
        receipts = [right - left for left, right in ends if left < -1e-9]
        assert len(widths) + len(receipts) == len(ends)  # no bar lies across zero
        assert (sum(widths) - sum(receipts)) * 1000.0 == pytest.approx(way.at_holding, abs=1e-3)
        wanted = -sum(amount for amount in way.by_category.values() if amount < 0.0)
        assert sum(receipts) * 1000.0 == pytest.approx(wanted, abs=1e-3)


def bars_of(ax: Axes) -> list[tuple[float, float, float, float]]:
    """Left, bottom, right and top of every bar of a stack."""
    boxes = [path.get_extents() for group in ax.collections for path in group.get_paths()]
    return [(box.x0, box.y0, box.x1, box.y1) for box in boxes]


def lines_with_years(ax: Axes, years: int) -> list[np.ndarray]:
    return [np.asarray(line.get_ydata()) for line in ax.lines if len(line.get_xdata()) == years]


@pytest.mark.parametrize("name", COMPARED)
def test_lines_of_owning_are_the_costs_and_rings_the_break_even_years(name: str) -> None:
    comparison = compared(name)
    ax = charts.cost_of_owning(comparison)
    assert ax.get_xlabel() == "sold after ... years"
    drawn = lines_with_years(ax, comparison.study_period)
    for way in comparison.ways.values():
        assert any(np.allclose(line * 1000.0, way.net_present_cost[1:]) for line in drawn)
    rings = {
        (line.get_xdata()[0], round(line.get_ydata()[0], 6))
        for line in ax.lines
        if line.get_markersize() == 12
    }
    wanted = {
        (
            way.measures.break_even_year.value,
            round(way.net_present_cost[int(way.measures.break_even_year.value)] / 1e3, 6),
        )
        for way in comparison.ways.values()
        if way.measures and way.measures.break_even_year.value is not None
    }
    assert rings == wanted


def test_a_missing_break_even_year_is_said(texts_of: Texts) -> None:
    comparison = compared("own-hands")
    none = [
        way for way in comparison.ways.values() if way.measures and way.measures.break_even_year.value is None
    ]
    texts = [text for text, _, _ in texts_of(figure_of(charts.cost_of_owning(comparison)))]
    assert none and texts.count("○ not in 20 years") == len(none)
    assert charts.describe_cost_of_owning(comparison).count("not in 20 years") == len(none)


def test_years_kept_stand_on_the_chart(texts_of: Texts) -> None:
    comparison = changed("worked-example-1", holding_period_is_8="holding_period = 2.5")
    ax = charts.cost_of_owning(comparison)
    assert any(list(line.get_xdata()) == [2.5, 2.5] for line in ax.lines)
    texts = [text for text, _, _ in texts_of(figure_of(ax))]
    assert "kept 2 years 6 months" in texts


@pytest.mark.parametrize("name", ["humid-coast-motorhome", "worked-example-2"])
def test_bars_of_spending_add_up_to_the_account_by_year(name: str, texts_of: Texts) -> None:
    comparison = compared(name)
    figure = figure_of(charts.yearly_spending(comparison))
    spent = yearly_by_category(comparison.case)
    base = comparison.base_case
    order = [base, *(way for way in comparison.ways if way != base)]
    assert len(figure.axes) == len(order)
    limits = {panel.get_ylim() for panel in figure.axes}
    assert len(limits) == 1  # one scale for all
    for panel, way in zip(figure.axes, order, strict=True):
        bars = bars_of(panel)
        total = sum((top - bottom) * (1 if top > 1e-9 else -1) for _, bottom, _, top in bars) * 1000.0
        assert total == pytest.approx(sum(amounts.sum() for amounts in spent[way].values()))
    texts = [text for text, _, _ in texts_of(figure)]
    most = max(sum(np.maximum(amounts, 0.0) for amounts in spent[way].values()).max() for way in order)
    assert most / 1000.0 > max(limits)[1] and f"{most / 1000.0:,.1f}" in texts  # a cut bar says its amount


def test_bars_of_the_swings_end_where_the_inputs_take_the_answer() -> None:
    comparison = compared("humid-coast-motorhome")
    ax = charts.swings(comparison, shown=5)
    words = [text for text in ax.texts if text.get_text() in ("low", "high")]
    wanted = [end / 1000.0 for swing in comparison.swings[:5] for end in (swing.at_low, swing.at_high)]
    assert [text.xy[0] for text in words] == pytest.approx(wanted)
    bars = [(bar.get_x(), bar.get_x() + bar.get_width()) for bar in ax.patches]
    ends = [*wanted, comparison.swings[0].likely / 1000.0]
    assert min(map(min, bars)) == pytest.approx(min(ends)) and max(map(max, bars)) == pytest.approx(max(ends))
    assert [0.0, 0.0] in [list(line.get_xdata()) for line in ax.lines]
    assert any(list(line.get_xdata()) == pytest.approx([ends[-1], ends[-1]]) for line in ax.lines)
    assert "dearer" in ax.get_xlabel() and "cheaper" in ax.get_xlabel()


def test_without_ranges_a_sentence_stands_for_the_swings(texts_of: Texts) -> None:
    comparison = compared("worked-example-1")
    figure = figure_of(charts.swings(comparison))
    said = " ".join(text for text, _, _ in texts_of(figure)).replace("\n", " ")
    assert said == charts.describe_swings(comparison) == figure.text_alternative  # type: ignore[attr-defined]
    assert "every input stands at one value" in said


@pytest.mark.parametrize("name", NAMES)
def test_the_first_look_is_headed_by_the_verdict(name: str, texts_of: Texts) -> None:
    comparison = compared(name)
    figure = figure_of(charts.first_look(comparison))
    said = verdict_under(comparison, None).lines
    drawn = " ".join(text for text, _, _ in texts_of(figure))
    assert said[0] in drawn
    assert said[0] in figure.text_alternative  # type: ignore[attr-defined]


def test_another_verdict_heads_the_first_look(texts_of: Texts) -> None:
    comparison = compared("worked-example-1")
    answer = replace(verdict_under(comparison, None), lines=("Could go either way.", "Not shown."))
    figure = figure_of(charts.first_look(comparison, answer))
    texts = [text for text, _, _ in texts_of(figure)]
    assert "Could go either way." in texts and "Not shown." not in texts
    assert figure.text_alternative.startswith("Could go either way. ")  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "chart", [charts.cost_by_category, charts.cost_of_owning, charts.yearly_spending, charts.swings]
)
def test_with_trouble_reported_a_sentence_stands_for_the_chart(
    chart: Callable[[Comparison], Axes], faults_of: Faults, texts_of: Texts
) -> None:
    figure = figure_of(chart(compared("trouble-reported")))
    said = " ".join(text for text, _, _ in texts_of(figure)).replace("\n", " ")
    assert said == figure.text_alternative  # type: ignore[attr-defined]
    assert said.startswith("Nothing is compared") and not bars_of(figure.axes[0])
    assert faults_of(figure) == []


@pytest.mark.parametrize("chart", CHARTS)
def test_the_text_alternative_is_the_sentence_of_the_chart(chart: str) -> None:
    comparison = compared("cold-stored-trailer")
    describe = {
        "costs": charts.describe_cost_by_category,
        "owning": charts.describe_cost_of_owning,
        "spending": charts.describe_yearly_spending,
        "first look": charts.describe_first_look,
    }[chart]
    figure = figure_of(CHARTS[chart](comparison))
    sentence = describe(comparison)
    assert figure.text_alternative == sentence  # type: ignore[attr-defined]
    assert all(way.title in sentence for way in comparison.ways.values())
    data, metadata = figure._repr_mimebundle_()  # type: ignore[attr-defined]
    assert data["text/plain"] == sentence == metadata["image/png"]["alt"]
    assert data["image/png"].startswith(b"\x89PNG")


def test_charts_draw_on_given_axes() -> None:
    figure = Figure(figsize=(6.0, 6.0))
    for chart in (charts.cost_by_category, charts.cost_of_owning, charts.swings, charts.yearly_spending):
        axes = figure.add_axes((0.1, 0.2, 0.5, 0.6))
        assert chart(compared("humid-coast-motorhome"), axes) is axes
    with pytest.raises(ValueError, match="no way is called 'keeep'"):
        charts.yearly_spending(compared("humid-coast-motorhome"), figure.add_subplot(), way="keeep")


def chunks_of(png: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = 8
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        yield png[at + 4 : at + 8], png[at + 8 : at + 8 + length]
        at += 12 + length


def test_a_png_names_no_software_user_or_time() -> None:
    figure = figure_of(charts.first_look(compared("worked-example-1")))
    png = charts.picture_bytes(figure, "png")
    said = {kind: data for kind, data in chunks_of(png) if kind not in (b"IHDR", b"IDAT", b"IEND", b"pHYs")}
    assert set(said) <= {b"tEXt", b"iTXt"} and len(said) == 1
    keyword, _, rest = next(iter(said.values())).partition(b"\0")
    assert keyword == b"Description"
    assert zlib.crc32(rest) and figure.text_alternative[:40].encode() in rest  # type: ignore[attr-defined]


def test_an_svg_names_no_software_user_or_time() -> None:
    svg = charts.picture_bytes(figure_of(charts.cost_of_owning(compared("worked-example-1"))), "svg").decode()
    assert "<svg" in svg and "today" in svg  # the sentence
    assert not re.search(r"matplotlib|<dc:date>|<dc:creator>|/home|/root|/tmp|/work", svg, re.IGNORECASE)
    assert "<image" not in svg and 'href="http' not in svg


@pytest.mark.parametrize("kind", ["png", "svg"])
def test_the_same_comparison_gives_the_same_bytes(kind: str) -> None:
    once, again = (
        charts.picture_bytes(figure_of(charts.cost_by_category(compared("worked-example-2"))), kind)
        for _ in range(2)
    )
    assert once == again


def test_another_kind_of_picture_is_refused() -> None:
    with pytest.raises(ValueError, match="png or svg; got 'pdf'"):
        charts.picture_bytes(figure_of(charts.cost_by_category(compared("worked-example-1"))), "pdf")


WITHOUT_STYLE_OR_WINDOW = """
import sys, matplotlib

def style():
    return [f"{name}: {matplotlib.rcParams[name]}" for name in matplotlib.rcParams if name != "backend"]

before = style()
from lifecycle import files
from lifecycle.evaluation.comparison import compare
from lifecycle import charts

charts.picture_bytes(charts.first_look(compare(files.load(sys.argv[1]))), "svg")
assert style() == before
assert "matplotlib.pyplot" not in sys.modules
"""


def test_drawing_changes_no_style_and_needs_no_window() -> None:
    command = [sys.executable, "-c", WITHOUT_STYLE_OR_WINDOW, str(SCENARIOS[-1])]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_a_dark_style_of_the_user_leaves_the_ground_white() -> None:
    with matplotlib.rc_context({"axes.facecolor": "black", "savefig.facecolor": "black"}):
        ax = charts.cost_of_owning(compared("worked-example-3"))
    figure = figure_of(ax)
    assert to_hex(ax.get_facecolor()) == to_hex(figure.get_facecolor()) == "#ffffff"


# Looks that everybody can tell apart.

_LINEAR_TO_LMS = np.array(
    [[17.8824, 43.5161, 4.11935], [3.45565, 27.1554, 3.86714], [0.0299566, 0.184309, 1.46709]]
)
_SEEN_BY = {
    "all colours": np.eye(3),
    "no red cones": np.array([[0, 2.02344, -2.52581], [0, 1, 0], [0, 0, 1]]),
    "no green cones": np.array([[1, 0, 0], [0.494207, 0, 1.24827], [0, 0, 1]]),
    "no blue cones": np.array([[1, 0, 0], [0, 1, 0], [-0.395913, 0.801109, 0]]),
}
_LINEAR_TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])


def linear(colour: str) -> np.ndarray:
    parts = np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)]) / 255.0
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def lab(colour: str, seen_by: np.ndarray) -> np.ndarray:
    """CIE L*a*b* of a colour as somebody sees it.

    Cone matrices and dichromatic projections of Vienot, Brettel & Mollon 1999 and Brettel, Vienot &
    Mollon 1997 (from memory); L*a*b* of CIE 1976 with the white of sRGB (textbook, from memory).
    """
    seen = np.linalg.inv(_LINEAR_TO_LMS) @ seen_by @ _LINEAR_TO_LMS @ linear(colour)
    xyz = _LINEAR_TO_XYZ @ np.clip(seen, 0.0, 1.0) / np.array([0.9505, 1.0, 1.089])
    x, y, z = np.where(xyz > 0.008856, np.cbrt(xyz), 7.787 * xyz + 16.0 / 116.0)
    return np.array([116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)])


@pytest.mark.parametrize("who", _SEEN_BY)
@pytest.mark.parametrize("dark", [False, True])
def test_ways_have_colours_that_everybody_can_tell_apart(who: str, dark: bool) -> None:
    colours = [in_the_dark(look.colour) if dark else look.colour for look in LOOKS]
    seen = [lab(colour, _SEEN_BY[who]) for colour in colours]
    nearest = min(np.linalg.norm(one - other) for one, other in itertools.combinations(seen, 2))
    assert nearest > 20.0  # about ten times a difference that is just seen


def test_no_way_is_red_or_green_and_all_stand_out_from_white() -> None:
    for look in LOOKS:
        _, a, b = lab(look.colour, np.eye(3))
        hue, strength = np.degrees(np.arctan2(b, a)) % 360.0, np.hypot(a, b)
        if strength > 30.0:
            assert not (hue < 40.0 or 100.0 < hue < 200.0 or hue > 340.0), look
        luminance = _LINEAR_TO_XYZ[1] @ linear(look.colour)
        assert 1.05 / (luminance + 0.05) >= 3.0


def test_in_the_dark_all_stand_out_from_the_ground_and_a_drawing_says_each_of_its_colours() -> None:
    ground = _LINEAR_TO_XYZ[1] @ linear(in_the_dark(GROUND))
    for colour in (INK, QUIET, *(look.colour for look in LOOKS)):
        assert (_LINEAR_TO_XYZ[1] @ linear(in_the_dark(colour)) + 0.05) / (ground + 0.05) >= 3.0, colour
    drawing = charts.page_picture(figure_of(charts.cost_by_category(compared("worked-example-2")))).decode()
    style, _, inside = drawing.partition("</style>")
    used = set(re.findall(r"(fill|stroke): (#[0-9a-f]{6})", inside))
    assert len(used) > 5 and "prefers-color-scheme: dark" in style
    for way, colour in used:
        assert f'[style*="{way}: {colour}"] {{ {way}: {in_the_dark(colour)}' in style


def test_looks_differ_in_dash_and_in_marker() -> None:
    assert len({look.dash for look in LOOKS}) == len({look.marker for look in LOOKS}) == len(LOOKS)


def test_more_ways_than_looks_still_differ() -> None:
    names = [f"way {number}" for number in range(3 * len(LOOKS))]
    given = looks(names, base_case="way 4", subject="way 2")
    assert given["way 4"] == LOOKS[0] and given["way 2"] == LOOKS[1]
    assert list(given) == names and len(set(given.values())) == len(names)


def test_neighbours_in_a_stack_differ_in_lightness_or_hatch() -> None:
    order = list(FILLS)
    for one, other in itertools.combinations(order, 2):
        lighter = abs(lab(FILLS[one].colour, np.eye(3))[0] - lab(FILLS[other].colour, np.eye(3))[0])
        assert FILLS[one].hatch != FILLS[other].hatch or lighter > 20.0, (one, other)
    assert all(to_hex(fill.colour) == fill.colour for fill in FILLS.values())


def test_the_two_accents_are_those_of_the_pages() -> None:
    """One meaning everywhere: the style sheet of the pages names the colours of the charts."""
    tokens = (Path(charts.__file__).parents[1] / "pages/look/tokens.css").read_text(encoding="utf-8")
    light = tokens[: tokens.index("@media")]
    named = {"spray": SPRAY.colour, "keep": KEEP.colour, "keep-tint": TINT, "ink": INK, "quiet": QUIET}
    assert [f"--{name}: {colour};" in light for name, colour in named.items()] == [True] * len(named)
    dark = tokens[tokens.index("@media") : tokens.index("@media print")]
    del named["keep-tint"]
    named["surface"] = GROUND
    assert [f"--{name}: {in_the_dark(one)};" in dark for name, one in named.items()] == [True] * len(named)


def test_pattern_and_colour_of_keeping_and_spraying_belong_to_nothing_else() -> None:
    assert HATCH not in {fill.hatch for fill in FILLS.values()}
    others = {*(fill.colour for fill in FILLS.values()), *(look.colour for look in CURVES)}
    assert not {KEEP.colour, SPRAY.colour, TINT} & {*others, PART["facecolor"], WHOLE["facecolor"]}


def test_a_bar_is_filled_as_cheaper_right_of_zero_and_as_dearer_left_of_it() -> None:
    axes = [
        charts.swings(compared("humid-coast-motorhome")),
        charts.savings_spread(brief(files.load(scenario_path("humid-coast-motorhome")), draws=64)),
    ]
    for ax in axes:
        bars = [(one, patch) for one, patch in drawn_bars(ax) if one.width > 0.0 and one.height > 0.0]
        assert len(bars) > 3
        for bar, patch in bars:
            fill = KEEP_FILL if bar.x0 + bar.width / 2.0 < 0.0 else SPRAY_FILL
            assert to_hex(patch.get_facecolor()) == fill["facecolor"]
            assert patch.get_hatch() == fill.get("hatch")
