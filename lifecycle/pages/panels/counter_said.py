"""What may be said to this customer, and what may not, each with its reason.

Lecture
-------
The statements are those that people say of a coating, judged on this customer's own case
(`studies.claims`). They are worked out on demand, for they take futures of their own. With trouble
only what may be said before the roof is open is left.

Left out: the case for and against.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import ipywidgets

from lifecycle.answers.claims import in_hand, judged, may_not_say, may_say, rests_on, rule, statement
from lifecycle.errors import Fault, ScenarioError
from lifecycle.language.sentences import say
from lifecycle.pages.panels.folds import OnDemand
from lifecycle.pages.panels.words_on_page import paragraphs, part
from lifecycle.pages.panels.working import Job
from lifecycle.scenario import Scenario
from lifecycle.studies.claims import Claim
from lifecycle.studies.futures import DRAWS, in_futures


class SaidPanel:
    """What may be said.

    Parameters
    ----------
    scenario : callable
        Returns the scenario, or None.
    draws : int
        Futures.
    """

    def __init__(self, scenario: Callable[[], Scenario | None], draws: int = DRAWS) -> None:
        self._scenario, self._draws = scenario, draws
        self.demand = OnDemand(say("counter.said.judge"), self._work)
        self.box = ipywidgets.VBox(
            [ipywidgets.HTML(paragraphs([say("counter.said.intro")])), self.demand.box]
        )

    def _work(self, job: Job, told: Callable[[str], None]) -> Callable[[], list[Any]]:
        """Judge every statement."""
        scenario = self._scenario()
        if scenario is None:
            fault = Fault("the statements", say("counter.said.need"), remedy=say("counter.said.remedy"))
            raise ScenarioError([fault])
        judged_now = partial(judged, scenario, draws=self._draws, told=partial(_heard, job, told))
        found = in_futures(judged_now, scenario)
        content = paragraphs([rule(scenario.currency)]) + "".join(
            claim_html(claim, scenario.units, scenario.currency) for claim in found.claims
        )
        return lambda: [ipywidgets.HTML(content)]


def _heard(job: Job, told: Callable[[str], None], what: str) -> None:
    """Say what is being worked out, if it is still wanted."""
    job.check()
    told(what)


def claim_html(claim: Claim, units: str, currency: str) -> str:
    """Return one statement with its judgement, what may be said, and why."""
    lines = [
        say("claims.may", said=may_say(claim, units, currency)),
        say("claims.may_not", said=may_not_say(claim, units, currency)),
    ]
    reasons = [
        say("claims.rests_on", inputs=rests_on(claim.rests_on)),
        say("claims.in_hand", what=in_hand(claim)),
    ]
    return part("statement", statement(claim), claim.ruling.judgement, lines, reasons)
