"""The page for the counter: ask, walk the roof, and answer in a fixed order, one customer at a time.

Lecture
-------
On top the verdict's first line, then four steps: what the customer is asked, the walk on the roof, the
price, the answer on one screen. What it is for stands there until the first answer. A price list is the
shop's and stays; everything else is the customer's: "New customer" asks once more and wipes it. What is
entered lives in the program behind the page: it survives a lost network in the same tab, and a reload
starts empty.

Trouble, or a reading above the meter's limit, is a path: nothing is compared and no price is shown before
it was opened; what may be said and the paper for the shop need no price. A file that the page was opened
with gives its own answer until something is changed; what the page does not ask for is said.

Left out: what is said before and after (the notebook), and the server.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import ipywidgets

from lifecycle.answers.claims import offer_lines
from lifecycle.errors import ScenarioError
from lifecycle.interview import parts
from lifecycle.language.labels import listed
from lifecycle.language.sentences import say as sentence
from lifecycle.language.sentences import words
from lifecycle.pages.panels.answering import Answer, Answering
from lifecycle.pages.panels.arriving import arrival
from lifecycle.pages.panels.counter_answer import CounterAnswer, unseen_lines
from lifecycle.pages.panels.counter_customer import (
    Asked,
    Customer,
    Walk,
    answered,
    by_the_hour,
    from_scenario,
    not_kept,
    objections,
    roof_of,
    scenario_of,
    still_needed,
    to_open,
)
from lifecycle.pages.panels.counter_other_work import other_work
from lifecycle.pages.panels.counter_price import PricePanel
from lifecycle.pages.panels.counter_said import SaidPanel
from lifecycle.pages.panels.counter_walk import WalkPanel
from lifecycle.pages.panels.folds import AskedOnceMore, Fold
from lifecycle.pages.panels.guard import guarded, sentence_of
from lifecycle.pages.panels.paper_links import PaperLinks
from lifecycle.pages.panels.questions import CounterQuestions
from lifecycle.pages.panels.session import Session, Shows
from lifecycle.pages.panels.state import Entered
from lifecycle.pages.panels.style import style_sheet
from lifecycle.pages.panels.words_on_page import file_link, items, paragraphs, part
from lifecycle.pages.panels.working import Job, Worker, loop_of_page
from lifecycle.reading.quotes import PriceList
from lifecycle.scenario import Scenario
from lifecycle.studies.futures import DRAWS
from lifecycle.studies.quoting import examine

PARTS = ("lc-asking", "lc-walking", "lc-pricing", "lc-answering")
"""How each step is marked."""


class CounterPage:
    """The page for the counter; it shows itself in a notebook.

    Parameters
    ----------
    scenario : Scenario or None
        With which it was opened.
    today : date or None
        Day from which a comparison counts; None: today.
    draws : int
        Futures.
    """

    def __init__(
        self, scenario: Scenario | None = None, today: date | None = None, draws: int = DRAWS
    ) -> None:
        self.today, self.units = today or date.today(), "us"
        self.customer = Customer()
        self.prices: PriceList | None = None
        self.status = ipywidgets.HTML()
        self.status.add_class("lc-status")
        self.say("")
        self.file: Scenario | None = None
        self._make_panels()
        self.answer = CounterAnswer(self.say)
        self.session = Session(self._shows(), self.today, Answering(draws))
        self._rest = Worker(self._failed, loop_of_page())
        self.said, self.papers = SaidPanel(self.scenario, draws), PaperLinks(self.scenario, offers=True)
        self.folds = {
            "said": Fold(sentence("counter.folds.said"), lambda: [self.said.box], self.say),
            "papers": Fold(sentence("counter.folds.papers"), self._papers, self.say),
        }
        self.box = ipywidgets.VBox(self._laid_out())
        self.box.add_class("lc-page")
        self.box.children = [*self.box.children, arrival(self.box)]
        self.box.add_class("lc-counter")
        self._turn_to(0)
        self._move(Customer(), ())
        if scenario is not None:
            guarded(self._open, self.say)(scenario)

    def _repr_mimebundle_(self, **options: Any) -> dict[str, Any]:
        """Show the page in a notebook; where none runs, a sentence."""
        shown = self.box._repr_mimebundle_(**options)
        data: dict[str, Any] = shown[0] if isinstance(shown, tuple) else shown
        return {**data, "text/plain": sentence("counter.not_running")}

    def say(self, text: str) -> None:
        """Show a sentence in the status line."""
        self.status.value = part("status", [text])

    def scenario(self) -> Scenario | None:
        """Return the customer's scenario, with any trouble in it; None if something is still needed."""
        if self.file is not None:
            return self.file
        if self.customer.seen.stops:
            return to_open(self.customer, self.units, self.today)
        if still_needed(self.customer, self.prices):
            return None
        return scenario_of(self.customer, self.prices, self.units, self.today)

    def _make_panels(self) -> None:
        """Make what asks, in the units of the page."""
        self.questions = CounterQuestions(self._answer, self.say, self.units)
        self.walk = WalkPanel(self._walked, self._roof(self.units), self.say, self.units)
        self.price = PricePanel(self._asked, self._listed, self.say, self.units)

    def _roof(self, units: str) -> Callable[[Walk], Scenario]:
        """Return what makes a roof of a walk, in some units."""
        return lambda walk: roof_of(walk, units, self.today)

    def _laid_out(self) -> list[Any]:
        """Return the page from top to bottom."""
        style = ipywidgets.HTML(style_sheet("counter"))
        self.steps = [ipywidgets.Button(description=name) for name in words("counter.steps")]
        for number, button in enumerate(self.steps):
            button.on_click(guarded(self._turning(number), self.say))
        nav = ipywidgets.Box(self.steps)
        nav.add_class("lc-nav")
        folds = ipywidgets.VBox([fold.box for fold in (*self.answer.folds.values(), *self.folds.values())])
        folds.add_class("lc-folds")
        self.parts = [
            ipywidgets.VBox([self.questions.box]),
            ipywidgets.VBox([self.walk.box]),
            ipywidgets.VBox([self.price.box]),
            ipywidgets.VBox([self.answer.box, folds]),
        ]
        for box, kind in zip(self.parts, PARTS, strict=True):
            box.add_class("lc-part")
            box.add_class(kind)
        parts = ipywidgets.Box(self.parts)
        parts.add_class("lc-parts")
        return [style, *self._bar(), nav, self.intro, self.answer.first, parts]

    def _bar(self) -> list[Any]:
        """Return what stands at the very top."""
        name = sentence("counter.new_customer")
        self.new = AskedOnceMore(name, "pages.sure.new_customer", self._wipe, self.say)
        self.unit_buttons = ipywidgets.ToggleButtons(options=[("feet", "us"), ("metres", "metric")])
        self.unit_buttons.observe(guarded(lambda change: self._use(change["new"]), self.say), names="value")
        title = ipywidgets.HTML(part("title", sentence("counter.title"), 1))
        bar = ipywidgets.Box([title, self.new.button, self.unit_buttons])
        bar.add_class("lc-bar")
        said = words("counter")
        mind = Fold(said["mind_title"], lambda: [ipywidgets.HTML(items(said["mind"]))], self.say)
        self.intro = ipywidgets.VBox(
            [ipywidgets.HTML(paragraphs([said["intro"], said["private"]])), mind.box]
        )
        self.intro.add_class("lc-intro")
        return [bar, self.new.box, self.status]

    def _turning(self, number: int) -> Callable[[Any], None]:
        """Return what turns to a step."""
        return lambda _: self._turn_to(number)

    def _turn_to(self, number: int) -> None:
        """Show one of the four steps; a wide screen shows all."""
        for place, (button, box) in enumerate(zip(self.steps, self.parts, strict=True)):
            (box.add_class if place == number else box.remove_class)("lc-shown")
            (button.add_class if place == number else button.remove_class)("mod-active")

    def _shows(self) -> Shows:
        """Return what is done with what comes."""
        return Shows(
            entered=lambda _: None,
            needed=lambda _: self._no_answer(),
            working=self.answer.working,
            first=lambda answer: self.answer.show_first(answer),
            whole=self._whole,
            failed=self._failed,
        )

    def _answer(self, key: str, value: Any) -> str:
        """Take an answer of the customer."""
        if self.customer.answers.get(key) == value:
            return ""
        new = answered(self.customer, key, value)
        for fault in objections(new):
            return sentence("counter.does_not_fit", rule=fault.rule)
        return self._move(new, (parts()[key].short,))

    def _walked(self, walk: Walk) -> str:
        """Take what was measured and counted."""
        return self._move(replace(self.customer, walk=walk), (sentence("counter.by_walk"),))

    def _asked(self, asked: Asked) -> str:
        """Take what the shop asks of this customer."""
        return self._move(replace(self.customer, asked=asked), (sentence("counter.by_price"),))

    def _listed(self, prices: PriceList | None) -> None:
        """Take a price list, or that there is none any more."""
        self.prices = prices
        self._move(replace(self.customer, asked=self.price.asked), (sentence("counter.by_list"),))

    def _move(self, new: Customer, moved: tuple[str, ...]) -> str:
        """Take a new state of the customer; return why not, or ""."""
        scenario = None
        try:
            if new.seen.stops or still_needed(new, self.prices):
                roof_of(new.walk, self.units, self.today)
            else:
                scenario = scenario_of(new, self.prices, self.units, self.today)
        except ScenarioError as error:
            return _said(error)
        self.customer = new
        self.say("")
        if self.file is not None:
            lost, self.file = not_kept(self.file, scenario), None
            self.say(sentence("counter.file_left", what=listed(lost)) if lost else "")
        if moved:
            self.intro.layout.display = "none"
        self.questions.follow(new.known)
        self.price.box.layout.display = "none" if new.seen.stops else ""
        self._rest.give_up()
        self._old(gone=scenario is None)
        self.session.enter(Entered(self.today, units=self.units, by_hand=scenario, last=moved))
        self.folds["papers"].renew()
        return ""

    def _old(self, *, gone: bool) -> None:
        """Mark statements and papers as old; where nothing is compared any more they go."""
        for demand in (self.said.demand, self.papers.demand):
            if gone:
                demand.result.children = ()
            demand.old()

    def _no_answer(self) -> None:
        """Say that the roof must be opened, or what is still needed; no price is shown."""
        seen = self.customer.seen if self.file is None else self.file.seen
        if seen.stops:
            self.answer.stop(seen, found=str(self.customer.answers.get("opened")))
        else:
            self.answer.needed(still_needed(self.customer, self.prices))

    def _whole(self, answer: Answer) -> None:
        """Show the cheapest way, and work out the rest beside the page."""
        self.answer.show_first(answer)
        self.answer.show_whole(answer)
        self._rest.start(lambda job: self._work_rest(answer, job))

    def _work_rest(self, answer: Answer, job: Job) -> None:
        """Work out whose figures these are, the price, other work, and what was not looked at."""
        found = answer.found
        if found is None:
            return
        hours = () if self.prices is None else by_the_hour(self.prices)
        examination = examine(answer.scenario)
        job.check()
        offers = offer_lines(answer.comparison, found.doubt)
        job.check()
        work = other_work(answer.comparison, found.doubt, examination)
        unseen = unseen_lines(examination, hours)
        job.show(lambda: self.answer.show_rest(offers, examination, work, unseen))

    def _failed(self, error: BaseException) -> None:
        """Say what went wrong; the last good answer stays."""
        self.answer.failed()
        self.say(sentence_of(error))

    def _wipe(self) -> None:
        """Wipe everything of the customer; the price list stays."""
        self._show(Customer())
        self.session.start_over(for_good=True)
        self._turn_to(0)
        self.say(sentence("counter.wiped"))

    def _show(self, customer: Customer) -> None:
        """Show a customer that did not come from the fields."""
        self.questions.show(customer.answers)
        self.walk.show(customer.walk)
        self.price.show(customer.asked)
        wrong = self._move(customer, ())
        if wrong:
            self.say(wrong)

    def _use(self, units: str) -> None:
        """Show the page in other units; nothing else changes."""
        if units == self.units:
            return
        self.units = units
        self._make_panels()
        self.price.prices = self.prices
        boxes = self.questions.box, self.walk.box, self.price.box
        for step, box in zip(self.parts, boxes, strict=False):
            step.children = [box]
        self._show(self.customer)

    def _open(self, scenario: Scenario) -> None:
        """Show the answer of a file as it stands, and say what the page would not keep of it."""
        self._show(from_scenario(scenario))
        asked = None if still_needed(self.customer, self.prices) else self.scenario()
        lost = not_kept(scenario, asked)
        self.file, self.intro.layout.display = scenario, "none"
        self.session.enter(Entered(self.today, units=self.units, by_hand=self._of_file(), last=()))
        if self._of_file() is not None:
            said = sentence("counter.file_lost", what=listed(lost)) if lost else sentence("counter.file_kept")
            self.say(f"{sentence('counter.file_stands')} {said}")
        self.folds["papers"].renew()

    def _of_file(self) -> Scenario | None:
        """Return the file that stands, if it can be compared."""
        return None if self.file is None or self.file.trouble else self.file

    def _papers(self) -> list[Any]:
        """Return the papers, and the customer's own file."""
        scenario = self.scenario()
        if scenario is None:
            return [ipywidgets.HTML(paragraphs([sentence("counter.nothing_yet")]))]
        content = scenario.text.encode("utf-8")
        link = file_link("my-roof.toml", content, "application/toml", sentence("counter.keep_link"))
        return [self.papers.box, ipywidgets.HTML(paragraphs([sentence("counter.keep")]) + link)]


def _said(error: ScenarioError) -> str:
    """Say what is wrong with what was entered, in words."""
    fault = error.faults[0]
    place = words("counter.place").get(fault.place, fault.place)
    remedy = f" {fault.remedy[0].upper()}{fault.remedy[1:]}." if fault.remedy else ""
    return f"{sentence('counter.does_not_fit_place', place=place, rule=fault.rule)}{remedy}"
