"""A quote: priced line items, and what they add up to.

Lecture
-------
An *item* costs its amount times its price. Items are *sound* (they are done in any case) or
*contingent* (an allowance, due only if it is found to be needed). With the tax t::

    bill  = (sum of sound items - discount) (1 + t)
    price = bill + trip

The trip is the owner's outlay and carries no tax of the shop.

What may come on top counts in the comparison too. New wood is no part of the price: damage that stripping
uncovers is counted there as leak damage. Of every other allowance, and of every entry of the price list
that is left out of the job, with its full amount a::

    the job needs it, and no sound item covers it    a                             (expected and at most)
    an allowance otherwise                           share needed * a; at most a
    left out, and not needed                         nothing

    counted = price + the sum of these, allowances up to the cap

so that a price falls by nothing that the job needs: it is the same whether it stands in it, beside it or
outside it. Where a quote says line by line what it covers and nobody prices a part that the job needs, that
part counts at the tool's own price.

A quote may be made by *overall* length though less is sprayed; the same prices on the sprayed length
give the price that the work explains.

Assumed: tax falls on everything that the shop does. Left out: progress payments, interest on a deposit,
how likely an allowance is (one share stands for all).

*Several quotes on one scope*. The scope is every part of the job that some quote covers by an item that
is neither an upgrade nor an allowance. A part that a quote lacks is added at the cheapest price of an
item of another quote that covers it and nothing that the quote has; where there is none, nobody names a
price for it. Upgrades are taken out, for no other quote has to match them.

Source
------
Arithmetic; one scope is our own. That the price follows the sprayed length: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

WOOD, WOOD_WORDS = "deck repair", ("wood", "plywood")
"""Part of the job that new wood is; words that tell it in an item that says no part."""

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
    left_out : bool
        Whether it stands on the price list, but not in this price.
    full, most : float
        Amount of an allowance, or of what is left out, if it is needed: likely, and at most. [as amount]
    """

    what: str
    unit: str
    amount: float
    price: float
    contingent: bool = False
    upgrade: bool = False
    covers: tuple[str, ...] = ()
    stated: bool = True
    left_out: bool = False
    full: float = 0.0
    most: float = 0.0

    @property
    def cost(self) -> float:
        """Amount times price. [money]"""
        return self.amount * self.price

    @property
    def sound(self) -> bool:
        """Whether it is done in any case, in this price."""
        return not (self.contingent or self.left_out)

    @property
    def is_wood(self) -> bool:
        """Whether it is new wood: by the part that it covers, else by its name."""
        named = self.what.casefold().replace(",", " ").split()
        return WOOD in self.covers if self.covers else any(word in named for word in WOOD_WORDS)


@dataclass(frozen=True)
class Extra:
    """What may come on top of a price. [money]

    Parameters
    ----------
    what : str
        The item.
    parts : tuple of str
        Parts of the job that it covers and no sound item does.
    least, expected, most : float
        With tax: in any case, on average, and at most.
    left_out : bool
        Whether it is left out of the price, so that no cap of it holds; else an allowance.
    """

    what: str
    parts: tuple[str, ...]
    least: float
    expected: float
    most: float
    left_out: bool = False


@dataclass(frozen=True)
class Terms:
    """What a quote promises besides its price; None where it does not say.

    Parameters
    ----------
    warranty_years : float or None
        [years]
    warranty_transfers, in_writing : bool or None
        Whether the warranty goes on with the coach; whether it stands on paper.
    topcoat_years, topcoat_price : float or None
        Until the next topcoat, and its price as stated today. [years, money]
    film : float or None
        Dry film promised. [mm]
    validity : str
        Until when, or for how many days, it stands; "" if it does not say.
    warranty_by, warranty_ends : str
        Who gives the warranty, and what ends it; "" if it does not say.
    """

    warranty_years: float | None = None
    warranty_transfers: bool | None = None
    in_writing: bool | None = None
    topcoat_years: float | None = None
    topcoat_price: float | None = None
    film: float | None = None
    validity: str = ""
    warranty_by: str = ""
    warranty_ends: str = ""


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
    extras, unsaid : tuple of Extra
        What may come on top, but for new wood; parts that every job needs and of which it says nothing, at
        the tool's own price: they count only where a quote says line by line what it covers.
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
    extras: tuple[Extra, ...] = ()
    unsaid: tuple[Extra, ...] = ()
    terms: Terms = field(default_factory=Terms)

    @property
    def sound(self) -> tuple[Item, ...]:
        """Items that are done in any case."""
        return tuple(item for item in self.items if item.sound)

    @property
    def contingent(self) -> tuple[Item, ...]:
        """Allowances."""
        return tuple(item for item in self.items if item.contingent and not item.left_out)

    @property
    def covered(self) -> tuple[str, ...]:
        """Parts of the job that some item covers; none where only allowances say theirs."""
        if not any(item.covers for item in self.sound):
            return ()
        return tuple(dict.fromkeys(part for item in self.items if not item.left_out for part in item.covers))

    @property
    def itemised(self) -> bool:
        """Whether it says line by line what it covers, so that what it does not name is not in it."""
        lines = [item for item in self.sound if not item.upgrade]
        return len(lines) > 1 and all(item.covers for item in lines)

    @property
    def wood(self) -> Item | None:
        """The allowance for new wood, one by the area first; None if there is none."""
        wood = [item for item in self.contingent if item.is_wood]
        return min(wood, key=lambda item: item.unit != BY_AREA, default=None)

    @property
    def wood_price(self) -> float | None:
        """Price of new wood by the area, without tax; None if it does not say. [money/m2]"""
        return None if self.wood is None or self.wood.unit != BY_AREA else self.wood.price


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
        With its items, its discount, its tax and its trip.

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


@dataclass(frozen=True)
class Counted:
    """A price with what may come on top, but for new wood. [money]

    Parameters
    ----------
    stated, least, expected, most : float
        As stated; with what the job needs; with what is expected on top; with all of it.
    """

    stated: float
    least: float
    expected: float
    most: float


def counted(quote: Quote) -> Counted:
    """Return the price of a quote with what may come on top; what its cap holds down does not.

    Parameters
    ----------
    quote : Quote
        With its extras.

    Returns
    -------
    Counted

    Examples
    --------
    >>> spray, prime = Item("spray", "fixed", 1.0, 6000.0), Extra("prime", ("prime",), 700.0, 700.0, 700.0)
    >>> counted(Quote("a", "A", (spray,), cap=6500.0, extras=(prime,))).expected
    6500.0
    """
    total = added_up(quote)
    room = float("inf") if quote.cap is None else max(0.0, quote.cap - total.bill)
    least, expected, most = (
        total.price
        + min(room, sum(getattr(one, end) for one in quote.extras if not one.left_out))
        + sum(getattr(one, end) for one in quote.extras if one.left_out)
        for end in ("least", "expected", "most")
    )
    return Counted(total.price, least, expected, most)


def on_top(quote: Quote, *, needed: Collection[str], share_needed: float) -> tuple[Extra, ...]:
    """Return what may come on top of a quote, but for new wood.

    Parameters
    ----------
    quote : Quote
        Its allowances and what is left out with their full amounts.
    needed : collection of str
        Parts that every job needs.
    share_needed : float
        Share of an allowance that is expected where the job does not need it in any case. [-]

    Examples
    --------
    >>> primer = Item("primer", "fixed", 0.0, 300.0, contingent=True, covers=("prime",), full=1.0, most=1.0)
    >>> on_top(Quote("a", "A", (primer,)), needed=("prime",), share_needed=0.5)[0].expected
    300.0
    """
    covered = {part for item in quote.sound for part in item.covers}
    taxed, found = 1.0 + quote.tax, list[Extra]()
    for item in sorted(quote.items, key=lambda one: one.left_out):
        if item.sound or item.is_wood:
            continue
        parts = tuple(part for part in item.covers if part in needed and part not in covered)
        if item.left_out and not parts:
            continue
        covered |= set(parts)
        share = 1.0 if parts else share_needed
        expected, most = (amount * item.price * taxed for amount in (item.full * share, item.most))
        least = expected if parts else 0.0
        found.append(Extra(item.what, parts, least, expected, max(expected, most), item.left_out))
    return tuple(found)


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
class OnOneScope:
    """A quote beside others, as if it covered what they cover. [money]

    Parameters
    ----------
    name : str
        The quote.
    bill, upgrades : float
        As it stands; part of it that is more than the job needs. With tax.
    added : mapping of tuple of str to float
        Parts that it lacks, at the cheapest price of the others that name them apart, with tax; parts of one
        item together.
    unknown : tuple of str
        Parts that it lacks and that no other quote prices apart.
    """

    name: str
    bill: float
    upgrades: float
    added: Mapping[tuple[str, ...], float]
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
    added: dict[tuple[str, ...], float] = {}
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
        together = (part, *(one for one in left if one in cheapest.covers))
        left = [one for one in left if one not in together]
        added[together] = cheapest.cost * (1.0 + quote.tax)
    upgrades = sum(item.cost for item in quote.sound if item.upgrade) * (1.0 + quote.tax)
    return OnOneScope(quote.name, added_up(quote).bill, upgrades, added, tuple(unknown))
