"""The verdict in words: five lines, what stands beside them, and the same as data.

Lecture
-------
One place chooses and fills the sentences (`data/words/verdict.toml`) from the numbers (`studies.verdict`),
for every face: what to do; by how much; against what you would do otherwise; what it hangs on; what next.
The first line names no number and recommends the cheapest acceptable way on average, or says that money
does not decide. The change that is judged, mostly spraying now, is judged twice: against what leads, and
against what the owner would do otherwise.

Left out where it says nothing new: line 3 if line 2 was the same pair, or if what you would do shares the
lead's place. Without ranges: one case, no count, no word. Without a quote: the highest price worth paying.
Not sure what you would do: the ways one by one instead of line 3. Not sure how long: lines 1 and 2 for each
of the years. Trouble: "open it first", and nothing is compared. Whoever has already said yes (`decided =
true` among the answers) gets what still matters instead: the terms to get in writing, what stopping may
cost at most, the hand-over; no verdict is told as news, and the numbers stay in the data.

A way is said by its upkeep plan; one that follows no plan, by its title.

Left out: how the numbers come about.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from lifecycle.evaluation.comparison import Comparison, compare, keeps_what_stands
from lifecycle.evaluation.opening import opening
from lifecycle.language import cautions
from lifecycle.language.labels import (
    about,
    cheaper_or_dearer,
    listed,
    many_of_20,
    percent,
    the_input,
    value_text,
    years_text,
)
from lifecycle.language.sentences import STROKE, template_of, words
from lifecycle.quantities import Figure, capital, inner, number_text, rounded
from lifecycle.reading.quotes import price_path
from lifecycle.scenario import Scenario, StatedAlternative, Use, resolve
from lifecycle.studies.assessment import Assessment, brief, compared, of_doubt
from lifecycle.studies.doubt import of_20
from lifecycle.studies.futures import DRAWS, SEED, Futures, futures
from lifecycle.studies.verdict import (
    Gap,
    Judged,
    Lead,
    Offer,
    Place,
    Price,
    Turn,
    judge,
    last_year_needed,
    likely_doubt,
    not_sure,
    word_under_doubt,
)
from lifecycle.studies.ways import needs_climbing

OPEN_FIRST, DECIDED, NO_QUOTE, NO_SINGLE, ONE_WAY, ONE_CASE = (
    "open it first",
    "already decided",
    "no quote yet",
    "no single verdict",
    "only one way",
    "one case",
)
"""Words that are not drawn from a share of futures."""

NAMED = 3
"""Ways that line 1 names at most; of more the number is said."""

HIDDEN_NAMED = 0.1
"""Chance of a hidden leak, at likely values, from which moisture is measured first. [-]"""

FEW = 100.0
"""Effective draws below which it is said that they are few."""

SHARE_NAMED = 0.1
"""Least share of the doubt of a single number that is named. [-]"""

DO, MUCH, CLIMBING, AGAINST, IF_SOLD, TABLE, ROW, OFFERED, HANGS, NEXT = (
    "do", "much", "climbing", "against", "if sold", "table", "row", "offered", "hangs", "next"
)  # fmt: skip
"""What a piece of the verdict says; a piece about other years of sale goes on in the line before it. What
hangs on the word of a shop is a kind of its own."""

Piece = tuple[str, str]
"""What a piece says, and its sentences."""

Line = tuple[str, bool]
"""A line, and whether it is an item of a list."""


@dataclass(frozen=True)
class VerdictParts:
    """The verdict as data.

    Parameters
    ----------
    subject, against : str or None
        The change that is judged, and what the owner would do otherwise.
    years : float
        Years kept. [years]
    word : str
        The answer for that pair in a word.
    middle, low, high : float or None
        Net savings of the subject, mean and 16 of 20 futures: positive is cheaper. [money]
    of_20 : int or None
        In how many of 20 futures it is cheaper.
    if_sold : dict of int to int
        The same by other years of sale.
    cheapest_willing : str or None
        The cheapest way that the owner is willing to take.
    next_step : str or None
        Line 5.
    do : str
        Line 1.
    leads, leads_without_climbing : str or None
        The cheapest acceptable way on average; without the owner's hours.
    level_with : tuple of str
        Ways that the lead does not clearly beat, the cheapest of each place.
    leads_over : str or None
        What line 2 compares the lead with.
    by : dict or None
        That gap: mean, low, high [money], of_20.
    hangs_on : tuple of dict
        What the answer hangs on: name, basis, and the answer without it or where it turns.
    border : tuple of dict
        What the draws cannot tell: what, low, high of 20.
    highest_price : dict of str to dict
        Highest price worth paying by the way that it stands against: mean, low, high. [money]
    """

    subject: str | None
    against: str | None
    years: float
    word: str
    middle: float | None = None
    low: float | None = None
    high: float | None = None
    of_20: int | None = None
    if_sold: Mapping[int, int] = field(default_factory=dict)
    cheapest_willing: str | None = None
    next_step: str | None = None
    do: str = ""
    leads: str | None = None
    leads_without_climbing: str | None = None
    level_with: tuple[str, ...] = ()
    leads_over: str | None = None
    by: Mapping[str, float | int | None] | None = None
    hangs_on: tuple[Mapping[str, Any], ...] = ()
    border: tuple[Mapping[str, Any], ...] = ()
    highest_price: Mapping[str, Mapping[str, float]] = field(default_factory=dict)

    def as_result(self) -> dict[str, Any]:
        """Return the parts as they stand in a result file."""
        parts = asdict(self)
        parts["years"] = int(self.years) if self.years == int(self.years) else self.years
        parts["if_sold"] = {str(year): number for year, number in self.if_sold.items()}
        return parts


@dataclass(frozen=True)
class Verdict:
    """A verdict, as data and as words.

    Parameters
    ----------
    parts : VerdictParts
        The data.
    lines : tuple of str
        The answer, line by line.
    beside : tuple of str
        What stands beside it: prices, hours, what decides if money does not, cautions.
    price : str
        The highest price worth paying, against both; empty where the change cannot be bought today.
    pieces : tuple of (str, str)
        The lines after what each says, with other years of sale apart.
    waits : tuple of bool
        Which of `beside` leave a screen that is too full; empty: none.
    """

    parts: VerdictParts
    lines: tuple[str, ...]
    beside: tuple[str, ...] = ()
    price: str = ""
    pieces: tuple[Piece, ...] = ()
    waits: tuple[bool, ...] = ()

    @property
    def told(self) -> tuple[Line, ...]:
        """The lines, each with whether it is an item of a list."""
        return in_lines(self.pieces) or tuple((line, False) for line in self.lines)

    @property
    def noted(self) -> Iterator[tuple[str, bool]]:
        """What stands beside it, each with whether it leaves a screen that is too full."""
        return zip(self.beside, self.waits or [False] * len(self.beside), strict=True)

    @property
    def top(self) -> int:
        """How many lines say what to do and by how much; the others say what it hangs on, and what next."""
        return sum(kind not in (OFFERED, HANGS, NEXT, IF_SOLD) for kind, _ in self.pieces) or 1

    @property
    def first(self) -> tuple[str, ...]:
        """What stands first on an answer to another question: what to do, and the highest price."""
        return (self.lines[0], *([self.price] if self.price else []))

    def __repr__(self) -> str:
        """Say its lines."""
        return "\n".join(self.lines)

    def _repr_markdown_(self) -> str:
        """Say its lines as paragraphs of a notebook, what to do in bold."""
        first, *others = (re.sub(r"([\\`*_\[\]<$#])", r"\\\1", line) for line in self.lines)
        return "\n\n".join([f"**{first}**", *others])


def verdict_of(scenario: Scenario, *, draws: int = DRAWS, seed: int = SEED) -> Verdict:
    """Return the verdict on a scenario, under doubt.

    Parameters
    ----------
    scenario : Scenario
        The coach, its quotes and ways, as loaded or changed.
    draws, seed : int
        How many futures, and what they are drawn from.

    Returns
    -------
    Verdict
    """
    comparison = compare(scenario)
    if not comparison.ways:
        return verdict_under(comparison, None)
    found = brief(scenario, draws=draws, seed=seed)
    return verdict_under(compare(found.scenario), found)


def verdict_under(comparison: Comparison, found: Assessment | None) -> Verdict:
    """Put the verdict on a scenario into parts and words."""
    minded = tuple(cautions.cautions(comparison))
    beside = tuple(line for line, _ in minded)
    parts = VerdictParts(comparison.subject, comparison.base_case, comparison.holding_period, ONE_WAY)
    if comparison.trouble:
        return _closed(parts, OPEN_FIRST, open_it_first(comparison.trouble), beside)
    judged = found.judged if found is not None else judge(comparison.scenario, likely_doubt(comparison))
    if judged is None:
        title = inner(comparison.ways[comparison.base_case].title)
        line = _fill("what_to_do.one_way", title=f'"{title}"')
        return _closed(parts, ONE_WAY, (line, _fill("next.add_a_way")), beside)
    said = _Said(judged, few_draws(found) if found is not None and found.doubt.any_doubt else None)
    pieces = tuple(said.pieces())
    lines = joined(pieces)
    whole = (*said.beside(comparison, found), *minded)
    beside, waits = (tuple(column) for column in zip(*whole, strict=True)) if whole else ((), ())
    return Verdict(said.parts(lines), lines, beside, said.price(), pieces, waits)


def _fill(name: str, /, **gaps: object) -> str:
    """Return a sentence of the verdict; what it has no gap for is left out."""
    return template_of(f"verdict.{name}").format(**gaps)


def joined(pieces: Iterable[Piece]) -> tuple[str, ...]:
    """Return pieces as lines of plain text.

    Examples
    --------
    >>> joined([("against", "It is dearer."), ("if sold", "After 5 years it is not."), ("next", "Wait.")])
    ('It is dearer. After 5 years it is not.', 'Wait.')
    """
    return tuple(f"{STROKE}{text}" if item else text for text, item in in_lines(pieces))


def in_lines(pieces: Iterable[Piece]) -> tuple[Line, ...]:
    """Return pieces as lines, each with whether it is an item of a list."""
    found: list[Line] = []
    for kind, text in pieces:
        if kind == IF_SOLD and found:
            found[-1] = (f"{found[-1][0]} {text}", found[-1][1])
        else:
            found.append((text, kind == ROW))
    return tuple(found)


def _closed(parts: VerdictParts, word: str, lines: tuple[str, ...], beside: tuple[str, ...]) -> Verdict:
    """Return the verdict where nothing is compared."""
    known = {**vars(parts), "word": word, "do": lines[0], "next_step": lines[-1]}
    return Verdict(VerdictParts(**known), lines, beside)


def first_lines(
    scenario: Scenario, *, draws: int = DRAWS, seed: int = SEED, drawn: Futures | None = None
) -> tuple[Scenario, Verdict]:
    """Return a scenario with the one set of ways, and its verdict without what it hangs on."""
    if scenario.trouble:
        return scenario, verdict_under(compare(scenario), None)
    some = drawn or futures(scenario, draws=draws, seed=seed)
    years = last_year_needed(scenario)
    completed, result = compared(scenario, some, until=years, settle=drawn is None)
    return completed, verdict_under(compare(completed), of_doubt(completed, result, worth=False))


def willing_lines(comparison: Comparison, found: Assessment) -> list[str]:
    """Return the cheapest way that somebody is willing to take, with and without climbing."""
    if found.judged is None:
        return []
    said = _Said(found.judged)
    climbing = (line for line, _ in said.climbing(comparison))
    return [said.what_to_do(found.judged.lead, found.judged.acting), *climbing]


def open_it_first(trouble: Iterable[str]) -> tuple[str, ...]:
    """Return the answer to a roof with trouble: nothing is compared.

    Examples
    --------
    >>> open_it_first(["stain", "soft spot"])[0]
    'Open it first. Trouble is reported: stain and soft spot.'
    """
    return (
        _fill("what_to_do.open_first", trouble=listed(trouble)),
        *map(_fill, ("open.nothing_compared", "open.wet", "next.open")),
    )


def few_draws(found: Assessment) -> str | None:
    """Say that few draws fit the history of the roof; None if there are enough."""
    effective, draws = found.doubt.futures.effective, found.doubt.futures.sample.draws
    if effective >= min(FEW, 0.5 * draws):
        return None
    return _fill("beside.few_draws", draws=f"{draws:,}", effective=f"{effective:.0f}")


def biggest_unknown(found: Assessment) -> str | None:
    """Say which single number most of the doubt is; None if no number stands out."""
    if found.knowing is None:
        return None
    inputs = found.scenario.inputs
    single = {path: share for path, share in found.knowing.share_by_input.items() if path in inputs}
    path = max(sorted(single), key=lambda one: single[one], default=None)
    if path is None or single[path] < SHARE_NAMED:
        return None
    name = by_field(words("verdict.beside.unknown_names"), found.scenario, inputs[path])
    return _fill("beside.unknown", name=name)


def by_field(table: Mapping[str, str], scenario: Scenario, figure: Figure, **gaps: str) -> str:
    """Return the words for an input: by the last part of its path, by its field, or by its name."""
    last = figure.path.rpartition(".")[2]
    key = next(one for one in (last, figure.field.name, "default") if one in table)
    owner = figure.path.split(".")[1] if figure.path.startswith("roofs.") else ""
    roof = scenario.roofs.get(owner)
    covering = roof.covering if roof is not None else "roof"
    stands = scenario.existing.roof == owner
    whose = _fill(f"hangs.whose.{'stands' if stands else covering}") if roof else ""
    return table[key].format(name=the_input(figure), covering=covering, whose=whose, **gaps)


class WaysInWords:
    """Every way of a scenario as an order, as a thing done, and as a noun.

    Parameters
    ----------
    scenario : Scenario
        With the one set of ways.
    """

    def __init__(self, scenario: Scenario, subject: str) -> None:
        self.scenario = scenario
        self.stated = {way.name: way for way in scenario.alternatives}
        self.covering = scenario.roofs[scenario.existing.roof].covering
        self.subject = self.stated[subject]

    def _plan(self, way: StatedAlternative, form: str) -> str:
        """Return how the roof that stands is looked after under a way: by its plan, or else by its title."""
        if planned := self._planned(way, form):
            return planned
        title = self._kept_by(way)
        if self._verb(title):
            return title if form == "do" else self._done(title)
        return _fill(f"plans.by_title.{form}", title=title)

    def _planned(self, way: StatedAlternative, form: str) -> str:
        """Return the words for the plan of a way; "" where no plan has words."""
        plans, roof = words("verdict.plans"), self.scenario.roofs[way.roof]
        if way.climate is not None and keeps_what_stands(self.scenario, way):
            return _fill(f"plans.by_title.{form}", title=inner(way.title))
        stated = roof.numbers.get("plan_ends")
        years = self.scenario.likely(self.scenario.owner["holding_period"])
        ends = years if stated is None else self.scenario.likely(stated) / 12.0
        if roof.plan in plans and ends >= years:
            return str(plans[roof.plan][form])
        if roof.plan in plans and roof.plan_after in plans:
            gaps = {"upkeep": plans[roof.plan][form], "after": plans[roof.plan_after][form]}
            own = f"stops_{roof.plan}"
            stops = own if own in words("verdict.ways") else "stops"
            return _fill(f"ways.{stops}", years=years_text(ends), **gaps)
        return ""

    def _kept_by(self, way: StatedAlternative) -> str:
        """Return the title that says how the roof of a way is kept."""
        kept = (one for one in self.scenario.alternatives if one.roof == way.roof)
        return inner(next((one.title for one in kept if keeps_what_stands(self.scenario, one)), way.title))

    def keeps_by_title(self, name: str) -> bool:
        """Whether a title, which says how a way is kept, says so already that the roof is kept."""
        way = self.stated[name]
        return not self._planned(way, "do") and self._verb(self._kept_by(way)) in words("verdict.keeping")

    def _verb(self, order: str) -> str:
        """Return the first word of somebody's own title or order; "" if it is none of `things_done`."""
        first = capital(order.partition(" ")[0])
        return first if first in words("verdict.things_done") else ""

    def _done(self, order: str) -> str:
        """Return an order as a thing done; in quotes where its first word is unknown."""
        if verb := self._verb(order):
            return f"{words('verdict.things_done')[verb]}{order[len(verb) :]}"
        return f'"{order}"'

    def _when(self, way: StatedAlternative, form: str) -> str:
        """Return the change of a way as an order or as a thing done."""
        change = inner(way.action)
        return self._done(change) if form == "doing" else change

    def said(self, name: str, form: str, *, follows: bool = False, in_a_list: bool = False) -> str:
        """Return a way as "do", "doing" or "as"."""
        way = self.stated[name]
        change = None if way.change is None else self.scenario.likely(way.change)
        if change == 0.0:
            return _fill("ways.now", change=self._when(way, "doing" if form == "as" else form))
        if change is None:
            upkeep = self._plan(way, form)
            if not follows:
                return upkeep
            then = inner(self.subject.action)
            if keeps_what_stands(self.scenario, way):
                then = _fill("ways.anew", covering=self.covering)
            if form == "as":
                return upkeep + _fill("ways.worn_out_as", change=self._done(then))
            return upkeep + _fill("ways.worn_out_in_a_list" if in_a_list else "ways.worn_out", change=then)
        year = number_text(change)
        if form == "as":
            return f"{self._when(way, 'doing')} {_fill('titles.in_year', year=year)}"
        return _fill("ways.in_year", upkeep=self._plan(way, form), change=self._when(way, form), year=year)


class _Said:
    """The lines of one verdict."""

    def __init__(self, judged: Judged, warning: str | None = None) -> None:
        self.judged, self.scenario, self.warning = judged, judged.scenario, warning
        self.ways = WaysInWords(judged.scenario, judged.subject)
        self.spraying = self.ways.said(judged.subject, "doing")
        self.otherwise = self.ways.said(judged.against, "as")
        self.sure = judged.pair.chance is not None
        now = self.ways.subject.change == 0.0
        self.decided = self.scenario.answers.get("decided") is True and judged.priced and now

    def _asked(self, question: str) -> bool:
        """Whether the owner was not sure of an answer."""
        return not_sure(self.scenario, question)

    def pieces(self) -> Iterator[Piece]:
        """Go through the lines, piece by piece."""
        if self.decided:
            first, *others = self._decided()
            yield DO, first
            yield from ((HANGS, line) for line in others)
            return
        yield from self._first_pieces()
        if self.judged.whole:
            kind = HANGS if self.judged.offer is None else OFFERED
            yield from ((kind, line) for line in self._hangs())
            yield NEXT, self.next_step()

    def _decided(self) -> Iterator[str]:
        """Go through what still matters after a yes: terms in writing, stopping, the hand-over."""
        judged = self.judged
        yield _fill("decided.do", spraying=self.spraying)
        terms = (_fill(f"decided.terms.{term}") for term in self._open_terms())
        yield _fill("decided.writing", terms="; ".join(terms))
        if judged.subject not in judged.acting.named and judged.by is not None and judged.by.mean > 0.0:
            stop = _fill("decided.stop", money=self._money(judged.by.mean))
            yield f"{stop} {_fill('decided.stop_for', do=self._place(judged.acting.place, 'do'))}"
        else:
            yield _fill("decided.either" if judged.acting.level else "decided.go_on")
        yield _fill("decided.next")

    def _open_terms(self) -> Iterator[str]:
        """Go through the terms that the quote of the change leaves open; all of them without such a quote."""
        stated = self.ways.stated[self.judged.subject].quote
        path = stated.path if isinstance(stated, Use) else ""
        quotes = self.scenario.quotes.values()
        quote = next((one for one in quotes if price_path(one.name) == path), None)
        for term in words("verdict.decided.terms"):
            known = None if quote is None else getattr(quote, term, getattr(quote.terms, term, None))
            if known in (None, False):
                yield term

    def _first_pieces(self) -> Iterator[Piece]:
        """Go through lines 1 to 3."""
        judged = self.judged
        if not judged.priced:
            yield DO, self.what_to_do(judged.lead, judged.acting)
            yield MUCH, self._prices("no_quote")
            if self._asked("otherwise"):
                yield from self.one_by_one()
            return
        if self._asked("keep") and judged.by_year:
            yield from self._by_years()
        else:
            yield DO, self.what_to_do(judged.lead, judged.acting)
            if judged.by is not None:
                much = self.how_much(judged.by, judged.years, word=self._same_pair(judged.by))
                yield MUCH, " ".join([much, *([self.warning] if self.warning else [])])
        if self._asked("otherwise"):
            yield from self.one_by_one()
        elif self._third():
            line = self.against_otherwise()
            if self._asked("keep"):
                years = years_text(self.judged.years)
                line = _fill("how_much.in_years", years=years, what=inner(line))
            yield AGAINST, line
            if self.sure:
                yield from ((IF_SOLD, line) for line in self._if_sold("if_sold"))

    def _same_pair(self, gap: Gap | None) -> bool:
        """Whether a gap is that between the subject and what the owner would do otherwise."""
        return gap is not None and {gap.way, gap.than} == {self.judged.subject, self.judged.against}

    def _third(self) -> bool:
        """Whether line 3 says something new."""
        return (
            not self._same_pair(self.judged.by) and self.judged.against not in self.judged.acting.place.ways
        )

    def _place(self, place: Place, form: str, *, in_a_list: bool = False) -> str:
        """Return a place as it is said."""
        keeps = keeps_what_stands(self.scenario, self.ways.stated[place.way])
        follows = place.follows or (len(place.ways) == 1 and not keeps)
        return self.ways.said(place.way, form, follows=follows, in_a_list=in_a_list)

    def _way(self, name: str, form: str) -> str:
        """Return a way as it is said, with what follows if its place says so and it gives its numbers."""
        places = (self.judged.lead.place, self.judged.acting.place)
        place = next((one for one in places if one.way == name), None)
        return self._place(place, form) if place is not None else self.ways.said(name, form)

    def what_to_do(self, lead: Lead, acting: Lead) -> str:
        """Return line 1."""
        first = self._line_1(acting)
        if not self.judged.priced:
            first = _fill("what_to_do.no_quote", what=inner(first))
        if acting is lead or lead.place.way == acting.place.way:
            return first
        with_ = self._place(lead.place, "do", in_a_list=True)
        both = {"without": first.rstrip("."), "with": with_}
        return f"{_fill('what_to_do.if_you_climb', **both).rstrip('.')}."

    def _line_1(self, lead: Lead) -> str:
        """Return line 1 for one lead."""
        subject = self.judged.subject
        places = [lead.place, *lead.level]
        if lead.level and subject in lead.named:
            others = [place for place in places if subject not in place.ways]
            ways = [self._place(place, "doing", in_a_list=True) for place in others[:NAMED]]
            listed_ = self._counted(ways, others, ", ")
            return capital(_fill("what_to_do.no_matter", ways=listed_, last=self.spraying))
        if lead.level:
            ways = [self._place(place, "do", in_a_list=True) for place in places[:NAMED]]
            listed_ = self._counted(ways, places, words("verdict.what_to_do.or"))
            return _fill("what_to_do.not_now", spray=self.ways.said(subject, "do"), ways=listed_)
        way = self.ways.stated[lead.place.way]
        do = self._place(lead.place, "do")
        kind = "keep" if way.change is None else "now" if way.change == 0.0 else "wait"
        if kind == "keep" and self.ways.keeps_by_title(way.name):
            kind = "now"
        return capital(_fill(f"what_to_do.{kind}", covering=self.ways.covering, do=do))

    def _counted(self, ways: list[str], places: list[Place], join: str) -> str:
        """Join ways, and say how many more there are."""
        more = len(places) - len(ways)
        if more:
            ways = [*ways, _fill("what_to_do.more", number=more)]
        return ", ".join(ways[:-1]) + join + ways[-1] if len(ways) > 1 else ways[0]

    def how_much(self, gap: Gap, years: float, *, word: bool = False) -> str:
        """Return line 2: how much less a way costs than another."""
        kind = "same" if abs(gap.mean) < 0.5 else "less" if gap.mean > 0.0 else "more"
        key = f"how_much.{'on_average' if self.sure else 'one_case'}_{kind}"
        gaps = {"money": self._money(gap.mean), "other": self._other(gap.than)}
        sentences = [_fill(key, years=years_text(years), **gaps)]
        if self.sure:
            sentences += [self._range(gap), self._of_20(gap)]
        if self.sure and word:
            same = _fill("otherwise.same_pair", spraying=self.spraying, word=self._word())
            sentences.append(capital(same))
        return " ".join(sentences)

    def _money(self, amount: float) -> str:
        """Return an amount with its currency: one of each sentence carries it."""
        return f"{rounded(amount)} {self.scenario.currency}".rstrip()

    def _other(self, name: str) -> str:
        """Return what line 2 compares with; with what follows, where line 3 speaks of its twin."""
        ways, against = self.ways.stated, self.judged.against
        twin = name != against and not ways[name].change and ways[name].roof == ways[against].roof
        worn_out = ways[name].change is None and ways[against].change is None
        return self.ways.said(name, "doing", follows=twin and worn_out, in_a_list=True)

    def _range(self, gap: Gap) -> str:
        """Say what 16 of 20 futures lie between."""
        if gap.low < 0.0 < gap.high:
            return _fill("how_much.range_both", low=rounded(gap.low), high=self._money(gap.high))
        low, high = sorted((abs(gap.low), abs(gap.high)))
        key = "how_much.range" if gap.high > 0.0 else "how_much.range_more"
        return _fill(key, low=rounded(low), high=self._money(high))

    def _of_20(self, gap: Gap) -> str:
        """Say in how many of 20 futures a way is cheaper."""
        number, border = gap.of_20, self._border()
        if border is not None and (gap.way, gap.than) == (self.judged.subject, self.judged.against):
            return _fill("how_much.of_20_border", low=border[0], high=border[1])
        if number in (0, 20):
            return _fill("how_much.of_20_all" if number else "how_much.of_20_none")
        return _fill("how_much.of_20", k=number, rest=20 - (number or 0))

    def _border(self) -> tuple[int, int] | None:
        """Return the two counts that the draws cannot tell, for the subject against otherwise."""
        found = (border for border in self.judged.borders if border.what == "of_20")
        border = next(found, None)
        return None if border is None else (border.low, border.high)

    def _word(self) -> str:
        """Return the word in a sentence; both words on a border."""
        border = self._border()
        if border is None:
            return _fill(f"otherwise.words.{self.judged.word}")
        low, high = (word_under_doubt(number / 20.0) for number in border)
        return _fill("otherwise.words.border", low=low, high=high)

    def against_otherwise(self) -> str:
        """Return line 3."""
        gap, word = self.judged.pair, self.judged.word or ""
        gaps = {"otherwise": self.otherwise, "spraying": self.spraying}
        difference = cheaper_or_dearer(gap.mean, self.scenario.currency)
        if not self.sure:
            return _fill("otherwise.one_case", difference=difference, **gaps)
        gaps |= {"word": self._word(), "of_20": self._of_20(gap)}
        if self._border() is None and word.endswith("cheaper" if gap.mean > 0.0 else "dearer"):
            return _fill("otherwise.line", difference=about(gap.mean, self.scenario.currency), **gaps)
        return _fill("otherwise.line_open", difference=difference, **gaps)

    def _if_sold(self, key: str) -> Iterator[str]:
        """Say what becomes of the pair in other years of sale."""
        for year, chance in self.judged.if_sold.items():
            k = many_of_20(of_20(chance))
            yield _fill(f"otherwise.{key}", years=years_text(year), k=k, spraying=self.spraying)

    def _by_years(self) -> Iterator[Piece]:
        """Return lines 1 and 2 for each of the years that the owner may keep it."""
        judged = self.judged
        at: dict[float, tuple[Lead, Gap | None]] = {judged.years: (judged.acting, judged.by)}
        at |= {float(year): pair for year, pair in judged.by_year.items()}
        for year in sorted(at):
            lead, gap = at[year]
            what = _fill("how_much.by_years", years=years_text(year), what=inner(self._line_1(lead)))
            yield MUCH, self._much_less(what, gap) if gap is not None and self.sure else what
        if judged.acting is not judged.lead and judged.acting.place.way != judged.lead.place.way:
            with_ = self._place(judged.lead.place, "do", in_a_list=True)
            yield CLIMBING, _fill("what_to_do.climbing_too", **{"with": with_})

    def _much_less(self, what: str, gap: Gap) -> str:
        """Add to what to do how much less that costs, how sure, in one sentence."""
        low, high = sorted((abs(gap.low), abs(gap.high)))
        kind = "both" if gap.low < 0.0 < gap.high else "range" if gap.high > 0.0 else "more"
        ends = (gap.low, gap.high) if kind == "both" else (low, high)
        between = _fill(f"how_much.by_year_{kind}", low=rounded(ends[0]), high=rounded(ends[1]))
        gaps = {"range": between, "k": many_of_20(gap.of_20 or 0), "other": self._other(gap.than)}
        kind = "by_year_dearer" if gap.mean < 0.0 else "by_year"
        return _fill(f"how_much.{kind}", what=what, money=self._money(gap.mean), **gaps)

    def one_by_one(self) -> Iterator[Piece]:
        """Go through the ways of keeping, where nobody knows what the owner would do otherwise."""
        table = self.judged.one_by_one
        years = sorted({year for row in table.values() for year in row})
        named = " / ".join(years_text(year) for year in years)
        head = "otherwise.not_sure" if self.sure else "otherwise.not_sure_likely"
        yield TABLE, _fill(head, spraying=capital(self.spraying), years=named) + ":"
        for name, row in table.items():
            numbers = " / ".join(self._number_or_difference(row[year]) for year in years)
            as_ = self.ways.said(name, "as")
            yield ROW, _fill("otherwise.not_sure_row", **{"as": as_, "numbers": numbers})
        if self.sure:
            yield TABLE, _fill("otherwise.not_sure_ends")

    def _number_or_difference(self, gap: Gap) -> str:
        """Return so many of 20, or the difference where nothing is in doubt."""
        if gap.of_20 is None:
            return cheaper_or_dearer(gap.mean, self.scenario.currency)
        return str(gap.of_20)

    def _hangs(self) -> Iterator[str]:
        """Return line 4."""
        judged = self.judged
        if not self.sure:
            return
        sentences = []
        if judged.offer is not None:
            sentences.append(self._offer(judged.offer))
        if judged.turn is not None:
            do = self._place(judged.turn.place, "do")
            sentences.append(_fill("hangs.turn", condition=self._condition(judged.turn), do=do))
        if not sentences and judged.call is None:
            sentences.append(_fill("hangs.none"))
        if sentences:
            yield capital(" ".join(sentences))

    def _offer(self, offer: Offer) -> str:
        """Say what an offered figure does to the answer."""
        judged, name = self.judged, self._offer_name(offer)
        if offer.lead.place.way in judged.acting.named and (judged.subject in offer.lead.named) == (
            judged.subject in judged.acting.named
        ):
            word = _fill(f"otherwise.words.{word_under_doubt(offer.pair.chance or 0.0)}")
            k = many_of_20(offer.pair.of_20 or 0)
            return _fill("hangs.offer_word", name=name, spraying=self.spraying, word=word, k=k)
        return _fill("hangs.offer_turns", name=name, do=inner(self._line_1(offer.lead)))

    def _offer_name(self, offer: Offer) -> str:
        """Return what was offered, in words."""
        names, figure = words("verdict.hangs.names"), offer.figures[0]
        if figure.field.name.startswith("warranty"):
            return str(names["warranty"])
        return str(names.get(figure.path.rpartition(".")[2], the_input(figure)))

    def _condition(self, turn: Turn) -> str:
        """Return from where on a figure turns the answer."""
        table = words("verdict.hangs.below" if turn.below else "verdict.hangs.above")
        return by_field(table, self.scenario, turn.figure, value=self._value(turn))

    def _value(self, turn: Turn) -> str:
        """Return the value at which a figure turns the answer, with two digits."""
        if turn.figure.field.unit == "-" and turn.figure.high <= 1.0:
            return percent(turn.value)
        value = round(turn.value) if turn.figure.field.unit == "years" else float(f"{turn.value:.2g}")
        return value_text(turn.figure, float(value), self.scenario)

    def next_step(self) -> str:
        """Return line 5."""
        judged = self.judged
        asked = next((one for one in ("trouble", "otherwise") if self._asked(one)), None)
        if asked is None and self._asked("keep") and self._hangs_on_years():
            asked = "keep"
        if not judged.priced:
            asked = asked or "quote"
        if asked is not None or not self.sure:
            return _fill(f"next.{asked or 'no_ranges'}")
        hidden, call = self._hidden(), judged.call
        if hidden >= HIDDEN_NAMED:
            return _fill("next.moisture", k=many_of_20(of_20(hidden)))
        if call is None:
            return _fill("next.decide")
        ask = by_field(words("verdict.next.asks"), self.scenario, call.figure)
        side = capital(_fill("next.below" if call.below else "next.above"))
        do = self._place(call.place, "do", in_a_list=True)
        gaps = {"ask": ask, "value": self._value(call), "do": do, "money": self._money(call.worth)}
        return capital(_fill("next.ask", side=side, **gaps))

    def _hangs_on_years(self) -> bool:
        """Whether another way leads in one of the years that were said."""
        named = (lead.place.ways for lead, _ in self.judged.by_year.values())
        return any(self.judged.acting.place.way not in ways for ways in named)

    def _hidden(self) -> float:
        """Return the chance of a hidden leak, as stated or from upkeep so far, that nobody measured. [-]"""
        if self.scenario.seen is not None and self.scenario.seen.meter is not None:
            return 0.0
        return opening(resolve(self.scenario)).wet

    def _prices(self, key: str) -> str:
        """Say the highest price worth paying, against both."""
        first, second = "", ""
        for price in self.judged.prices:
            money = self._amount(price)
            as_ = self._way(price.than, "as")
            if price.than == self.judged.against and first:
                second = _fill("highest_price.against_otherwise", money=money)
            else:
                against = "both" if price.than == self.judged.against else "best"
                first = _fill(f"highest_price.against_{against}", money=money, **{"as": as_})
        return _fill(f"highest_price.{key}", spraying=self.spraying, first=first, second=second)

    def price(self) -> str:
        """Say the highest price worth paying beside a quote; empty where there is none to say."""
        judged = self.judged
        wanted = judged.priced and judged.prices and not self.decided
        return self._prices("line") if wanted else ""

    def _amount(self, price: Price) -> str:
        """Return a highest price with what 16 of 20 futures lie between."""
        if price.mean <= 0.0:
            return _fill("highest_price.none")
        if not self.sure:
            return about(price.mean, self.scenario.currency)
        money = self._money(price.mean)
        low = rounded(price.low) if price.low > 0.0 else _fill("highest_price.nothing")
        return _fill("highest_price.with_range", money=money, low=low, high=rounded(price.high))

    def beside(self, comparison: Comparison, found: Assessment | None) -> Iterator[tuple[str, bool]]:
        """Go through what stands beside the lines, each with whether it leaves a screen that is too full."""
        judged = self.judged
        if self.decided:
            return
        yield from self.climbing(comparison)
        if price := self.price():
            yield price, False
        if self.sure and not self._third() and not self._asked("otherwise"):
            yield from ((capital(line), False) for line in self._if_sold("if_sold_elsewhere"))
        if any(border.what == "leads" for border in judged.borders) and self.sure:
            yield _fill("beside.leads_border"), False
        for name, (low, high) in judged.others.items():
            gaps = {"title": self.ways.stated[name].title, "low": rounded(low), "high": self._money(high)}
            yield _fill("beside.other_quote", **gaps), False
        if self.sure and judged.subject in judged.acting.named and judged.acting.level and comparison.ways:
            lines = cautions.undecided_lines(comparison, judged.subject, judged.acting.place.way)
            yield from ((line, False) for line in lines)
        line = biggest_unknown(found) if found is not None and self.sure else None
        if line:
            yield line, True

    def climbing(self, comparison: Comparison) -> Iterator[tuple[str, bool]]:
        """Say how many hours on the roof the lead takes, and what there is for whoever would rather not."""
        judged = self.judged
        way = judged.lead.place.way
        if way not in comparison.ways or not needs_climbing(self.scenario, self.ways.stated[way]):
            return
        hours, years = comparison.ways[way].expected["hours"], years_text(judged.years)
        key = "hours" if judged.acting.place.way == way else "hours_if"
        yield _fill(f"beside.{key}", hours=f"{hours:.0f}", years=years), False
        if judged.unclimbed is None:
            yield _fill("beside.nobody_else"), False
        elif judged.acting is judged.lead:
            yield self.rather_not(), True

    def rather_not(self) -> str:
        """Say what there is for whoever would rather not climb; empty where there is nothing."""
        unclimbed, lead = self.judged.unclimbed, self.judged.lead.place
        if unclimbed is None:
            return ""
        money = self._money(unclimbed.mean - lead.mean)
        return _fill("beside.rather_not", do=self._place(unclimbed, "do"), money=money)

    def parts(self, lines: tuple[str, ...]) -> VerdictParts:
        """Return the verdict as data."""
        judged = self.judged
        by, pair = judged.by, judged.pair
        word = judged.word or ONE_CASE
        if self.decided:
            word = DECIDED
        elif not judged.priced:
            word = NO_QUOTE
        elif self._asked("otherwise"):
            word = NO_SINGLE
        given = word not in (NO_QUOTE, NO_SINGLE)
        return VerdictParts(
            subject=judged.subject,
            against=judged.against,
            years=judged.years,
            word=word,
            middle=pair.mean if given else None,
            low=pair.low if given and self.sure else None,
            high=pair.high if given and self.sure else None,
            of_20=pair.of_20 if given else None,
            if_sold={year: of_20(chance) for year, chance in judged.if_sold.items()} if given else {},
            cheapest_willing=judged.acting.place.way,
            next_step=lines[-1] if judged.whole else None,
            do=lines[0] if self.decided else self.what_to_do(judged.lead, judged.acting),
            leads=judged.lead.place.way,
            leads_without_climbing=judged.unclimbed.way if judged.unclimbed else None,
            level_with=tuple(place.way for place in judged.lead.level),
            leads_over=by.than if by else None,
            by=None if by is None else _gap_result(by, self.sure),
            hangs_on=tuple(self._hangs_result()),
            border=tuple(asdict(border) for border in judged.borders),
            highest_price={
                price.than: {"mean": price.mean, "low": price.low, "high": price.high}
                for price in judged.prices
            },
        )

    def _hangs_result(self) -> Iterator[dict[str, Any]]:
        """Go through what the answer hangs on, as data."""
        offer, turn = self.judged.offer, self.judged.turn
        if offer is not None:
            without = {"leads": offer.lead.place.way, "of_20": offer.pair.of_20}
            yield {
                "name": self._offer_name(offer),
                "inputs": [figure.path for figure in offer.figures],
                "basis": "offer",
                "without_it": without,
            }
        if turn is not None:
            end = "below" if turn.below else "above"
            yield {
                "name": self._condition(turn),
                "inputs": [turn.figure.path],
                "basis": turn.figure.basis,
                "turns": {end: turn.value, "leads": turn.place.way},
            }


def _gap_result(gap: Gap, sure: bool) -> dict[str, float | int | None]:
    """Return a gap as data."""
    band = (gap.low, gap.high) if sure else (None, None)
    return {"mean": gap.mean, "low": band[0], "high": band[1], "of_20": gap.of_20}
