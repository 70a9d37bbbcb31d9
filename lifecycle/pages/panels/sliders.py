"""Sliders over a chart: what if the quote, the years kept, the price of a reseal were other?

Lecture
-------
Three sliders of the scenario that one has in hand; each move is a changed scenario (`lifecycle.change`), two
ways compared at likely values, and the chart drawn anew: cost by year of sale, or how far each figure moves
the answer. A slider runs from half its likely value to twice that, the years over all years shown. Above the
chart stands what is being done, and what came of it. Arrow keys move a slider, as a pointer does.

A figure that a slider moved keeps its range for the chart of what moves the answer; the range is widened
where the slider went beyond it.

No page has room for it: pages ask questions first, this begins with a scenario.

Left out: doubt, which takes too long for a slider.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import ipywidgets

from lifecycle.charts import break_even, swings
from lifecycle.charts.canvas import WIDTH
from lifecycle.charts.frame import NOTHING_COMPARED
from lifecycle.charts.owning import BREAK_EVEN, LABELS, LEFT, break_even_text
from lifecycle.errors import fault, nearest
from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.language.labels import cheaper_or_dearer, input_name
from lifecycle.language.sentences import say
from lifecycle.pages.panels.pieces import KeptPicture, below, picture_of, shown_in_notebook, watched
from lifecycle.quantities import Figure, number_text
from lifecycle.scenario import Scenario, at_likely, replaced
from lifecycle.studies.what_if import asked_inputs

YEARS = "owner.holding_period"
"""Input of the years kept."""

MOVED = ("quote", "years", "reseal_price")
"""Plain names of the inputs that have a slider."""

CHARTS = ("break_even", "swings")
"""Charts that follow sliders."""


BARS = 6
"""Figures shown of those that move the answer."""


class Sliders:
    """Sliders for the quote, the years kept and the price of a reseal, above a chart that follows them.

    Parameters
    ----------
    scenario : Scenario
        With a way in question.
    chart : str
        One of `CHARTS`: "break_even" (cost by year of sale), "swings" (how far a figure moves the answer).

    Raises
    ------
    ScenarioError
        If nothing is compared, or there is no such chart.
    """

    def __init__(self, scenario: Scenario, chart: str = CHARTS[0]) -> None:
        if chart not in CHARTS:
            raise fault("chart", "must be one that follows sliders", str(chart), nearest(str(chart), CHARTS))
        comparison = compare(at_likely(scenario))
        if comparison.subject is None or not comparison.ways:
            raise fault("scenario", "must have something to compare", "", NOTHING_COMPARED)
        pair = comparison.base_case, comparison.subject
        two = tuple(way for way in scenario.alternatives if way.name in pair)
        stated = scenario if chart == "swings" else comparison.scenario
        self._scenario, self._chart = replace(stated, alternatives=two), chart
        below_it, high = BREAK_EVEN["below"], BREAK_EVEN["height"]
        place = LEFT, below_it, WIDTH - LEFT - LABELS, high
        self._picture = KeptPicture(below_it + high + BREAK_EVEN["above"], place)
        self.said = ipywidgets.Label()
        paths = asked_inputs(self._scenario)
        moved = [scenario.inputs[paths[name]] for name in MOVED if name in paths]
        self.sliders = {figure.path: self._slider(figure, comparison) for figure in moved}
        for slider in self.sliders.values():
            watched(slider, self._redraw, self._tell)
        self._redraw()
        self.box = below("", *self.sliders.values(), self.said, self._picture.image)

    def _slider(self, figure: Figure, comparison: Comparison) -> Any:
        """Return the slider of one input."""
        wide = {"style": {"description_width": "initial"}, "layout": {"width": "95%"}}
        if figure.path == YEARS:
            ends = {"min": 1.0, "max": float(comparison.study_period), "step": 1.0}
        else:
            ends = {"min": figure.likely / 2.0, "max": 2.0 * figure.likely, "step": figure.likely / 20.0}
        value, name = figure.likely, input_name(figure)
        return ipywidgets.FloatSlider(
            value=value, description=name, readout_format=",.0f", continuous_update=False, **ends, **wide
        )

    def _tell(self, sentence: str) -> None:
        """Say what is being done."""
        self.said.value = sentence

    def _redraw(self, _: object = None) -> None:
        """Work the answer out for where the sliders stand, and draw it."""
        self._tell(say("sliders.working"))
        comparison = compare(replaced(self._scenario, dict(map(self._moved, self.sliders))))
        if self._chart == "swings":
            self._picture.show(*picture_of(swings(comparison, shown=BARS)))
        else:
            self._picture.show(*self._picture.drawn(lambda axes: break_even(comparison, ax=axes)))
        way = comparison.ways[str(comparison.subject)]
        gap, when = cheaper_or_dearer(comparison.net_savings(way.name)), break_even_text(comparison, way)
        years = number_text(comparison.holding_period)
        self._tell(say("sliders.found", way=way.title, gap=gap, years=years, when=when))

    def _moved(self, path: str) -> tuple[str, Figure]:
        """Return an input as its slider has it; a range is widened by it, one value is moved."""
        old, value = self._scenario.inputs[path], float(self.sliders[path].value)
        low, high = (min(old.low, value), max(old.high, value)) if old.ranged else (value, value)
        return path, replace(old, likely=value, low=low, high=high)

    def __repr__(self) -> str:
        """Say that it needs a kernel."""
        return say("sliders.no_kernel")

    def _repr_mimebundle_(self, **options: Any) -> dict[str, Any]:
        """Show the sliders in a notebook; where none runs, a sentence."""
        return shown_in_notebook(self.box, repr(self), **options)
