"""Kinds that every room shares: categories of cost and coverings of a roof, each known in one table.

Lecture
-------
The tables stand in ``data/kinds.toml``. Whoever needs the label, the colour or a rule of a kind asks here, so
a new kind is added there once; a kind that lacks something is refused when the program starts (`Half`).

Left out: what a category costs (`evaluation.flows`), and which jobs a covering has (the upkeep plans).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Any, TypeVar

from lifecycle.data import data

Kind = TypeVar("Kind", "Category", "Covering")


class Half(ValueError):
    """Something that is half added."""


@dataclass(frozen=True)
class Category:
    """A category of cost.

    Parameters
    ----------
    label, reason : str
        Its plain name; why a way is dearer, as "for upkeep".
    escalates : bool
        Whether its prices may rise in real terms.
    given_by : str
        The part of the model that gives it: "flow", "ledger" or "loan".
    colour, hatch : str
        How it is filled in charts.
    """

    label: str
    reason: str
    escalates: bool
    given_by: str
    colour: str
    hatch: str


@dataclass(frozen=True)
class Covering:
    """A covering of a roof.

    Parameters
    ----------
    label, what, lay : str
        As it is called; what lies there; the verb for laying it.
    sprayed : bool
        Whether a shop sprays it on.
    kept_as : str
        The covering whose jobs, texts and surface it has: its own name, or another's.
    """

    label: str
    what: str
    lay: str
    sprayed: bool
    kept_as: str


def read_kinds(table: str, kind: type[Kind], raw: Mapping[str, Any]) -> Mapping[str, Kind]:
    """Return the kinds of a table by name, in its order.

    Raises
    ------
    Half
        If a kind lacks something, or has something that no kind has.

    Examples
    --------
    >>> felt = {"label": "felt", "what": "felt", "sprayed": False, "kept_as": "felt"}
    >>> read_kinds("coverings", Covering, {"felt": felt})
    Traceback (most recent call last):
        ...
    lifecycle.kinds.Half: data/kinds.toml: coverings.felt lacks lay
    """
    known = {field.name for field in fields(kind)}
    found = {}
    for name, stated in raw.items():
        given = {"given_by" if key == "from" else key: value for key, value in stated.items()}
        lacks, odd = known - set(given), set(given) - known
        if lacks or odd:
            what = [f"lacks {key}" for key in sorted(lacks)] + [f"has {key}" for key in sorted(odd)]
            raise Half(f"data/kinds.toml: {table}.{name} {' and '.join(what)}")
        found[name] = kind(**given)
    return MappingProxyType(found)


CATEGORIES = read_kinds("categories", Category, data("kinds.toml")["categories"])
"""Categories of cost, in the order of every table. Receipts are negative."""

COVERINGS = read_kinds("coverings", Covering, data("kinds.toml")["coverings"])
"""Coverings of a roof."""


def check_covering(name: str, has: Mapping[str, bool]) -> None:
    """Refuse a covering that lacks something of what the shipped data must have of it.

    Raises
    ------
    Half
        With all that is missing.
    """
    lacks = [what for what, there in has.items() if not there]
    if lacks:
        raise Half(f"the covering {name!r} of data/kinds.toml is half added: it lacks {', '.join(lacks)}")
