"""An answer in Python: asked as on the command line, shown as text or as a table, kept in any form.

Lecture
-------
`ask` gives what a command gives: the same blocks, the same numbers. At a prompt the answer shows its first
screen, in a notebook the whole as HTML. Only questions about one scenario are asked here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lifecycle.errors import fault, nearest
from lifecycle.files import write
from lifecycle.language.sentences import say
from lifecycle.studies.futures import DRAWS, SEED, in_futures
from lifecycle.writers import FORMS, written

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from lifecycle.answers.blocks import Answer
    from lifecycle.scenario import Scenario
    from lifecycle.studies.grid import Sweep

QUESTIONS: Mapping[str, tuple[str, Mapping[str, Any]]] = {
    "compare": ("comparison", {"draws": DRAWS, "seed": SEED}),
    "doubt": ("doubt", {"draws": DRAWS, "seed": SEED, "bill": None}),
    "timing": ("timing", {"draws": DRAWS, "seed": SEED}),
    "sensitivity": ("sensitivity", {"seed": SEED, "indices": False, "map": None, "as_correlated": False}),
    "climate": ("climate", {}),
    "claims": ("claims", {"draws": DRAWS, "seed": SEED}),
}
"""Questions, each with its module of answers and what may be set."""


@dataclass(frozen=True, repr=False)
class Asked:
    """An answer that shows itself.

    Parameters
    ----------
    answer : Answer
        Blocks, data, chart.
    units : str
        Of the reader: "us" or "metric".
    """

    answer: Answer
    units: str

    @property
    def data(self) -> Mapping[str, Any]:
        """The answer as plain data, as ``--json`` prints it."""
        return self.answer.data

    @property
    def chart(self) -> Figure | None:
        """The chart that stands for the whole; None if there is none."""
        return None if self.answer.chart is None else self.answer.chart.figure

    def save(self, file: str | Path) -> None:
        """Write the whole answer to a file whose ending names the form: .html, .pdf, .txt or .json.

        Raises
        ------
        ScenarioError
            If there is no such form, or the file cannot be written.
        """
        place = Path(file)
        form = place.suffix.removeprefix(".").lower()
        if form not in FORMS:
            rule = f"must end in {', '.join(f'.{one}' for one in FORMS)}"
            raise fault(str(place), rule, place.suffix, nearest(form, FORMS))
        write(place, written(self.answer, form, units=self.units))

    def __repr__(self) -> str:
        """Show the first screen."""
        from lifecycle.writers.terminal import as_text

        return as_text(self.answer, everything=False)

    def _repr_html_(self) -> str:
        """Show the whole in a notebook."""
        from lifecycle.writers.html import as_parts

        return as_parts(self.answer.blocks)


def printed() -> Asked:
    """Redraw numbers that others printed beside ours, each with its source and how far the two are apart."""
    from lifecycle.answers.parts import Silent
    from lifecycle.answers.published import method

    return Asked(method(told=Silent()), "us")


def fleet(found: Sweep, budget: float) -> Asked:
    """Say which coaches of a fleet to spray first under a yearly budget, and what is spent year by year.

    Parameters
    ----------
    found : Sweep
        Of one scenario by a row for each coach, without `years`, with ``ratios=True``.
    budget : float
        For spraying in each year. [money]

    Returns
    -------
    Asked
        As ``lifecycle fleet`` answers.

    Raises
    ------
    ScenarioError
        If there is no budget, or the sweep is of several scenarios or years, or lacks its ratios.
    """
    from lifecycle.answers.fleet import Fleet, fleet_answer
    from lifecycle.studies.fleet import coaches_of, paths_of, queued

    if isinstance(budget, bool) or not isinstance(budget, int | float) or not 0.0 < budget < math.inf:
        raise fault("budget", "must be an amount of money above 0", repr(budget), "write it as 12000")
    whole = found.grid
    if not whole.ratios or whole.years or len(whole.scenarios) != 1:
        remedy = "lifecycle.sweep(scenario, rows=coaches, labels=names, ratios=True)"
        raise fault("the sweep", "must be of one scenario at its own years, with ratios", "", remedy)
    coaches = queued(coaches_of(found.to_frame()), float(budget))
    answered = Fleet(whole, say("fleet.rows"), float(budget), coaches, paths_of(whole, coaches))
    (scenario,) = whole.scenarios.values()
    return Asked(fleet_answer(answered), scenario.units)


def ask(question: str, scenario: Scenario, **settings: Any) -> Asked:
    """Ask a question about a scenario.

    Parameters
    ----------
    question : str
        One of `QUESTIONS`, as the commands are called.
    scenario : Scenario
        What was stated.
    **settings
        As the command takes them: draws, seed, bill, indices, map.

    Returns
    -------
    Asked

    Raises
    ------
    ScenarioError
        If there is no such question or setting, or no future can be drawn.

    Examples
    --------
    >>> import lifecycle
    >>> scenario = lifecycle.load("scenarios/trouble-reported.toml")
    >>> print(repr(ask("compare", scenario)).splitlines()[3])
    Open it first. Trouble is reported: stain and soft spot.
    """
    from lifecycle.answers.comparison import nothing_compared
    from lifecycle.answers.parts import Silent, signed

    if question not in QUESTIONS:
        raise fault("question", "must be one that is known", question, nearest(question, tuple(QUESTIONS)))
    room, known = QUESTIONS[question]
    for name in settings:
        if name not in known:
            raise fault(name, f"is nothing that {question!r} takes", "", nearest(name, tuple(known)))
    if question != "compare" and (scenario.trouble or len(scenario.alternatives) < 2):
        return Asked(signed(nothing_compared(scenario, question)), scenario.units)
    function = getattr(import_module(f"lifecycle.answers.{room}"), question)
    found = in_futures(lambda: function(scenario, **{**known, **settings}, told=Silent()), scenario)
    return Asked(signed(found), scenario.units)
