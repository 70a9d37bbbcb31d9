"""Papers to take home, made on the page: each is a link that carries the file.

Lecture
-------
The papers are those of `lifecycle report`, from the same studies with the same draws. They are made when
asked for, which takes a while; nothing is written anywhere until a link is followed.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets

from lifecycle.errors import Fault, ScenarioError
from lifecycle.language.sentences import say, words
from lifecycle.pages.panels.folds import OnDemand
from lifecycle.pages.panels.words_on_page import file_link, paragraphs, part
from lifecycle.pages.panels.working import Job
from lifecycle.scenario import Scenario
from lifecycle.studies.futures import in_futures


class PaperLinks:
    """Makes the papers of what is entered.

    Parameters
    ----------
    scenario : callable
        Returns the scenario, or None.
    offers : bool
        Whether a shop makes an offer on the page.
    """

    def __init__(self, scenario: Callable[[], Scenario | None], *, offers: bool = False) -> None:
        self._scenario, self._offers = scenario, offers
        self.demand = OnDemand(say("pages.papers.make"), self._work)
        self.box = ipywidgets.VBox([ipywidgets.HTML(paragraphs([say("pages.papers.hold")])), self.demand.box])

    def _work(self, job: Job, told: Callable[[str], None]) -> Callable[[], list[Any]]:
        """Make the papers."""
        scenario = self._scenario()
        if scenario is None:
            said = words("pages.papers.fault")
            raise ScenarioError([Fault(said["place"], said["rule"], remedy=said["remedy"])])
        from lifecycle.answers.handover import checklist
        from lifecycle.answers.papers import for_shop, for_us, gather, offer
        from lifecycle.writers.html import as_html
        from lifecycle.writers.pdf import as_pdf

        def step(what: str) -> None:
            job.check()
            told(what)

        step(say("pages.papers.working"))
        gathered = in_futures(lambda: gather(scenario, told=step), scenario)
        step(say("pages.papers.writing"))
        size = "letter" if scenario.units == "us" else "a4"
        links, name_of = [], words("pages.papers.names")
        sheets = [
            ("us", name_of["us"], for_us(gathered)),
            ("shop", name_of["shop"], for_shop(scenario)),
        ]
        if self._offers:
            suggested = offer(gathered)
            sheets += [] if suggested is None else [("offer", name_of["offer"], suggested)]
            sheets.append(("checklist", name_of["checklist"], checklist()))
        for name, said, sheet in sheets:
            job.check()
            page, pdf = as_html(sheet).encode("utf-8"), as_pdf(sheet, paper=size)  # type: ignore[arg-type]
            links.append(file_link(f"{name}.html", page, "text/html", said))
            links.append(
                file_link(f"{name}.pdf", pdf, "application/pdf", say("pages.papers.to_print", paper=said))
            )
        shown = part("boxed", "lc-bar", "".join(links))
        return lambda: [ipywidgets.HTML(shown)]
