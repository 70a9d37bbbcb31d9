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

from dataclasses import replace
from datetime import date
from functools import partial
from typing import Any

import ipywidgets

from lifecycle.answers.claims import offer_lines
from lifecycle.errors import ScenarioError
from lifecycle.interview import parts
from lifecycle.language.labels import listed
from lifecycle.language.sentences import say, words
from lifecycle.pages.panels.counter_answer import CounterAnswer, SaidPanel, other_work, unseen_lines
from lifecycle.pages.panels.counter_asking import PricePanel, WalkPanel
from lifecycle.pages.panels.counter_customer import (
    Asked,
    Customer,
    Walk,
    by_the_hour,
    from_scenario,
    not_kept,
    roof_of,
    scenario_of,
    still_needed,
    to_open,
)
from lifecycle.pages.panels.fields import CounterQuestions
from lifecycle.pages.panels.folds import AskedOnceMore, Fold
from lifecycle.pages.panels.pieces import (
    Page,
    below,
    beside,
    button,
    file_link,
    guarded,
    html,
    items,
    mark,
    paragraphs,
    put_away,
    said,
    sentence_of,
    style_sheet,
    title,
    watched,
)
from lifecycle.pages.panels.results import PaperLinks
from lifecycle.pages.panels.session import (
    NAME,
    Answer,
    Answering,
    Entered,
    Session,
    Shows,
    does_not_fit,
    objection,
    with_one,
)
from lifecycle.pages.panels.worker import Job, Worker, loop_of_page
from lifecycle.reading.quotes import PriceList
from lifecycle.scenario import Scenario
from lifecycle.studies.futures import DRAWS
from lifecycle.studies.quoting import examine

PARTS = ("lc-asking", "lc-walking", "lc-pricing", "lc-answering")
"""How each step is marked."""


class CounterPage(Page):
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
        super().__init__("lc-page lc-counter", say("counter.not_running"))
        self.today, self.units = today or date.today(), "us"
        self.customer = Customer()
        self.prices: PriceList | None = None
        self.file: Scenario | None = None
        self._make_panels()
        self.answer = CounterAnswer(self.tell)
        self.session = Session(self._shows(), self.today, Answering(draws))
        self._rest = Worker(self._failed, loop_of_page())
        self.said, self.papers = SaidPanel(self.scenario, draws), PaperLinks(self.scenario, offers=True)
        self.folds = {
            "said": Fold(say("counter.folds.said"), lambda: [self.said.box], self.tell),
            "papers": Fold(say("counter.folds.papers"), self._papers, self.tell),
        }
        self._lay_out(html(style_sheet("counter")), *self._bar(), *self._steps())
        self._turn_to(0)
        self._move(Customer(), ())
        if scenario is not None:
            guarded(self._open, self.tell)(scenario)

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
        roof = partial(roof_of, units=self.units, today=self.today)
        self.questions = CounterQuestions(self._answer, self.tell, self.units)
        self.walk = WalkPanel(self._walked, roof, self.tell, self.units)
        self.price = PricePanel(self._asked, self._listed, self.tell, self.units)

    def _bar(self) -> list[Any]:
        """Return what stands at the very top."""
        told, bar = words("counter"), words("pages.bar")
        self.new = AskedOnceMore(told["new_customer"], "new_customer", self._wipe, self.tell)
        self.unit_buttons = ipywidgets.ToggleButtons(options=[(bar["feet"], "us"), (bar["metres"], "metric")])
        watched(self.unit_buttons, self._use, self.tell)
        mind = Fold(told["mind_title"], lambda: [html(items(told["mind"]))], self.tell)
        self.intro = below("lc-intro", said(told["intro"], told["private"]), mind.box)
        top = beside("lc-bar", title(told["title"], 1), self.new.button, self.unit_buttons)
        return [top, self.new.box, self.status]

    def _steps(self) -> list[Any]:
        """Return the four steps: their buttons, the heading of the answer, and what each holds."""
        self.steps = [
            button(name, partial(self._turn_to, number), self.tell)
            for number, name in enumerate(words("counter.steps"))
        ]
        folds = below("lc-folds", *(one.box for one in (*self.answer.folds.values(), *self.folds.values())))
        held = ([self.questions.box], [self.walk.box], [self.price.box], [self.answer.box, folds])
        self.parts = [below(f"lc-part {kind}", *widgets) for kind, widgets in zip(PARTS, held, strict=True)]
        parts = beside("lc-parts", *self.parts)
        return [beside("lc-nav", *self.steps), self.intro, self.answer.head, parts]

    def _turn_to(self, number: int) -> None:
        """Show one of the four steps; a wide screen shows all."""
        for place, (step, box) in enumerate(zip(self.steps, self.parts, strict=True)):
            mark(box, "lc-shown", place == number)
            mark(step, "mod-active", place == number)

    def _shows(self) -> Shows:
        """Return what is done with what comes."""
        return Shows(
            entered=lambda _: None,
            needed=lambda _: self._no_answer(),
            working=self.answer.working,
            first=self.answer.show_first,
            whole=self._whole,
            failed=self._failed,
        )

    def _answer(self, key: str, value: Any) -> str:
        """Take an answer of the customer."""
        if self.customer.answers.get(key) == value:
            return ""
        new = replace(self.customer, answers=with_one(self.customer.answers, key, value))
        return objection(new.answers) or self._move(new, (parts()[key].short,))

    def _walked(self, walk: Walk) -> str:
        """Take what was measured and counted."""
        return self._move(replace(self.customer, walk=walk), (say("counter.by_walk"),))

    def _asked(self, asked: Asked) -> str:
        """Take what the shop asks of this customer."""
        return self._move(replace(self.customer, asked=asked), (say("counter.by_price"),))

    def _listed(self, prices: PriceList | None) -> None:
        """Take a price list, or that there is none any more."""
        self.prices = prices
        self._move(replace(self.customer, asked=self.price.asked), (say("counter.by_list"),))

    def _move(self, new: Customer, moved: tuple[str, ...]) -> str:
        """Take a new state of the customer; return why not, or ""."""
        scenario = None
        try:
            if new.seen.stops or still_needed(new, self.prices):
                roof_of(new.walk, self.units, self.today)
            else:
                scenario = scenario_of(new, self.prices, self.units, self.today)
        except ScenarioError as error:
            fault = error.faults[0]
            return does_not_fit(fault, words("counter.place").get(fault.place, fault.place))
        self.customer = new
        self.tell("")
        if self.file is not None:
            lost, self.file = not_kept(self.file, scenario), None
            self.tell(say("counter.file_left", what=listed(lost)) if lost else "")
        if moved:
            put_away(self.intro)
        self.questions.follow(new.known)
        put_away(self.price.box, bool(new.seen.stops))
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
        """Say what went wrong; the last good answer stays, if there is one."""
        self.answer.failed()
        self.tell(sentence_of(error, answered=self.session.answer is not None))

    def _wipe(self) -> None:
        """Wipe everything of the customer; the price list stays."""
        self._show(Customer())
        self.session.start_over(for_good=True)
        self._turn_to(0)
        self.tell(say("counter.wiped"))

    def _show(self, customer: Customer) -> None:
        """Show a customer that did not come from the fields."""
        self.questions.show(customer.answers)
        self.walk.show(customer.walk)
        self.price.show(customer.asked)
        if wrong := self._move(customer, ()):
            self.tell(wrong)

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
        self.file = scenario
        put_away(self.intro)
        compared = None if scenario.trouble else scenario
        self.session.enter(Entered(self.today, units=self.units, by_hand=compared, last=()))
        if compared is not None:
            told = say("counter.file_lost", what=listed(lost)) if lost else say("counter.file_kept")
            self.tell(f"{say('counter.file_stands')} {told}")
        self.folds["papers"].renew()

    def _papers(self) -> list[Any]:
        """Return the papers, and the customer's own file."""
        scenario = self.scenario()
        if scenario is None:
            return [said(say("counter.nothing_yet"))]
        content = scenario.text.encode("utf-8")
        link = file_link(NAME, content, "application/toml", say("counter.keep_link"))
        return [self.papers.box, html(paragraphs([say("counter.keep")]) + link)]
