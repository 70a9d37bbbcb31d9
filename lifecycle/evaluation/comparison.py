"""Which way is cheaper? Every way of a scenario with every input at its likely value.

Lecture
-------
A *way* (alternative) has a net-present cost for each year of sale. Against the *base case*, what the
owner would do otherwise, with N the years kept (`holding_period`)::

    net savings  S = cost of the base case - cost of the way
    investment   I = (initial + renewal - residual value) of the way - the same of the base case
    SIR = (S + I) / I        AIRR = (1 + d) SIR ** (1 / N) - 1

Payback exists only for a change today; it is read from the net savings by year of sale, the simple
one at a discount rate of 0. The *break-even year* is the first from which a sale in any later year
leaves the way no dearer. The *break-even price* is the quote at which S = 0: the cost of a way is
linear in its quote, with the discounted number of first changes w as its slope, so it is
``quote + S / w``. Where ways share one quote, that of the way alone is moved.

*Keeping what stands* is a way that changes at the end of life only, to the same roof system: `then`
is named as the way's own roof or as the existing one, or takes its life (`life_scale` or
`life_mean`, and `life_shape`) from the same inputs as the existing roof, as roofs that are `like`
one another do.

With trouble reported nothing is compared: a roof with a stain or a soft spot has to be opened first,
and what is found decides the price of every way.

Left out: doubt and luck (`studies`).

Source
------
Measures: `economics`. The rule of keeping what stands is our own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from lifecycle.data import frame_words
from lifecycle.economics import (
    Answer,
    adjusted_internal_rate_of_return,
    annual_value,
    break_even_year,
    crossings,
    payback,
    savings_to_investment,
)
from lifecycle.evaluation.flows import FLOWS
from lifecycle.evaluation.ledger import COUNTS, Ledger
from lifecycle.evaluation.swings import LIKELY, UNDISCOUNTED, Swing, one_at_a_time
from lifecycle.kinds import CATEGORIES, Category, Half
from lifecycle.quantities import Array, Frame, in_rows, table_html
from lifecycle.roofs import Alternative, Case
from lifecycle.scenario import Scenario, StatedAlternative, resolve

NEVER_PAID = "the change is never paid within the years kept"
"""Reason why there is no highest price; a workbook says the same."""

UPKEEP = "upkeep: "
"""How an account names the upkeep category of one visit."""


@dataclass(frozen=True)
class Measures:
    """What a way is worth against the base case.

    Parameters
    ----------
    net_savings : ndarray, shape (years + 1,)
        By year of sale 0 ... study period; positive: cheaper than the base case. [money]
    at_holding : float
        Net savings at the years kept. [money]
    savings_to_investment, adjusted_internal_rate_of_return : Answer
        At the years kept. [-, 1/year]
    simple_payback, discounted_payback, break_even_year : Answer
        From today. [years]
    crossings : tuple of int
        Years of sale from the second on in which the cheaper of the two changes. [years]
    break_even_price : Answer
        Quote at which net savings are zero at the years kept; below zero: dearer even as a gift.
        [money]
    """

    net_savings: Array
    at_holding: float
    savings_to_investment: Answer
    adjusted_internal_rate_of_return: Answer
    simple_payback: Answer
    discounted_payback: Answer
    break_even_year: Answer
    crossings: tuple[int, ...]
    break_even_price: Answer

    @property
    def answers(self) -> dict[str, Answer]:
        """The measures that may have no value, by name."""
        return {name: value for name, value in vars(self).items() if isinstance(value, Answer)}


@dataclass(frozen=True)
class Way:
    """One alternative at likely values.

    Parameters
    ----------
    name, title : str
        Name in the scenario, plain title.
    net_present_cost : ndarray, shape (years + 1,)
        By year of sale 0 ... study period. [money]
    at_holding : float
        Net-present cost at the years kept. [money]
    annual_value : tuple of float or None, length years + 1
        Equal yearly cost by year of sale; none for year 0. [money/year]
    by_category : dict of str to float
        Present value at the years kept, the 11 categories in order; upkeep summed. [money]
    upkeep : dict of str to float
        The upkeep category by name of visit. [money]
    expected : dict of str to float
        Counts to the sale at the years kept, not discounted.
    chance_renewed : ndarray, shape (years + 1,)
        Chance of an unplanned new roof by year. [-]
    keeps_what_stands : bool
        Whether it keeps the existing roof system.
    change_month : int or None
        Month of the planned change, 0 for today; None: only when it must. [months]
    quote : float
        Price of the first change. [money]
    first_changes : ndarray, shape (years + 1,)
        Discounted expected number of first changes paid by year of sale. [-]
    first_changes_at_holding : float
        The same at the years kept. [-]
    measures : Measures or None
        Against the base case; None for the base case itself.
    """

    name: str
    title: str
    net_present_cost: Array
    at_holding: float
    annual_value: tuple[float | None, ...]
    by_category: Mapping[str, float]
    upkeep: Mapping[str, float]
    expected: Mapping[str, float]
    chance_renewed: Array
    keeps_what_stands: bool
    change_month: int | None
    quote: float
    first_changes: Array
    first_changes_at_holding: float
    measures: Measures | None


SHOWN = ("break_even_year", "break_even_price")
"""Measures that stand in the table of ways."""


@dataclass(frozen=True)
class Comparison:
    """The ways of one scenario, every input at its likely value, or their means over futures.

    Parameters
    ----------
    scenario : Scenario
        Coach, roofs, ways and terms, as a file states them.
    case : Case
        Its resolved roofs at likely values.
    holding_period : float
        Years kept. [years]
    study_period : int
        Years shown. [years]
    base_case : str
        Name of what the owner would do otherwise.
    subject : str or None
        Name of the way that the verdict is about; None if there is only the base case.
    ways : dict of str to Way
        By name, in the order of the scenario; empty with trouble reported.
    swings : tuple of Swing
        How each ranged input moves the net savings of the subject, the largest first.
    cheapest, cheapest_way_of_keeping : str or None
        Names; None with trouble, or if no way keeps what stands.
    futures : int
        How many the costs are means over (`doubt.averaged`); 1: every input at its likely value.
    """

    scenario: Scenario
    case: Case
    holding_period: float
    study_period: int
    base_case: str
    subject: str | None
    ways: Mapping[str, Way]
    swings: tuple[Swing, ...]
    cheapest: str | None
    cheapest_way_of_keeping: str | None
    futures: int = 1

    def __repr__(self) -> str:
        """Name the ways with their costs, a line each."""
        said = self._said()
        head = said("named", title=repr(self.scenario.title), years=f"{self.holding_period:g}")
        marks = {self.base_case: said("otherwise"), self.subject: said("in_question")}
        lines = [f"  {name}: {way.at_holding:,.0f}{marks.get(name, '')}" for name, way in self.ways.items()]
        return "\n".join([head, *(lines or [said("not_compared")])])

    def _said(self) -> Callable[..., str]:
        """Return what fills the words of a comparison."""
        return frame_words("comparison", money=self.scenario.currency)

    def to_frame(self) -> Frame:
        """Return the ways as rows: what they cost, and what follows.

        Returns
        -------
        pandas.DataFrame
            By name of the way, at the years kept, in today's money; the unit stands in the heads. None where
            there is no answer.
        """
        said = self._said()
        rows = {}
        for name, way in self.ways.items():
            answers = way.measures.answers if way.measures else {}
            found = {key: answers[key].value if key in answers else None for key in SHOWN}
            rows[name] = {
                said("title"): way.title,
                said("cost"): way.at_holding,
                said("savings"): way.measures.at_holding if way.measures else None,
                said("year"): found["break_even_year"],
                said("price"): None if way.change_month is None else found["break_even_price"],
                **{said("category", category=one): amount for one, amount in way.by_category.items()},
            }
        return in_rows(rows)

    def curves(self) -> Frame:
        """Return the net-present cost of every way by year of sale, a column for each way. [money]"""
        import pandas

        curves = {name: way.net_present_cost for name, way in self.ways.items()}
        return pandas.DataFrame(curves).rename_axis(self._said()("sold"))

    def _repr_html_(self) -> str:
        """Show what the ways cost in a notebook, a column for each; what costs nothing is left out."""
        frame = self.to_frame()
        if not self.ways:
            return table_html(frame, above=repr(self).splitlines())
        costs = frame.set_index(self._said()("title")).rename_axis(None)
        return table_html(costs.loc[:, (costs.notna() & (costs != 0.0)).any()], across=True)

    @property
    def trouble(self) -> tuple[str, ...]:
        """Trouble reported; with any, nothing is compared."""
        return self.scenario.trouble

    def net_savings(self, name: str, than: str | None = None, year: int | None = None) -> float:
        """Return how much cheaper a way is than another (the base case), by year of sale.

        Parameters
        ----------
        name, than : str
            Names of the two ways.
        year : int or None
            Year of sale; None: the years kept. [years]

        Returns
        -------
        float
            Positive: cheaper. [money]
        """
        way, other = self.ways[name], self.ways[than or self.base_case]
        if year is None:
            return other.at_holding - way.at_holding
        return float(other.net_present_cost[year] - way.net_present_cost[year])

    def break_even_price(self, name: str, than: str | None = None, year: int | None = None) -> Answer:
        """Return the quote at which a way costs as much as another; parameters as for `net_savings`.

        Returns
        -------
        Answer
            Below zero: dearer even as a gift. [money]
        """
        way = self.ways[name]
        paid = way.first_changes_at_holding if year is None else float(way.first_changes[year])
        return _break_even_price(way.quote, self.net_savings(name, than, year), paid)


def compare(scenario: Scenario) -> Comparison:
    """Compare the ways of a scenario with every input at its likely value.

    Parameters
    ----------
    scenario : Scenario
        Coach, roofs, ways and terms, as a file states them.

    Returns
    -------
    Comparison
        ``ways`` by name with cost by year of sale and category, ``swings`` of ranged figures, ``cheapest``;
        ``net_savings(name, than, year)``, ``break_even_price(name)``; ``to_frame()`` and ``curves()``.

    Notes
    -----
    The ways are those that the file states. The verdict, and every command that answers, first completes
    them to one set in the futures: whoever waits does so under the cheapest upkeep, and the best date of the
    change is among them. ``compare(assess(scenario).scenario)`` compares that set.
    """
    case = resolve(scenario)
    subject = scenario.subject
    terms = (scenario, case, float(case.terms.holding_period), case.terms.study_period)
    names = case.base_case.name, subject.name if subject else None
    if scenario.trouble:
        return Comparison(*terms, *names, {}, (), None, None)
    batch = one_at_a_time(scenario)
    ways = {
        stated.name: _way(scenario, stated, case.alternative(stated.name), case, batch.ledgers)
        for stated in scenario.alternatives
    }
    swings = batch.swings(subject.name, case.base_case.name) if subject else ()
    keeping = {name: way for name, way in ways.items() if way.keeps_what_stands}
    return Comparison(*terms, *names, ways, swings, _cheapest(ways), _cheapest(keeping))


def keeps_what_stands(scenario: Scenario, way: StatedAlternative) -> bool:
    """Whether a way keeps the existing roof system: no change but the same system at its end of life.

    Parameters
    ----------
    scenario : Scenario
        With the roofs.
    way : StatedAlternative
        One of its ways.
    """
    if way.change is not None:
        return False
    stands = scenario.existing.roof
    return way.then in (way.roof, stands) or _life(scenario, way.then) == _life(scenario, stands)


def _life(scenario: Scenario, roof: str) -> tuple[object, ...]:
    """Return the inputs that a roof takes its life from."""
    stated = scenario.roofs[roof]
    return stated.covering, *(stated.numbers.get(name) for name in ("life_shape", "life_scale", "life_mean"))


def _cheapest(ways: Mapping[str, Way]) -> str | None:
    """Return the name of the cheapest way at the years kept, the first by name of equals."""
    return min(sorted(ways), key=lambda name: ways[name].at_holding, default=None)


GIVEN = {"flow": FLOWS, "ledger": ("initial", "sale"), "loan": ("financing",)}
"""Categories of cost by the part of the model that gives them."""


def check_categories(categories: Mapping[str, Category]) -> None:
    """Refuse categories that the model does not give, and what it gives where no category has it.

    Raises
    ------
    Half
        With the first of them.

    Examples
    --------
    >>> check_categories({**CATEGORIES, "storage": CATEGORIES["energy"]})
    Traceback (most recent call last):
        ...
    lifecycle.kinds.Half: data/kinds.toml: no flow of the model gives the category 'storage'
    """
    for name, category in categories.items():
        if name not in GIVEN.get(category.given_by, ()):
            what = category.given_by
            raise Half(f"data/kinds.toml: no {what} of the model gives the category {name!r}")
    for name in (name for names in GIVEN.values() for name in names):
        if name not in categories:
            raise Half(f"data/kinds.toml has no category {name!r}, which the model gives")


check_categories(CATEGORIES)


def _way(
    scenario: Scenario,
    stated: StatedAlternative,
    resolved: Alternative,
    case: Case,
    ledgers: Mapping[str, Ledger],
) -> Way:
    """Put together the answers of one way."""
    ledger = ledgers[stated.name]
    cost = ledger.net_present_cost[LIKELY]
    rate = float(case.terms.discount_rate)
    yearly = annual_value(cost[1:], discount_rate=rate, years=np.arange(1, cost.size))
    money = {name: float(values[LIKELY]) for name, values in ledger.by_category.items()}
    upkeep = {name.removeprefix(UPKEEP): sum_ for name, sum_ in money.items() if name.startswith(UPKEEP)}
    money["upkeep"] = sum(upkeep.values())
    return Way(
        name=stated.name,
        title=stated.title,
        net_present_cost=cost,
        at_holding=float(ledger.at_holding[LIKELY]),
        annual_value=(None, *(float(value) for value in yearly)),
        by_category={name: money.get(name, 0.0) for name in CATEGORIES},
        upkeep=upkeep,
        expected={name: float(ledger.expected[name][LIKELY]) for name in COUNTS},
        chance_renewed=ledger.chance_renewed[LIKELY],
        keeps_what_stands=keeps_what_stands(scenario, stated),
        change_month=resolved.change_month,
        quote=float(resolved.quote),
        first_changes=ledger.first_change[LIKELY],
        first_changes_at_holding=float(ledger.first_change_at_holding[LIKELY]),
        measures=None if stated.base_case else _measures(resolved, case, ledgers),
    )


def _measures(way: Alternative, case: Case, ledgers: Mapping[str, Ledger]) -> Measures:
    """Measure one way against the base case."""
    ledger, base = ledgers[way.name], ledgers[case.base_case.name]
    by_year = base.net_present_cost - ledger.net_present_cost
    savings = float(base.at_holding[LIKELY] - ledger.at_holding[LIKELY])
    more = float((ledger.invested - base.invested)[LIKELY])
    ratio = savings_to_investment(savings, more)
    rate, years = float(case.terms.discount_rate), float(case.terms.holding_period)
    today = way.change_month == 0
    not_today = Answer(None, "only for a change today")
    return Measures(
        net_savings=by_year[LIKELY],
        at_holding=savings,
        savings_to_investment=ratio,
        adjusted_internal_rate_of_return=adjusted_internal_rate_of_return(
            ratio, discount_rate=rate, years=years
        ),
        simple_payback=payback(by_year[UNDISCOUNTED]) if today else not_today,
        discounted_payback=payback(by_year[LIKELY]) if today else not_today,
        break_even_year=break_even_year(by_year[LIKELY]),
        crossings=tuple(crossings(by_year[LIKELY])),
        break_even_price=_break_even_price(
            float(way.quote), savings, float(ledger.first_change_at_holding[LIKELY])
        ),
    )


def _break_even_price(quote: float, savings: float, first_changes: float) -> Answer:
    """Return the quote at which net savings are zero. [money]"""
    if first_changes <= 0.0:
        return Answer(None, NEVER_PAID)
    price = quote + savings / first_changes
    return Answer(price, "dearer even as a gift" if price < 0.0 else None)
