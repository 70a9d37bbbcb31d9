"""The command about the years after: a log held against its scenario, and a page for the buyer.

Lecture
-------
As in `commands`: it takes its arguments and returns the text that is printed. The page for the buyer
is written first aside and then put in its place.
"""

from __future__ import annotations

from argparse import Namespace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from lifecycle.cli.given import (
    check_draws,
    kind,
    loaded,
)
from lifecycle.errors import fault
from lifecycle.files import write
from lifecycle.language.lines import blocks, wrapped

if TYPE_CHECKING:
    from lifecycle.answers.logbook_answer import Years
    from lifecycle.records.handover import FilmCheck
    from lifecycle.records.logbook import Log
    from lifecycle.scenario import Scenario


def logbook(arguments: Namespace) -> str:
    """Answer whether the answer still stands, and what was spent; write a page for the buyer if asked.

    Parameters
    ----------
    arguments : Namespace
        file (the log), scenario, today, way, buyer, readings, film, draws, seed, json.

    Returns
    -------
    str
        The answer; with `buyer`, the page is written.

    Raises
    ------
    ScenarioError
        With what is wrong with the log, the scenario, the readings or the place of the page.
    """
    check_draws(arguments.draws, arguments.seed)
    page = _place_of_buyer(arguments.buyer) if arguments.buyer else None
    if arguments.readings and not page:
        raise fault("--readings", "belong to a page for the buyer", "", "add --buyer FILE.html")
    if arguments.film is not None and not arguments.readings:
        raise fault("--film", "belongs to film readings", str(arguments.film), "add --readings FILE.csv")
    today = _today(arguments.today)
    scenario = loaded(arguments.scenario)
    log = _log(arguments.file, scenario, today, arguments.way)
    film = _film(arguments.readings, arguments.film, scenario) if arguments.readings else None

    from lifecycle.studies.doubt import in_futures

    written = [_write_page(page, scenario, log, film)] if page else []
    if scenario.trouble:
        return _open_first(scenario, arguments.json, written)
    years = in_futures(lambda: _years(scenario, log, arguments.draws, arguments.seed))
    if arguments.json:
        from lifecycle.answers.logbook_result import logbook_result
        from lifecycle.writers import as_json

        return as_json(logbook_result(years))

    from lifecycle.answers import logbook_answer as said

    return blocks(
        [said.HEADING, scenario.title],
        wrapped(said.first_lines(years)),
        wrapped([said.way_line(years)]),
        said.account_table(years),
        wrapped(said.account_lines(years)),
        wrapped(said.leak_lines(years)),
        wrapped(said.remaining_lines(years)),
        wrapped(said.price_lines(years)),
        wrapped(said.notice_lines(years)),
        written,
    )


def _place_of_buyer(name: str) -> Path:
    """Check where the page for the buyer is to go, before anything is computed."""
    place = Path(name)
    if kind(place) != "html":
        raise fault("--buyer", "must name a file ending in .html", name, "name it buyer.html, for instance")
    if place.is_dir() or not place.parent.is_dir():
        raise fault("--buyer", "must name a file in a folder that exists", name, "make the folder first")
    return place


def _today(raw: str | None) -> date:
    """Return the day to which the log runs."""
    if raw is None:
        return date.today()
    try:
        return date.fromisoformat(raw)
    except ValueError:
        raise fault(
            "--today", "must be a day written as YYYY-MM-DD", raw, "for instance 2030-04-20"
        ) from None


def _log(file: str, scenario: Scenario, today: date, way: str | None) -> Log:
    """Read a log and hold it against its scenario."""
    from lifecycle.files import load_table, load_text
    from lifecycle.records.logbook import checked_log, kinds_of, read_csv, read_table

    ending = Path(file).suffix.lower()
    if ending not in (".toml", ".csv"):
        raise fault(file, "must be a log: a file ending in .toml or .csv", "", "save it as one of them")
    text, kinds = load_text(file), kinds_of(scenario)
    written = (
        read_csv(text, file, kinds) if ending == ".csv" else read_table(load_table(file), text, file, kinds)
    )
    return checked_log(
        written.entries, scenario, today, way=way or written.way, source=file, faults=written.faults
    )


def _film(readings: str, film: float | None, scenario: Scenario) -> FilmCheck:
    """Read film readings and hold them against the film promised."""
    from lifecycle.answers.buyer_page import promised_film
    from lifecycle.files import load_text
    from lifecycle.records.handover import check_film, read_readings

    promised = film if film is not None else promised_film(scenario)
    if promised is None or not 0.0 < promised < float("inf"):
        got = "nothing" if promised is None else str(promised)
        raise fault("--film", "must be the dry film promised, above 0", got, "the film of the quote")
    return check_film(read_readings(load_text(readings), readings), promised)


def _write_page(place: Path, scenario: Scenario, log: Log, film: FilmCheck | None) -> str:
    """Write the page for the buyer, and say where it is."""
    from lifecycle.answers.buyer_page import buyer_sheet
    from lifecycle.writers.html import as_html

    write(place, as_html(buyer_sheet(scenario, log, film)).encode("utf-8"))
    return f"Page for the buyer: {place}"


def _open_first(scenario: Scenario, json: bool, written: list[str]) -> str:
    """Return the answer where trouble is reported."""
    from lifecycle.answers.shared import SCHEMA, trouble_reason
    from lifecycle.language.words import open_it_first
    from lifecycle.writers import as_json

    if json:
        reason = trouble_reason(scenario.trouble)
        return as_json(
            {"schema": SCHEMA, "title": scenario.title, "answer": None, "reasons": {"answer": reason}}
        )
    return blocks(wrapped(open_it_first(scenario.trouble)), written)


def _years(scenario: Scenario, log: Log, draws: int, seed: int) -> Years:
    """Hold a log against its scenario."""
    from lifecycle.answers.logbook_answer import Years
    from lifecycle.records import logged_years
    from lifecycle.records.from_today import from_today
    from lifecycle.records.so_far import prices_paid, so_far
    from lifecycle.scenario import resolve
    from lifecycle.studies.doubt import futures

    drawn = futures(scenario, draws=draws, seed=seed)
    case = resolve(scenario, drawn.sample.values)
    seen = logged_years.seen(case, log, draws)
    account = so_far(scenario, log, drawn, seed=seed)
    other = None
    if account.other is not None:
        found = logged_years.found_as_planned(case, account.other, log.months, draws)
        other = logged_years.rate_of(found, drawn.weights, log.leaks)
    after = logged_years.weighed(drawn, seen.log_likelihood)
    return Years(
        scenario=scenario,
        log=log,
        account=account,
        rate=logged_years.rate_of(seen.found, drawn.weights, log.leaks),
        other_rate=other,
        prices=prices_paid(scenario, log),
        today=from_today(scenario, log, drawn, after) if log.sale is None else None,
        doubted=bool(drawn.sample.values),
    )
