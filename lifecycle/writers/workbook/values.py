"""Pages of values: what the workbook is and how to use it, every figure that it rests on, and how sure it is.

Lecture
-------
Two figures may be changed in the workbook: the discount rate and the years kept. They stand first among the
assumptions, in cells of their own colour, and the formulas follow them. All other figures went into the
amounts that the model worked out; they are shown with range, basis and source, and are changed in the
scenario file.

*Doubt* is what nobody knows for sure: each way in a thousand futures that could all be true. *Luck* is what
happens to one coach, every figure at its likely value; it stands apart and is named. Both are results of many
runs of the model, which a spreadsheet cannot repeat; so they do not follow the cells that may be changed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import lifecycle
from lifecycle.evaluation.comparison import Comparison
from lifecycle.evaluation.compiled.library import form
from lifecycle.language.labels import BASES, HEADINGS, input_name, years_text
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import Verdict
from lifecycle.scenario import Scenario, Stated, Use
from lifecycle.studies.assessment import Assessment
from lifecycle.studies.doubt import Band
from lifecycle.studies.register import Entry, entry
from lifecycle.writers.workbook.account import ASSUMPTIONS, DOUBT, RATE_NAME, READ_ME, WAYS, YEARS_NAME
from lifecycle.writers.workbook.cells import CHANGE, MONEY, NUMBER, SHARE, YEAR, Book, Page, cell

VALUE = 2
"""Column of the value."""


def write_read_me(book: Book, comparison: Comparison, verdict: Verdict, *, doubt: bool) -> None:
    """Write what the workbook is, what the answer is, and how to use it."""
    scenario = comparison.scenario
    page = book.page(READ_ME, [22, 90])
    page.sentence(0, say("workbook.read_me.title"), "title")
    page.text(1, 0, say("workbook.read_me.about"), "label")
    page.text(1, 1, scenario.title, "label", most=500)
    row = 2
    for head, line in _read_me(comparison, verdict, doubt):
        page.text(row, 0, head, "label" if head else "plain")
        page.text(row, 1, line)
        row += 1
    page.freeze(1)


def _read_me(comparison: Comparison, verdict: Verdict, doubt: bool) -> Iterator[tuple[str, str]]:
    """Go through the lines of the first page: a head or nothing, and a text."""
    scenario, said = comparison.scenario, words("workbook.read_me")
    if is_invented(scenario):
        yield said["invented_head"], said["invented"]
    yield from _headed(said["answer"], (*verdict.lines, *verdict.beside))
    if comparison.ways:
        titles = enumerate((way.title for way in comparison.ways.values()), start=1)
        yield from _headed(
            said["ways"],
            [say("workbook.read_me.way", number=number, title=title) for number, title in titles],
        )
        kept, shown = years_text(comparison.holding_period), years_text(comparison.study_period)
        yield said["kept_head"], say("workbook.read_me.kept", kept=kept, shown=shown)
        use = [say("workbook.read_me.change", assumptions=ASSUMPTIONS), said["shown"]]
        yield from _headed(
            said["use_head"], [*use, *([say("workbook.read_me.averages", doubt=DOUBT)] if doubt else [])]
        )
        names = {**words("workbook.pages"), "ways": said["all_ways"]}
        pages = {
            names[page]: text for page, text in words("workbook.on_page").items() if doubt or page != "doubt"
        }
        yield from _headed(
            said["pages"],
            [say("workbook.read_me.page", name=name, text=text) for name, text in pages.items()],
        )
    else:
        yield said["pages"], say("workbook.read_me.nothing_compared", assumptions=ASSUMPTIONS)
    yield from _headed(said["mind_head"], said["mind"])
    yield said["date_head"], say("workbook.read_me.date", date=f"{scenario.base_date:%d %B %Y}")
    yield said["currency_head"], scenario.currency
    yield said["made_by_head"], say("workbook.read_me.made_by", version=lifecycle.__version__, form=form())
    yield said["file_head"], say("workbook.read_me.file", digest=scenario.sha256)


def _headed(head: str, lines: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Put a head before the first of some lines."""
    for place, line in enumerate(lines):
        yield (head if place == 0 else ""), line


def is_invented(scenario: Scenario) -> bool:
    """Whether a scenario says that figures of it are invented."""
    figures = scenario.inputs.values()
    said = [scenario.title, *(figure.note for figure in figures)]
    return any(figure.basis == "demo" for figure in figures) or any(
        "invented" in text.lower() for text in said
    )


def write_assumptions(book: Book, scenario: Scenario) -> None:
    """Write every figure with its range, basis and source; name the two that formulas use."""
    page = book.page(ASSUMPTIONS, [32, 20, 11, 12, 10, 10, 11, 17, 36, 16, 34])
    page.sentence(0, HEADINGS["figures"], "title")
    heads = words("workbook.assumptions.heads")
    page.texts(2, 0, heads, "head left")
    used: dict[str, Stated] = {
        RATE_NAME: scenario.study["discount_rate"],
        YEARS_NAME: scenario.owner["holding_period"],
    }
    page.text(3, 0, say("workbook.assumptions.changed_here"), "heading")
    row = 4
    for name, stated in used.items():
        if isinstance(stated, Use):
            _write_entry(page, row, scenario, stated.path, CHANGE)
        else:
            page.texts(row, 0, (name.replace("_", " "), name))
            page.number(row, VALUE, stated, CHANGE)
        book.name(name, ASSUMPTIONS, cell(row, VALUE, fixed=True))
        row += 1
    page.text(row + 1, 0, say("workbook.assumptions.shown"), "heading")
    row += 2
    paths = {stated.path for stated in used.values() if isinstance(stated, Use)}
    for path in scenario.inputs:
        if path not in paths:
            _write_entry(page, row, scenario, path, NUMBER)
            row += 1
    page.print_columns(len(heads) - 1, row)
    page.freeze(3, 1, repeat=True)


def _write_entry(page: Page, row: int, scenario: Scenario, path: str, look: str) -> None:
    """Write one figure."""
    figure = scenario.inputs[path]
    line: Entry = entry(figure, scenario)
    amount = line.amount
    page.texts(row, 0, (input_name(figure), line.term))
    page.number(row, VALUE, amount.likely, look)
    page.text(row, VALUE + 1, line.unit, "behind")
    if amount.shape:
        page.number(row, VALUE + 2, amount.low, NUMBER)
        page.number(row, VALUE + 3, amount.high, NUMBER)
        page.text(row, VALUE + 4, amount.shape, "behind")
    said = "; ".join(part for part in (line.source, line.note) if part)
    own = f"{line.own.text} {line.unit}".strip() if line.own is not None and line.changed else ""
    page.texts(row, VALUE + 5, (BASES[line.basis], said, own, path))


POINTS = ("mean", "p10", "p50", "p90")
"""Figures of a band."""

TOGETHER = "together"
"""How the share of no single figure is called."""


def write_doubt(book: Book, found: Assessment) -> None:
    """Write what doubt and luck say."""
    names = found.doubt.names
    titles = {way.name: way.title for way in found.scenario.alternatives}
    heads = [
        say("workbook.read_me.way", number=number, title=titles[name])
        for number, name in enumerate(names, start=1)
    ]
    page = book.page(DOUBT, [48, 10, 4, *[16] * len(names)])
    drawn = found.doubt.futures
    page.sentence(0, HEADINGS["doubt"], "title")
    note = say(
        "workbook.doubt.note",
        draws=f"{drawn.sample.draws:,}",
        seed=drawn.sample.seed,
        effective=f"{drawn.effective:,.0f}",
        currency=found.scenario.currency,
        kept=years_text(found.doubt.years),
    )
    page.sentence(1, note, "note")
    rows = _Rows(page, heads, 3)
    costs = {name: found.doubt.band(found.doubt.cost(name)) for name in names}
    rows.heading(say("workbook.doubt.costs"))
    rows.band([costs[name] for name in names])
    others = [name if name in found.net_savings else None for name in names]
    if found.net_savings:
        rows.heading(say("workbook.doubt.savings"))
        savings = [None if name is None else found.doubt.net_savings(name) for name in others]
        rows.band([None if values is None else found.doubt.band(values) for values in savings])
    _choice(rows, found, names)
    for point in POINTS:
        rows.heading(say("workbook.doubt.cost_by_year", point=_called(point)))
        rows.by_year([found.costs[name] for name in names], point)
    for point in POINTS if found.net_savings else ():
        rows.heading(say("workbook.doubt.savings_by_year", point=_called(point)))
        rows.by_year([None if name is None else found.net_savings[name] for name in others], point)
    _worth_knowing(rows, found)
    _luck(rows, found, names)
    page.freeze(2)


class _Rows:
    """Rows of the page, written from top to bottom."""

    def __init__(self, page: Page, heads: Sequence[str], row: int) -> None:
        self.page, self.heads, self.at = page, heads, row

    def heading(self, text: str, *, ways: bool = True) -> None:
        """Write a heading, with the heads of the ways under it."""
        self.at += 1
        self.page.text(self.at, 0, text, "heading")
        self.at += 1
        if ways:
            self.page.titles(self.at, WAYS, self.heads)
            self.at += 1

    def line(self, label: str | float, values: Iterable[float | None], look: str = MONEY) -> None:
        """Write a line: a label or a year, and a value for each way."""
        if isinstance(label, str):
            self.page.text(self.at, 0, label)
        else:
            self.page.number(self.at, 0, label, YEAR)
        for place, value in enumerate(values):
            if value is not None:
                self.page.number(self.at, WAYS + place, value, look)
        self.at += 1

    def band(self, bands: Sequence[Band | None]) -> None:
        """Write a band at one time, a line for each of its figures."""
        for point in POINTS:
            self.line(_called(point), (_at(band, point) for band in bands))

    def by_year(self, bands: Sequence[Band | None], point: str) -> None:
        """Write one figure of a band by year of sale."""
        years = next(len(band.mean) for band in bands if band is not None)
        for year in range(1, years):
            self.line(year, (None if band is None else float(getattr(band, point)[year]) for band in bands))


def _called(point: str) -> str:
    """Return what a figure of a band is called."""
    return say(f"workbook.doubt.points.{point}")


def _at(band: Band | None, point: str) -> float | None:
    """Return one figure of a band that is no curve."""
    return None if band is None else float(getattr(band, point))


def _choice(rows: _Rows, found: Assessment, names: Sequence[str]) -> None:
    """Write who is cheapest how often, and what a wrong choice costs."""
    choosing, base = found.choosing, found.doubt.base_case
    rows.heading(say("workbook.doubt.choosing"))
    rows.line(say("workbook.doubt.cheapest"), _pick(choosing.chance_cheapest, names), SHARE)
    cheaper = (choosing.chance_cheaper[name].get(base) for name in names)
    rows.line(say("workbook.doubt.cheaper"), cheaper, SHARE)
    rows.line(say("workbook.doubt.loss"), _pick(choosing.opportunity_loss, names))


def _pick(values: Mapping[str, float], names: Sequence[str]) -> list[float]:
    """Return values in the order of the ways."""
    return [values[name] for name in names]


def _worth_knowing(rows: _Rows, found: Assessment) -> None:
    """Write what finding out is worth, and which figures the doubt comes from."""
    knowing, inputs = found.knowing, found.scenario.inputs
    if knowing is None:
        return
    rows.heading(say("workbook.doubt.knowing"), ways=False)
    rows.line(say("workbook.doubt.everything"), [knowing.total])
    for group, worth in knowing.by_group.items():
        rows.line(say("workbook.doubt.group", group=group), [worth])
    for path, worth in knowing.by_input.items():
        rows.line(input_name(inputs[path]), [worth])
    if knowing.look is not None:
        rows.line(say("workbook.doubt.look"), [knowing.look])
    together = say("doubt.basis.together")
    rows.heading(say("workbook.doubt.shares"), ways=False)
    for path, share in sorted(knowing.share_by_input.items(), key=lambda pair: -pair[1]):
        label = together if path == TOGETHER else input_name(inputs[path])
        rows.line(label, [share], SHARE)
    rows.heading(say("workbook.doubt.by_basis"), ways=False)
    for basis, share in knowing.share_by_basis.items():
        rows.line(BASES.get(basis, together), [share], SHARE)


def _luck(rows: _Rows, found: Assessment, names: Sequence[str]) -> None:
    """Write what may happen to one coach."""
    if not found.luck:
        return
    year = max(1, int(found.doubt.years + 1e-9))
    rows.heading(say("workbook.doubt.luck", year=year, lives=f"{found.lives:,}"))
    for point in POINTS:
        rows.line(
            say("workbook.doubt.luck_cost", point=say(f"workbook.doubt.coaches.{point}")),
            (float(getattr(found.luck[name].cost, point)[year]) for name in names),
        )
    for chance in words("workbook.doubt.chances"):
        amount = {"amount": f"{found.large_bill:,.0f}"} if chance == "chance_of_large_bill" else {}
        rows.line(
            say("workbook.doubt.chance", what=say(f"workbook.doubt.chances.{chance}", **amount)),
            (float(getattr(found.luck[name], chance)[year]) for name in names),
            SHARE,
        )
