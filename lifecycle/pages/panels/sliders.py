"""Sliders over the break-even chart: what if the quote, the years kept, the price of a reseal were other?

Lecture
-------
Three sliders of the scenario that one has in hand; each move is a changed scenario (`lifecycle.change`), two
ways compared at likely values, and the chart drawn anew. A slider runs from half its likely value to twice
that, the years over all years shown. A line below says what is being done, and what came of it. Arrow keys
move a slider, as a pointer does.

No page has room for it: pages ask questions first, this begins with a scenario.

Left out: doubt, which takes too long for a slider.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import ipywidgets

from lifecycle.charts import describe_break_even
from lifecycle.charts.break_even import ABOVE, BELOW, HEIGHT, LABELS, LEFT, break_even
from lifecycle.charts.canvas import WIDTH
from lifecycle.charts.owning import break_even_text
from lifecycle.charts.ways import NOTHING_COMPARED
from lifecycle.errors import fault
from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.language.labels import input_name
from lifecycle.pages.panels.guard import guarded
from lifecycle.pages.panels.pictures import KeptPicture
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario
from lifecycle.studies.what_if import asked_inputs, changed

YEARS = "owner.holding_period"
"""Input of the years kept."""

MOVED = ("quote", "years", "reseal_price")
"""Plain names of the inputs that have a slider."""

WORKING, NO_KERNEL = "Working it out ...", "Sliders over the break-even chart; they move where a kernel runs."
"""What is said while it works, and where nothing can move."""


class Sliders:
    """Sliders for the quote, the years kept and the price of a reseal, above the break-even chart.

    Parameters
    ----------
    scenario : Scenario
        With a way in question.

    Raises
    ------
    ScenarioError
        If nothing is compared.
    """

    def __init__(self, scenario: Scenario) -> None:
        likely = {
            path: replace(one, low=one.likely, high=one.likely) for path, one in scenario.inputs.items()
        }
        comparison = compare(replace(scenario, inputs=likely))
        if comparison.subject is None or not comparison.ways:
            raise fault("scenario", "must have something to compare", "", NOTHING_COMPARED)
        pair = comparison.base_case, comparison.subject
        two = tuple(way for way in scenario.alternatives if way.name in pair)
        self._scenario = replace(scenario, inputs=likely, alternatives=two)
        self._picture = KeptPicture(BELOW + HEIGHT + ABOVE, (LEFT, BELOW, WIDTH - LEFT - LABELS, HEIGHT))
        self.said = ipywidgets.Label()
        paths = asked_inputs(self._scenario)
        self.sliders = {
            paths[name]: self._slider(likely[paths[name]], comparison) for name in MOVED if name in paths
        }
        for slider in self.sliders.values():
            slider.observe(guarded(self._redraw, self._say), names="value")
        self._redraw()
        self.box = ipywidgets.VBox([*self.sliders.values(), self.said, self._picture.image])

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

    def _say(self, sentence: str) -> None:
        """Say what is being done."""
        self.said.value = sentence

    def _redraw(self, _: object = None) -> None:
        """Work the answer out for where the sliders stand, and draw it."""
        self._say(WORKING)
        values: Mapping[str, float] = {path: slider.value for path, slider in self.sliders.items()}
        comparison = compare(changed(self._scenario, values))
        sentence = describe_break_even(comparison)
        content = self._picture.drawn(lambda axes: break_even(comparison, ax=axes), sentence)
        self._picture.show(content, sentence)
        way = comparison.ways[str(comparison.subject)]
        self._say(f"{way.title}: no dearer than otherwise {break_even_text(comparison, way)}.")

    def __repr__(self) -> str:
        """Say that it needs a kernel."""
        return NO_KERNEL

    def _repr_mimebundle_(self, **options: Any) -> dict[str, Any]:
        """Show the sliders in a notebook; where none runs, a sentence."""
        shown = self.box._repr_mimebundle_(**options)
        data: dict[str, Any] = shown[0] if isinstance(shown, tuple) else shown
        return {**data, "text/plain": NO_KERNEL}
