"""Several quotes on one scope: what one lacks comes at the others' prices.

Lecture
-------
The scope is every part of the job that some quote covers by an item that is neither an upgrade nor an
allowance. A part that a quote lacks is added at the cheapest price of an item of another quote that
covers it and nothing that the quote has; where there is none, nobody names a price for it. Upgrades
are taken out, for no other quote has to match them.

Source
------
Our own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lifecycle.quote.items import Quote, added_up


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
