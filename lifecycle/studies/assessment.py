"""How sure is this? Everything that doubt and luck say about one scenario, gathered once.

Lecture
-------
Two kinds of not knowing stand side by side here and are never mixed:

- *doubt*: nobody knows the inputs. Costs by future (`doubt`), in how many futures each way is the
  cheapest and each pair beats the other, what a wrong choice costs, what it is worth to find out
  (`value_of_information`), and the table of 20s for every shipped habit (`habits`);
- *luck*: leaks come or do not. Lives drawn by chance with every input at its likely value
  (`simulation`): each way's own band, the chance of a large bill, of a new roof. Ways are never
  compared life by life, for nothing says how their luck hangs together.

A bill is *large* above an amount that may be named; else above half the likely price of laying the
existing roof anew.

A comparison needs only the first part (`brief`); a study of doubt needs all of it (`whole`).

With trouble reported nothing is compared, so there is nothing to be sure of either.

Left out: doubt about luck, that is, how the bands of luck move with the inputs.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from lifecycle.data import frame_words, words_of
from lifecycle.quantities import Array, Frame, Framed, WhenAsked
from lifecycle.roofs import Case
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies import decision
from lifecycle.studies.doubt import Band, Doubt, under
from lifecycle.studies.futures import DRAWS, SEED, Evaluator, Futures, Progress, futures
from lifecycle.studies.habits import Habits, habits, with_own_row
from lifecycle.studies.sampling import Contradiction
from lifecycle.studies.value_of_information import Call, Knowing, calls, knowing, value_of_a_look
from lifecycle.studies.verdict import Judged, judge, settled
from lifecycle.studies.ways import one_set

if TYPE_CHECKING:
    from lifecycle.evaluation.simulation import Lives

LIVES = 20_000
"""Lives drawn for the luck of each way: a chance is then within 0.4 %, one standard error."""

MOST_IN_TABLE = 16384
"""Draws for the table of 20s at most: more would change no whole number of 20."""

LARGE_BILL = 0.5
"""Share of the price of a new roof above which a bill is called large, unless an amount is named. [-]"""

SAYS: Mapping[str, str] = words_of("doubt")["says"]
"""What is told while it is worked out, and why parts are missing."""

Told = Callable[[str], None]
"""Called with what is being worked out."""


@dataclass(frozen=True)
class Choosing:
    """What doubt says about the choice between the ways, at the likely years kept.

    Parameters
    ----------
    chance_cheapest : dict of str to float
        Chance of each way to be the cheapest; adds up to 1. [-]
    chance_cheaper : dict of str to dict of str to float
        Chance that the first way is cheaper than the second. [-]
    opportunity_loss : dict of str to float
        What choosing the way costs above the best choice, on average. [money]
    perfect_information : float
        Worth of knowing everything; equals the smallest opportunity loss. [money]
    """

    chance_cheapest: Mapping[str, float]
    chance_cheaper: Mapping[str, Mapping[str, float]]
    opportunity_loss: Mapping[str, float]
    perfect_information: float


@dataclass(frozen=True)
class Luck:
    """What may happen to one coach under one way, every input at its likely value.

    Parameters
    ----------
    cost : Band
        Net-present cost over lives by year of sale, each of shape (years + 1,). [money]
    chance_of_large_bill : ndarray, shape (years + 1,)
        That leak damage and an unplanned new roof cost more in one month. [-]
    chance_of_new_roof, chance_of_severe_find, chance_of_leak : ndarray, shape (years + 1,)
        That an unplanned new roof, a gone deck, a leak was met by the sale. [-]
    """

    cost: Band
    chance_of_large_bill: Array
    chance_of_new_roof: Array
    chance_of_severe_find: Array
    chance_of_leak: Array


@dataclass(frozen=True)
class Assessment(Framed):
    """Everything that doubt and luck say about one scenario.

    Parameters
    ----------
    scenario : Scenario
        What was stated, with the one set of ways (`ways.one_set`).
    doubt : Doubt
        Costs by way and future.
    subject : str or None
        The way that the verdict is about; None if there is only the base case.
    costs, net_savings : dict of str to Band
        By way and year of sale, over the futures; net savings of all but the base case. [money]
    choosing : Choosing
        Who is cheapest how often, and what a wrong choice costs.
    knowing : Knowing or None
        What finding out is worth; None without a subject.
    calls : tuple of Call
        The calls worth most to somebody who chooses among all ways, and what follows from each.
    habits : Habits or None
        The table of 20s; None if not wanted, or where it cannot be.
    no_habits, no_look : str
        Why there is no table of 20s; why a look has no worth.
    luck : dict of str to Luck
        By way; empty if not wanted.
    large_bill : float
        The amount that a large bill is above. [money]
    lives : int
        Lives drawn for each way; 0 if luck is not wanted.
    judged : Judged or None
        The verdict as numbers; None where there is one way only.
    """

    scenario: Scenario
    doubt: Doubt
    subject: str | None
    costs: Mapping[str, Band]
    net_savings: Mapping[str, Band]
    choosing: Choosing
    knowing: Knowing | None
    calls: tuple[Call, ...]
    habits: Habits | None
    no_habits: str
    no_look: str
    luck: Mapping[str, Luck]
    large_bill: float
    lives: int
    judged: Judged | None = None

    def __repr__(self) -> str:
        """Name the ways with their mean costs and bands, and the one that is cheapest on average."""
        said = frame_words("assessment")
        head = said("named", title=repr(self.scenario.title), way=repr(self.cheapest))
        return f"{head}\n{self.doubt!r}"

    def to_frame(self) -> Frame:
        """Return the ways as rows: as `Doubt.to_frame`, and what doubt says about choosing each.

        Returns
        -------
        pandas.DataFrame
            Besides: the chance to be the cheapest [-], and what choosing it costs above the best choice, on
            average [money].
        """
        chosen, said = self.choosing, frame_words("assessment", money=self.doubt.currency)
        more = {said("cheapest"): chosen.chance_cheapest, said("wrong"): chosen.opportunity_loss}
        frame = self.doubt.to_frame()
        return frame.assign(**{head: frame.index.map(by_way) for head, by_way in more.items()})

    @property
    def cheapest(self) -> str:
        """The way with the smallest mean cost over the futures."""
        means = self.doubt.futures.weights @ self.doubt.at_years
        return self.doubt.names[int(np.argmin(means))]


def brief(
    scenario: Scenario,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    until: int | None = None,
    told: Told | None = None,
    evaluator: Evaluator | None = None,
) -> Assessment:
    """Gather what a comparison needs to know of doubt: no table of 20s, no look, no luck.

    Parameters
    ----------
    scenario : Scenario
        One that reports no trouble, for with trouble nothing is compared.
    draws, seed : int
        Number of futures, and the seed of their points.
    until : int or None
        Last year of sale that is wanted (`doubt.under`); None: the whole study period, and with it
        what it is worth to know how long the coach is kept. [years]
    told : callable or None
        Called with what is being worked out.
    evaluator : Evaluator or None
        Keeps what ways cost for the next study.

    Returns
    -------
    Assessment

    Raises
    ------
    ValueError
        If there are too few draws, correlations contradict each other, or no draw can explain the
        history.
    """
    tell, work = told or (lambda _: None), evaluator or Evaluator()
    drawn = futures(scenario, draws=draws, seed=seed)
    number = f"{drawn.weights.size:,}"
    tell(SAYS["futures"].format(futures=number, ways=len(scenario.alternatives)))
    scenario, result = compared(scenario, drawn, until=until, evaluator=work)
    tell(SAYS["finding_out"])
    return of_doubt(scenario, result, evaluator=work)


def whole(
    scenario: Scenario,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    bill: float | None = None,
    told: Told | None = None,
    evaluator: Evaluator | None = None,
) -> Assessment:
    """Gather everything that doubt and luck say; as `brief`, the seed serving the lives too.

    A bill is called large above `bill`; None: half the price of a new roof. [money]
    """
    tell, work = told or (lambda _: None), evaluator or Evaluator()
    found = brief(scenario, draws=draws, seed=seed, told=told, evaluator=work)
    scenario, result = found.scenario, found.doubt
    if found.knowing is not None:
        look = value_of_a_look(scenario, result, evaluator=work)
        found = replace(found, knowing=replace(found.knowing, look=look))
    tell(SAYS["twenties"])
    table, reason = _table(scenario, result, found.subject is not None, work)
    case = resolve(scenario)
    large = bill if bill is not None else LARGE_BILL * float(case.existing.roof.renew_cost)
    return replace(
        found,
        habits=table,
        no_habits=reason,
        no_look=SAYS["no_look"],
        luck=WhenAsked(partial(_lucks, case, large, seed)),
        large_bill=large,
        lives=LIVES,
    )


def compared(
    scenario: Scenario,
    drawn: Futures,
    *,
    until: int | None = None,
    ahead: int = 0,
    settle: bool = True,
    evaluator: Evaluator | None = None,
    progress: Progress | None = None,
) -> tuple[Scenario, Doubt]:
    """Complete the ways of a scenario without trouble and evaluate them, counts near a limit from more draws.

    Not `settle` where the weights of the draws come from elsewhere; the others as for `doubt.under`.
    """
    work = evaluator or Evaluator()
    # What the file states is worked out first, as far as it is wanted: so nothing of it is worked out twice.
    under(scenario, drawn, until=until, ahead=ahead, evaluator=work, progress=progress)
    scenario = one_set(scenario, drawn, evaluator=work, progress=progress)
    result = under(scenario, drawn, until=until, ahead=ahead, evaluator=work, progress=progress)
    return scenario, settled(scenario, result, progress=progress) if settle else result


def of_doubt(
    scenario: Scenario, result: Doubt, *, worth: bool = True, evaluator: Evaluator | None = None
) -> Assessment:
    """Gather what a doubt over the one set of ways says by itself: no table of 20s, no look, no luck.

    Without `worth` no bands by year, nothing of what finding out is worth, or of what the answer hangs on.
    """
    subject = scenario.subject.name if scenario.subject else None
    costs, savings = (WhenAsked(partial(_bands, result, saved)) if worth else {} for saved in (False, True))
    knows = knowing(scenario, result, subject) if worth and subject else None
    return Assessment(
        scenario,
        result,
        subject,
        costs,
        savings,
        choosing(result),
        knows,
        calls(scenario, result, knows.by_input) if knows else (),
        habits=None,
        no_habits=SAYS["not_asked"],
        no_look=SAYS["not_asked"],
        luck={},
        large_bill=0.0,
        lives=0,
        judged=judge(scenario, result, hangs=worth, evaluator=evaluator),
    )


def _bands(result: Doubt, saved: bool) -> dict[str, Band]:
    """Return the bands of costs, or of net savings, by way and year of sale."""
    if not saved:
        return {name: result.band(cost) for name, cost in result.costs.items()}
    base = result.costs[result.base_case]
    others = (name for name in result.names if name != result.base_case)
    return {name: result.band(base - result.costs[name]) for name in others}


def choosing(result: Doubt) -> Choosing:
    """Say who is cheapest how often, and what a wrong choice costs."""
    names, costs, weights = result.names, result.at_years, result.futures.weights
    cheapest = decision.chances_cheapest(costs, weights)
    loss = decision.expected_opportunity_loss(costs, weights)
    return Choosing(
        dict(zip(names, map(float, cheapest), strict=True)),
        {one: {other: result.chance_cheaper(one, other) for other in names if other != one} for one in names},
        dict(zip(names, map(float, loss), strict=True)),
        decision.perfect_information(costs, weights),
    )


def _table(scenario: Scenario, result: Doubt, subject: bool, work: Evaluator) -> tuple[Habits | None, str]:
    """Return the table of 20s, or why there is none."""
    if not subject:
        return None, str(words_of("compare")["reasons"]["one_way"])
    drawn = result.futures.sample
    try:
        table = habits(scenario, draws=min(drawn.draws, MOST_IN_TABLE), seed=drawn.seed, evaluator=work)
        return with_own_row(table, scenario, result), ""
    except Contradiction as error:
        return None, SAYS["contradiction"].format(error=error)


def _lucks(case: Case, large: float, seed: int) -> dict[str, Luck]:
    """Simulate the lives of every way, and sum them up."""
    from lifecycle.evaluation.simulation import simulate

    return {name: _luck(some, large) for name, some in simulate(case, lives=LIVES, seed=seed).items()}


def _luck(lives: Lives, large: float) -> Luck:
    """Sum the lives of one way up."""
    mean = lives.mean().net_present_cost[0]
    return Luck(
        Band(mean, *lives.percentile((10.0, 50.0, 90.0))),
        lives.chance_of_bill_above(large),
        lives.chance_of_new_roof(),
        lives.chance_of_severe_find(),
        lives.chance_of_leak(),
    )
