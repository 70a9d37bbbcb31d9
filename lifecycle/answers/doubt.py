"""How sure is this? What a study of doubt says of the ways, as blocks and as plain data.

Lecture
-------
First the verdict as a comparison gives it, how sure it is, and the table of 20s: in how many of 20 futures
the change is cheaper, by what the owner would do otherwise and by year of sale. Then what each way costs
and how it stands against what the owner would do otherwise, for a few years of sale: the mean, what 8 in 10
futures lie between, and so many of 20. Then who is cheapest and who beats whom. Twenty futures are always
twenty: so many of 20 that share them out add up to 20.

*Luck* stands by itself and is named: twenty coaches, not twenty futures; and three lives are told as bills
by year, a good, a middle and a bad one. Then what a wrong choice costs,
what is worth finding out, and where the doubt comes from.

Where no input is a range there are no futures to count, and only costs and luck are shown. Money in tables
is rounded to two significant digits, for no figure behind it is known better.

*Data.* What is said of the ways under doubt (`doubt_part`) stands in the answer of a comparison too. Curves
have one value for each year of sale 0 ... study period; chances, losses and the worth of finding out stand at
the likely years kept. Where there is no number stands null, with the reason under `reasons`.

Left out: percentiles and indices by name, which are for analysts (see the data).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from lifecycle.answers.blocks import Answer, Block, Drawing, Heading, Items, Rest, Sentence, Table
from lifecycle.answers.parts import (
    band_text,
    fields_of,
    head_of,
    line_blocks,
    made_by,
    rounded_signed,
    verdict_blocks,
    whole_if,
)
from lifecycle.evaluation.comparison import Comparison
from lifecycle.evaluation.comparison import compare as compared
from lifecycle.language.finding_out import askable_share, way_numbers, worth_lines
from lifecycle.language.labels import HEADINGS, LABELS, listed, many_of_20, percent, shared_out, years_text
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import (
    DECIDED,
    NO_QUOTE,
    NO_SINGLE,
    Verdict,
    biggest_unknown,
    few_draws,
    verdict_under,
)
from lifecycle.quantities import WhenAsked, inner, rounded
from lifecycle.studies import assessment
from lifecycle.studies.assessment import Assessment, Luck
from lifecycle.studies.doubt import Band, of_20
from lifecycle.studies.verdict import Judged, not_sure

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from lifecycle.answers.parts import Told
    from lifecycle.scenario import Scenario
    from lifecycle.studies.habits import Habits
    from lifecycle.studies.value_of_information import Call

YEARS = (3, 5, 10, 15)
"""Years of sale shown besides the years kept, as far as the study goes. [years]"""

COLUMNS = 4
"""Years of sale shown at most."""

STORY_LIVES, STORY_YEARS = 4000, 8
"""Lives of which three are told; years that have a column of their own."""

QUITE_SURE, FAIRLY_SURE = 18, 15
"""So many of 20 futures on one side are called quite and fairly sure."""


def doubt(scenario: Scenario, *, draws: int, seed: int, bill: float | None = None, told: Told) -> Answer:
    """Answer how sure a comparison is."""
    found = assessment.whole(scenario, draws=draws, seed=seed, bill=bill, told=told.step)
    return doubt_answer(compared(found.scenario), found)


def doubt_answer(comparison: Comparison, found: Assessment) -> Answer:
    """Put what doubt says of the ways into words."""
    verdict = verdict_under(comparison, found)
    blocks: tuple[Block, ...]
    first = [*verdict_blocks(verdict), Sentence(first_sentence(found, verdict))]
    if found.doubt.any_doubt:
        table = own_twenties(comparison, found)
        blocks = (*first, *((table,) if table else ()), Rest(partial(_rest, comparison, found)))
    else:
        blocks = (*first, ways_legend(found), _costs(found), *_luck(comparison, found), Rest())
    chart, data = Drawing(partial(doubt_sheet, found, verdict)), WhenAsked(partial(_data, found, verdict))
    return Answer(HEADINGS["doubt"], found.scenario.title, (*blocks, chart), data, chart)


def _rest(comparison: Comparison, found: Assessment) -> Iterator[Block]:
    """Return what is behind the table of 20s: costs by year, luck, stories, what finding out is worth."""
    yield ways_legend(found)
    yield from (_costs(found), *_savings(found), *_cheapest(found), *_pairs(found))
    yield from (*_luck(comparison, found), *stories_blocks(found), *_losses(found))
    yield from (*worth_blocks(found), *shares_blocks(found))


def first_sentence(found: Assessment, verdict: Verdict) -> str:
    """Say how sure it is, and what was done about what nobody knows."""
    sample = found.doubt.futures.sample
    ranged = len(sample.values)
    if not ranged:
        return say("doubt.one_value")
    estimates = say("doubt.estimates.many", number=ranged) if ranged > 1 else say("doubt.estimates.one")
    sure = few_draws(found) or (
        "" if verdict.parts.word in (DECIDED, NO_QUOTE, NO_SINGLE) else _how_sure(found)
    )
    return f"{sure} {say('doubt.tried', estimates=estimates, draws=f'{sample.draws:,}')}".lstrip()


def _how_sure(found: Assessment) -> str:
    """Say how sure it is which of the two ways of the verdict is cheaper."""
    if found.subject is None or any(True for _ in _border(found.judged)):
        return ""
    number = of_20(found.doubt.chance_cheaper(found.subject))
    wins, word = (number, "cheaper") if number >= 10 else (20 - number, "dearer")
    sure = "quite" if wins >= QUITE_SURE else "fairly" if wins >= FAIRLY_SURE else "not"
    slots = {"often": many_of_20(wins), "way": _titles(found)[found.subject]}
    return say("doubt.how_sure", sure=say(f"doubt.sure.{sure}"), word=say(f"doubt.sure.{word}"), **slots)


def _titles(found: Assessment) -> dict[str, str]:
    """Return the titles of the ways, in order."""
    titles = {way.name: way.title for way in found.scenario.alternatives}
    return {name: titles[name] for name in found.doubt.names}


def ways_legend(found: Assessment) -> Items:
    """Return the ways with their numbers."""
    numbers, base = way_numbers(found), found.doubt.base_case
    lines = [f"{numbers[name]} {title}" for name, title in _titles(found).items()]
    place = found.doubt.names.index(base)
    lines[place] = say("doubt.otherwise", way=lines[place], base=LABELS["base case"])
    return Items(tuple(lines), marks=False)


def twenties(
    habits: Habits,
    change: str,
    *,
    own: str | None = None,
    kept: float | None = None,
    judged: Judged | None = None,
) -> Table:
    """Return the table of 20s: by what the owner would do otherwise, and by year of sale.

    `judged`: the verdict, whose border is said where the draws cannot tell the owner's own cell.
    """
    here = None if kept is None else min(habits.years, key=lambda year: abs(year - kept))
    column = None if here is None else habits.years.index(here) + 1
    mine = [own is not None and inner(title) == inner(own) for title in habits.titles.values()]
    rows = tuple(
        (say("doubt.own_row", plan=title) if marked else title, *map(str, habits.of_20[plan].values()))
        for (plan, title), marked in zip(habits.titles.items(), mine, strict=True)
    )
    return Table.of_numbers(
        (say("labels.sold_after"), *map(str, habits.years)),
        rows,
        say("doubt.twenties", change=inner(change)),
        " ".join([say("doubt.twenties_note"), *_border(judged)]),
        strong=tuple(place for place, marked in enumerate(mine) if marked),
        shaded=frozenset((row, column) for row in range(len(rows)) if column is not None),
        bars=20,
    )


def _border(judged: Judged | None) -> Iterator[str]:
    """Say which two counts of the owner's own cell the draws cannot tell."""
    for border in judged.borders if judged is not None else ():
        if border.what == "of_20":
            yield say("doubt.own_border", low=border.low, high=border.high)


def own_twenties(comparison: Comparison, found: Assessment) -> Table | None:
    """Return the table of 20s, if there is one, with the owner's own row and year where they are known."""
    if found.habits is None or found.subject is None:
        return None
    titles, unsure = _titles(found), partial(not_sure, comparison.scenario)
    own = None if unsure("otherwise") else titles[found.doubt.base_case]
    kept = None if unsure("keep") else comparison.holding_period
    return twenties(found.habits, titles[found.subject], own=own, kept=kept, judged=found.judged)


def shown_years(found: Assessment) -> list[int]:
    """Return the years of sale of the tables: some round ones, and the whole years kept. [years]"""
    last = found.doubt.costs[found.doubt.base_case].shape[1] - 1
    kept = min(max(1, round(found.doubt.years)), last)
    others = sorted(
        (year for year in YEARS if year <= last and year != kept), key=lambda year: abs(year - kept)
    )
    return sorted([kept, *others[: COLUMNS - 1]])


def _costs(found: Assessment) -> Table:
    """Return what each way costs by year of sale."""
    years, rows = shown_years(found), []
    for name, number in way_numbers(found).items():
        band = found.costs[name]
        label = say("doubt.rows.mean" if found.doubt.any_doubt else "doubt.rows.cost", way=number)
        rows.append((label, *(rounded_signed(band.mean[year]) for year in years)))
        if found.doubt.any_doubt:
            rows.append(
                (say("doubt.rows.band"), *(band_text(band.p10[year], band.p90[year]) for year in years))
            )
    return _by_year(say("doubt.costs", currency=found.scenario.currency), rows, years)


def ways_by_years(found: Assessment, *, priced: bool = True) -> Table:
    """Return what each way costs on average by year of sale, the cheapest first."""
    years, titles = shown_years(found), _titles(found)
    uses = {way.name: way.quote for way in found.scenario.alternatives}
    change = uses[found.subject] if found.subject else None
    shown = [name for name in found.costs if priced or uses[name] != change]
    kept = min(max(1, round(found.doubt.years)), years[-1])
    shown.sort(key=lambda name: float(found.costs[name].mean[kept]))
    rows = [
        (titles[name], *(rounded_signed(float(found.costs[name].mean[year])) for year in years))
        for name in shown
    ]
    return _by_year(say("doubt.ways_by_years", currency=found.scenario.currency), rows, years)


def _savings(found: Assessment) -> Iterator[Table]:
    """Return how each way stands against what the owner would do otherwise."""
    if not found.net_savings:
        return
    years, numbers, rows = shown_years(found), way_numbers(found), []
    for name, band in found.net_savings.items():
        chances = (found.doubt.chance_cheaper(name, year=year) for year in years)
        rows += [
            (say("doubt.rows.mean", way=numbers[name]), *(_signed(float(band.mean[year])) for year in years)),
            (say("doubt.rows.band"), *(_signed(float(band.p10[year])) for year in years)),
            (say("doubt.rows.to"), *(_signed(float(band.p90[year])) for year in years)),
            (say("doubt.rows.often"), *(str(of_20(chance)) for chance in chances)),
        ]
    slots = {"base": numbers[found.doubt.base_case], "currency": found.scenario.currency}
    yield _by_year(say("doubt.savings", **slots), rows, years)


def _by_year(caption: str, rows: Sequence[tuple[str, ...]], years: Sequence[int]) -> Table:
    """Return rows under years of sale."""
    return Table.of_numbers((say("doubt.sold_after"), *map(years_text, years)), rows, caption)


def _by_way(caption: str, rows: Sequence[tuple[str, ...]], found: Assessment, note: str = "") -> Table:
    """Return rows under the numbers of the ways."""
    return Table.of_numbers(("", *way_numbers(found).values()), rows, caption, note)


def _signed(savings: float) -> str:
    """Return net savings in a word and a number."""
    if abs(savings) < 0.5:
        return say("doubt.same")
    return f"{rounded(savings)} {say('doubt.sure.cheaper' if savings > 0.0 else 'doubt.sure.dearer')}"


def _cheapest(found: Assessment) -> Iterator[Table]:
    """Say in how many of 20 futures each way is the cheapest."""
    numbers, titles = way_numbers(found), _titles(found)
    if len(titles) < 2:
        return
    shared = shared_out(found.choosing.chance_cheapest)
    order = sorted(shared, key=lambda name: -found.choosing.chance_cheapest[name])
    rows = [
        (f"{numbers[name]} {titles[name]}", str(shared[name]), "o" * shared[name])
        for name in order
        if shared[name]
    ]
    rest = [numbers[name] for name in titles if not shared[name]]
    caption = say("doubt.cheapest", kept=years_text(found.doubt.years))
    note = say("doubt.cheapest_in_none", ways=listed(rest)) if rest else ""
    yield Table(("", "", ""), tuple(rows), caption, note, numbers=(1,))


def _pairs(found: Assessment) -> Iterator[Table]:
    """Return in how many of 20 futures each way beats each other."""
    numbers, chances = way_numbers(found), found.choosing.chance_cheaper
    if len(numbers) > 2:
        rows = [
            (
                say("doubt.rows.beats", way=numbers[one]),
                *(str(of_20(chances[one][other])) if other != one else "" for other in numbers),
            )
            for one in numbers
        ]
        yield _by_way(say("doubt.pairs"), rows, found, say("doubt.ends"))


def _luck(comparison: Comparison, found: Assessment) -> Iterator[Table]:
    """Return what happens to one coach, way by way; new roofs are exact where the comparison has them."""
    if not found.luck:
        return
    lucks = list(found.luck.values())
    year = min(max(1, round(found.doubt.years)), lucks[0].chance_of_new_roof.size - 1)
    large = found.large_bill
    number = rounded(large) if large == float(f"{large:.2g}") else f"{large:,.0f}"
    bill = f"{number} {found.scenario.currency}"
    renewed = [comparison.ways[name].chance_renewed for name in found.luck]
    label = partial("doubt.luck_rows.{}".format)
    rows = [
        (say(label("little"), year=year), *(rounded_signed(luck.cost.p10[year]) for luck in lucks)),
        (say(label("half")), *(rounded_signed(luck.cost.p50[year]) for luck in lucks)),
        (say(label("much")), *(rounded_signed(luck.cost.p90[year]) for luck in lucks)),
        (say(label("bill"), bill=bill, year=year), *_coaches(lucks, "chance_of_large_bill", year)),
        *(
            (say(label("renewed"), year=other), *(str(of_20(float(chance[other]))) for chance in renewed))
            for other in shown_years(found)
        ),
        (say(label("leak"), year=year), *_coaches(lucks, "chance_of_leak", year)),
        (say(label("deck"), year=year), *_coaches(lucks, "chance_of_severe_find", year)),
    ]
    drawn = say("doubt.luck_drawn", lives=f"{found.lives:,}")
    caption = say("doubt.luck", drawn=drawn, currency=found.scenario.currency)
    yield _by_way(caption, rows, found, say("doubt.ends"))


def _coaches(lucks: Sequence[Luck], name: str, year: int) -> tuple[str, ...]:
    """Return a chance of each way as so many of 20 coaches."""
    return tuple(str(of_20(float(getattr(luck, name)[year]))) for luck in lucks)


def stories_blocks(found: Assessment) -> Iterator[Block]:
    """Tell a good, a middle and a bad story of what leads, the change and otherwise, as bills by year."""
    if not found.luck or found.judged is None:
        return
    from lifecycle.studies.stories import stories

    judged, numbers, titles = found.judged, way_numbers(found), _titles(found)
    ways = tuple(dict.fromkeys((judged.acting.place.way, judged.subject, judged.against)))
    told = stories(found.scenario, ways=ways, lives=STORY_LIVES)
    last = min(told.years, STORY_YEARS)
    later = told.years > last
    rows = []
    for name in ways:
        for kind, story in told.ways[name].items():
            bills = [rounded_signed(float(bill)) for bill in story.bills[:last]]
            bills += [rounded_signed(float(story.bills[last:].sum()))] if later else []
            row = say(f"doubt.stories.{kind}", way=numbers[name])
            rows.append((row, *bills, rounded_signed(story.total)))
    heads = [say("doubt.stories.year", year=year) for year in range(1, last + 1)]
    heads += [say("doubt.stories.later")] if later else []
    legend = "; ".join(f"{numbers[name]} {titles[name]}" for name in ways)
    caption = say("doubt.stories.title", currency=found.scenario.currency, kept=years_text(told.years))
    note = say("doubt.stories.note", ways=legend)
    yield Table.of_numbers(("", *heads, say("doubt.stories.in_all")), rows, caption, note)


def _losses(found: Assessment) -> Iterator[Table]:
    """Say what a wrong choice costs."""
    loss, numbers, titles = found.choosing.opportunity_loss, way_numbers(found), _titles(found)
    if len(loss) > 1:
        order = sorted(loss, key=lambda name: loss[name])
        rows = ((f"{numbers[name]} {titles[name]}", rounded(loss[name])) for name in order)
        yield Table.of_numbers(("", ""), rows, say("doubt.losses", currency=found.scenario.currency))


def worth_blocks(found: Assessment) -> Iterator[Block]:
    """Say what is worth finding out."""
    lines = list(worth_lines(found))
    if lines:
        yield Heading(say("doubt.worth"), 3)
        yield from line_blocks(lines)


def shares_blocks(found: Assessment) -> Iterator[Block]:
    """Say where the doubt comes from."""
    if found.knowing is None or not found.knowing.share_by_basis:
        return
    numbers = way_numbers(found)
    pair = say("doubt.against").join(numbers[name] for name in (found.subject, found.doubt.base_case) if name)
    yield Heading(say("doubt.shares", pair=pair), 3)
    yield from map(Sentence, _share_lines(found, found.knowing.share_by_basis))


def _share_lines(found: Assessment, by_basis: Mapping[str, float]) -> Iterator[str]:
    """Say which number most of the doubt is, and the shares by basis."""
    number = biggest_unknown(found)
    if number:
        yield number
    asked = askable_share(found)
    if asked >= 0.005:
        yield say("doubt.askable", share=percent(min(asked, 1.0)))
    shares = {basis: max(0.0, share) for basis, share in by_basis.items()}
    whole = sum(shares.values())  # a part below 0 is chance: the others then add up to a little more
    order = sorted(((basis, share / whole) for basis, share in shares.items()), key=lambda one: -one[1])
    names = words("doubt.basis")
    named = [f"{names.get(basis, basis)} {percent(share)}" for basis, share in order if share >= 0.005]
    yield say("doubt.by_basis", shares=listed(named))


def doubt_sheet(found: Assessment, verdict: Verdict) -> Figure:
    """Draw how sure an answer is: under the first line of the verdict the table of 20s, spread and costs."""
    from lifecycle.charts import owning_under_doubt, savings_spread, table_of_20s
    from lifecycle.charts.sheets import stacked

    charts: list[Any] = [partial(owning_under_doubt, found)]
    if found.doubt.any_doubt:
        charts.insert(0, partial(savings_spread, found))
        if found.habits is not None:
            charts.insert(0, partial(table_of_20s, found.habits))
    return stacked(verdict.lines[0], charts)


def _data(found: Assessment, verdict: Verdict) -> dict[str, Any]:
    """Return an assessment as plain data for a result file."""
    scenario, years = found.scenario, found.doubt.years
    part = doubt_part(found)
    reasons = part.pop("reasons", {})
    answer = {
        **head_of(scenario),
        "base_case": found.doubt.base_case,
        "subject": found.subject,
        "holding_period": whole_if(years),
        **part,
        "luck": _luck_part(found),
        "verdict": [*verdict.lines, *verdict.beside],
        "verdict_parts": verdict.parts.as_result(),
        "made_by": made_by(scenario, "expectation by future; luck by simulation"),
    }
    return {**answer, "reasons": reasons} if reasons else answer


def doubt_part(found: Assessment) -> dict[str, Any]:
    """Return what doubt says of the ways as plain data."""
    choosing, knowing, drawn = found.choosing, found.knowing, found.doubt.futures
    titles = {way.name: way.title for way in found.scenario.alternatives}
    reasons = {}
    if found.habits is None:
        reasons["table_of_20s"] = found.no_habits
    if knowing is None:
        reasons["perfect_information"] = reasons["share_of_doubt"] = say("compare.reasons.one_way")
    elif knowing.look is None:
        reasons["look_before_signing"] = found.no_look
    part: dict[str, Any] = {
        "alternatives": {
            name: {
                "title": titles[name],
                "cost": _band(found.costs[name]),
                **({"net_savings": _band(found.net_savings[name])} if name in found.net_savings else {}),
            }
            for name in found.doubt.names
        },
        "chance_cheapest": dict(choosing.chance_cheapest),
        "chance_cheaper": {name: dict(than) for name, than in choosing.chance_cheaper.items()},
        "expected_opportunity_loss": dict(choosing.opportunity_loss),
        "perfect_information": None
        if knowing is None
        else {"total": knowing.total, "by_group": dict(knowing.by_group), "by_input": dict(knowing.by_input)},
        "calls": [_call(call) for call in found.calls],
        "look_before_signing": knowing.look if knowing else None,
        "share_of_doubt": None
        if knowing is None
        else {"by_basis": dict(knowing.share_by_basis), "by_input": dict(knowing.share_by_input)},
        "table_of_20s": None
        if found.habits is None
        else {
            plan: {str(year): number for year, number in row.items()}
            for plan, row in found.habits.of_20.items()
        },
        "draws": drawn.sample.draws,
        "seed": drawn.sample.seed,
        "effective_draws": drawn.effective,
        "moved_to_a_bound": dict(drawn.sample.moved),
    }
    return {**part, "reasons": reasons} if reasons else part


def _call(call: Call) -> dict[str, Any]:
    """Return a call and what follows from it as plain data."""
    follows = [{"way": stretch.way, "up_to": stretch.up_to} for stretch in call.stretches]
    return {"input": call.figure.path, "worth": call.worth, "what_follows": follows}


def _band(band: Band) -> dict[str, list[float]]:
    """Return a band by year of sale as lists."""
    return {name: getattr(band, name).tolist() for name in ("mean", "p10", "p50", "p90")}


def _luck_part(found: Assessment) -> dict[str, Any] | None:
    """Return what happens to one coach as plain data; None if it was not asked for."""
    if not found.luck:
        return None
    chances = ("chance_of_large_bill", "chance_of_new_roof", "chance_of_severe_find", "chance_of_leak")
    ways = {
        name: {"cost": _band(luck.cost), **{one: getattr(luck, one).tolist() for one in chances}}
        for name, luck in found.luck.items()
    }
    return {**fields_of(found, "lives", "large_bill"), "alternatives": ways}
