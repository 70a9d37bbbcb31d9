"""Is the quote complete, and will it hold? The examined quotes in words and tables.

Lecture
-------
The order is that of a talk with a shop: what is measured, what the quote says line by line, its price
by the sprayed length, what may come on top, whether the price can be true, what is left out, what
nobody looked at, and what to have in writing. Several quotes then stand side by side on one scope.

Chances here are what happens to one coach, as so many of 20; what is rare is said as one in so many.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from lifecycle.answers.tables import Row, laid_out
from lifecycle.evaluation.opening import Opening
from lifecycle.language.labels import area_text, by_unit, counted, length_text, listed, unit_price, years_text
from lifecycle.language.words import coaches
from lifecycle.quantities import about, convert, money_text, number_text
from lifecycle.quote import BY_AREA, BY_LENGTH, OVERALL, Held, Item, OnOneScope, Quote, TwoForms
from lifecycle.scenario import Scenario
from lifecycle.scenario.takeoff import Takeoff
from lifecycle.studies.quoting import TAIL, Examination, Examined, LoanTerms, Plausible, scope

UNSEEN = {
    "coach": "The coach is not measured: without [coach] no amount and no plausibility can be checked.",
    "length": "Nobody measured the length of the coach.",
    "width": "Nobody measured the width of the roof.",
    "caps": "Nobody measured the caps, so the sprayed length is a usual share of the coach's length.",
    "penetrations": "Nobody counted the openings and fixtures.",
    "deck": "Nobody looked for moisture today. A moisture check before signing costs little.",
}
"""What nobody measured or looked at, in words."""


WITHOUT_TRIP = ", without getting there and back"
"""Said where a price leaves out a trip that the quote counts."""

SOUND_PRICE = "price of a sound job"
"""Names the sum of a quote."""


def have(chance: float) -> str:
    """Return "has" after one coach of so many, else "have".

    Examples
    --------
    >>> have(0.05), have(0.006), have(0.16), have(0.0)
    ('has', 'has', 'have', 'have')
    """
    return "has" if coaches(chance).startswith("1 ") else "have"


def answer(examination: Examination) -> list[list[str]]:
    """Put the examined quotes of a scenario into blocks of lines.

    Parameters
    ----------
    examination : Examination
        Of one scenario.

    Returns
    -------
    list of list of str
        Sentences may be longer than a line; table lines start with a space.
    """
    scenario = examination.scenario
    parts = [[scenario.title], measured(examination.takeoff, scenario.units)]
    for one in examination.quotes:
        parts += _one(one, examination)
    parts.append(once_open(examination.opening, scenario))
    parts.append(["Not looked at:", *(f"- {UNSEEN[name]}" for name in examination.unseen)])
    if examination.loan is not None:
        parts.append(loan_lines(examination.loan, scenario))
    return parts


def measured(takeoff: Takeoff | None, units: str) -> list[str]:
    """Say what is measured of the roof, and what it takes."""
    if takeoff is None:
        return []
    shape, coating = takeoff.geometry, takeoff.coating
    litres, gallons = coating.base.volume, convert(coating.base.volume, "L", "US gal")
    volume = f"{gallons:.3g} US gal" if units == "us" else f"{litres:.3g} L"
    weight = convert(coating.net_weight, "kg", "lb") if units == "us" else coating.net_weight
    return [
        f"Of {length_text(shape.length, units)} overall, {length_text(shape.sprayed_length, units)} are "
        f"sprayed: {area_text(shape.sprayed_area, units)} with the edges; joints "
        f"{length_text(shape.joint_length, units)}.",
        f"It takes about {volume} of base coating and {counted(takeoff.cartridges, 'cartridge')} of sealant, "
        f"and adds about {weight:.3g} {'lb' if units == 'us' else 'kg'}, the stripped membrane taken off.",
    ]


def _one(one: Examined, examination: Examination) -> list[list[str]]:
    """Put one quote into blocks of lines."""
    quote, units, currency = one.quote, examination.scenario.units, examination.scenario.currency
    head = f'Quote "{quote.title}", {currency}' + (f", from {quote.prices}" if quote.prices else "")
    return [
        [head, *item_lines(one, units)],
        price_lines(one, units),
        form_lines(one.forms, units, one.sum.trip),
        _terms(quote, units),
        left_out_lines(one),
    ]


def item_lines(one: Examined, units: str) -> list[str]:
    """Return the lines of a quote as a table."""
    rows = item_rows(one, units)
    widths = [max(len(row[place]) for row in rows) for place in range(4)]
    lines = [
        f"  {row[0].ljust(widths[0])}  {row[1].rjust(widths[1])}  {row[2].rjust(widths[2])}  "
        f"{row[3].rjust(widths[3])}".rstrip()
        for row in rows
    ]
    return [*lines, *(["  * more than the job needs"] if any(i.upgrade for i in one.quote.sound) else [])]


def item_rows(one: Examined, units: str) -> list[tuple[str, str, str, str]]:
    """Return what is done, how much of it, the price for one and the cost, line by line.

    Parameters
    ----------
    one : Examined
        Sound items, discount, tax and trip, their sum, then the allowances.
    units : str
        "us" or "metric".
    """
    quote, total = one.quote, one.sum
    rows = [(item.what + (" *" if item.upgrade else ""), *_cells(item, units)) for item in quote.sound]
    money = {
        "less the discount": -total.discount,
        f"sales tax, {number_text(100 * quote.tax, 4)} %": total.tax,
        "getting there and back": total.trip,
    }
    rows += [(what, "", "", money_text(amount)) for what, amount in money.items() if abs(amount) >= 0.5]
    rows.append((SOUND_PRICE, "", "", money_text(total.price)))
    only = [("only if it is found:", "", "", "")] if quote.contingent else []
    return rows + only + [(f"- {item.what}", *_cells(item, units)) for item in quote.contingent]


def _cells(item: Item, units: str) -> tuple[str, str, str]:
    """Return amount, price and cost of an item as texts."""
    if item.unit == BY_LENGTH:
        amount, price = length_text(item.amount, units), by_unit(item.price, "m", units)
    elif item.unit == BY_AREA:
        amount, price = area_text(item.amount, units), by_unit(item.price, "m2", units)
    else:
        amount = {"hour": f"{number_text(item.amount)} h", "each": number_text(item.amount)}.get(
            item.unit, ""
        )
        price = {"fixed": "", "hour": f"{unit_price(item.price)} an hour"}.get(
            item.unit, unit_price(item.price)
        )
    if item.contingent and item.amount == 0.0:
        return "", price or money_text(item.price), ""
    return amount, price, money_text(item.cost)


def price_lines(one: Examined, units: str) -> list[str]:
    """Say the price by the sprayed length, what overall length makes of it, and whether it can be true."""
    lines = []
    if one.by_length is not None:
        lines.append(f"By the sprayed length, with tax: {by_unit(one.by_length, 'm', units)}.")
    if one.recomputed is not None:
        more = one.sum.bill - one.recomputed
        lines.append(
            f"It is made by overall length. The same prices on the sprayed length give "
            f"{money_text(one.recomputed)}: {money_text(more)} less. Ask what the difference is for."
        )
    elif one.quote.quoted_by == OVERALL:
        lines.append("It is made by overall length: measure the caps, for less is sprayed.")
    if one.plausible is not None:
        lines.append(_plausible(one.plausible, one.sum.bill))
    return lines


def _plausible(found: Plausible, bill: float) -> str:
    """Say whether a bill can be true, by material and labour."""
    low, likely, high = (money_text(round(end, -2)) for end in (found.low, found.likely, found.high))
    return {
        "below": f"By our judgement material and labour come to {low} to {high}, mostly about {likely}: ask "
        "how the price can be so low, and what is not done.",
        "within": f"By our judgement material and labour come to {low} to {high}, mostly about {likely}: "
        "the price can be true.",
        "above": f"By our judgement material and labour come to {low} to {high}, mostly about {likely}: "
        "ask what the rest is for.",
    }[found.judged(bill)]


def form_lines(forms: TwoForms, units: str, trip: float = 0.0) -> list[str]:
    """Say the price in its two forms; `trip` is what getting there and back costs, which no form holds."""
    wood = "a price for wood that it does not say"
    if forms.wood_price is not None:
        wood = f"new wood at {by_unit(forms.wood_price, 'm2', units)}"
    cap = "no cap" if forms.cap is None else f"never above {money_text(forms.cap)}"
    return [
        f"Two honest forms of this price, with tax{WITHOUT_TRIP if trip >= 0.5 else ''}:",
        f"- {money_text(forms.sound)} for a sound roof, {wood}, {cap};",
        f"- or all-in {money_text(forms.all_in)}: {money_text(forms.sound)}, "
        f"{money_text(forms.mean_extra)} for what is found on average, {money_text(forms.charge)} for "
        f"carrying the risk.",
    ]


def _terms(quote: Quote, units: str) -> list[str]:
    """Say what a quote promises besides its price, and what it is silent about."""
    said = terms(quote, units)
    silent = [name for name, text in said.items() if text is None]
    told = [f"{name}: {text}" for name, text in said.items() if text is not None]
    lines = [f"It says: {'; '.join(told)}."] if told else []
    return [*lines, f"It does not say: {', '.join(silent)}."] if silent else lines


def terms(quote: Quote, units: str) -> dict[str, str | None]:
    """Return the terms of a quote as texts by their plain names; None where it does not say."""
    own, film = quote.terms, quote.terms.film
    call = None if quote.call_first is None else f"before anything above {money_text(quote.call_first)}"
    thick = None if film is None else _film(film, units)
    goes_on = {None: None, True: "yes", False: "no"}[own.warranty_transfers]
    return {
        "cap": _money(quote.cap),
        "when they call first": "before anything more" if quote.call_first == 0.0 else call,
        "price of stopping once it is open": _money(quote.exit_price),
        "deposit": _money(quote.deposit),
        "how long it is valid": own.validity or None,
        "warranty": None if own.warranty_years is None else years_text(own.warranty_years),
        "warranty goes on with the coach": goes_on,
        "thickness of the dry film": thick,
        "time until the next topcoat": None if own.topcoat_years is None else years_text(own.topcoat_years),
        "price of the next topcoat": _money(own.topcoat_price),
    }


def _film(film: float, units: str) -> str:
    """Return a film with its unit."""
    return f"{convert(film, 'mm', 'mil'):.4g} mil" if units == "us" else f"{film:.3g} mm"


def _money(amount: float | None) -> str | None:
    """Return money, or None."""
    return None if amount is None else money_text(amount)


def left_out_lines(one: Examined) -> list[str]:
    """Say what a quote leaves out, and what to ask."""
    if not one.quote.covered:
        return ['No item says what part of the job it covers ("covers"): ask what is in the price.']
    if not one.left_out:
        return ["Every part of the job is covered by an item."]
    parts = scope()
    return ["Left out:", *(f"- {parts[part]['title']}. {parts[part]['ask']}" for part in one.left_out)]


def once_open(found: Opening, scenario: Scenario) -> list[str]:
    """Say what stripping may uncover: what happens to one coach."""
    high = found.percentile(TAIL)
    most = f"; 9 of 10 have no more than {about(high)}" if high > 0.0 else ""
    each = f", or {about(found.mean / found.wet)} where there is any" if found.wet > 0.0 else ""
    return [
        f"Once the roof is open: of coaches like this {coaches(found.wet)} {have(found.wet)} wet wood, "
        f"{coaches(found.rotten)} {have(found.rotten)} a deck that is gone. Damage of "
        f"{about(found.mean)} is uncovered on average{each} ({scenario.currency}){most}.",
        "This is what happens to one coach, with every figure at its likely value. In the comparison it "
        "stands under leak damage: allowances are not added to the price there.",
    ]


def loan_lines(loan: LoanTerms, scenario: Scenario) -> list[str]:
    """Say what a loan costs."""
    sale = years_text(loan.sold_at / 12.0)
    less = "adds" if loan.adds >= 0.0 else "takes off"
    return [
        f"Paid by a loan of {money_text(loan.principal)} at {number_text(100.0 * loan.rate, 4)} % over "
        f"{counted(loan.months, 'month')}: {money_text(loan.payment)} a month. If you sell after {sale}, "
        f"{money_text(loan.balance) if loan.balance >= 0.5 else 'nothing'} is still owed. Financing {less} "
        f"{money_text(abs(loan.adds), scenario.currency)} in today's money.",
    ]


def schedule_lines(loan: LoanTerms) -> list[str]:
    """Return what is paid and owed month by month, in cents; the month of the sale is marked.

    Parameters
    ----------
    loan : LoanTerms
        Any.

    Returns
    -------
    list of str
        A table; its lines start with a space.
    """
    parts = zip(loan.schedule.interest, loan.schedule.principal, loan.schedule.balance, strict=True)
    rows = [
        Row(
            f"  {month}{' (sale)' if month == loan.sold_at else ''}",
            tuple(f"{amount:,.2f}" for amount in amounts),
        )
        for month, amounts in enumerate(parts, start=1)
    ]
    return laid_out(rows, 3, heads=("interest", "paid back", "still owed"), corner="  month")


def side_by_side(examined: Sequence[tuple[str, Examined]], on_scope: Sequence[OnOneScope]) -> list[list[str]]:
    """Put several quotes side by side on one scope, with what differs in their terms.

    Parameters
    ----------
    examined : sequence of (str, Examined)
        Units of the scenario and the examined quote.
    on_scope : sequence of OnOneScope
        In the same order.
    """
    without = WITHOUT_TRIP if any(one.sum.trip >= 0.5 for _, one in examined) else ""
    head = "On one scope, what one lacks at the others' prices, without what is more than the job needs"
    lines = [f"{head}{without}:"]
    parts = scope()
    for (_, one), scoped in zip(examined, on_scope, strict=True):
        added = [f"{_titles(names, parts)} {money_text(cost)}" for names, cost in scoped.added.items()]
        unknown = [parts[name]["title"] for name in scoped.unknown]
        line = f'- "{one.quote.title}": {money_text(scoped.bill)} as it stands, {money_text(scoped.complete)}'
        line += f" with {listed(added)}" if added else " on one scope"
        line += f"; nobody names a price for: {listed(unknown)}" if unknown else ""
        lines.append(f"{line}.")
    return [lines, _differences(examined)]


def _titles(names: str, parts: Any) -> str:
    """Return the titles of parts of the job."""
    return listed(parts[name]["title"] for name in names.split(", "))


def _differences(examined: Iterable[tuple[str, Examined]]) -> list[str]:
    """Say in what the terms of several quotes differ."""
    said = {one.quote.title: terms(one.quote, units) for units, one in examined}
    lines = []
    for name in next(iter(said.values())):
        texts = {title: found[name] or "does not say" for title, found in said.items()}
        if len(set(texts.values())) > 1:
            lines.append(f"- {name}: " + "; ".join(f'"{title}" {text}' for title, text in texts.items()))
    return ["Their terms differ:", *lines] if lines else ["Their terms do not differ."]


def held_lines(result: Held, quote: Quote) -> list[str]:
    """Say whether a bill holds against the promise."""
    extra = [f"{what} {money_text(cost)}" for what, cost in result.by_item.items()]
    lines = [f'The bill against the promise of "{quote.title}":']
    found = f" with what was found by its own prices ({listed(extra)}, before tax)" if extra else ""
    cap = ", held down by its cap" if result.capped else ""
    lines.append(f"- Promised: {money_text(result.promised)}{found}{cap}.")
    above = result.above
    word = (
        "as promised"
        if abs(above) < 0.5
        else f"{money_text(abs(above))} {'above' if above > 0 else 'below'} it"
    )
    lines.append(f"- Asked: {money_text(result.bill)}: {word}.")
    if result.unpromised:
        lines.append(f"- Not in the quote: {listed(result.unpromised)}. No price was promised for it.")
    if quote.exit_price is not None and above > 0.5:
        lines.append(f"- Stopping here costs {money_text(quote.exit_price)}, as the quote says.")
    return lines


def call_lines(result: Held, called: bool | None) -> list[str]:
    """Say whether they were to call first, and did."""
    if not result.call_due:
        return []
    did = {True: "They did.", False: "They did not.", None: "Did they?"}[called]
    return [f"- The extra is more than what they were to call about first. {did}"]
