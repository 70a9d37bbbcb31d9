"""A quote: priced items and their sum, what it promises, and several on one scope."""

from lifecycle.quote.items import (
    BY_AREA,
    BY_HOUR,
    BY_LENGTH,
    BY_PIECE,
    FIXED,
    OVERALL,
    Item,
    Quote,
    Sum,
    Terms,
    added_up,
    by_sprayed_length,
    price_by_length,
)
from lifecycle.quote.promises import Found, Held, TwoForms, held, two_forms
from lifecycle.quote.scope import OnOneScope, on_one_scope

__all__ = [
    "BY_AREA",
    "BY_HOUR",
    "BY_LENGTH",
    "BY_PIECE",
    "FIXED",
    "OVERALL",
    "Found",
    "Held",
    "Item",
    "OnOneScope",
    "Quote",
    "Sum",
    "Terms",
    "TwoForms",
    "added_up",
    "by_sprayed_length",
    "held",
    "on_one_scope",
    "price_by_length",
    "two_forms",
]
