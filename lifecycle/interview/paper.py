"""A shop's quote on paper: the lines that an owner reads from it, and `[quotes.paper]` that they make.

Lecture
-------
The questions are data (`questions.toml`, `paper`). One line of the quote is the job as the paper prices it,
a second what comes on top, a third new wood by the area, which is due only if it is found. With the tax t::

    bill = (price + what comes on top) (1 + t)

must not be above the cap, and the deposit not above the bill. What the paper does not say stays out of the
file, so that `lifecycle quote` names it as unsaid. The ways of spraying cost the paper's sum from then on,
and its warranty takes the place of the one that was told.

A room of its own beside the seven questions: another paper, other questions, and it is written into a file
that is there, comments kept. Left out: quotes line by line, which are written by hand
(`[[quotes.NAME.items]]`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lifecycle import files
from lifecycle.errors import Fault, ScenarioError
from lifecycle.interview.questions import NOT_SURE, Answers, Part, part_faults, part_of
from lifecycle.interview.typed import METRES_IN_A_FOOT
from lifecycle.interview.writing import COATING_QUOTE, noted
from lifecycle.reading.reader import is_number

PAPER = "paper"
"""Name of the quote in the file."""

AS_THEY_ARE = (
    "deposit", "cap", "quoted_length", "quoted_by", "warranty_years", "topcoat_years", "topcoat_price",
)  # fmt: skip
"""Lines that are entries of `[quotes.paper]` as they are."""


def paper_parts() -> Mapping[str, Part]:
    """Return what is asked of a quote on paper, by key, in the order of asking.

    Examples
    --------
    >>> next(iter(paper_parts()))
    'price'
    """
    return {part["key"]: part_of(part) for part in files.data("questions.toml")["paper"]}


def bill_of(lines: Answers) -> float:
    """Return what the paper asks for a sound job, with tax. [money]

    Examples
    --------
    >>> round(bill_of({"price": 8000, "extras": 200, "tax": 7.5}), 2)
    8815.0
    """
    price, extras, tax = (_number(lines, key) for key in ("price", "extras", "tax"))
    return (price + extras) * (1.0 + tax / 100.0)


def paper_faults(lines: Answers) -> tuple[Fault, ...]:
    """Return all that is wrong with the lines of a quote, lengths in feet; a bill over its cap too.

    Examples
    --------
    >>> [fault.place for fault in paper_faults({"price": 8000, "tax": 10, "cap": 8500})]
    ['paper.cap']
    """
    unknown, remedy = "is not a line of a quote", "read it from the paper"
    found = part_faults(lines, paper_parts(), PAPER, unknown, remedy)
    return tuple(found) if found else tuple(over_the_bill(lines))


def over_the_bill(lines: Answers) -> Iterator[Fault]:
    """Yield a cap that the bill is above, and a deposit that is above the bill."""
    bill, cap, deposit = bill_of(lines), _number(lines, "cap"), _number(lines, "deposit")
    if cap and bill > cap + 0.005:
        rule = f"is below the bill of {bill:,.2f}, with tax and what comes on top"
        yield Fault(f"{PAPER}.cap", rule, f"{cap:g}", "the bill is over its cap: ask which holds")
    if deposit > bill + 0.005:
        rule = f"is above the bill of {bill:,.2f}, with tax and what comes on top"
        yield Fault(f"{PAPER}.deposit", rule, f"{deposit:g}", "a deposit is part of the price")


def paper_quote(lines: Answers, units: str = "us") -> dict[str, Any]:
    """Return `[quotes.paper]` as a table, in the units of the scenario.

    Raises a `ScenarioError` with all that is wrong with the lines.
    """
    wrong = paper_faults(lines)
    if wrong:
        raise ScenarioError(wrong)
    said = {key: value for key, value in lines.items() if value != NOT_SURE}
    if units == "metric":
        foot = {"quoted_length": METRES_IN_A_FOOT, "wood": METRES_IN_A_FOOT**-2}
        said |= {key: round(said[key] * one, 4) for key, one in foot.items() if key in said}
    table: dict[str, Any] = {"title": files.data("questions.toml")["paper_titles"]["quote"]}
    if "tax" in said:
        table["tax"] = round(said["tax"] / 100.0, 6)
    table |= {key: said[key] for key in AS_THEY_ARE if key in said}
    if "warranty_in_writing" in said:
        table["in_writing"] = said["warranty_in_writing"]
    return {**table, "items": list(_items(said))}


def _items(said: Answers) -> Iterator[dict[str, Any]]:
    """Go through the lines that are priced."""
    words: Mapping[str, str] = files.data("questions.toml")["paper_titles"]

    def price(key: str) -> dict[str, Any]:
        return {"value": said[key], "basis": "offer", "note": words["states"]}

    covers = ["spray", *(part for part in ("topcoat", "fixtures") if said.get(part) is True)]
    yield {"what": words["job"], "price": price("price"), "covers": covers}
    if _number(said, "extras"):
        yield {"what": said.get("extras_what", words["extras"]), "price": price("extras")}
    if "wood" in said:
        covered = {"contingent": True, "covers": ["deck repair"]}
        yield {"what": words["wood"], "unit": "area", "price": price("wood"), **covered}


def _number(lines: Answers, key: str) -> float:
    """Return a number among the lines; 0 where there is none."""
    value = lines.get(key)
    return float(value) if is_number(value) else 0.0


def kept_paper(document: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return the quote on paper that stands in a scenario; None if there is none."""
    quotes = document.get("quotes")
    found = quotes.get(PAPER) if isinstance(quotes, Mapping) else None
    return dict(found) if isinstance(found, Mapping) else None


def with_paper(text: str, quote: Mapping[str, Any] | None) -> str:
    """Return a written scenario with a quote on paper, if there is one; all else as it was, comments too."""
    if quote is None:
        return text
    import tomlkit

    new_warranty = "warranty_years" in quote
    stale = [*noted("no_quote"), *noted("quote"), *(noted("warranty") if new_warranty else [])]
    kept = [line for line in text.splitlines(keepends=True) if not line.startswith(tuple(stale))]
    document: dict[str, Any] = tomlkit.parse("".join(kept))
    table = tomlkit.table()
    for key, value in quote.items():
        if key != "items":
            table.add(key, value)
    rows = tomlkit.aot()
    for item in quote["items"]:
        row = tomlkit.table()
        for key, value in item.items():
            row.add(key, files.on_one_line(value) if isinstance(value, Mapping) else value)
        rows.append(row)
    table.add("items", rows)
    section = tomlkit.table(is_super_table=True)
    section.add(PAPER, table)
    document["quotes"] = section
    for way in document["alternatives"].values():
        if way.get("then") == "coating":
            way["quote"] = PAPER
    document.get("figures", {}).pop(COATING_QUOTE, None)
    if new_warranty:
        for key in ("warranty_years", "warranty_share", "in_writing"):
            document["roofs"]["coating"].pop(key, None)
    return tomlkit.dumps(document)
