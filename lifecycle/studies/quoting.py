"""Is a quote complete, and will it hold? A quote against the roof, the model and the other quotes.

Lecture
-------
For each quote of a scenario:

- what it adds up to, by the sprayed length, and recomputed if it was made by overall length (`quote`);
- what may come on top once the roof is open, by the leaks that the model hides today (`opening`), in
  two forms of one price;
- whether material and labour can be had for it. With overhead o as a share of the price::

      cost to the shop = coating + sealant + consumables * area
                         + hour price (labour * stripped area / that of the reference coach
                         + hours of every fixture by its kind)
      plausible price  = cost / (1 - o) * (1 + tax)

  with every figure at its likely value. The ends: each figure by itself at its low and high end (film,
  solids and overspray together), the differences on one side added as squares. A price beyond them is
  worth a question, no proof;
- which parts of the job no item covers, and what nobody looked at;
- what may come on top: expected, and at worst, with a deck that is gone, up to the cap::

      worst = min(cap, bill + allowances + wood) + trip + what is left out
      wood  = price by the area * stripped area, else the dearest leak; no less than as stated; with tax

Quotes on one scope: what one lacks at the others' prices.

Assumed: leaks and damage at likely values; what happens to one coach is luck.

Source
------
The figures are judgement (`data/quote.toml`); the arithmetic is our own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import sqrt

from lifecycle.economics import (
    LoanSchedule,
    financing_cost,
    loan_balance,
    loan_payment,
    loan_schedule,
    nominal_rate,
)
from lifecycle.evaluation.opening import Opening, opening
from lifecycle.files import shared
from lifecycle.material import Coating
from lifecycle.quantities import convert
from lifecycle.quote import (
    BY_AREA,
    OVERALL,
    Counted,
    Quote,
    Sum,
    TwoForms,
    added_up,
    by_sprayed_length,
    caps,
    counted,
    price_by_length,
    two_forms,
)
from lifecycle.roofs import Case
from lifecycle.scenario import REFIT, Scenario, resolve
from lifecycle.scenario.takeoff import Takeoff, takeoff_of

TAIL = 0.9
"""Share of coaches that the high extra is not exceeded by. [-]"""


@dataclass(frozen=True)
class Plausible:
    """What a job may cost by material and labour, with tax: the usual, and the ends. [money]"""

    low: float
    likely: float
    high: float

    def judged(self, bill: float) -> str:
        """Say where a bill lies: "below", "within" or "above" the ends."""
        return "below" if bill < self.low else "above" if bill > self.high else "within"


@dataclass(frozen=True)
class Examined:
    """One quote, examined.

    Parameters
    ----------
    quote : Quote
        As stated.
    sum : Sum
        What it adds up to.
    by_length : float or None
        Bill by the sprayed length; None where that is not known. [money/m]
    recomputed : float or None
        Bill at the same prices on the sprayed length; None unless it is by overall length. [money]
    forms : TwoForms
        The price in two forms.
    left_out : tuple of str
        Parts of the job that no item covers; none where no item says what it covers.
    plausible : Plausible or None
        None without `[coach]`.
    counted : Counted
        The price with what may come on top, as the comparison has it.
    worst : float
        Most that may be asked, a deck that is gone too. [money]
    capped : bool
        Whether it has a cap that limits anything.
    """

    quote: Quote
    sum: Sum
    by_length: float | None
    recomputed: float | None
    forms: TwoForms
    left_out: tuple[str, ...]
    plausible: Plausible | None
    counted: Counted
    worst: float
    capped: bool


@dataclass(frozen=True)
class LoanTerms:
    """What a loan costs.

    Parameters
    ----------
    alternative : str
        Way that it pays for.
    principal, payment, balance, adds : float
        Borrowed; each month; owed at the sale after that month's payment; what financing adds in today's
        money. [money, money/month, money, money]
    rate : float
        Nominal. [1/year]
    months, sold_at : int
        Payments; month of the sale. [months]
    schedule : LoanSchedule
        Interest, repayment and balance, month by month to the end of the loan; arrays of shape (months,).
    """

    alternative: str
    principal: float
    rate: float
    months: int
    payment: float
    sold_at: int
    balance: float
    adds: float
    schedule: LoanSchedule


@dataclass(frozen=True)
class Examination:
    """The quotes of a scenario, examined.

    Parameters
    ----------
    scenario : Scenario
        With its quotes.
    takeoff : Takeoff or None
        What the coach needs; None without `[coach]`.
    opening : Opening
        What stripping uncovers today.
    quotes : tuple of Examined
        In the order of the file.
    unseen : tuple of str
        What nobody measured or looked at: "coach", "length", "width", "caps", "penetrations", "deck".
    loan : LoanTerms or None
        None without `[loan]`.
    """

    scenario: Scenario
    takeoff: Takeoff | None
    opening: Opening
    quotes: tuple[Examined, ...]
    unseen: tuple[str, ...]
    loan: LoanTerms | None


def scope() -> Mapping[str, Mapping[str, str]]:
    """Return the parts of the job, each with its title and what to ask, in the order of the work."""
    parts: Mapping[str, Mapping[str, str]] = shared()["scope"]
    return parts


def parts_left_out(quote: Quote) -> tuple[str, ...]:
    """Return the parts of the job that no item of a quote covers; none where no item says what it covers."""
    return tuple(part for part in scope() if part not in quote.covered) if quote.covered else ()


def usual_film() -> tuple[float, float]:
    """Return the least and the most dry film that is usual. [mm]"""
    usual = shared()["usual_film"]
    return convert(usual["low"], "mil", "mm"), convert(usual["high"], "mil", "mm")


def heavy_terms(quote: Quote) -> dict[str, float]:
    """Return the terms that hold the customer by so large a share of the price, by name. [money]"""
    bill, heavy = added_up(quote).bill, shared()["heavy"]
    stated = {name: getattr(quote, name) for name in ("deposit", "exit_price", "call_first")}
    return {
        name: float(money)
        for name, money in stated.items()
        if money is not None and money > heavy[name] * bill
    }


def examine(scenario: Scenario) -> Examination:
    """Examine the quotes of a scenario without trouble (else ValueError: the roof has to be opened first)."""
    if scenario.trouble:
        raise ValueError(f"trouble is reported ({', '.join(scenario.trouble)}): open the roof first")
    takeoff, case = takeoff_of(scenario), resolve(scenario)
    found = opening(case)
    examined = tuple(_examined(quote, scenario, takeoff, found) for quote in scenario.quotes.values())
    return Examination(scenario, takeoff, found, examined, _unseen(scenario, takeoff), _loan(case))


def _examined(quote: Quote, scenario: Scenario, takeoff: Takeoff | None, found: Opening) -> Examined:
    """Examine one quote."""
    total = added_up(quote)
    sprayed = quote.quoted_length if quote.quoted_by != OVERALL else None
    if takeoff is not None:
        sprayed = float(takeoff.geometry.sprayed_length)
    recomputed = None
    if quote.quoted_by == OVERALL and takeoff is not None and sprayed is not None:
        recomputed = added_up(by_sprayed_length(_with_length(quote, takeoff), sprayed)).bill
    room = float("inf") if quote.cap is None else max(0.0, quote.cap - total.bill) / (1.0 + quote.tax)
    mean, spread = found.up_to(room)
    expected = sum(one.expected for one in quote.extras if not one.left_out) / (1.0 + quote.tax)
    carrying = scenario.costing["carrying_share"].likely
    mean = min(room, mean + expected)
    forms = two_forms(quote, mean_extra=mean, spread_extra=spread, carrying_share=carrying)
    return Examined(
        quote=quote,
        sum=total,
        by_length=price_by_length(quote, sprayed) if sprayed else None,
        recomputed=recomputed,
        forms=forms,
        left_out=parts_left_out(quote),
        plausible=None if takeoff is None else plausible(quote, scenario, takeoff),
        counted=counted(quote),
        worst=_worst(quote, scenario, takeoff),
        capped=caps(quote, _dearest(scenario)),
    )


def _dearest(scenario: Scenario) -> float:
    """Return what the dearest leak costs, without tax. [money]"""
    return sum(scenario.likely(scenario.leaks[name]) for name in ("patch_cost", "rot_cost"))


def _worst(quote: Quote, scenario: Scenario, takeoff: Takeoff | None) -> float:
    """Return the most that may be asked: all that may come on top, and the deck gone. [money]"""
    total, new_wood, wood = added_up(quote), _dearest(scenario), quote.wood
    if wood is not None and wood.unit == BY_AREA and takeoff is not None:
        new_wood = wood.price * float(takeoff.geometry.stripped_area)
    new_wood = max(new_wood, 0.0 if wood is None else wood.cost)
    most = total.bill + new_wood * (1.0 + quote.tax)
    most += sum(one.most for one in quote.extras if not one.left_out)
    most = most if quote.cap is None else min(most, quote.cap)
    return most + total.trip + sum(one.most for one in (*quote.extras, *quote.unsaid) if one.left_out)


def _with_length(quote: Quote, takeoff: Takeoff) -> Quote:
    """Return a quote with the length that it is for: the coach's, where it does not say."""
    length = quote.quoted_length
    return replace(quote, quoted_length=float(takeoff.geometry.length) if length is None else length)


def plausible(quote: Quote, scenario: Scenario, takeoff: Takeoff) -> Plausible:
    """Work out what material and labour make of a sound job, with the tax of the quote."""
    likely = {name: figure.likely for name, figure in scenario.costing.items()}
    middle = _price(likely, takeoff.coating, scenario, takeoff)
    others = [
        _price({**likely, name: end}, takeoff.coating, scenario, takeoff)
        for name, figure in scenario.costing.items()
        for end in (figure.low, figure.high)
    ]
    others += [_price(likely, coating, scenario, takeoff) for coating in (takeoff.least, takeoff.most)]
    down, up = (sqrt(sum(max(0.0, sign * (price - middle)) ** 2 for price in others)) for sign in (-1.0, 1.0))
    taxed = 1.0 + quote.tax
    return Plausible(max(0.0, middle - down) * taxed, middle * taxed, (middle + up) * taxed)


def _price(at: Mapping[str, float], coating: Coating, scenario: Scenario, takeoff: Takeoff) -> float:
    """Return what a sound job may cost by material and labour, without tax. [money]"""
    shape = takeoff.geometry
    material = (
        coating.base.volume * at["base_price"]
        + coating.topcoat.volume * at["topcoat_price"]
        + takeoff.cartridges * at["cartridge_price"]
        + shape.sprayed_area * at["consumables"]
    )
    hours = at["labour"] * shape.stripped_area / _reference_strip(scenario)
    for one in (scenario.coach.penetrations if scenario.coach is not None else None) or ():
        hours += scenario.likely(one.numbers["count"]) * at.get(
            "fixture_hours", at.get(f"{REFIT}.{one.kind}", 0.0)
        )
    return float((material + hours * at["hour_price"]) / (1.0 - at["overhead"]))


def _reference_strip(scenario: Scenario) -> float:
    """Return the area that is stripped on the reference coach. [m2]"""
    numbers = scenario.coach.numbers if scenario.coach is not None else {}
    return scenario.likely(numbers["reference_area"]) * scenario.likely(numbers["sprayed_share"])


def _unseen(scenario: Scenario, takeoff: Takeoff | None) -> tuple[str, ...]:
    """Name what nobody measured or looked at."""
    measured = ("coach",) if takeoff is None else takeoff.geometry.assumed
    looked = scenario.existing.numbers.get("inspected_today", 0.0)
    return (*measured, *(() if scenario.likely(looked) > 0.0 else ("deck",)))


def _loan(case: Case) -> LoanTerms | None:
    """Work out what a loan costs at likely values."""
    loan, terms = case.loan, case.terms
    if loan is None:
        return None
    principal, rate = float(loan.principal), float(loan.rate)
    sold = round(12.0 * float(terms.holding_period))
    nominal = nominal_rate(float(terms.discount_rate), float(terms.inflation))
    return LoanTerms(
        alternative=loan.alternative,
        principal=principal,
        rate=rate,
        months=loan.months,
        payment=float(loan_payment(principal, rate=rate, months=loan.months)),
        sold_at=sold,
        balance=float(loan_balance(principal, rate=rate, months=loan.months, month=sold)),
        adds=float(
            financing_cost(
                principal, rate=rate, months=loan.months, sold_at_month=sold, nominal_discount_rate=nominal
            )
        ),
        schedule=loan_schedule(principal, rate=rate, months=loan.months),
    )
