"""The years after, in words: does the answer stand, what was spent, what do the leaks say, what is left.

Lecture
-------
The first sentence answers the question that the owner asks. What follows says how it was got: the way
taken, money and hours against what was expected, leaks, and what is left to choose. Everything is in the
money of the base date, as in the comparison; what was paid in later years is worth a little less by the
inflation of the scenario.

How many leaks prove something is said by a rule: as long as they move the expected number by less than
`LITTLE`, "it proves little yet".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lifecycle.answers.tables import Row, laid_out
from lifecycle.language.labels import cheaper_or_dearer, counted, inner, rounded, years_text
from lifecycle.language.words import many_of_20, range_sentence
from lifecycle.quantities import about, money_text, number_text
from lifecycle.records.from_today import CHANGES, SHIFTS, STANDS, Answer, FromToday, what_becomes
from lifecycle.records.logbook import LEAK, RENEWAL, SALE, Log
from lifecycle.records.logged_years import Rate
from lifecycle.records.so_far import AT_SALE, CHANGE, REPAIRS, Held, PricePaid, SoFar
from lifecycle.scenario import Scenario
from lifecycle.studies.doubt import of_20

HEADING = "The years after"

FEW = 0.1
"""Share of the draws that must count after the log, or it is said that they are few. [-]"""

LITTLE = 1.25
"""Leaks prove little as long as they come less than so many times as often, or as seldom, as expected. [-]"""

ROW_LABELS: Mapping[str, str] = {
    CHANGE: "the change at the start",
    REPAIRS: "leaks and later new roofs",
    AT_SALE: "at the sale",
}
"""Plain names of the rows that are no jobs."""


@dataclass(frozen=True)
class Years:
    """Everything that is said of a log.

    Parameters
    ----------
    scenario : Scenario
        As it stood at the base date.
    log : Log
        Of it.
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
    """

    scenario: Scenario
    log: Log
    account: SoFar
    rate: Rate
    other_rate: Rate | None
    prices: tuple[PricePaid, ...]
    today: FromToday | None
    doubted: bool

    def title(self, name: str | None) -> str:
        """Return the title of a way."""
        return next((way.title for way in self.scenario.alternatives if way.name == name), "")

    @property
    def length(self) -> str:
        """The logged time in words."""
        return years_text(self.log.months / 12.0)


def first_lines(years: Years) -> list[str]:
    """Answer whether the answer still stands, and say what it was and is."""
    found = years.today
    if found is None:
        return closing_lines(years)
    if found.then is None:
        return ["There is only one way in this scenario, so there was nothing to choose."]
    if found.closed and found.hindsight is not None:
        laid = f"A new roof is on ({inner(years.title(years.log.way))}), so that choice is made."
        return [
            f"{_verdict_on(found.then, found.hindsight, years)} {laid}",
            _said("Then", found.then, str(years.log.start), "kept"),
            _said("The same choice, with what the log shows", found.hindsight, str(years.log.start), "kept"),
        ]
    if found.now is None:
        return ["Nothing is left to choose from today on."]
    return [
        _verdict_on(found.then, found.now, years),
        _said("Then", found.then, str(years.log.start), "kept"),
        _said("From today on", found.now, str(years.log.today), "kept", " more"),
        *(_up(years) if found.years_are_up else []),
        *(f"Over by now, and so left out: {inner(title)}." for title in found.over),
    ]


def _verdict_on(then: Answer, now: Answer, years: Years) -> str:
    """Say in one sentence whether the answer stands."""
    against = f"compared with what you would do otherwise ({inner(then.against)})"
    moved = f'{then.subject}: the word was "{then.word}" and is now "{now.word}", {against}.'
    if years.log.months == 0 and not years.log.entries:
        return f"Nothing is logged yet. {then.subject}: {now.word}, {against}."
    return {
        STANDS: f"The answer stands. {then.subject}: {now.word}, {against}.",
        SHIFTS: f"The answer stands, only the word moves. {moved}",
        CHANGES: f"The answer changes. {moved}",
    }[what_becomes(then, now)]


def _said(when: str, answer: Answer, day: str, kept: str, more: str = "") -> str:
    """Say what an answer is, and how sure."""
    money = f"{when} ({day}, {kept} {years_text(answer.years)}{more}): {cheaper_or_dearer(answer.middle)}"
    if answer.chance is None:
        return f"- {money}; every input stands at one value."
    spread = range_sentence(answer.low, answer.high)
    return f"- {money}. {spread} Cheaper in {many_of_20(of_20(answer.chance))} futures."


def _up(years: Years) -> list[str]:
    """Say that the coach was kept as long as it was meant to be."""
    kept = years.today.now.years if years.today and years.today.now else 1.0
    return [f"You have kept it about as long as you meant to: from today on, {years_text(kept)} is reckoned."]


def closing_lines(years: Years) -> list[str]:
    """Say what the coach cost in all, against what the comparison had expected of both ways."""
    account = years.account
    total, expected = account.total.spent, account.total.expected
    lines = [
        f"Sold after {years.length}: you spent {_money(total)} in all, and the comparison had expected "
        f"{_money(float(expected.mean))} of the way that you took ({inner(years.title(years.log.way))}).",
    ]
    if years.doubted:
        lines.append(f"- {_held(account.total)}")
    if account.other is not None and account.other_total is not None:
        other = float(account.other_total.mean)
        less = other - total
        lines += [
            f"- The other way ({inner(years.title(account.other))}) was expected to cost {_money(other)}: "
            f"{about(less)} {'more' if less > 0 else 'less'} than you spent. That is expected only: what it "
            "would have cost on this coach nobody knows.",
        ]
        if account.other_hours is not None:
            theirs = number_text(round(float(account.other_hours.mean)))
            lines.append(
                f"- Your own hours: {number_text(round(account.hours.spent, 1))}; the other way was expected "
                f"to take {theirs}. They are not in the money."
            )
    return [*lines, f"- {luck_sentence(years)}", "One coach proves little: it is one throw, not the dice."]


def luck_sentence(years: Years) -> str:
    """Say what luck was in the repairs."""
    spent = sum(row.spent for row in years.account.rows if row.name == REPAIRS)
    none = many_of_20(of_20(years.account.no_repairs))
    if spent < 0.5:
        return (
            f"Luck: nothing was paid for leaks or a later new roof. So it goes for about {none} such coaches."
        )
    fewer = many_of_20(of_20(years.account.fewer_repairs))
    less = f", and {fewer} pay less" if fewer != none else ""
    went = f"Luck: {_money(spent)} went to leaks and later new roofs"
    return f"{went}. About {none} such coaches pay nothing{less}."


def way_line(years: Years) -> str:
    """Say which way was taken, and how that is known."""
    title = years.title(years.log.way)
    if years.log.way_said:
        return f"The way taken: {title}."
    return f"The way taken, by what the log holds: {title}. If it was another, name it: --way NAME."


def account_table(years: Years) -> list[str]:
    """Return what was spent and what was expected as a table."""
    account = years.account
    band = "8 in 10 futures" if years.doubted else "no range"
    rows = [Row(_label(row.name), _cells(row, years.doubted)) for row in account.rows]
    rows.append(Row("money in all", _cells(account.total, years.doubted), rule=True))
    rows.append(Row("own hours", _cells(account.hours, years.doubted)))
    time = years_text(account.months / 12.0)
    money = f"{years.scenario.currency} in the money of {years.log.start}"
    head = f"{money}, for {time} from then on; a minus is money that comes in"
    return [head, "", *laid_out(rows, 3, heads=("spent", "expected", band))]


def _label(name: str) -> str:
    """Return the label of a row."""
    return ROW_LABELS.get(name, name)


def _cells(row: Held, doubted: bool) -> tuple[str, str, str]:
    """Return the cells of a row."""
    low, high = money_text(float(row.expected.p10)), money_text(float(row.expected.p90))
    return money_text(row.spent), money_text(float(row.expected.mean)), f"{low} to {high}" if doubted else ""


def account_lines(years: Years) -> list[str]:
    """Say what the account shows, in sentences."""
    account = years.account
    lines = []
    if years.today is not None:
        expected = _money(float(account.total.expected.mean))
        held = f" {_held(account.total)}" if years.doubted else ""
        lines.append(f"Spent so far: {_money(account.total.spent)}, where {expected} was expected.{held}")
    odd = [row for row in (*account.rows, account.hours) if row.name != REPAIRS and not row.within]
    lines += [f"- {_odd(row, years.account.hours)}" for row in odd]
    if years.today is not None:
        lines.append(f"- {luck_sentence(years)}")
    lines.append(_of_the_money(years))
    return lines


def _held(row: Held) -> str:
    """Say whether what was spent lies within the band."""
    low, high = float(row.expected.p10), float(row.expected.p90)
    between = f"between {money_text(low)} and {money_text(high)} in 8 of 10 futures"
    if row.within:
        return f"That is as expected: {between}."
    return f"That is {'less' if row.spent < low else 'more'} than expected: {between}."


def _odd(row: Held, hours: Held) -> str:
    """Say of one row that it is not as expected."""
    ends = [number_text(round(float(end))) for end in (row.expected.p10, row.expected.p90)]
    less = row.spent < float(row.expected.p10)
    unit = " h" if row is hours else ""
    spent = number_text(round(row.spent, 1)) if row is hours else money_text(row.spent)
    return (
        f"{_label(row.name)[:1].upper()}{_label(row.name)[1:]}: {spent}{unit}, "
        f"{'less' if less else 'more'} than expected ({' to '.join(dict.fromkeys(ends))}{unit})."
    )


def _of_the_money(years: Years) -> str:
    """Say in which money the figures are, and what is not in them."""
    inflation = years.scenario.likely(years.scenario.study.get("inflation", 0.0))
    taken = (
        f"by {number_text(100.0 * inflation, 3)} % a year"
        if inflation
        else "as it stands: no inflation is stated"
    )
    return (
        f"You paid {money_text(years.account.paid)} in the money of each day; here it is brought to the "
        f"money of {years.log.start} {taken}. Not in a log, and left out on both sides: days without the "
        "coach, cooling, a loan, the worth of your hours."
    )


def leak_lines(years: Years) -> list[str]:
    """Say what the leaks that were found, or not, prove."""
    rate = years.rate
    if years.log.months == 0 and not rate.leaks:
        return []
    found = counted(rate.leaks, "leak") if rate.leaks else "No leak"
    goes = "so it goes for" if rate.leaks == 0 else "as many or more are found on"
    shares = f"about {many_of_20(of_20(rate.chance_of_as_many()))} coaches looked after as yours"
    if years.other_rate is not None and years.account.other:
        share = many_of_20(of_20(years.other_rate.chance_of_as_many()))
        shares += f", and {share} the other way ({inner(years.title(years.account.other))})"
    if not years.doubted:
        proof = "Every input stands at one value, so nothing is learnt from it."
    elif 1.0 / LITTLE < rate.times < LITTLE:
        proof = "It proves little yet."
    else:
        proof = f"Where 10 leaks were expected before, expect about {max(1, round(10.0 * rate.times))} now."
    return [f"{found} in {years.length}: {goes} {shares}. {proof}"]


def remaining_lines(years: Years) -> list[str]:
    """Say what is left to choose."""
    found = years.today
    if found is None or not found.closed:
        return []
    if not found.remaining:
        return ["Nothing is left to choose but to look after it as planned."]
    first = found.remaining[0]
    return [
        f"Left to choose, if you keep it another {years_text(first.years)}. {first.against}, or:",
        *(_choice(answer) for answer in found.remaining),
        "Mind: a warranty may ask for a job that you leave out. Read its terms first.",
    ]


def _choice(answer: Answer) -> str:
    """Say what one of the remaining choices is worth."""
    if max(abs(answer.low), abs(answer.high)) < 0.5:
        return f"- {answer.subject}: no difference, for it is not due in that time."
    if answer.chance is None:
        return f"- {answer.subject}: {answer.word} ({cheaper_or_dearer(answer.middle)})."
    of = many_of_20(of_20(answer.chance))
    money = cheaper_or_dearer(answer.middle)
    return f"- {answer.subject}: {answer.word} ({money} in the middle; cheaper in {of} futures)."


def price_lines(years: Years) -> list[str]:
    """Say which jobs cost something else than was taken."""
    return [
        f"{price.name[:1].upper()}{price.name[1:]}: you paid {rounded(price.paid)}, the comparison takes "
        f"{rounded(price.taken)}. Enter your own price in the scenario, and compare again."
        for price in years.prices
        if price.another
    ]


def notice_lines(years: Years) -> list[str]:
    """Return what the owner should know about how the log was understood."""
    log, found = years.log, years.today
    lines = [*log.notices]
    if log.months >= 12 and not any(entry.kind not in (LEAK, RENEWAL, SALE) for entry in log.entries):
        lines.append("the log holds no upkeep job. What is not in it counts as not done.")
    if found is not None and found.doubted and found.effective < FEW * found.draws:
        lines.append("the log fits few of the futures. Take more draws, or check the leaks.")
    if found is not None and years.scenario.existing.hidden_now and log.months:
        lines.append(
            "what the scenario lists as hidden at the start is not carried on. What may be hidden today "
            "follows from the upkeep."
        )
    return [f"Mind: {line}" for line in lines]


def _money(amount: float) -> str:
    """Return whole money for a sentence."""
    return money_text(amount)
