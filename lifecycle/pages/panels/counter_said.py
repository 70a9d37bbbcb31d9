"""What may be said to this customer, and what may not, each with its reason.

Lecture
-------
The statements are those that people say of a coating, judged on this customer's own case
(`studies.claiming`). They are worked out on demand, for they take futures of their own. With trouble
only what may be said before the roof is open is left.

Left out: the case for and against.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from html import escape
from typing import Any

import ipywidgets

from lifecycle.answers.claims_answer import RULE, may_not_say, may_say, rests_on
from lifecycle.errors import Fault, ScenarioError
from lifecycle.language import advice
from lifecycle.pages.panels.folds import OnDemand
from lifecycle.pages.panels.words_on_page import paragraphs
from lifecycle.pages.panels.working import Job
from lifecycle.scenario import Scenario
from lifecycle.studies.claiming import Claim
from lifecycle.studies.doubt import DRAWS, in_futures

YEARS = 10
"""Years of sale that the statements look at, at least. [years]"""

SAID = "Each statement is judged on this customer's case. Read the reason before you say it."


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
        self.demand = OnDemand("Judge the statements", self._work)
        self.box = ipywidgets.VBox([ipywidgets.HTML(paragraphs([SAID])), self.demand.box])

    def _work(self, job: Job, told: Callable[[str], None]) -> Callable[[], list[Any]]:
        """Judge every statement."""
        from lifecycle.evaluation.comparison import compare
        from lifecycle.studies.claiming import claims
        from lifecycle.studies.doubt import futures, under

        scenario = self._scenario()
        if scenario is None:
            fault = Fault("the statements", "need answers", remedy="answer what is still needed first")
            raise ScenarioError([fault])
        comparison = compare(scenario)
        doubt = None
        if not scenario.trouble:
            told("futures for the statements")
            until = min(max(math.ceil(comparison.holding_period), YEARS), comparison.study_period)
            doubt = in_futures(lambda: under(scenario, futures(scenario, draws=self._draws), until=until))
        job.check()
        unsure = [asked for asked in ("otherwise", "quote") if advice.not_sure(comparison, asked)]
        judged = claims(comparison, doubt, not_sure=unsure)
        content = paragraphs([RULE]) + "".join(claim_html(claim, scenario.units) for claim in judged)
        return lambda: [ipywidgets.HTML(content)]


def claim_html(claim: Claim, units: str) -> str:
    """Return one statement with its judgement, what may be said, and why.

    Parameters
    ----------
    claim : Claim
        Judged.
    units : str
        "us" or "metric".

    Returns
    -------
    str
        HTML.
    """
    lines = [
        f"I may say: {may_say(claim, units)}",
        f"I may not say: {may_not_say(claim, units)}",
    ]
    reasons = [f"It rests on: {rests_on(claim.rests_on)}.", f"In hand first: {claim.in_hand}"]
    return (
        f'<div class="lc-said"><p><b>“{escape(claim.said)}”</b> {escape(claim.ruling.judgement)}</p>'
        f"{paragraphs(lines)}{paragraphs(reasons, kind='lc-note')}</div>"
    )
