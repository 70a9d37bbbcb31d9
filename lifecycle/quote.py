"""A quote: priced line items, what they add up to, and what may come on top once the roof is open.

Lecture
-------
An *item* costs its amount times its price. Items are *sound* (they are done in any case) or
*contingent* (an allowance, due only if it is found to be needed). With the tax t::

    price of a sound job = (sum of sound items - discount) (1 + t) + trip
    bill when w is found = (sum of sound items - discount + w) (1 + t), at most the cap
    promise              = price of the items at the amounts found, by the quote's own prices

The trip is the owner's outlay and carries no tax of the shop. Allowances are no part of the price: in the
comparison, damage that stripping uncovers is counted as leak damage.

Two honest forms of one price::

    sound price, wood by the area, cap
    all-in = sound price + mean extra + charge for carrying it
    charge = share * standard deviation of the extra

The charge is the standard-deviation principle of insurance pricing: a rare but grave extra costs
something to carry though 9 of 10 coaches have none.

A quote may be made by *overall* length though less is sprayed; the same prices on the sprayed length
give the price that the work explains.

Assumed: tax falls on everything that the shop does. Left out: progress payments, interest on a deposit.

Source
------
Arithmetic; the two forms are our own, the charge a textbook principle. That the price follows the
sprayed length and that rotten deck costs extra: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

BY_LENGTH, BY_AREA, BY_PIECE, BY_HOUR, FIXED = "sprayed length", "area", "each", "hour", "fixed"
OVERALL = "overall"


@dataclass(frozen=True)
class Item:
    """A line of a quote.

    Parameters
    ----------
    what : str
        What is done.
    unit : str
        sprayed length, area, each, hour or fixed.
    amount : float
        How much of it. [m, m2, pieces or h]
    price : float
        For one, without tax. [money/unit]
    contingent : bool
        Whether it is due only if it is found to be needed.
    upgrade : bool
        Whether it is more than the job needs.
    covers : tuple of str
        Parts of the job that it covers.
    stated : bool
        Whether its amount was stated; else it follows from the measured coach.
    """

    what: str
    unit: str
    amount: float
    price: float
    contingent: bool = False
    upgrade: bool = False
    covers: tuple[str, ...] = ()
    stated: bool = True

    @property
    def cost(self) -> float:
        """Amount times price. [money]"""
        return self.amount * self.price


@dataclass(frozen=True)
class Terms:
    """What a quote promises besides its price; None where it does not say.

    Parameters
    ----------
    warranty_years : float or None
        [years]
    warranty_transfers : bool or None
        Whether the warranty goes on with the coach.
    topcoat_years, topcoat_price : float or None
        Until the next topcoat, and its price as stated today. [years, money]
    film : float or None
        Dry film promised. [mm]
    validity : str
        Until when, or for how many days, it stands; "" if it does not say.
    """

    warranty_years: float | None = None
    warranty_transfers: bool | None = None
    topcoat_years: float | None = None
    topcoat_price: float | None = None
    film: float | None = None
    validity: str = ""


@dataclass(frozen=True)
class Quote:
    """A quote.

    Parameters
    ----------
    name, title : str
        Name in the file, plain title.
    items : tuple of Item
        Its lines.
    tax : float
        As a fraction. [-]
    discount, trip, lodging : float
        Taken off before tax; getting there and back; shown, not added. [money]
    deposit, cap, exit_price : float or None
        Paid beforehand; most that the bill may be; price of stopping once the roof is open. [money]
    call_first : float or None
        Extra above which they call; 0: before any; None: it does not say. [money]
    quoted_length : float or None
        Length that it is for. [m]
    quoted_by : str
        "overall" or "sprayed".
    prices : str
        Price list that it is from.
    terms : Terms
        What else it promises.
    """

    name: str
    title: str
    items: tuple[Item, ...] = ()
    tax: float = 0.0
    discount: float = 0.0
    trip: float = 0.0
    lodging: float = 0.0
    deposit: float | None = None
    cap: float | None = None
    exit_price: float | None = None
    call_first: float | None = None
    quoted_length: float | None = None
    quoted_by: str = "sprayed"
    prices: str = ""
    terms: Terms = field(default_factory=Terms)

    @property
    def sound(self) -> tuple[Item, ...]:
        """Items that are done in any case."""
        return tuple(item for item in self.items if not item.contingent)

    @property
    def contingent(self) -> tuple[Item, ...]:
        """Allowances."""
        return tuple(item for item in self.items if item.contingent)

    @property
    def covered(self) -> tuple[str, ...]:
        """Parts of the job that some item covers."""
        return tuple(dict.fromkeys(part for item in self.items for part in item.covers))

    @property
    def wood_price(self) -> float | None:
        """Price of the first allowance by the area, without tax; None if there is none. [money/m2]"""
        return next((item.price for item in self.contingent if item.unit == BY_AREA), None)


@dataclass(frozen=True)
class Sum:
    """What a quote adds up to. [money]

    Parameters
    ----------
    items, discount, tax, trip : float
        Sound items; taken off; tax on what is left; the owner's outlay.
    bill, price : float
        What the shop asks; with the trip.
    """

    items: float
    discount: float
    tax: float
    trip: float
    bill: float
    price: float


def added_up(quote: Quote) -> Sum:
    """Add up the sound items of a quote, less the discount, with tax and trip.

    Parameters
    ----------
    quote : Quote
        Any.

    Returns
    -------
    Sum

    Examples
    --------
    >>> added_up(Quote("a", "A", (Item("spray", "sprayed length", 6.0, 1000.0),), tax=0.1, trip=50.0)).price
    6650.0
    """
    items = sum((item.cost for item in quote.sound), 0.0)
    tax = round((items - quote.discount) * quote.tax, 9)
    bill = items - quote.discount + tax
    return Sum(items, quote.discount, tax, quote.trip, bill, bill + quote.trip)


def price_by_length(quote: Quote, sprayed_length: float) -> float:
    """Price of a sound job for a sprayed length. [money/m]

    Raises
    ------
    ValueError
        If the length is not above 0.
    """
    if sprayed_length <= 0.0:
        raise ValueError(f"a sprayed length must be above 0; got {sprayed_length} m")
    return added_up(quote).bill / sprayed_length


def by_sprayed_length(quote: Quote, sprayed_length: float) -> Quote:
    """Return a quote by overall length with the same prices on the sprayed length.

    Items by sprayed length whose amount is the quoted length, or follows from it, take the sprayed
    length instead; a quote by sprayed length stays as it is.

    Parameters
    ----------
    quote : Quote
        By overall length, with its length.
    sprayed_length : float
        Of the coach. [m]

    Examples
    --------
    >>> quote = Quote("a", "A", (Item("spray", "sprayed length", 8.0, 100.0),), quoted_length=8.0,
    ...     quoted_by="overall")
    >>> added_up(by_sprayed_length(quote, 6.0)).price
    600.0
    """
    length = quote.quoted_length
    if quote.quoted_by != OVERALL or length is None:
        return quote

    def shorter(item: Item) -> Item:
        same = item.unit == BY_LENGTH and abs(item.amount - length) < 1e-6 * max(1.0, length)
        return replace(item, amount=sprayed_length) if same else item

    return replace(quote, items=tuple(map(shorter, quote.items)))


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
        Any.
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
    >>> forms = two_forms(Quote("a", "A", (Item("spray", "fixed", 1.0, 1000.0),)), mean_extra=100.0,
    ...     spread_extra=400.0, carrying_share=0.25)
    >>> forms.charge, forms.all_in
    (100.0, 1200.0)
    """
    taxed = 1.0 + quote.tax
    wood = None if quote.wood_price is None else quote.wood_price * taxed
    charge = carrying_share * spread_extra * taxed
    return TwoForms(added_up(quote).bill, wood, quote.cap, mean_extra * taxed, charge)


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


@dataclass(frozen=True)
class OnOneScope:
    """A quote beside others, as if it covered what they cover. [money]

    Parameters
    ----------
    name : str
        The quote.
    bill, upgrades : float
        As it stands; part of it that is more than the job needs. With tax.
    added : mapping of str to float
        Parts that it lacks, at the cheapest price of the others that name them apart, with tax.
    unknown : tuple of str
        Parts that it lacks and that no other quote prices apart.
    """

    name: str
    bill: float
    upgrades: float
    added: Mapping[str, float]
    unknown: tuple[str, ...]

    @property
    def complete(self) -> float:
        """Without upgrades, with what it lacks."""
        return self.bill - self.upgrades + sum(self.added.values())


def on_one_scope(quotes: Iterable[Quote]) -> tuple[OnOneScope, ...]:
    """Put quotes on one scope: parts that one lacks come at the others' prices.

    The scope is every part that some quote covers by an item that is neither an upgrade nor an
    allowance. A part is priced apart where an item covers it and no part that the quote in question has.

    Parameters
    ----------
    quotes : iterable of Quote
        Those compared.

    Returns
    -------
    tuple of OnOneScope
        One for each, in order.
    """
    quotes = tuple(quotes)
    scope = {
        part: None for quote in quotes for item in quote.sound if not item.upgrade for part in item.covers
    }
    return tuple(_completed(quote, [one for one in quotes if one is not quote], scope) for quote in quotes)


def _completed(quote: Quote, others: list[Quote], scope: Iterable[str]) -> OnOneScope:
    """Add what a quote lacks."""
    has = {part for item in quote.sound for part in item.covers}
    left = [part for part in scope if part not in has]
    added: dict[str, float] = {}
    unknown: list[str] = []
    while left:
        part = left.pop(0)
        offers = [
            item
            for other in others
            for item in other.sound
            if part in item.covers and not item.upgrade and not has & set(item.covers)
        ]
        if not offers:
            unknown.append(part)
            continue
        cheapest = min(offers, key=lambda item: item.cost)
        together = [part, *(one for one in left if one in cheapest.covers)]
        left = [one for one in left if one not in together]
        added[", ".join(together)] = cheapest.cost * (1.0 + quote.tax)
    upgrades = sum(item.cost for item in quote.sound if item.upgrade) * (1.0 + quote.tax)
    return OnOneScope(quote.name, added_up(quote).bill, upgrades, added, tuple(unknown))
