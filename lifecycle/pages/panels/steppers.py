"""A number with two large buttons: smaller and larger, for a finger in a glove.

Lecture
-------
A stepper holds a number or none. A press from none begins at a usual value, the next presses go a step
up or down; the number can be typed as well. What is not allowed is explained right below, and the last
good number goes on counting.

Left out: what the number means.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import ipywidgets

from lifecycle.pages.panels.guard import Say, guarded
from lifecycle.pages.panels.words_on_page import part
from lifecycle.quantities import number_text

Took = Callable[[float | None], str]
"""Takes a number, or none; returns what is wrong with it beside the others, or ""."""

DIGITS = 4
"""Of a number that is shown."""


@dataclass(frozen=True)
class Steps:
    """How a number is stepped.

    Parameters
    ----------
    step, first : float
        Between two numbers; where the first press begins.
    low, high : float
        Smallest and largest allowed.
    unit : str
        Said behind the name, and after the allowed numbers; "": none, or the name says it.
    whole : bool
        Whether only whole numbers are allowed.
    """

    step: float
    first: float
    low: float
    high: float
    unit: str = ""
    whole: bool = False


class Stepper:
    """A number with two large buttons.

    Parameters
    ----------
    label : str
        What it is.
    steps : Steps
        How it is stepped.
    took : callable
        Takes what was entered.
    say : callable
        Shows a sentence in the status line.
    buttons : bool
        Whether there are buttons; without them it is typed.
    """

    def __init__(self, label: str, steps: Steps, took: Took, say: Say, *, buttons: bool = True) -> None:
        self.steps, self._took, self._quiet = steps, took, False
        self.value: float | None = None
        self.label = ipywidgets.HTML()
        named = f"{label} [{steps.unit}]" if steps.unit else label
        self.text = ipywidgets.Text(continuous_update=False, placeholder="?", description=named)
        self.message = ipywidgets.HTML(layout={"display": "none"})
        self.message.add_class("lc-message")
        row = ipywidgets.Box([self.text])
        if buttons:
            self.less = ipywidgets.Button(description="−", tooltip=f"{label}: less")
            self.more = ipywidgets.Button(description="+", tooltip=f"{label}: more")
            row.children = [self.less, self.text, self.more]
            self.less.on_click(guarded(lambda _: self._press(-1), say))
            self.more.on_click(guarded(lambda _: self._press(1), say))
        row.add_class("lc-step-row" if buttons else "lc-typed-row")
        self.box = ipywidgets.VBox([self.label, row, self.message])
        self.box.add_class("lc-stepper")
        self.name(label)
        self.text.observe(guarded(lambda _: self._typed(), say), names="value")

    def name(self, label: str, note: str = "") -> None:
        """Name it, with its unit; a note stands behind in small print."""
        unit = f" [{self.steps.unit}]" if self.steps.unit else ""
        self.label.value = part("step_name", label + unit, note)

    def show(self, value: float | None) -> None:
        """Show a number without taking it."""
        self.value, self._quiet = value, True
        try:
            self.text.value = "" if value is None else number_text(value, DIGITS)
        finally:
            self._quiet = False
        self.complain("")

    def complain(self, text: str) -> None:
        """Explain what is wrong; "" takes it away."""
        self.message.value = part("alert", text)
        self.message.layout.display = "" if text else "none"

    def _press(self, way: int) -> None:
        """Go a step up or down."""
        steps, value = self.steps, self.value
        new = steps.first if value is None else value + way * steps.step
        self._take(min(max(round(new, 6), steps.low), steps.high), shown=False)

    def _typed(self) -> None:
        """Read what was typed."""
        if self._quiet:
            return
        typed = self.text.value.strip().replace(",", "")
        if not typed:
            self._take(None)
            return
        try:
            number = float(typed)
        except ValueError:
            number = float("nan")
        steps = self.steps
        if not steps.low <= number <= steps.high or (steps.whole and number != int(number)):
            kind = "a whole number" if steps.whole else "a number"
            low, high = number_text(steps.low, DIGITS), number_text(steps.high, DIGITS)
            said = f'"{typed}" is not taken: it must be {kind} from {low} to {high} {steps.unit}'.rstrip()
            self.complain(f"{said}.{self._still()}")
            return
        self._take(number)

    def _take(self, value: float | None, *, shown: bool = True) -> None:
        """Take a number if it goes with the others."""
        wrong = self._took(value)
        if wrong:
            self.complain(f"{wrong}{self._still()}")
            return
        self.value = value
        self.complain("")
        if not shown:
            self.show(value)

    def _still(self) -> str:
        """Say which number goes on counting."""
        return "" if self.value is None else " The number before still counts."
