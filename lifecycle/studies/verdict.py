"""The verdict as numbers: which way leads, by how much, how sure, what it hangs on, what to ask next.

Lecture
-------
One doubt over the one set of ways (`ways`) gives everything. Of the changes that may be made today the
cheapest on one scope stands for all; it is the *subject*. *Ways that act alike* share a place: the same
upkeep, differing only in what follows when the roof has worn out. The one that is cheaper on average gives
every number of the place.

- The *lead* is the place with the smallest mean cost over the futures. Where nobody said whether the owner
  climbs, the lead without own hours *acts* for it in all but the first line.
- *Level* with it is a place that it does not beat in 15 of 20 futures, or beats by under 3 % of its own
  mean cost.
- A *gap* is the mean difference over the futures, with the band of 8 in 10 of them, and p, the share of
  futures in which the first is cheaper. Words follow p::

    cheaper 0.875 probably cheaper 0.725 could go either way 0.275 probably dearer 0.125 dearer

  These are the places where 20 p rounds to 18, 15, 6 and 3; so a word and its number always agree, and 15
  of 20 here is p from 0.725 on.
- Where p lies within two standard errors sqrt(p (1 - p) / n) of a limit that decides a sentence, the pair
  is taken from more draws, up to 8,192 (`settled`). What still lies so near is a *border*: both sides are
  said. Scrambled Sobol points are more even than chance, so the error is over-stated, and a border is said
  rather too often. Where two means are as near as that, the lead itself is on a border.
- *Offers*: each figure that somebody said who gains by it, other than the price of the change, is put back
  to the tool's own, the warranty as a whole to none, and all ways are evaluated in their own futures again
  (upkeep while waiting as it was chosen). Told is the first that changes the lead, else the word.
- *Turns*: the mean cost of each way as it hangs on one input (`decision.costs_by_input`) shows from which
  value on another place leads that is not level. Told is the one whose ends would cost most to miss. How
  long the coach is kept is judged by year of sale.
- *Calls*: the same for inputs that one can ask for, by what knowing them is worth to whoever chooses among
  these ways.
- The *highest price worth paying* for a change today against another way: its quote plus what it is cheaper
  by, mean and band over the futures.

Without any range there is one case: no p, no word, no band.

Left out: sentences (`language.verdict`); luck.
Source: the rules are a convention of our own; the standard error of a share is textbook.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from lifecycle.evaluation.comparison import Comparison, keeps_what_stands
from lifecycle.interview import NOT_SURE
from lifecycle.quantities import Array, Figure
from lifecycle.scenario import Scenario, Use, replaced
from lifecycle.studies import decision
from lifecycle.studies.doubt import HOLDING, Doubt, of_20, under
from lifecycle.studies.futures import DRAWS, Evaluator, Futures, Progress, futures, in_draws
from lifecycle.studies.sampling import Sample
from lifecycle.studies.ways import (
    ROUNDING,
    judged_way,
    needs_climbing,
    on_one_scope_price,
    rivals,
    to_rounding,
)

CHEAPER, OPEN, DEARER = "cheaper", "could go either way", "dearer"
SAME = "about the same"

WORDS = ((18, CHEAPER), (15, "probably cheaper"), (6, OPEN), (3, "probably dearer"))
"""Word from so many of 20 futures on; below the last: "dearer"."""

LIMITS = tuple((least - 0.5) / 20.0 for least, _ in WORDS)
"""Shares of futures at which the word changes. [-]"""

LEVEL_OF_20, LEVEL_SHARE = 15, 0.03
"""The lead beats what is not level in so many of 20, and by this share of its own mean cost. [-]"""

ALIKE_SHARE = 0.01
"""What follows when the roof has worn out is said where it matters by this share of the mean cost. [-]"""

ERRORS, MOST_DRAWS = 2.0, 8192
"""Standard errors within which a share is near a limit; draws that settle it at most."""

SAME_SHARE, SAME_MONEY = 0.03, 250.0
"""Two amounts are about the same within this share of the dearer way [-], or this much [money]."""

OFFER = "offer"
"""Basis of a figure said by somebody who gains by it."""

WARRANTY = ("warranty_years", "warranty_share", "warranty_honoured", "warranty_leaking_ends")
"""Fields that are one warranty."""

WORTH_NAMING = 0.01
"""Least worth of a named call or turn, as a share of the lead's mean cost: our own judgement. [-]"""


def about_the_same(difference: float, dearer: float) -> bool:
    """Whether an amount is too small to matter: under 3 % of the dearer way, or under 250.

    Examples
    --------
    >>> about_the_same(-249.0, 1000.0), about_the_same(300.0, 12000.0), about_the_same(300.0, 9000.0)
    (True, True, False)
    """
    return abs(difference) < max(SAME_SHARE * abs(dearer), SAME_MONEY)


def word_without_doubt(middle: float, dearer: float) -> str:
    """Return the word where every input stands at one value, for net savings and the dearer cost.

    Examples
    --------
    >>> word_without_doubt(2400.0, 12000.0), word_without_doubt(-2400.0, 12000.0)
    ('cheaper', 'dearer')
    """
    if about_the_same(middle, dearer):
        return SAME
    return CHEAPER if middle > 0.0 else DEARER


def word_under_doubt(chance: float) -> str:
    """Return the word for the share of futures in which a way is cheaper.

    Examples
    --------
    >>> [word_under_doubt(p) for p in (0.875, 0.874, 0.724, 0.275, 0.274, 0.124)]
    ['cheaper', 'probably cheaper', 'could go either way', 'could go either way', 'probably dearer', 'dearer']
    """
    return next((word for least, word in WORDS if of_20(chance) >= least), DEARER)


@dataclass(frozen=True)
class Gap:
    """How much less one way costs than another.

    Parameters
    ----------
    way, than : str
        Names.
    mean, low, high : float
        Over the futures, 8 in 10 of them from low to high; positive: `way` is cheaper. [money]
    chance : float or None
        Share of futures in which it is cheaper; None where nothing is in doubt. [-]
    """

    way: str
    than: str
    mean: float
    low: float
    high: float
    chance: float | None

    @property
    def of_20(self) -> int | None:
        """In how many of 20 futures it is cheaper."""
        return None if self.chance is None else of_20(self.chance)


@dataclass(frozen=True)
class Place:
    """Ways that act alike.

    Parameters
    ----------
    way : str
        The cheapest on average, which gives every number.
    ways : tuple of str
        All of them.
    follows : bool
        Whether it matters what follows when the roof has worn out.
    mean : float
        Mean cost. [money]
    """

    way: str
    ways: tuple[str, ...]
    follows: bool
    mean: float


@dataclass(frozen=True)
class Lead:
    """The place that leads, and those level with it, the cheapest first."""

    place: Place
    level: tuple[Place, ...]

    @property
    def named(self) -> frozenset[str]:
        """Every way that the first line stands for."""
        return frozenset(name for place in (self.place, *self.level) for name in place.ways)


@dataclass(frozen=True)
class Offer:
    """A figure that somebody said who gains by it, and the answer without it."""

    figures: tuple[Figure, ...]
    lead: Lead
    pair: Gap


@dataclass(frozen=True)
class Turn:
    """A value of an input from which on another place leads that was not level.

    Parameters
    ----------
    figure : Figure
        The input.
    value : float
        Where the lead changes. [unit of the input]
    below : bool
        Whether the other place leads below it, else above.
    place : Place
        The other place.
    worth : float
        What it saves, on average, to know it. [money]
    """

    figure: Figure
    value: float
    below: bool
    place: Place
    worth: float


@dataclass(frozen=True)
class Price:
    """The highest price worth paying for the change today, against another way. [money]"""

    than: str
    mean: float
    low: float
    high: float


@dataclass(frozen=True)
class Border:
    """A count that the draws cannot tell: what it decides, and the two counts of 20 beside it."""

    what: str
    low: int
    high: int


@dataclass(frozen=True)
class Judged:
    """A verdict as numbers.

    Parameters
    ----------
    scenario : Scenario
        With the one set of ways.
    subject, against : str
        The change that is judged, and what the owner would do otherwise.
    years : float
        Years kept. [years]
    lead, acting : Lead
        Of all ways; of those without own hours, where nobody said whether the owner climbs.
    unclimbed : Place or None
        The cheapest place without own hours.
    by : Gap or None
        The acting lead against the subject; the subject, where it leads, against the best way of keeping.
    pair : Gap
        The subject against what the owner would do otherwise.
    priced : bool
        Whether there is a quote.
    by_year : dict of int to (Lead, Gap)
        Lead and `by` for other years of sale.
    if_sold : dict of int to float
        Chance of the pair by other years of sale. [-]
    prices : tuple of Price
        Against the best way of keeping, and against what the owner would do otherwise.
    borders : tuple of Border
        What the draws cannot tell.
    offer : Offer or None
        The offer that changes the answer.
    turn, call : Turn or None
        The figure of judgement that turns the lead by itself; what is worth asking for.
    others : dict of str to (float, float)
        Changes today that the subject stands for: the subject's price on one scope, and theirs. [money]
    one_by_one : dict of str to dict of float to Gap
        The subject against each way of keeping, by year of sale; where the owner is not sure what they
        would do otherwise.
    draws : int
        Draws that `pair` was taken from.
    whole : bool
        Whether it is known what the answer hangs on, and what to ask.
    """

    scenario: Scenario
    subject: str
    against: str
    years: float
    lead: Lead
    acting: Lead
    unclimbed: Place | None
    by: Gap | None
    pair: Gap
    priced: bool
    by_year: Mapping[int, tuple[Lead, Gap | None]] = field(default_factory=dict)
    if_sold: Mapping[int, float] = field(default_factory=dict)
    prices: tuple[Price, ...] = ()
    borders: tuple[Border, ...] = ()
    offer: Offer | None = None
    turn: Turn | None = None
    call: Turn | None = None
    others: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    one_by_one: Mapping[str, Mapping[float, Gap]] = field(default_factory=dict)
    draws: int = 0
    whole: bool = True

    @property
    def word(self) -> str | None:
        """The word for the subject against what the owner would do otherwise; None without doubt."""
        return None if self.pair.chance is None else word_under_doubt(self.pair.chance)


UNSURE_YEARS, ELSE_SOLD, ELSE_IF_SAME = (3, 8, 20), 5, 3
"""Years of sale said to somebody who is not sure how long; else one other year of sale. [years]"""


def not_sure(scenario: Scenario, question: str) -> bool:
    """Whether the owner was not sure of an answer (key of `[answers]`), and nobody gave the figure since."""
    if scenario.answers.get(question) != NOT_SURE:
        return False
    way = scenario.subject
    quote = None if way is None else way.quote
    stated = {"keep": scenario.owner["holding_period"], "quote": quote}.get(question)
    return not (isinstance(stated, Use) and stated.path in scenario.changed)


def priced(scenario: Scenario) -> bool:
    """Whether there is a quote for the change that the owner asks about."""
    way = scenario.subject
    if way is None or keeps_what_stands(scenario, way):
        return True
    stands_in = scenario.roofs[way.then].numbers.get("renew_cost", 0.0)
    return way.quote != stands_in and not not_sure(scenario, "quote")


def years_said(scenario: Scenario) -> tuple[int, ...]:
    """Return the years of sale that a verdict names besides the years kept. [years]"""
    kept = scenario.likely(scenario.owner["holding_period"])
    last = scenario.likely(scenario.study["study_period"])
    wanted = (
        UNSURE_YEARS if not_sure(scenario, "keep") else (ELSE_IF_SAME if kept == ELSE_SOLD else ELSE_SOLD,)
    )
    return tuple(year for year in wanted if year <= last and year != kept)


def last_year_needed(scenario: Scenario) -> int:
    """Return the last year of sale that a verdict looks at. [years]"""
    stated, last = scenario.owner["holding_period"], scenario.likely(scenario.study["study_period"])
    longest = scenario.inputs[stated.path].high if isinstance(stated, Use) else stated
    kept = math.ceil(scenario.likely(stated))
    return max(kept, min(math.ceil(longest), int(last)), *years_said(scenario), 1)


def settled(scenario: Scenario, doubt: Doubt, *, progress: Progress | None = None) -> Doubt:
    """Take pairs near a limit that decides a sentence from more draws: a doubt with `closer` chances.

    A doubt of fewer draws than the default stays as it is.
    """
    subject, drawn = judged_way(scenario), doubt.futures.sample
    if subject is None or not drawn.values or drawn.draws < DRAWS:
        return doubt
    draws = drawn.draws
    while draws < MOST_DRAWS:
        near = _Ways(scenario, doubt, subject).near()
        if not near:
            break
        draws = min(MOST_DRAWS, max(2 * draws, *(_draws_needed(*one[1:]) for one in near)))
        names = {doubt.base_case, *(name for pair, *_ in near for name in pair)}
        more = futures(scenario, draws=draws, seed=drawn.seed)
        found = under(scenario, more, until=math.ceil(doubt.years), ways=names, progress=progress)
        closer = {pair: (found.chance_cheaper(*pair), more.effective) for pair, *_ in near}
        doubt = replace(doubt, closer={**doubt.closer, **closer})
    return doubt


def _draws_needed(chance: float, limit: float) -> int:
    """Return the power of two of draws that tells a chance from a limit, if it is as it seems."""
    needed = ERRORS**2 * chance * (1.0 - chance) / max((chance - limit) ** 2, 1e-12)
    return int(2 ** math.ceil(math.log2(min(max(needed, 1.0), MOST_DRAWS))))


def _order(place: Place) -> tuple[float, str]:
    """Return what places are ordered by: the cheapest on average first, equals by name."""
    return to_rounding(place.mean), place.way


class _Ways:
    """The ways of the set at one year of sale, and what is asked of them.

    Parameters
    ----------
    scenario, doubt, subject
        As for `judge`; the changes today that the subject stands for are left out.
    year : int or None
        None: the years kept. [years]
    """

    def __init__(self, scenario: Scenario, doubt: Doubt, subject: str, year: int | None = None) -> None:
        self.scenario, self.doubt, self.subject, self.year = scenario, doubt, subject, year
        self.stated = {way.name: way for way in scenario.alternatives}
        self.others = tuple(name for name in rivals(scenario, subject) if name != subject)
        self.weights = doubt.futures.weights
        self.names = tuple(name for name in doubt.names if name not in self.others and self._counts(name))
        self.means = {name: float(self.weights @ self.cost(name)) for name in doubt.names}
        self.any_doubt = doubt.any_doubt

    def _counts(self, name: str) -> bool:
        """Whether a way is in the set: no change after the sale, none at a price that nobody named."""
        change = self.stated[name].change
        if change is None:
            return keeps_what_stands(self.scenario, self.stated[name]) or priced(self.scenario)
        sold = self.doubt.years if self.year is None else self.year
        when = self.scenario.likely(change)
        return priced(self.scenario) and (when == 0.0 or when < sold)

    def cost(self, name: str) -> Array:
        """Cost by future, shape (draws,). [money]"""
        return self.doubt.cost(name) if self.year is None else self.doubt.costs[name][:, self.year]

    def places(self, *, climbing: bool = True) -> list[Place]:
        """Return the places, the cheapest on average first; equals by name."""
        if not climbing:
            left = (self._unclimbed(place) for place in self.places())
            return sorted((one for one in left if one is not None), key=_order)
        groups: dict[tuple[str, str], list[str]] = {}
        for name in self.names:
            way = self.stated[name]
            alike = way.change is None and way.climate is None
            groups.setdefault(("worn out", way.roof) if alike else ("", name), []).append(name)
        found = []
        for group in groups.values():
            first, *more = sorted(group, key=lambda name: (to_rounding(self.means[name]), name))
            apart = [self.means[name] - self.means[first] for name in more]
            matters = any(gap >= ALIKE_SHARE * abs(self.means[first]) for gap in apart)
            found.append(Place(first, tuple(sorted(group)), matters, self.means[first]))
        return sorted(found, key=_order)

    def lead(self, *, climbing: bool = True) -> Lead | None:
        """Return what leads, and what is level with it; without climbing None if nothing is left."""
        places = self.places(climbing=climbing)
        if not places:
            return None
        first, *more = places
        return Lead(first, tuple(place for place in more if self._level(first, place)))

    def _unclimbed(self, place: Place) -> Place | None:
        """Return what of a place needs no climbing; None if nothing."""
        ways = [name for name in place.ways if not needs_climbing(self.scenario, self.stated[name])]
        if not ways:
            return None
        first = min(ways, key=lambda name: (to_rounding(self.means[name]), name))
        return replace(
            place,
            way=first,
            ways=tuple(ways),
            mean=self.means[first],
            follows=place.follows and len(ways) > 1,
        )

    def _level(self, lead: Place, place: Place) -> bool:
        """Whether a place is level with the lead."""
        if place.mean - lead.mean < LEVEL_SHARE * abs(lead.mean):
            return True
        return self.any_doubt and of_20(self.chance(lead.way, place.way)) < LEVEL_OF_20

    def chance(self, name: str, than: str) -> float:
        """Chance that one way is cheaper than another. [-]"""
        return self.doubt.chance_cheaper(name, than, self.year)

    def gap(self, name: str, than: str) -> Gap:
        """Return how much less one way costs than another."""
        found = self.doubt.band(self.cost(than) - self.cost(name))
        chance = self.chance(name, than) if self.any_doubt else None
        return Gap(name, than, float(found.mean), float(found.p10), float(found.p90), chance)

    def best_keeping(self, lead: Lead) -> str | None:
        """Return the cheapest way of keeping what stands, climbing if the lead may; None if there is none."""
        climbing = self.lead() == lead
        places = self.places(climbing=climbing) or self.places()
        keeping = [place.way for place in places if self.stated[place.way].change is None]
        return next((name for name in keeping if name != self.subject), None)

    def by(self, lead: Lead) -> Gap | None:
        """Return the lead against the subject; the subject, where it leads, against the best keeping."""
        if self.subject in lead.place.ways:
            other = self.best_keeping(lead) or next((one for one in self.names if one != self.subject), None)
            return None if other is None else self.gap(self.subject, other)
        return self.gap(lead.place.way, self.subject) if self.subject in self.names else None

    def near(self) -> list[tuple[tuple[str, str], float, float]]:
        """Return pairs whose chance lies near a limit that decides a sentence: pair, chance, limit."""
        if not self.any_doubt:
            return []
        pair = self.subject, self.doubt.base_case
        found = [(pair, self.chance(*pair), limit) for limit in LIMITS]
        leads = [self.lead()]
        if self.scenario.climbs is None:
            leads.append(self.lead(climbing=False))
        limit = (LEVEL_OF_20 - 0.5) / 20.0
        for lead in leads:
            for place in self.places() if lead else ():
                if lead and place.mean - lead.place.mean >= LEVEL_SHARE * abs(lead.place.mean):
                    two = lead.place.way, place.way
                    found.append((two, self.chance(*two), limit))
        return [one for one in found if abs(one[1] - one[2]) < ERRORS * self._error(one[0], one[1])]

    def _error(self, pair: tuple[str, str], chance: float) -> float:
        """Return the standard error of a chance. [-]"""
        closer = self.doubt.closer
        effective = closer[pair][1] if pair in closer else self.doubt.futures.effective
        return math.sqrt(max(0.0, chance * (1.0 - chance)) / effective)

    def borders(self, lead: Lead) -> tuple[Border, ...]:
        """Return what the draws cannot tell."""
        pair = self.subject, self.doubt.base_case
        found = []
        for two, _, limit in self.near():
            what = "of_20" if two == pair else f"level_with {two[1]}"
            found.append(Border(what, of_20(limit) - 1, of_20(limit)))
        places = self.places(climbing=self.lead() == lead)
        second = next((place for place in places if place.way not in lead.place.ways), None)
        if second is not None and self.any_doubt:
            apart = self.cost(second.way) - self.cost(lead.place.way)
            mean = float(self.weights @ apart)
            spread = math.sqrt(float(self.weights @ (apart - mean) ** 2) / self.doubt.futures.effective)
            if mean < max(ERRORS * spread, ROUNDING * abs(lead.place.mean)):
                chance = self.chance(lead.place.way, second.way)
                error = ERRORS * self._error((lead.place.way, second.way), chance)
                found.append(
                    Border("leads", of_20(max(0.0, chance - error)), of_20(min(1.0, chance + error)))
                )
        return tuple(found)

    def prices(self, lead: Lead) -> tuple[Price, ...]:
        """Return the highest price worth paying for a change today, against both."""
        if self.stated[self.subject].change != 0.0:
            return ()
        quote = np.asarray(in_draws(self.scenario, self.doubt.futures).alternative(self.subject).quote)
        found = []
        against = [self.best_keeping(lead)]
        if not not_sure(self.scenario, "otherwise"):
            against.append(self.doubt.base_case)
        for than in dict.fromkeys(against):
            if than is not None and than != self.subject:
                band = self.doubt.band(quote + self.cost(than) - self.cost(self.subject))
                found.append(Price(than, float(band.mean), float(band.p10), float(band.p90)))
        return tuple(found)

    def turn(self, lead: Lead, *, telephone: bool) -> Turn | None:
        """Return the figure that turns the lead by itself: one that can be asked for, or another."""
        inputs, drawn = self.scenario.inputs, self.doubt.futures
        candidates = [
            path
            for path in sorted(drawn.sample.values)
            if path in inputs and inputs[path].field.by_telephone == telephone and path != HOLDING
        ]
        names = [name for name in self.names if lead is not None]
        costs = np.stack([self.cost(name) for name in names], axis=1)
        found = []
        for path in candidates:
            if inputs[path].basis == OFFER:
                continue
            fitted = decision.costs_by_input(costs, drawn.sample.scores[path], drawn.weights)
            found.append(self._turn(inputs[path], drawn.sample.values[path], fitted, names, lead))
        if not telephone:
            found.append(self._turn_of_years(lead))
        least = WORTH_NAMING * abs(lead.place.mean)
        worth = [one for one in found if one is not None and one.worth >= least]
        return max(worth, key=lambda one: (one.worth, one.figure.path), default=None)

    def _turn(
        self, figure: Figure, values: Array, fitted: Array, names: Sequence[str], lead: Lead
    ) -> Turn | None:
        """Return where along an input another place leads at one of its ends."""
        best = np.argmin(fitted, axis=1)
        own = fitted[:, names.index(lead.place.way)]
        worth = float(self.weights @ (own - fitted.min(axis=1)))
        order = decision.inner_order(values, self.weights)
        return self._end(figure, values[order], [names[place] for place in best[order]], lead, worth)

    def _turn_of_years(self, lead: Lead) -> Turn | None:
        """Return from which year of sale on another place leads, within the years that may be."""
        figure = self.scenario.inputs.get(HOLDING)
        if figure is None or not figure.ranged or HOLDING not in self.doubt.futures.sample.values:
            return None
        last = min(math.floor(figure.high), self.doubt.costs[self.subject].shape[1] - 1)
        years = np.arange(max(1, math.ceil(figure.low)), last + 1)
        means = np.array(
            [[float(self.weights @ self.doubt.costs[name][:, year]) for name in self.names] for year in years]
        ).reshape(-1, len(self.names))
        kept = np.round(self.doubt.futures.sample.values[HOLDING])
        share = np.array([float(self.weights[kept == year].sum()) for year in years])
        own = means[:, self.names.index(lead.place.way)] if years.size else np.empty(0)
        worth = float(share @ (own - means.min(axis=1))) if years.size else 0.0
        best = [self.names[place] for place in np.argmin(means, axis=1)]
        return self._end(figure, years.astype(float), best, lead, worth)

    def _end(
        self, figure: Figure, values: Array, best: Sequence[str], lead: Lead, worth: float
    ) -> Turn | None:
        """Return the turn at an end of an input, from the best way at each rising value."""
        named = lead.named
        for below in (True, False):
            row = list(best if below else reversed(best))
            if not row or row[0] in named:
                continue
            stays = next((k for k, name in enumerate(row) if name in named), None)
            if stays is None:
                continue
            ends = values if below else values[::-1]
            other = next(place for place in self.places() if row[stays - 1] in place.ways)
            return Turn(figure, float(ends[stays - 1] + ends[stays]) / 2.0, below, other, worth)
        return None

    def one_by_one(self, years: Sequence[int]) -> dict[str, dict[float, Gap]]:
        """Return the subject against each way of keeping what stands, by year of sale."""
        at: dict[float, _Ways] = {self.doubt.years: self}
        at |= {float(year): self.all_of(year) for year in years}
        keeping = [way.name for way in self.scenario.alternatives if keeps_what_stands(self.scenario, way)]
        return {
            name: {year: at[year].gap(self.subject, name) for year in sorted(at)}
            for name in keeping
            if name in self.names
        }

    def all_of(self, year: int) -> _Ways:
        """Return the same ways at another year of sale."""
        return _Ways(self.scenario, self.doubt, self.subject, year)


def _offer(ways: _Ways, judged: Judged, evaluator: Evaluator | None) -> Offer | None:
    """Return the offer that changes the lead, else the word; None if none does."""
    scenario, found = judged.scenario, []
    spraying, work = judged.subject in judged.acting.named, evaluator or Evaluator()
    for figures, changes in _offers(scenario):
        other = replaced(scenario, changes)
        sample = ways.doubt.futures.sample
        drawn = futures(other, draws=min(sample.draws, DRAWS), seed=sample.seed)
        without = _Ways(
            other, under(other, drawn, until=math.ceil(judged.years), evaluator=work), judged.subject
        )
        lead = without.lead(climbing=judged.acting is judged.lead)
        if lead is None:
            continue
        pair = without.gap(judged.subject, judged.against)
        turned = lead.place.way not in judged.acting.named or (judged.subject in lead.named) != spraying
        if turned or (judged.priced and _other_word(pair, judged, drawn.effective)):
            found.append((not turned, figures[0].path, Offer(figures, lead, pair)))
    return min(found, key=lambda one: one[:2])[2] if found else None


def _other_word(pair: Gap, judged: Judged, effective: float) -> bool:
    """Whether a chance has another word, and lies no nearer to the limit than the draws can tell."""
    if pair.chance is None or word_under_doubt(pair.chance) == judged.word:
        return False
    error = ERRORS * math.sqrt(max(0.0, pair.chance * (1.0 - pair.chance)) / effective)
    return all(abs(pair.chance - limit) >= error for limit in LIMITS)


def _offers(scenario: Scenario) -> list[tuple[tuple[Figure, ...], dict[str, Figure | float]]]:
    """Return the offered figures but the prices of changes, one by one, with what takes their place."""
    prices = {way.quote.path for way in scenario.alternatives if isinstance(way.quote, Use)}
    warranty: dict[str, list[Figure]] = {}
    found: list[tuple[tuple[Figure, ...], dict[str, Figure | float]]] = []
    for path in sorted(scenario.inputs):
        figure = scenario.inputs[path]
        if figure.basis != OFFER or path in prices:
            continue
        if figure.field.name in WARRANTY:
            warranty.setdefault(path.rpartition(".")[0], []).append(figure)
        elif figure.tool is not None:
            found.append(((figure,), {path: figure.tool}))
        elif figure.field.name == "energy_cost":
            found.append(((figure,), {path: 0.0}))
    for figures in warranty.values():
        years = [figure for figure in figures if figure.field.name in WARRANTY[:2]]
        if years:
            found.append((tuple(figures), {figure.path: 0.0 for figure in years}))
    return found


def likely_doubt(comparison: Comparison) -> Doubt:
    """Return a comparison at likely values as a doubt of one future, without any range."""
    ways = comparison.ways
    costs = {name: way.net_present_cost[None, :] for name, way in ways.items()}
    at_years = np.array([[way.at_holding for way in ways.values()]])
    drawn = Futures(Sample({}, {}, {}, 1, 0), np.ones(1))
    return Doubt(
        drawn, tuple(ways), comparison.base_case, comparison.holding_period, costs, at_years, at_years
    )


def judge(
    scenario: Scenario, doubt: Doubt, *, hangs: bool = True, evaluator: Evaluator | None = None
) -> Judged | None:
    """Judge the one set of ways (`ways.one_set`), without trouble; None where there is one way only.

    Parameters
    ----------
    scenario : Scenario
        With the one set of ways.
    doubt : Doubt
        Of it, settled (`settled`).
    hangs : bool
        Whether it is wanted what the answer hangs on and what to ask; it takes as long again.
    evaluator : Evaluator or None
        May have some of the ways already.
    """
    subject = judged_way(scenario)
    if subject is None:
        return None
    ways = _Ways(scenario, doubt, subject)
    lead, unclimbed = ways.lead(), ways.lead(climbing=False)
    if lead is None:
        return None
    acting = lead if scenario.climbs is not None or unclimbed is None else unclimbed
    last = doubt.costs[subject].shape[1] - 1
    by_year: dict[int, tuple[Lead, Gap | None]] = {}
    for year in (year for year in years_said(scenario) if year <= last):
        there = ways.all_of(year)
        led = there.lead(climbing=acting is lead)
        if led is not None:
            by_year[year] = led, there.by(led)
    pair = ways.gap(subject, doubt.base_case)
    sold = {year: doubt.chance_cheaper(subject, doubt.base_case, year) for year in by_year}
    closer = doubt.closer.get((subject, doubt.base_case))
    judged = Judged(
        scenario=scenario,
        subject=subject,
        against=doubt.base_case,
        years=doubt.years,
        lead=lead,
        acting=acting,
        unclimbed=unclimbed.place if unclimbed else None,
        by=ways.by(acting),
        pair=pair,
        priced=priced(scenario),
        by_year=by_year,
        if_sold=sold if pair.chance is not None else {},
        prices=ways.prices(acting),
        borders=ways.borders(acting),
        others={
            name: (on_one_scope_price(scenario, subject), on_one_scope_price(scenario, name))
            for name in ways.others
        },
        one_by_one=ways.one_by_one(tuple(by_year)) if not_sure(scenario, "otherwise") else {},
        draws=round(closer[1]) if closer else doubt.futures.sample.draws,
    )
    if not hangs:
        return replace(judged, whole=False)
    if pair.chance is None:
        return judged
    return replace(
        judged,
        offer=_offer(ways, judged, evaluator),
        turn=ways.turn(acting, telephone=False),
        call=ways.turn(acting, telephone=True),
    )
