"""What the shop asks: a price list for the session, or a number; and the terms for this customer.

Lecture
-------
A price list is loaded from the computer of whoever uses the page. It stays in memory for the session,
through any number of customers, and is never written anywhere. Its entries can be left out of a job one by
one. Without a list one number is the price, with tax, and another the price of new wood.

No price is shown here but what the seller types: what it comes to is shown with the answer.

Left out: what a price comes to (`answers.quote`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import ipywidgets

from lifecycle import files
from lifecycle.language.sentences import say as sentence
from lifecycle.pages.panels.counter_customer import Asked, by_the_hour
from lifecycle.pages.panels.folds import Fold
from lifecycle.pages.panels.guard import Say, guarded
from lifecycle.pages.panels.scenario_choice import upload
from lifecycle.pages.panels.steppers import Stepper, Steps
from lifecycle.pages.panels.words_on_page import paragraphs
from lifecycle.quantities import convert
from lifecycle.reading.prices import PriceList

NO_LIST = (
    "Load the shop's price list once: it is kept for this session, for every customer, and never written "
    "anywhere. Or type the price of the whole job."
)
IN_JOB = "What is in this job?"
BY_HOUR = "Asked by the hour, so it is in no price: {what}."
LABELS: Mapping[str, str] = {
    "number": "Price of the whole job, with tax [USD]",
    "wood": "New wood, with tax [USD a {area}]",
    "cap": "Most that the bill may be [USD]",
    "exit_price": "If the customer stops once it is open [USD]",
}
"""Each amount on the page."""

WITHOUT_LIST = ("number", "wood")
"""Amounts that a price list says."""


class PricePanel:
    """What the shop asks.

    Parameters
    ----------
    took : callable
        Takes what is asked of this customer; returns what is wrong with it, or "".
    listed : callable
        Takes the price list, or None where it was taken away.
    say : callable
        Shows a sentence in the status line.
    units : str
        "us" or "metric".
    """

    def __init__(
        self,
        took: Callable[[Asked], str],
        listed: Callable[[PriceList | None], object],
        say: Say,
        units: str = "us",
    ) -> None:
        self._took, self._listed, self._say, self.units = took, listed, say, units
        self.asked = Asked()
        self.prices: PriceList | None = None
        self._quiet = False
        self.said = ipywidgets.HTML()
        self.load = upload(sentence("pages.load.prices"), ".toml")
        self.away = ipywidgets.Button(description="Take the list away", layout={"display": "none"})
        self.entries = ipywidgets.Box()
        self.entries.add_class("lc-entries")
        self.job = Fold(IN_JOB, lambda: [self.entries], say)
        self.amounts = {name: self._amount(name) for name in LABELS}
        bar = ipywidgets.Box([self.load, self.away])
        bar.add_class("lc-bar")
        amounts = ipywidgets.Box([stepper.box for stepper in self.amounts.values()])
        amounts.add_class("lc-steppers")
        head = ipywidgets.HTML("<h3>What the shop asks</h3>")
        self.box = ipywidgets.VBox([head, self.said, bar, self.job.box, amounts])
        self.load.observe(guarded(self._loaded, say), names="value")
        self.away.on_click(guarded(lambda _: self.use(None), say))
        self.show(Asked())

    def show(self, asked: Asked) -> None:
        """Show what is asked without taking it; the price list stays."""
        self.asked = asked
        for name, stepper in self.amounts.items():
            value = getattr(asked, name)
            stepper.show(None if value is None else self._in_units(name, value))
        self._show_list()

    def use(self, prices: PriceList | None) -> None:
        """Use a price list, or none."""
        self.prices = prices
        self.show(replace(self.asked, left_out=frozenset()))
        self._listed(prices)

    def _amount(self, name: str) -> Stepper:
        """Return the control of one amount."""
        info = files.fields()["quotes"]["cap"]
        label = LABELS[name].replace("{area}", "m2" if self.units == "metric" else "sq ft")
        steps = Steps(info.high, 0.0, 0.0, info.high)
        return Stepper(label, steps, self._taking(name), self._say, buttons=False)

    def _taking(self, name: str) -> Callable[[float | None], str]:
        """Return what takes one amount."""

        def take(value: float | None) -> str:
            kept = value
            if name == "wood" and value is not None and self.units == "us":
                kept = convert(value, "money/sq ft", "money/m2")
            changed: dict[str, Any] = {name: kept}
            return self._take(replace(self.asked, **changed))

        return take

    def _take(self, asked: Asked) -> str:
        """Take what is asked."""
        wrong = self._took(asked)
        if not wrong:
            self.asked = asked
        return wrong

    def _in_units(self, name: str, value: float) -> float:
        """Return an amount as it is shown."""
        if name == "wood" and self.units == "us":
            return round(convert(value, "money/m2", "money/sq ft"), 4)
        return value

    def _show_list(self) -> None:
        """Show what the price list holds, and what has to be typed without one."""
        prices = self.prices
        self.away.layout.display = "none" if prices is None else ""
        self.job.box.layout.display = "none" if prices is None else ""
        for name in WITHOUT_LIST:
            self.amounts[name].box.layout.display = "" if prices is None else "none"
        lines = [NO_LIST]
        if prices is not None:
            lines = [f"Price list: {prices.title or 'without a title'}."]
            if hours := by_the_hour(prices):
                lines.append(BY_HOUR.format(what=", ".join(hours)))
        self.said.value = paragraphs(lines)
        self.entries.children = [self._entry(name, entry) for name, entry in _listed(prices)]

    def _entry(self, name: str, entry: Mapping[str, Any]) -> Any:
        """Return the control of one entry of the list."""
        only = ", only if it is found" if entry.get("contingent") else ""
        box = ipywidgets.Checkbox(
            description=f"{entry['what']}{only}", value=name not in self.asked.left_out, indent=False
        )
        box.observe(guarded(lambda change: self._ticked(name, box, change["new"]), self._say), names="value")
        return box

    def _ticked(self, name: str, box: Any, wanted: bool) -> None:
        """Take an entry in, or leave it out; one that cannot be left out comes back."""
        if self._quiet:
            return
        left_out = self.asked.left_out - {name} if wanted else self.asked.left_out | {name}
        wrong = self._take(replace(self.asked, left_out=left_out))
        if wrong:
            self._quiet = True
            box.value = not wanted
            self._quiet = False
            self._say(wrong)

    def _loaded(self, change: Any) -> None:
        """Read a price list, and make room for the next."""
        if self._quiet or not change["new"]:
            return
        file = change["new"][0]
        self._quiet = True
        self.load.value = ()
        self._quiet = False
        prices = files.loads_prices(bytes(file["content"]), str(file["name"]))
        self.use(prices)
        self._say(f"Price list loaded: {prices.title or file['name']}.")


def _listed(prices: PriceList | None) -> list[tuple[str, Mapping[str, Any]]]:
    """Return the entries of a price list that can be in a job."""
    if prices is None:
        return []
    hours = by_the_hour(prices)
    return [(name, entry) for name, entry in prices.entries.items() if entry["what"] not in hours]
