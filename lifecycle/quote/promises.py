"""What a quote promises: its price in two honest forms, and a bill against it.

Lecture
-------
Two forms of one price, with the tax t::

    sound price, wood by the area, cap
    all-in = sound price + mean extra + charge for carrying it
    charge = share * standard deviation of the extra * (1 + t)

The charge is the standard-deviation principle of insurance pricing: a rare but grave extra costs
something to carry though 9 of 10 coaches have none. Once the roof is open::

    promised = sound price + amounts found * the quote's own prices * (1 + t), at most the cap

What the quote does not name was not promised. A cap that lies above the price by no less than the dearest
leak limits nothing.

Source
------
The two forms are our own, the charge a textbook principle. That rotten deck costs extra: common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from lifecycle.quote.items import Quote, added_up


@dataclass(frozen=True)
class TwoForms:
    """Two honest forms of one price. [money]

    Parameters
    ----------
    sound : float
        Bill of a sound job.
    wood_price : float or None
        For an area of wood, with tax; None if the quote does not say. [money/m2]
    cap : float or None
        Most that the bill may be; None if the quote does not say.
    mean_extra : float
        Mean of the extra that is found, with tax and up to the cap.
    charge : float
        For carrying the risk.
    """

    sound: float
    wood_price: float | None
    cap: float | None
    mean_extra: float
    charge: float

    @property
    def all_in(self) -> float:
        """Sound price, mean extra and charge."""
        return self.sound + self.mean_extra + self.charge


def two_forms(quote: Quote, *, mean_extra: float, spread_extra: float, carrying_share: float) -> TwoForms:
    """Return a price in its two honest forms.

    Parameters
    ----------
    quote : Quote
        Of whose sound price and cap the two forms are made.
    mean_extra, spread_extra : float
        Extra that is found once the roof is open, without tax and up to the cap: mean and standard
        deviation. [money]
    carrying_share : float
        Charge as a share of the standard deviation. [-]

    Returns
    -------
    TwoForms

    Examples
    --------
    >>> from lifecycle.quote import Item
    >>> forms = two_forms(Quote("a", "A", (Item("spray", "fixed", 1.0, 1000.0),)), mean_extra=100.0,
    ...     spread_extra=400.0, carrying_share=0.25)
    >>> forms.charge, forms.all_in
    (100.0, 1200.0)
    """
    taxed = 1.0 + quote.tax
    wood = None if quote.wood_price is None else quote.wood_price * taxed
    charge = carrying_share * spread_extra * taxed
    return TwoForms(added_up(quote).bill, wood, quote.cap, mean_extra * taxed, charge)


def caps(quote: Quote, dearest: float) -> bool:
    """Whether a quote has a cap that limits anything.

    Parameters
    ----------
    quote : Quote
        With or without a cap.
    dearest : float
        What the dearest leak costs, without tax. [money]

    Examples
    --------
    >>> from lifecycle.quote import Item
    >>> work = (Item("spray", "fixed", 1.0, 7000.0),)
    >>> [caps(Quote("a", "A", work, cap=cap), 9600.0) for cap in (None, 7000.0, 9000.0, 1e6)]
    [False, True, True, False]
    """
    return quote.cap is not None and quote.cap - added_up(quote).bill < dearest * (1.0 + quote.tax)


@dataclass(frozen=True)
class Found:
    """What was found after stripping, and what the shop asks now.

    Parameters
    ----------
    bill : float
        The whole bill, with tax. [money]
    amounts : mapping of str to float
        Amounts found, by what the item of the quote is called. [unit of the item]
    called : bool or None
        Whether they called before they did more; None: not said.
    """

    bill: float
    amounts: Mapping[str, float] = field(default_factory=dict)
    called: bool | None = None


@dataclass(frozen=True)
class Held:
    """A bill against the promise. [money]

    Parameters
    ----------
    promised : float
        What the quote's own prices give for what was found, at most its cap.
    by_item : mapping of str to float
        Extra of each allowance, without tax.
    capped : bool
        Whether the cap holds it down.
    bill : float
        What is asked.
    unpromised : tuple of str
        What was found that the quote does not name.
    call_due : bool
        Whether the extra is more than what they were to call about first.
    """

    promised: float
    by_item: Mapping[str, float]
    capped: bool
    bill: float
    unpromised: tuple[str, ...]
    call_due: bool

    @property
    def above(self) -> float:
        """Bill above the promise; negative: below. [money]"""
        return self.bill - self.promised


def held(quote: Quote, found: Found) -> Held:
    """Hold a bill against what was promised.

    Parameters
    ----------
    quote : Quote
        As it was signed.
    found : Found
        After stripping.

    Returns
    -------
    Held

    Examples
    --------
    >>> from lifecycle.quote import Item
    >>> quote = Quote("a", "A", (Item("spray", "fixed", 1.0, 5000.0),
    ...     Item("wood", "area", 0.0, 200.0, contingent=True)), cap=5500.0)
    >>> result = held(quote, Found(bill=6000.0, amounts={"wood": 4.0}))
    >>> result.promised, result.capped, result.above
    (5500.0, True, 500.0)
    """
    prices = {item.what: item.price for item in quote.contingent}
    by_item = {what: amount * prices[what] for what, amount in found.amounts.items() if what in prices}
    extra = sum(by_item.values()) * (1.0 + quote.tax)
    whole = added_up(quote).bill + extra
    promised = whole if quote.cap is None else min(whole, quote.cap)
    unpromised = tuple(what for what in found.amounts if what not in prices)
    asked = max(extra, found.bill - added_up(quote).bill)
    due = quote.call_first is not None and asked > quote.call_first + 0.005
    return Held(promised, by_item, promised < whole, found.bill, unpromised, due)
