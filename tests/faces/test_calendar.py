"""The upkeep calendar: every job of the plan on its day, valid for other programs, nothing of the machine."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import icalendar
import pytest

import lifecycle
from lifecycle.evaluation.expectation import chains
from lifecycle.files import data, loads
from lifecycle.kinds import COVERINGS
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.upkeep_calendar import (
    CHANGE,
    END,
    FIRST_LOOK,
    OWNER,
    RESEAL,
    REVIEW,
    SHOP,
    TOPCOAT,
    WARRANTY,
    Job,
    dated_jobs,
    day_after,
)
from lifecycle.writers.calendar import PRODUCT, as_calendar

EXAMPLE = "scenarios/worked-example-2.toml"
COAST = "scenarios/humid-coast-motorhome.toml"


@pytest.fixture(scope="module")
def example() -> Scenario:
    return lifecycle.load(EXAMPLE)


@pytest.fixture(scope="module")
def coast() -> Scenario:
    return lifecycle.load(COAST)


def events(content: bytes) -> list[Any]:
    return list(icalendar.Calendar.from_ical(content).walk("VEVENT"))


def of_plan(jobs: tuple[Job, ...]) -> list[Job]:
    return [job for job in jobs if job.every is not None]


@pytest.mark.parametrize("way", ["keep", "coat_now", "coat_later", "coat_at_end"])
def test_the_jobs_are_those_of_the_model(example: Scenario, way: str) -> None:
    """The spells of the evaluation say in which months which visits are due."""
    case = resolve(example)
    chain = chains(case)[way]
    end = round(12.0 * float(case.terms.holding_period))
    due = {
        (month, visit.name)
        for laid, spell in ((0, chain.existing), (chain.planned, chain.following))
        if laid is not None
        for month, visits in enumerate(spell.course.due, start=laid)
        for visit in visits
        if month < end
    }
    jobs = of_plan(dated_jobs(example, way))
    assert {(job.month, job.name) for job in jobs} == due
    assert len(jobs) == len(due) > 0
    assert all(job.day == day_after(example.base_date, job.month) for job in jobs)


def test_dates_by_hand(example: Scenario) -> None:
    """Reseal overdue today, then each 36 months; none in the year before the change in month 60."""
    reseals = [job.day for job in dated_jobs(example, "keep") if job.kind == RESEAL]
    assert reseals == [date(2027, 4, 1), date(2030, 4, 1), date(2033, 4, 1)]
    later = dated_jobs(example, "coat_later")
    assert [job.day for job in later if job.kind == RESEAL] == [date(2027, 4, 1), date(2030, 4, 1)]
    assert [job.day for job in later if job.kind == CHANGE] == [date(2032, 4, 1)]
    looks = [job for job in later if job.name == "inspection" and job.month > 60]
    assert [job.day for job in looks[:2]] == [date(2032, 10, 1), date(2033, 4, 1)]
    assert {job.covering for job in looks} == {"coating"}
    assert not [job for job in later if job.kind == TOPCOAT]  # due in month 60 + 96, long sold


def test_occasions(coast: Scenario) -> None:
    jobs = dated_jobs(coast, "coat_now")
    assert [job.kind for job in jobs[:2]] == [FIRST_LOOK, CHANGE]
    assert [job.month for job in jobs if job.kind == REVIEW] == list(range(12, 120, 12))
    warranty = next(job for job in jobs if job.kind == WARRANTY)
    assert (warranty.day, warranty.ends) == (date(2037, 3, 1), date(2037, 4, 1))
    assert jobs[-1].kind == END and jobs[-1].day == date(2037, 4, 1)
    assert not [job for job in dated_jobs(coast, "keep") if job.kind in (WARRANTY, CHANGE)]


def test_who_does_it_follows_from_the_figures(coast: Scenario) -> None:
    by = {(way, job.name): job.by for way in ("keep", "keep_touched_up") for job in dated_jobs(coast, way)}
    assert by["keep", "reseal"] == SHOP
    assert by["keep_touched_up", "own touch-up"] == OWNER


def test_a_month_later_than_the_last_of_january() -> None:
    assert day_after(date(2028, 1, 31), 1) == date(2028, 2, 29)
    assert day_after(date(2027, 1, 31), 13) == date(2028, 2, 29)
    assert day_after(date(2027, 12, 31), 2) == date(2028, 2, 29)


def test_another_program_can_read_it(coast: Scenario) -> None:
    content = as_calendar(coast, "keep")
    whole = icalendar.Calendar.from_ical(content)
    assert str(whole["PRODID"]) == PRODUCT and str(whole["VERSION"]) == "2.0"
    assert not whole.errors and not [event for event in events(content) if event.errors]
    assert content.endswith(b"END:VCALENDAR\r\n")
    assert max(map(len, content.split(b"\r\n"))) <= 75  # RFC 5545, 3.1: octets of a line
    names = [str(event["UID"]) for event in events(content)]
    assert len(set(names)) == len(names) == len(dated_jobs(coast, "keep"))
    for event in events(content):
        assert event["DTSTAMP"].dt == datetime(2027, 4, 1, tzinfo=UTC)
        assert event["DTEND"].dt - event["DTSTART"].dt == timedelta(days=1)
        assert str(event["TRANSP"]) == "TRANSPARENT"
    assert content == as_calendar(coast, "keep")


def test_what_an_event_says(coast: Scenario) -> None:
    said = {str(event["SUMMARY"]): str(event["DESCRIPTION"]) for event in events(as_calendar(coast, "keep"))}
    reseal = said["Reseal all joints (reseal): a shop"]
    assert "300 to 2,000 USD (most likely 1,000), at prices of April 2027" in reseal
    assert "0.5 to 2 days (most likely 1)" in reseal
    assert "Ask the maker" in reseal and "Tie the ladder" not in reseal
    own = events(as_calendar(coast, "keep_touched_up"))
    touch_up = next(str(event["DESCRIPTION"]) for event in own if "own touch-up" in event["SUMMARY"])
    assert "Your time: 2 to 4 hours (most likely 3)" in touch_up
    assert "Tie the ladder" in touch_up and "soft, spongy" in touch_up
    first = next(str(event["DESCRIPTION"]) for event in own if event["DTSTART"].dt == date(2027, 4, 1))
    assert "moisture" in first


def test_its_name_says_which_way_it_is_of(coast: Scenario) -> None:
    assert as_calendar(coast, None) == as_calendar(coast, coast.base_case.name)
    title = coast.alternatives[0].title
    assert str(icalendar.Calendar.from_ical(as_calendar(coast, "keep"))["X-WR-CALNAME"]).endswith(title)


def test_with_trouble_there_is_one_thing_to_do() -> None:
    found = events(as_calendar(lifecycle.load("scenarios/trouble-reported.toml"), None))
    assert [str(event["SUMMARY"]) for event in found] == ["Open it first"]


def test_awkward_titles_stay_texts() -> None:
    text = Path(EXAMPLE).read_text(encoding="utf-8")
    title = 'a; b, c\\\\nBEGIN:VEVENT \\"q\\" 🚐 אב'
    awkward = loads(text.replace("Keep the membrane, resealed every third year", title + " x" * 300))
    found = events(as_calendar(awkward, "keep"))
    plain = events(as_calendar(loads(text), "keep"))
    assert len(found) == len(plain)
    lines = str(found[0]["DESCRIPTION"]).splitlines()
    assert lines[-1].startswith('Plan: "a; b, c\\nBEGIN:VEVENT "q" 🚐 אב x x') and lines[-1].endswith('…".')


def test_every_text_is_there_for_every_covering() -> None:
    texts = data("upkeep.toml")
    used = set()
    for kind in texts["kinds"].values():
        assert set(kind["do"]) == {covering.kept_as for covering in COVERINGS.values()}
        used |= {*kind["mind"], *kind.get("mind_sprayed", ())}
    assert used == set(texts["mind"])


def test_nothing_of_the_machine_is_in_it(coast: Scenario) -> None:
    content = as_calendar(coast, "coat_now").decode()
    assert str(Path.cwd()) not in content and "@" not in content
