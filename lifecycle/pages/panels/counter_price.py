"""What the shop asks: a price list for the session, or a number; and the terms for this customer.

Lecture
-------
A price list is loaded from the computer of whoever uses the page, or filled in here, each line checked as it
is typed, and saved as a file. It stays in memory for the session, through any number of customers, and is
never written anywhere unasked. Its entries can be left out of a job one by
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
from lifecycle.errors import ScenarioError
from lifecycle.interview import follows
from lifecycle.interview.price_list import price_answers, price_list_text, price_parts
from lifecycle.language.sentences import say as sentence
from lifecycle.language.sentences import words
from lifecycle.pages.panels.counter_customer import Asked, by_the_hour
from lifecycle.pages.panels.fields import Field
from lifecycle.pages.panels.folds import Fold
from lifecycle.pages.panels.guard import Say, guarded
from lifecycle.pages.panels.scenario_choice import upload
from lifecycle.pages.panels.steppers import Stepper, Steps
from lifecycle.pages.panels.words_on_page import file_link, paragraphs, part
from lifecycle.quantities import convert
from lifecycle.reading.quotes import PriceList

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
        self.away = ipywidgets.Button(description=words("counter.price.away"), layout={"display": "none"})
        self.entries = ipywidgets.Box()
        self.entries.add_class("lc-entries")
        self.job = Fold(words("counter.price.in_job"), lambda: [self.entries], say)
        self.form = Fold(words("counter.price.fill"), self._form, say)
        self.fields: dict[str, Field] = {}
        self.save = ipywidgets.HTML()
        self.filled: dict[str, Any] = {}
        self.amounts = {name: self._amount(name) for name in words("counter.price.amounts")}
        bar = ipywidgets.Box([self.load, self.away])
        bar.add_class("lc-bar")
        amounts = ipywidgets.Box([stepper.box for stepper in self.amounts.values()])
        amounts.add_class("lc-steppers")
        cautions = paragraphs([words("counter.caution.strip"), words("counter.caution.spray")])
        head = ipywidgets.HTML(part("titled", words("counter.price.title"), cautions))
        self.box = ipywidgets.VBox([head, self.said, bar, self.form.box, self.job.box, amounts])
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
        self.form.renew()
        self._listed(prices)

    def _form(self) -> list[Any]:
        """Return the price list as fields, made when they are wanted first."""
        known = {} if self.prices is None else price_answers(self.prices, self.units)
        if known is None:
            return [ipywidgets.HTML(paragraphs([words("counter.price.by_hand")]))]
        self.filled = known
        if not self.fields:
            parts = price_parts(self.units)
            self.fields = {key: Field(part, self._fill, self._say, self.units) for key, part in parts.items()}
        for key, field in self.fields.items():
            field.show(known.get(key))
        self._follow()
        rows = ipywidgets.Box([field.box for field in self.fields.values()])
        rows.add_class("lc-two")
        return [ipywidgets.HTML(paragraphs([words("counter.price.fill_said")])), rows, self.save]

    def _fill(self, key: str, value: Any) -> str:
        """Take one line of the price list; return why not, or ""."""
        filled = {name: old for name, old in self.filled.items() if name != key}
        filled |= {} if value is None else {key: value}
        text = price_list_text(filled, self.units, words("counter.price.title_of_form"))
        try:
            prices = files.loads_prices(text.encode("utf-8"), words("counter.price.title_of_form"))
        except ScenarioError as error:
            return sentence("counter.does_not_fit", rule=error.faults[0].rule)
        self.filled = filled
        self._follow()
        usable = any(not entry.get("contingent") for entry in prices.job.values())
        link = file_link("prices.toml", text.encode("utf-8"), "application/toml", words("counter.price.save"))
        self.save.value = link + paragraphs([] if usable else [words("counter.price.no_job")])
        self.prices = prices if usable else None
        self._show_list()
        self._listed(self.prices)
        return ""

    def _follow(self) -> None:
        """Ask what hangs on another line only where that one is filled in."""
        for field in self.fields.values():
            field.box.layout.display = "" if follows(field.part, self.filled) else "none"

    def _amount(self, name: str) -> Stepper:
        """Return the control of one amount."""
        info = files.fields()["quotes"]["cap"]
        label = words("counter.price.amounts")[name].replace(
            "{area}", "m2" if self.units == "metric" else "sq ft"
        )
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
        lines = [words("counter.price.no_list")]
        if prices is not None:
            title = prices.title or words("counter.price.untitled")
            lines = [sentence("counter.price.list", title=title)]
            if hours := by_the_hour(prices):
                lines.append(sentence("counter.price.by_hour", what=", ".join(hours)))
        self.said.value = paragraphs(lines)
        self.entries.children = [self._entry(name, entry) for name, entry in _listed(prices)]

    def _entry(self, name: str, entry: Mapping[str, Any]) -> Any:
        """Return the control of one entry of the list."""
        only = bool(entry.get("contingent"))
        what = sentence("counter.price.only_if", what=entry["what"]) if only else entry["what"]
        box = ipywidgets.Checkbox(description=what, value=name not in self.asked.left_out, indent=False)
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
        self._say(sentence("counter.price.loaded", title=prices.title or str(file["name"])))


def _listed(prices: PriceList | None) -> list[tuple[str, Mapping[str, Any]]]:
    """Return the entries of a price list that can be in a job."""
    if prices is None:
        return []
    hours = by_the_hour(prices)
    return [(name, entry) for name, entry in prices.job.items() if entry["what"] not in hours]
