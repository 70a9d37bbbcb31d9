"""Is the quote complete, and will it hold? Quotes examined one by one, and side by side on one scope.

Lecture
-------
What to do stands first, and the highest price worth paying, in the words of the verdict on each scenario;
then a bill, if there is one. Then the quotes side by side: price, price by the sprayed length, whether it can
be true, what is left out, and what to ask; then what stripping may uncover, and what nobody looked at. The
rest follows the order of a talk with a shop: what is measured, what a quote says line by line, its price in
two honest forms, its terms.

Chances here are what happens to one coach, as so many of 20; what is rare is said as one in so many.

*Data.* Money in the currency, measures in metric units.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import partial
from itertools import accumulate
from math import floor
from typing import Any

from lifecycle.answers.blocks import (
    Answer,
    Block,
    Columns,
    Drawing,
    Heading,
    Items,
    Rest,
    Sentence,
    Table,
    charted,
)
from lifecycle.answers.parts import (
    SCHEMA,
    film_text,
    made_by,
    measure_text,
    open_it_first,
)
from lifecycle.evaluation.opening import Opening
from lifecycle.interview import doubts
from lifecycle.language.cautions import found_lines, incomplete_line
from lifecycle.language.labels import (
    HEADINGS,
    about,
    area_text,
    by_unit,
    coaches,
    coaches_of,
    counted,
    length_text,
    listed,
    unit_price,
    years_text,
)
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import first_lines
from lifecycle.quantities import capital, money_text, number_text
from lifecycle.quote import (
    BY_AREA,
    BY_LENGTH,
    OVERALL,
    Held,
    Item,
    OnOneScope,
    Quote,
    TwoForms,
    held,
    on_one_scope,
)
from lifecycle.scenario import Scenario, Seen
from lifecycle.scenario.takeoff import Takeoff
from lifecycle.studies.quoting import (
    TAIL,
    Examination,
    Examined,
    LoanTerms,
    examine,
    heavy_terms,
    scope,
    usual_film,
)

OFTEN = 0.05
"""Chance from which a grave find is said as so many of 20; below it only that it is rarer. [-]"""


@dataclass(frozen=True)
class Bill:
    """A bill held against the quote that was signed; called: whether they called before, if anybody says."""

    quote: Quote
    held: Held
    called: bool | None


def quote(
    scenarios: Sequence[Scenario], *, found: tuple[str, Any] | None = None, schedule: bool = False
) -> Answer:
    """Answer whether quotes are complete, and whether they will hold."""
    troubled = next((scenario for scenario in scenarios if scenario.trouble), None)
    if troubled is not None:
        return open_it_first(HEADINGS["quote"], troubled, "scenarios")
    bill = None
    if found is not None:
        signed = scenarios[0].quotes[found[0]]
        bill = Bill(signed, held(signed, found[1]), found[1].called)
    examinations = [examine(scenario) for scenario in scenarios]
    first = [first_lines(scenario)[1].first for scenario in scenarios]
    every = [one.quote for examination in examinations for one in examination.quotes]
    scoped = on_one_scope(every) if len(every) > 1 else ()
    return quote_answer(examinations, first, scoped, bill, schedule=schedule)


def quote_answer(
    examinations: Sequence[Examination],
    to_do: Sequence[Sequence[str]],
    scoped: Sequence[OnOneScope] = (),
    bill: Bill | None = None,
    *,
    schedule: bool = False,
) -> Answer:
    """Put examined quotes into blocks and plain data."""
    first = examinations[0]
    every = [(one.scenario.units, quote) for one in examinations for quote in one.quotes]
    currency = first.scenario.currency
    roof = charted("plans:roof_plan", first.scenario)
    drawing = None if first.takeoff is None else Drawing(roof)
    loans = [one for one in examinations if one.loan is not None]
    several = len(examinations) > 1
    blocks: list[Block] = [
        *(_over_cap(bill, currency) if bill else ()),
        *(
            Sentence(f"{one.scenario.title}: {line}" if several else line, "verdict")
            for one, lines in zip(examinations, to_do, strict=True)
            for line in lines
        ),
        *(_bill_blocks(bill, currency) if bill else ()),
        *(
            Sentence(line, "verdict")
            for units, one in every
            for line in warned(one, units, currency, len(every) > 1)
        ),
        side_by_side(every, scoped, first.scenario.currency),
        *(block for _, one in every for block in _left_out(one, len(every) > 1)),
        *(block for one in examinations for block in _opened(one)),
        *(_schedule(one.loan, currency) for one in loans if schedule and one.loan),
        Rest(),
        *(block for one in examinations for block in _examined(one, titled=several)),
        *(Sentence(loan_sentence(one.loan, one.scenario)) for one in loans if one.loan),
        *(_on_one_scope(every, scoped, first.scenario.currency) if scoped else ()),
        *([drawing] if drawing else []),
    ]
    subtitle = "" if several else first.scenario.title
    data = _data(examinations, [lines[0] for lines in to_do], scoped, bill)
    return Answer(HEADINGS["quote"], subtitle, tuple(blocks), data, drawing)


def side_by_side(
    examined: Sequence[tuple[str, Examined]], scoped: Sequence[OnOneScope], currency: str
) -> Table:
    """Return quotes side by side: prices, whether they can be true, how much is left out or unsaid."""
    label, cell = words("quote.rows"), words("quote.cells")
    rows: Sequence[tuple[str, ...]] = [
        (label["sound"], *(money_text(one.sum.price) for _, one in examined)),
        (
            label["by_length"],
            *("" if one.by_length is None else by_unit(one.by_length, "m", units) for units, one in examined),
        ),
        (label["counted"], *(_counted(one) for _, one in examined)),
        (label["fixed"], *(money_text(one.forms.all_in) for _, one in examined)),
        (label["worst"], *(_worst(one) for _, one in examined)),
        (
            label["judged"],
            *(cell[one.plausible.judged(one.sum.bill)] if one.plausible else "" for _, one in examined),
        ),
        (label["left_out"], *map(_parts_left_out, (one for _, one in examined))),
        (label["silent"], *(str(len(_silent(one.quote))) for _, one in examined)),
    ]
    if scoped:
        rows = [*rows, (label["scoped"], *map(_complete, scoped))]
    rows = tuple(row for row in rows if any(row[1:]))
    note = ""
    if any(one.sum.trip >= 0.5 for _, one in examined):
        with_trip = [label[name] for name in ("sound", "counted", "worst")]
        shown = listed(f'"{row[0]}"' for row in rows if row[0] in with_trip)
        note = say("quote.trip_apart", rows=shown)
    head = ("", *(one.quote.title for _, one in examined))
    return Table(
        head,
        rows,
        say("quote.quotes", currency=currency),
        note,
        numbers=tuple(range(1, len(head))),
        wraps=True,
    )


def _counted(one: Examined) -> str:
    """Return the price as the comparison has it, where something may come on top; else nothing."""
    found = one.counted
    return money_text(found.expected) if found.most > found.stated + 0.5 else ""


def _worst(one: Examined) -> str:
    """Return the most that may be asked."""
    money = money_text(one.worst if one.capped else round(one.worst, -2))
    return money if one.capped else say("quote.cells.no_cap", money=money)


def warned(one: Examined, units: str, currency: str, several: bool = False) -> Iterator[str]:
    """Say what keeps a price from being one that holds: parts left out, what comes on top, cap, film."""
    quoted, found = one.quote, one.counted
    named = say("quote.of_quote", quote=quoted.title) if several else say("quote.this_quote")
    yield from incomplete_line(quoted, named, currency)
    if found.most > found.stated + 0.5:
        what = dict.fromkeys(
            say("quote.needed", what=extra.what) if extra.parts else extra.what for extra in quoted.extras
        )
        amounts = {name: money_text(getattr(found, name)) for name in ("expected", "most")}
        most = (
            "" if amounts["most"] == amounts["expected"] else say("quote.on_top_most", most=amounts["most"])
        )
        price, expected = _money(found.stated, currency), amounts["expected"]
        slots = {"quote": named, "price": price, "expected": expected, "what": listed(what), "most": most}
        yield say("quote.on_top", currency=currency, **slots)
    if quoted.cap is not None and not one.capped:
        price = money_text(one.sum.bill)
        yield say("quote.cap_far", quote=named, cap=_money(quoted.cap, currency), price=price)
    usual = usual_film()
    if quoted.terms.film is not None and quoted.terms.film < usual[0] - 1e-9:
        film, low, high = (film_text(one, units) for one in (quoted.terms.film, *usual))
        yield say("quote.thin_film", quote=named, film=film, low=low, high=high)
    years = {} if quoted.terms.warranty_years is None else {"warranty_years": quoted.terms.warranty_years}
    yield from (say(f"asking.doubt.{doubt.name}", years=number_text(doubt.amount)) for doubt in doubts(years))
    for name, money in heavy_terms(quoted).items():
        yield say(f"quote.heavy.{name}", quote=named, money=_money(money, currency))


def _parts_left_out(one: Examined) -> str:
    """Return how many parts of the job a quote leaves out."""
    if not one.quote.covered:
        return say("quote.cells.unsaid")
    return str(len(one.left_out)) if one.left_out else say("quote.cells.none")


def _complete(one: OnOneScope) -> str:
    """Return the price on one scope; some parts may have no price."""
    money = money_text(one.complete)
    return say("quote.cells.unknown", money=money) if one.unknown else money


def _left_out(one: Examined, several: bool) -> Iterator[Block]:
    """Return what a quote leaves out, and what to ask."""
    if not one.quote.covered or not one.left_out:
        said = "all_covered" if one.quote.covered else "nothing_covered"
        if not several or not one.quote.covered:
            yield Sentence(say(f"quote.{said}"))
        return
    parts = scope()
    head = say("quote.left_out_of", quote=one.quote.title) if several else say("quote.left_out")
    yield Sentence(f"{head}:")
    yield Items(
        tuple(say("quote.part", part=parts[part]["title"], ask=parts[part]["ask"]) for part in one.left_out)
    )


def _opened(one: Examination) -> Iterator[Block]:
    """Return what stripping may uncover, and what nobody looked at."""
    wet, damage, *_ = once_open(one.opening, one.scenario)
    yield from map(Sentence, found_lines(one.scenario.seen, one.scenario.currency))
    yield Sentence(f"{say('quote.open')}: {wet} {damage}")
    if one.unseen:
        yield Sentence(f"{say('quote.not_looked_at')}:")
        yield Items(tuple(words("quote.unseen")[name] for name in one.unseen))


def _examined(one: Examination, *, titled: bool) -> Iterator[Block]:
    """Return the quotes of one scenario in the order of a talk with a shop."""
    units, currency = one.scenario.units, one.scenario.currency
    if titled:
        yield Heading(one.scenario.title)
    yield from map(Sentence, measured(one.takeoff, units))
    for quoted in one.quotes:
        yield _items(quoted, units, currency)
        yield from map(Sentence, price_lines(quoted, units, currency))
        head, *forms = form_lines(quoted.forms, units, currency, quoted.sum.trip)
        yield Sentence(f"{head}.")
        yield Items(tuple(forms))
        yield Sentence(fixed_made_of(quoted.forms, currency))
        yield from map(Sentence, terms_said(quoted.quote, units, currency))
    yield Sentence(once_open(one.opening, one.scenario)[-1], "note")


def price_blocks(examination: Examination) -> tuple[Block, ...]:
    """Return the price of one quote for a talk: its lines, its two forms side by side, what can change it."""
    one, units, currency = examination.quotes[0], examination.scenario.units, examination.scenario.currency
    table, forms, quoted = _items(one, units, currency), one.forms, one.quote
    rows = tuple(row for row in table.rows if row[-1] != money_text(0.0))
    total = next(place for place, row in enumerate(rows) if row[0] == say("quote.rows.sound"))
    head, sound, _ = form_lines(forms, units, currency)
    fixed = say("quote.fixed", price=money_text(forms.all_in), currency=currency)
    open_prices = [] if quoted.cap is not None else [say("quote.no_cap_said")]
    if quoted.exit_price is None:
        open_prices.append(say("quote.no_exit_said"))
    else:
        open_prices.append(say("quote.exit_costs", money=_money(quoted.exit_price, currency)))
    return (
        replace(table, rows=rows, strong=(total,), ruled=(total,)),
        *map(Sentence, (*warned(one, units, currency), *price_lines(one, units, currency))),
        Heading(head, 3),
        Columns(
            (Heading(say("quote.sound_head"), 4), Sentence(f"{sound.rstrip(';')}.")),
            (Heading(say("quote.fixed_head"), 4), Sentence(f"{fixed}. {fixed_made_of(forms, currency)}")),
        ),
        Heading(say("quote.can_change"), 3),
        *map(Sentence, (*once_open(examination.opening, examination.scenario), *open_prices)),
    )


def measured(takeoff: Takeoff | None, units: str) -> list[str]:
    """Say what is measured of the roof, and what it takes; nothing where nobody measured it."""
    if takeoff is None:
        return []
    shape, coating = takeoff.geometry, takeoff.coating
    return [
        say(
            "quote.measured",
            length=length_text(shape.length, units),
            sprayed=length_text(shape.sprayed_length, units),
            area=area_text(shape.sprayed_area, units),
            joints=length_text(shape.joint_length, units),
        ),
        say(
            "quote.material",
            volume=measure_text(coating.base.volume, "L", units),
            cartridges=counted(takeoff.cartridges, "cartridge"),
            weight=measure_text(coating.net_weight, "kg", units),
        ),
    ]


def _items(one: Examined, units: str, currency: str) -> Table:
    """Return a quote line by line."""
    slots = {"quote": one.quote.title, "currency": currency}
    caption = (
        say("quote.titled_from", **slots, prices=one.quote.prices)
        if one.quote.prices
        else say("quote.titled", **slots)
    )
    rows = item_rows(one, units)
    total = next(place for place, row in enumerate(rows) if row[0] == say("quote.rows.sound"))
    return Table(
        tuple(words("quote.heads.items")),
        tuple(rows),
        caption,
        say("quote.upgrades") if any(item.upgrade for item in one.quote.sound) else "",
        numbers=(1, 2, 3),
        strong=(total,),
        ruled=(total,),
    )


def item_rows(one: Examined, units: str) -> list[tuple[str, str, str, str]]:
    """Return what is done, how much of it, the price for one and the cost, line by line.

    The costs add up to the price to the unit: each is what the sum grows by.
    """
    quoted, total, label = one.quote, one.sum, words("quote.rows")
    lines = [
        (
            (say("quote.upgrade", what=item.what) if item.upgrade else item.what, *_cells(item, units)[:2]),
            item.cost,
        )
        for item in quoted.sound
    ]
    money = {
        label["discount"]: -total.discount,
        say("quote.tax", rate=number_text(100 * quoted.tax, 4)): total.tax,
        label["trip"]: total.trip,
    }
    lines += [((what, "", ""), amount) for what, amount in money.items() if abs(amount) >= 0.5]
    sums = [0.0, *accumulate(amount for _, amount in lines)]
    whole = [floor(amount + 0.5) for amount in sums]
    rows = [
        (*texts, money_text(after - before))
        for (texts, _), before, after in zip(lines, whole, whole[1:], strict=False)
    ]
    rows.append((label["sound"], "", "", money_text(total.price)))
    only = [(label["only_if_found"], "", "", "")] if quoted.contingent else []
    return (
        rows
        + only
        + [(say("quote.if_found", what=item.what), *_cells(item, units)) for item in quoted.contingent]
    )


def _cells(item: Item, units: str) -> tuple[str, str, str]:
    """Return amount, price and cost of an item as texts."""
    if item.unit == BY_LENGTH:
        amount, price = length_text(item.amount, units), by_unit(item.price, "m", units)
    elif item.unit == BY_AREA:
        amount, price = area_text(item.amount, units), by_unit(item.price, "m2", units)
    else:
        number = number_text(item.amount)
        amount = {"hour": f"{number} h", "each": number}.get(item.unit, "")
        each = unit_price(item.price)
        price = {"fixed": "", "hour": say("quote.an_hour", price=each)}.get(item.unit, each)
    if item.contingent and item.amount == 0.0:
        return "", price or money_text(item.price), ""
    return amount, price, money_text(item.cost)


def price_lines(one: Examined, units: str, currency: str) -> list[str]:
    """Say the price by the sprayed length, what overall length makes of it, and whether it can be true."""
    lines = []
    if one.by_length is not None:
        lines.append(say("quote.by_length", price=by_unit(one.by_length, "m", units, currency)))
    if one.recomputed is not None:
        less = money_text(one.sum.bill - one.recomputed)
        lines.append(say("quote.overall_less", price=_money(one.recomputed, currency), less=less))
    elif one.quote.quoted_by == OVERALL:
        lines.append(say("quote.overall"))
    if one.plausible is not None:
        found = one.plausible
        ends = {name: money_text(round(getattr(found, name), -2)) for name in ("low", "likely", "high")}
        so = words("quote.so")[found.judged(one.sum.bill)]
        lines.append(say("quote.judged", **ends, currency=currency, so=so))
    return lines


def form_lines(forms: TwoForms, units: str, currency: str, trip: float = 0.0) -> list[str]:
    """Say the price in its two forms; `trip` is what getting there and back costs, which no form holds."""
    wood, cap = say("quote.wood_unsaid"), say("quote.no_cap")
    fixed = say("quote.fixed", price=money_text(forms.all_in), currency=currency)
    if forms.wood_price is not None:
        wood = say("quote.wood", price=by_unit(forms.wood_price, "m2", units))
    if forms.cap is not None:
        cap = say("quote.cap", price=money_text(forms.cap))
    return [
        say("quote.forms_without_trip" if trip >= 0.5 else "quote.forms"),
        f"{say('quote.sound_form', price=money_text(forms.sound), currency=currency, wood=wood, cap=cap)};",
        f"{say('quote.fixed_form', fixed=fixed)}.",
    ]


def fixed_made_of(forms: TwoForms, currency: str) -> str:
    """Say what a fixed price is made of; the parts add up to it to the unit, the charge takes the rest."""
    sound, extra, whole = (floor(amount + 0.5) for amount in (forms.sound, forms.mean_extra, forms.all_in))
    extra = min(extra, whole - sound)
    extras = {"extra": money_text(extra), "charge": money_text(whole - sound - extra)}
    how = say("quote.found_taxed" if forms.cap is None else "quote.found_capped")
    return say("quote.fixed_made_of", sound=_money(sound, currency), how=how, **extras)


def terms(quoted: Quote, units: str, currency: str) -> dict[str, str | None]:
    """Return the terms of a quote as texts by their plain names; None where it does not say."""
    own, money = quoted.terms, partial(_money, currency=currency)
    texts = {
        "cap": _if_said(money, quoted.cap),
        "call_first": _if_said(partial(_call, money=money), quoted.call_first),
        "exit_price": _if_said(money, quoted.exit_price),
        "deposit": _if_said(money, quoted.deposit),
        "validity": own.validity or None,
        "warranty_years": _if_said(years_text, own.warranty_years),
        "warranty_transfers": _if_said(
            lambda goes: say(f"quote.term.{'yes' if goes else 'no'}"), own.warranty_transfers
        ),
        "film": _if_said(partial(film_text, units=units), own.film),
        "topcoat_years": _if_said(years_text, own.topcoat_years),
        "topcoat_price": _if_said(money, own.topcoat_price),
    }
    return {label: texts[name] for name, label in words("quote.terms").items()}


def _if_said(text: Any, value: Any) -> str | None:
    """Return a value as text; None where nobody says it."""
    return None if value is None else text(value)


def _call(above: float, money: Callable[[float], str]) -> str:
    """Return when a shop calls first."""
    return say("quote.term.call_above", money=money(above)) if above > 0.0 else say("quote.term.call_any")


def _money(amount: float, currency: str) -> str:
    """Return whole money with its currency behind it."""
    return f"{money_text(amount)} {currency}".strip()


def _silent(quoted: Quote) -> list[str]:
    """Return the terms that a quote does not say."""
    return [name for name, text in terms(quoted, "", "").items() if text is None]


def terms_said(quoted: Quote, units: str, currency: str) -> Iterator[str]:
    """Say what a quote promises besides its price, and what it is silent about."""
    told = [f"{name}: {text}" for name, text in terms(quoted, units, currency).items() if text is not None]
    if told:
        yield say("quote.says", terms="; ".join(told))
    for name in ("warranty_by", "warranty_ends"):
        if said := getattr(quoted.terms, name):
            yield say(f"quote.{name}", what=said)
    if silent := _silent(quoted):
        yield say("quote.silent", terms=", ".join(silent))


def once_open(found: Opening, scenario: Scenario) -> list[str]:
    """Say what stripping may uncover, what it costs, and where the comparison counts it."""
    slots = {"mean": about(found.mean), "currency": scenario.currency}
    damage = (
        say("quote.damage_where", each=about(found.mean / found.wet), **slots)
        if found.wet > 0.0
        else say("quote.damage", **slots)
    )
    high = found.percentile(TAIL)
    most = say("quote.damage_most", most=about(high), currency=scenario.currency) if high > 0.0 else ""
    return [opening_sentence(found, scenario.seen), f"{damage} {most}".rstrip(), say("quote.damage_counted")]


def opening_sentence(found: Opening, seen: Seen) -> str:
    """Say in how many coaches something is found once the roof is open, measured as this one was.

    Examples
    --------
    >>> import numpy as np
    >>> opening_sentence(Opening(0.006, 0.001, 0.2, 50.0, np.zeros(1), np.ones(1)), Seen())
    '1 of 170 coaches like this has wet wood; a ruined deck is rarer still.'
    >>> opening_sentence(Opening(0.3, 0.1, 0.2, 50.0, np.zeros(1), np.ones(1)), Seen())
    '6 of 20 coaches like this have wet wood, 2 of 20 a ruined deck.'
    """
    form = "wet_one" if coaches_of(found.wet)[0] == 1 else "wet"
    places = counted(seen.dry_places, "place")
    like = say("quote.like_this_dry", places=places) if seen.dry_places else say("quote.like_this")
    slots = {"wet": capital(coaches(found.wet)), "like": like}
    if found.rotten >= OFTEN:
        return say(f"quote.{form}_and_rotten", **slots, rotten=coaches(found.rotten))
    return say(f"quote.{form}", **slots)


def loan_sentence(loan: LoanTerms, scenario: Scenario) -> str:
    """Say what a loan costs."""
    return say(
        "quote.loan",
        principal=money_text(loan.principal),
        rate=number_text(100.0 * loan.rate, 4),
        months=counted(loan.months, "month"),
        payment=money_text(loan.payment),
        sale=years_text(loan.sold_at / 12.0),
        owed=_money(loan.balance, scenario.currency) if loan.balance >= 0.5 else say("quote.owed.nothing"),
        adds=say("quote.owed.adds" if loan.adds >= 0.0 else "quote.owed.takes_off"),
        money=money_text(abs(loan.adds)),
        currency=scenario.currency,
    )


def _schedule(loan: LoanTerms, currency: str) -> Table:
    """Return what is paid and owed month by month, in cents; the month of the sale is marked."""
    parts = zip(loan.schedule.interest, loan.schedule.principal, loan.schedule.balance, strict=True)
    rows = tuple(
        (
            say("quote.sale_month", month=month) if month == loan.sold_at else str(month),
            *(f"{amount:,.2f}" for amount in amounts),
        )
        for month, amounts in enumerate(parts, start=1)
    )
    caption = say("quote.schedule", currency=currency)
    return Table(tuple(words("quote.heads.schedule")), rows, caption, numbers=(1, 2, 3))


def _on_one_scope(
    examined: Sequence[tuple[str, Examined]], scoped: Sequence[OnOneScope], currency: str
) -> Iterator[Block]:
    """Return several quotes on one scope, and what differs in their terms."""
    without = any(one.sum.trip >= 0.5 for _, one in examined)
    head = "quote.one_scope_without_trip" if without else "quote.one_scope"
    yield Sentence(f"{say(head, currency=currency)}:")
    yield Items(
        tuple(_scoped(one.quote, own, currency) for (_, one), own in zip(examined, scoped, strict=True))
    )
    if lines := tuple(_differences(examined, currency)):
        yield Sentence(f"{say('quote.differ')}:")
        yield Items(lines)
    else:
        yield Sentence(say("quote.no_difference"))


def _scoped(quoted: Quote, own: OnOneScope, currency: str) -> str:
    """Say what a quote costs as it stands, without what no job needs, and with what it lacks."""
    parts = scope()

    def part(name: str, cost: float) -> str:
        return say("quote.scoped_part", part=name, money=money_text(cost))

    added = [part(listed(parts[name]["title"] for name in names), cost) for names, cost in own.added.items()]
    upgrades = listed(item.what for item in quoted.sound if item.upgrade)
    said = say(
        "quote.scoped",
        quote=quoted.title,
        bill=_money(own.bill, currency),
        less=say("quote.scoped_less", upgrades=part(upgrades, own.upgrades)) if upgrades else "",
        more=say("quote.scoped_more", added=listed(added)) if added else "",
        complete=money_text(own.complete),
    )
    unknown = listed(parts[name]["title"] for name in own.unknown)
    return f"{say('quote.scoped_unknown', scoped=said, unknown=unknown) if own.unknown else said}."


def _differences(examined: Iterable[tuple[str, Examined]], currency: str) -> Iterator[str]:
    """Say in what the terms of several quotes differ."""
    said = [(one.quote.title, terms(one.quote, units, currency)) for units, one in examined]
    for name in said[0][1]:
        texts = [(title, found[name] or say("quote.does_not_say")) for title, found in said]
        if len({text for _, text in texts}) > 1:
            every = "; ".join(say("quote.said_by", quote=title, said=text) for title, text in texts)
            yield say("quote.difference", term=name, said=every)


def _over_cap(bill: Bill, currency: str) -> Iterator[Block]:
    """Return that a bill is over the cap of its quote, where it is."""
    cap, billed = bill.quote.cap, bill.held.bill
    if cap is not None and billed > cap + 0.005:
        money = {"cap": money_text(cap), "above": money_text(billed - cap)}
        yield Sentence(say("quote.over_cap", bill=_money(billed, currency), **money), "verdict")


def _bill_blocks(bill: Bill, currency: str) -> Iterator[Block]:
    """Return whether a bill holds against the promise, and whether they were to call first."""
    result, above = bill.held, bill.held.above
    extra = listed(f"{what} {money_text(cost)}" for what, cost in result.by_item.items())
    found = say("quote.promised_found", found=extra) if extra else ""
    cap = say("quote.promised_capped") if result.capped else ""
    so = (
        say("quote.as_promised")
        if abs(above) < 0.5
        else say("quote.above" if above > 0 else "quote.below", money=money_text(abs(above)))
    )
    lines = [
        say("quote.promised", money=_money(result.promised, currency), found=found, cap=cap),
        say("quote.asked", money=_money(result.bill, currency), so=so),
    ]
    if result.unpromised:
        lines.append(say("quote.unpromised", what=listed(result.unpromised)))
    if bill.quote.exit_price is not None and above > 0.5:
        lines.append(say("quote.stopping", money=_money(bill.quote.exit_price, currency)))
    if result.call_due:
        did = {True: "yes", False: "no", None: "unsaid"}[bill.called]
        lines.append(say("quote.call_due", did=say(f"quote.did.{did}")))
    yield Sentence(f"{say('quote.bill', quote=bill.quote.title)}:")
    yield Items(tuple(lines))


def _data(
    examinations: Sequence[Examination], to_do: Sequence[str], scoped: Sequence[OnOneScope], bill: Bill | None
) -> dict[str, Any]:
    """Return examined quotes as plain data."""
    return {
        "schema": SCHEMA,
        "currency": examinations[0].scenario.currency,
        "scenarios": [{**_scenario(one), "do": line} for one, line in zip(examinations, to_do, strict=True)],
        "on_one_scope": [
            {
                **asdict(one),
                "added": {", ".join(parts): cost for parts, cost in one.added.items()},
                "complete": one.complete,
            }
            for one in scoped
        ],
        "found": None if bill is None else _bill(bill),
        "made_by": made_by(None, "expectation"),
    }


def _scenario(one: Examination) -> dict[str, Any]:
    """Return the quotes of one scenario as plain data."""
    found, loan = one.opening, one.loan
    return {
        "title": one.scenario.title,
        "scenario_sha256": one.scenario.sha256,
        "roof": None if one.takeoff is None else _roof(one.takeoff),
        "once_open": {
            "chance_wet": found.wet,
            "chance_rotten": found.rotten,
            "mean": found.mean,
            "p90": found.percentile(TAIL),
        },
        "not_looked_at": list(one.unseen),
        "quotes": {examined.quote.name: _quote(examined) for examined in one.quotes},
        "loan": None
        if loan is None
        else {
            **vars(loan),
            "schedule": {name: values.tolist() for name, values in vars(loan.schedule).items()},
        },
    }


def _roof(takeoff: Takeoff) -> dict[str, Any]:
    """Return what is measured, and what it takes, as plain data."""
    shape = takeoff.geometry
    names = ("length", "width", "sprayed_length", "sprayed_area", "joint_length")
    return {
        **{name: float(getattr(shape, name)) for name in names},
        "assumed": list(shape.assumed),
        "base_volume": float(takeoff.coating.base.volume),
        "topcoat_volume": float(takeoff.coating.topcoat.volume),
        "cartridges": takeoff.cartridges,
        "net_weight": float(takeoff.coating.net_weight),
    }


def _quote(one: Examined) -> Mapping[str, Any]:
    """Return one quote as plain data."""
    quoted, found = one.quote, one.plausible
    names = ("deposit", "cap", "exit_price", "call_first", "quoted_length", "quoted_by", "lodging")
    return {
        "title": quoted.title,
        "items": [{**asdict(item), "covers": list(item.covers), "cost": item.cost} for item in quoted.items],
        "sum": asdict(one.sum),
        "price_by_sprayed_length": one.by_length,
        "recomputed_by_sprayed_length": one.recomputed,
        "two_forms": {**asdict(one.forms), "all_in": one.forms.all_in},
        "plausible": None if found is None else {**asdict(found), "judged": found.judged(one.sum.bill)},
        "left_out": list(one.left_out),
        "counted": asdict(one.counted),
        "worst": one.worst,
        "on_top": [asdict(extra) for extra in quoted.extras],
        "unsaid": [asdict(extra) for extra in quoted.unsaid],
        "terms": {**asdict(quoted.terms), **{name: getattr(quoted, name) for name in names}},
    }


def _bill(bill: Bill) -> dict[str, Any]:
    """Return a bill against the promise as plain data."""
    result = bill.held
    return {
        "quote": bill.quote.name,
        **asdict(result),
        "by_item": dict(result.by_item),
        "unpromised": list(result.unpromised),
        "above": result.above,
        "called": bill.called,
    }
