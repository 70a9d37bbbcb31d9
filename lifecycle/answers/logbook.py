"""The years after: does the answer stand, what was spent, what do the leaks say, what is left to choose?

Lecture
-------
What to do from today on stands first, in the words of the verdict, if anything is left to choose. The next
sentence answers the question that the owner asks. What follows says how it was got: the way
taken, leaks, money against what was expected, and what is left to choose; then the account, row by row.
Everything is in the money of the base date, as in the comparison; what was paid in later years is worth a
little less by the inflation of the scenario.

How many leaks prove something is said by a rule: as long as they move the expected number by less than
`LITTLE`, "it proves little yet".
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from lifecycle.answers.blocks import Answer, Block, Items, Rest, Sentence, Table
from lifecycle.answers.parts import fields_of, head_of, made_by, open_it_first
from lifecycle.language.labels import (
    about,
    cheaper_or_dearer,
    from_to,
    many_of_20,
    range_sentence,
    years_text,
)
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import first_lines
from lifecycle.quantities import capital, inner, money_text, number_text, rounded
from lifecycle.records import logged_years
from lifecycle.records.from_today import Answer as Stand
from lifecycle.records.from_today import FromToday, from_today, what_becomes
from lifecycle.records.logbook import LEAK, RENEWAL, SALE, Log
from lifecycle.records.logged_years import Rate
from lifecycle.records.so_far import REPAIRS, Held, PricePaid, SoFar, prices_paid, so_far
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.doubt import Band, of_20
from lifecycle.studies.futures import futures

if TYPE_CHECKING:
    from lifecycle.answers.parts import Told

FEW = 0.1
"""Share of the draws that must count after the log, or it is said that they are few. [-]"""

LITTLE = 1.25
"""Leaks prove little as long as they come less than so many times as often, or as seldom, as expected. [-]"""


@dataclass(frozen=True)
class Years:
    """Everything that is said of a log.

    Parameters
    ----------
    scenario : Scenario
        As it stood at the base date.
    log : Log
        What happened since, as written down.
    account : SoFar
        What was spent, and what was expected.
    rate : Rate
        Leaks under the way taken.
    other_rate : Rate or None
        Leaks that the other way should have had in as long a time.
    prices : tuple of PricePaid
        What jobs cost.
    today : FromToday or None
        Whether the answer stands; None after a sale.
    doubted : bool
        Whether any input is a range.
    do : str or None
        What to do from today on, after what the log shows; None where nothing is left to choose.
    """

    scenario: Scenario
    log: Log
    account: SoFar
    rate: Rate
    other_rate: Rate | None
    prices: tuple[PricePaid, ...]
    today: FromToday | None
    doubted: bool
    do: str | None = None

    def title(self, name: str | None) -> str:
        """Return the title of a way."""
        return next((way.title for way in self.scenario.alternatives if way.name == name), "")

    @property
    def length(self) -> str:
        """The logged time in words."""
        return years_text(self.log.months / 12.0)


def logbook(scenario: Scenario, log: Log, *, draws: int, seed: int, told: Told) -> Answer:
    """Answer whether the answer of a comparison still stands after the years of a log."""
    if scenario.trouble:
        return open_it_first(say("logbook.title"), scenario, "answer")
    told.step(say("logbook.working", draws=f"{draws:,}"))
    return logbook_answer(held_against(scenario, log, draws=draws, seed=seed))


def held_against(scenario: Scenario, log: Log, *, draws: int, seed: int) -> Years:
    """Hold a log against its scenario."""
    drawn = futures(scenario, draws=draws, seed=seed)
    case = resolve(scenario, drawn.sample.values)
    seen = logged_years.seen(case, log, draws)
    account = so_far(scenario, log, drawn, seed=seed)
    other = None
    if account.other is not None:
        found = logged_years.found_as_planned(case, account.other, log.months, draws)
        other = logged_years.rate_of(found, drawn.weights, log.leaks)
    after = logged_years.weighed(drawn, seen.log_likelihood)
    today = from_today(scenario, log, drawn, after) if log.sale is None else None
    do = None
    if today is not None and today.now is not None:
        do = first_lines(today.scenario, drawn=after)[1].lines[0]
    return Years(
        scenario=scenario,
        log=log,
        account=account,
        rate=logged_years.rate_of(seen.found, drawn.weights, log.leaks),
        other_rate=other,
        prices=prices_paid(scenario, log),
        today=today,
        doubted=bool(drawn.sample.values),
        do=do,
    )


def logbook_answer(years: Years) -> Answer:
    """Put a log held against its scenario into blocks and plain data."""
    first, *points = _first(years)
    odd = tuple(_odd(years))
    blocks: list[Block] = [
        *([Sentence(say("logbook.do", do=inner(years.do)), "verdict")] if years.do else []),
        Sentence(first, "verdict"),
        *([Items(tuple(points))] if points else []),
        Sentence(_way(years)),
        *(Sentence(line) for line in (*_leaks(years), *_spent(years))),
        *_remaining(years),
        *(Sentence(line) for line in _prices(years)),
        *(Sentence(line, "caution") for line in _notices(years)),
        Rest(),
        _account(years),
        *([Items(odd)] if odd else []),
        Sentence(_of_the_money(years), "note"),
    ]
    return Answer(say("logbook.title"), years.scenario.title, tuple(blocks), _data(years))


def _first(years: Years) -> Iterator[str]:
    """Answer whether the answer still stands, and say what it was and is."""
    found = years.today
    if found is None:
        yield from _closing(years)
    elif found.then is None:
        yield say("logbook.one_way")
    elif found.closed and found.hindsight is not None:
        verdict = _verdict_on(found.then, found.hindsight, years)
        yield say("logbook.made", said=verdict, way=inner(years.title(years.log.way)))
        yield _stood("then", found.then, str(years.log.start), years.scenario.currency)
        yield _stood("hindsight", found.hindsight, str(years.log.start), years.scenario.currency)
    elif found.now is None:
        yield say("logbook.nothing_left")
    else:
        yield _verdict_on(found.then, found.now, years)
        yield _stood("then", found.then, str(years.log.start), years.scenario.currency)
        yield _stood("now", found.now, str(years.log.today), years.scenario.currency)
        if found.years_are_up:
            yield say("logbook.up", kept=years_text(found.now.years))
        yield from (say("logbook.over", way=inner(title)) for title in found.over)


def _verdict_on(then: Stand, now: Stand, years: Years) -> str:
    """Say in one sentence whether the answer stands."""
    slots = {"way": then.subject, "word": now.word, "otherwise": inner(then.against)}
    if years.log.months == 0 and not years.log.entries:
        return say("logbook.nothing_logged", **slots)
    becomes = what_becomes(then, now)
    before = {} if then.word == now.word else {"before": then.word}
    return say(f"logbook.{becomes}", **slots, **before)


def _stood(when: str, stand: Stand, day: str, currency: str) -> str:
    """Say what an answer is, and how sure."""
    money = cheaper_or_dearer(stand.middle, currency)
    if stand.chance is None:
        said = say("logbook.one_value", money=money)
    else:
        often = many_of_20(of_20(stand.chance))
        spread = range_sentence(stand.low, stand.high, currency)
        said = say("logbook.spread", money=money, spread=spread, often=often)
    return say(f"logbook.{when}", day=day, kept=years_text(stand.years), answer=said)


def _closing(years: Years) -> Iterator[str]:
    """Say what the coach cost in all, against what the comparison had expected of both ways."""
    account = years.account
    total, expected = account.total.spent, float(account.total.expected.mean)
    way = inner(years.title(years.log.way))
    yield say(
        "logbook.sold",
        time=years.length,
        spent=money_text(total),
        expected=money_text(expected),
        way=way,
        currency=years.scenario.currency,
    )
    if years.doubted:
        yield _held(account.total, years.scenario.currency)
    if account.other is not None and account.other_total is not None:
        other = float(account.other_total.mean)
        yield say(
            "logbook.other_more" if other > total else "logbook.other_less",
            way=inner(years.title(account.other)),
            expected=money_text(other),
            currency=years.scenario.currency,
            money=about(other - total),
        )
        if account.other_hours is not None:
            yield say(
                "logbook.other_hours",
                hours=number_text(round(account.hours.spent, 1)),
                other=number_text(round(float(account.other_hours.mean))),
            )
    yield _luck(years)
    yield say("logbook.one_coach")


def _luck(years: Years) -> str:
    """Say what luck was in the repairs."""
    spent = sum(row.spent for row in years.account.rows if row.name == REPAIRS)
    currency = years.scenario.currency
    none, fewer = (
        many_of_20(of_20(share)) for share in (years.account.no_repairs, years.account.fewer_repairs)
    )
    if spent < 0.5:
        return say("logbook.no_repairs", none=none)
    if fewer == none:
        return say("logbook.repairs", money=money_text(spent), currency=currency, none=none)
    return say("logbook.repairs_less", money=money_text(spent), currency=currency, none=none, fewer=fewer)


def _way(years: Years) -> str:
    """Say which way was taken, and how that is known."""
    return say("logbook.way" if years.log.way_said else "logbook.way_found", way=years.title(years.log.way))


def _spent(years: Years) -> Iterator[str]:
    """Say what was spent so far against what was expected."""
    if years.today is not None:
        total = years.account.total
        spent, expected = money_text(total.spent), money_text(float(total.expected.mean))
        said = say("logbook.spent", spent=spent, expected=expected, currency=years.scenario.currency)
        held = years.doubted and (total.spent >= 0.5 or float(total.expected.p90) >= 0.5)
        yield f"{said} {_held(total, years.scenario.currency)}" if held else said


def _held(row: Held, currency: str) -> str:
    """Say whether what was spent lies within the band."""
    low, high = float(row.expected.p10), float(row.expected.p90)
    name = "as_expected" if row.within else "less" if row.spent < low else "more"
    return say(f"logbook.{name}", low=money_text(low), high=money_text(high, currency))


def _account(years: Years) -> Table:
    """Return what was spent and what was expected, row by row."""
    account, label = years.account, words("logbook.rows")
    rows = [
        *((label.get(row.name, row.name), row) for row in account.rows),
        (label["total"], account.total),
    ]
    if account.hours.spent or float(account.hours.expected.p90) >= 0.05:
        rows.append((label["hours"], account.hours))
    head = words("logbook.heads.doubted" if years.doubted else "logbook.heads.sure")
    caption = say(
        "logbook.account",
        currency=years.scenario.currency,
        day=years.log.start,
        time=years_text(account.months / 12.0),
    )
    total = len(account.rows)
    cells = ((name, *_cells(row, years.doubted, own=row is account.hours)) for name, row in rows)
    return Table.of_numbers(head, cells, caption, strong=(total,), ruled=(total,))


def _cells(row: Held, doubted: bool, *, own: bool) -> tuple[str, ...]:
    """Return the cells of a row: of money, or of own hours."""
    expected = row.expected
    cells = [
        number_text(round(float(amount), 1)) if own else money_text(float(amount))
        for amount in (row.spent, expected.mean, expected.p10, expected.p90)
    ]
    spent, mean, low, high = cells
    return (spent, mean, low if low == high else from_to(low, high)) if doubted else (spent, mean)


def _odd(years: Years) -> Iterator[str]:
    """Say which rows are not as expected, and what luck was in the repairs."""
    account, label = years.account, words("logbook.rows")
    for row in (*account.rows, account.hours):
        if row.name == REPAIRS or row.within:
            continue
        own = row is account.hours
        name = label["hours"] if own else label.get(row.name, row.name)
        unit = " h" if own else f" {years.scenario.currency}"
        ends = [number_text(round(float(end))) for end in (row.expected.p10, row.expected.p90)]
        spent = number_text(round(row.spent, 1)) if own else money_text(row.spent)
        yield say(
            "logbook.row_less" if row.spent < float(row.expected.p10) else "logbook.row_more",
            row=capital(name),
            spent=f"{spent}{unit}",
            ends=f"{' to '.join(dict.fromkeys(ends))}{unit}",
        )
    if years.today is not None:
        yield _luck(years)


def _of_the_money(years: Years) -> str:
    """Say in which money the figures are, and what is not in them."""
    inflation = years.scenario.likely(years.scenario.study.get("inflation", 0.0))
    by = (
        say("logbook.by_inflation", rate=number_text(100.0 * inflation, 3))
        if inflation
        else say("logbook.no_inflation")
    )
    paid, currency = money_text(years.account.paid), years.scenario.currency
    return say("logbook.paid", paid=paid, currency=currency, day=years.log.start, by=by)


def _leaks(years: Years) -> Iterator[str]:
    """Say what the leaks that were found, or not, prove."""
    rate, other = years.rate, years.other_rate
    if years.log.months == 0 and not rate.leaks:
        return
    often = many_of_20(of_20(rate.chance_of_as_many()))
    shares = say("logbook.shares", often=often)
    if other is not None and years.account.other:
        shares = say(
            "logbook.shares_other",
            often=often,
            other=many_of_20(of_20(other.chance_of_as_many())),
            way=inner(years.title(years.account.other)),
        )
    if not years.doubted:
        proof = say("logbook.nothing_learnt")
    elif 1.0 / LITTLE < rate.times < LITTLE:
        proof = say("logbook.proves_little")
    else:
        proof = say("logbook.proves", number=max(1, round(10.0 * rate.times)))
    slots = {"time": years.length, "shares": shares, "proof": proof}
    if rate.leaks > 1:
        yield say("logbook.leaks", number=f"{rate.leaks:,}", **slots)
    else:
        yield say("logbook.one_leak" if rate.leaks else "logbook.no_leak", **slots)


def _remaining(years: Years) -> Iterator[Block]:
    """Return what is left to choose."""
    found = years.today
    if found is None or not found.closed:
        return
    if not found.remaining:
        yield Sentence(say("logbook.only_as_planned"))
        return
    first = found.remaining[0]
    yield Sentence(say("logbook.left", years=years_text(first.years), planned=first.against))
    yield Items(tuple(_choice(stand, years.scenario.currency) for stand in found.remaining))
    yield Sentence(say("logbook.mind_warranty"), "caution")


def _choice(stand: Stand, currency: str) -> str:
    """Say what one of the remaining choices is worth."""
    if max(abs(stand.low), abs(stand.high)) < 0.5:
        return say("logbook.no_difference", way=stand.subject)
    money = cheaper_or_dearer(stand.middle, currency)
    slots = {"way": stand.subject, "word": stand.word, "money": money}
    if stand.chance is None:
        return say("logbook.choice", **slots)
    return say("logbook.choice_often", **slots, often=many_of_20(of_20(stand.chance)))


def _prices(years: Years) -> Iterator[str]:
    """Say which jobs cost something else than was taken."""
    for price in years.prices:
        if price.another:
            job = capital(price.name)
            paid, taken = rounded(price.paid), rounded(price.taken)
            yield say("logbook.price", job=job, paid=paid, taken=taken, currency=years.scenario.currency)


def _notices(years: Years) -> Iterator[str]:
    """Say what the owner should know about how the log was understood."""
    log, found = years.log, years.today
    notices = [*log.notices]
    if log.months >= 12 and not any(entry.kind not in (LEAK, RENEWAL, SALE) for entry in log.entries):
        notices.append(say("logbook.no_job"))
    if found is not None and found.doubted and found.effective < FEW * found.draws:
        notices.append(say("logbook.few_futures"))
    if found is not None and years.scenario.existing.hidden_now and log.months:
        notices.append(say("logbook.hidden"))
    return (say("labels.mind", what=notice) for notice in notices)


def _data(years: Years) -> dict[str, Any]:
    """Return everything that is said of a log as plain data."""
    log, account = years.log, years.account
    reasons = {} if years.today is not None else {"answer": say("logbook.is_sold")}
    if account.other is None:
        reasons["account.other_way"] = say("compare.reasons.one_way")
    return {
        **head_of(years.scenario),
        "base_date": str(log.start),
        "until": str(log.until),
        **fields_of(log, "months", "way", "way_said"),
        "entries": len(log.entries),
        "sold": log.sale is not None,
        "account": {
            "months": account.months,
            "paid_in_the_money_of_the_day": account.paid,
            "rows": {row.name: _held_data(row) for row in account.rows},
            "total": _held_data(account.total),
            "hours": _held_data(account.hours),
            "other_way": account.other,
            "other_total": _band(account.other_total),
            "other_hours": _band(account.other_hours),
            "share_without_repairs": account.no_repairs,
            "share_with_fewer_repairs": account.fewer_repairs,
        },
        "leaks": {"found": years.rate.leaks, **_rate(years.rate), "other_way": _other(years.other_rate)},
        "prices": {price.name: fields_of(price, "times", "paid", "taken") for price in years.prices},
        "do": years.do,
        "answer": _today(years.today),
        "notices": list(log.notices),
        "reasons": reasons,
        "made_by": made_by(years.scenario, "expectation"),
    }


def _held_data(row: Held) -> dict[str, Any]:
    """Return one row of the account as plain data."""
    return {"spent": row.spent, "expected": _band(row.expected), "within": row.within}


def _band(band: Band | None) -> dict[str, float] | None:
    """Return a band as plain data."""
    return {name: float(value) for name, value in vars(band).items()} if band is not None else None


def _rate(rate: Rate) -> dict[str, Any]:
    """Return what leaks say as plain data."""
    return {
        "expected_found": rate.mean,
        "variance": rate.variance,
        "expected_found_after": rate.after,
        "times_as_often": rate.times,
        "chance_of_none": rate.chance(0),
        "chance_of_as_many": rate.chance_of_as_many(),
    }


def _other(rate: Rate | None) -> dict[str, Any] | None:
    """Return the same for the other way, of which nothing was found or not found."""
    if rate is None:
        return None
    names = ("expected_found", "variance", "chance_of_none", "chance_of_as_many")
    return {name: value for name, value in _rate(rate).items() if name in names}


def _today(found: FromToday | None) -> dict[str, Any] | None:
    """Return whether the answer stands as plain data."""
    if found is None:
        return None
    later = found.hindsight if found.closed else found.now
    return {
        "becomes": what_becomes(found.then, later) if found.then and later else None,
        "closed": found.closed,
        "then": _stand(found.then),
        "hindsight": _stand(found.hindsight),
        "now": _stand(found.now),
        "remaining": [_stand(one) for one in found.remaining],
        "over": list(found.over),
        "years_are_up": found.years_are_up,
        "effective_draws": found.effective,
    }


def _stand(stand: Stand | None) -> dict[str, Any] | None:
    """Return one answer as plain data."""
    if stand is None:
        return None
    return {**vars(stand), "of_20": None if stand.chance is None else of_20(stand.chance)}
