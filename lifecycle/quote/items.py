"""A quote: priced line items, and what they add up to.

Lecture
-------
An *item* costs its amount times its price. Items are *sound* (they are done in any case) or
*contingent* (an allowance, due only if it is found to be needed). With the tax t::

    bill  = (sum of sound items - discount) (1 + t)
    price = bill + trip

The trip is the owner's outlay and carries no tax of the shop. Allowances are no part of the price: in the
comparison, damage that stripping uncovers is counted as leak damage.

A quote may be made by *overall* length though less is sprayed; the same prices on the sprayed length
give the price that the work explains.

Assumed: tax falls on everything that the shop does. Left out: progress payments, interest on a deposit.

Source
------
Arithmetic. That the price follows the sprayed length: common practice, no source.
"""

from __future__ import annotations

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
    warranty_transfers, in_writing : bool or None
        Whether the warranty goes on with the coach; whether it stands on paper.
    topcoat_years, topcoat_price : float or None
        Until the next topcoat, and its price as stated today. [years, money]
    film : float or None
        Dry film promised. [mm]
    validity : str
        Until when, or for how many days, it stands; "" if it does not say.
    """

    warranty_years: float | None = None
    warranty_transfers: bool | None = None
    in_writing: bool | None = None
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
