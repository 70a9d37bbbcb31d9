"""Cleaning of looks, intervals and job sheets: what is read, what is left out and why, what is refused."""

from __future__ import annotations

import gzip
import re
from typing import Any

import numpy as np
import pytest

from lifecycle.errors import ScenarioError
from lifecycle.records.columns import ColumnMap, read_date, read_map
from lifecycle.records.demo import demo_looks, untidy
from lifecycle.records.hidden import read_job_sheets
from lifecycle.records.joints import epochs_of
from lifecycle.records.lives import lives_from_looks, read_intervals
from lifecycle.records.looks import END, LEAK, Looks, read_looks
from lifecycle.records.tables import Count, read_sheet
from tests.unit.shop_records import looks_text

PLANS = ("nothing", "only_looks")


def looks(rows: str, known: dict[str, Any] | None = None, head: str = "coach,date,seen,laid") -> Looks:
    return read_looks(read_sheet(f"{head}\n{rows}", "looks.csv"), read_map(known or {}))


def faults(rows: str, known: dict[str, Any] | None = None, head: str = "coach,date,seen,laid") -> str:
    with pytest.raises(ScenarioError) as caught:
        looks(rows, known, head)
    return str(caught.value)


def left_out(count: Count) -> dict[str, int]:
    return {drop.reason: drop.number for drop in count.drops}


# --- dates -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "2021-03-04",
        "2021/3/4",
        "20210304",
        "4.3.2021",
        "4 Mar 2021",
        "Mar 4, 2021",
        "March 2021",
        "2021-03-04T10:15",
    ],
)
def test_dates_that_say_what_they_mean(text: str) -> None:
    found = read_date(text)
    assert found is not None and found[:2] == (2021, 3)


@pytest.mark.parametrize(("form", "day"), [("m/d/y", (2021, 3, 4)), ("d/m/y", (2021, 4, 3))])
def test_a_date_of_two_meanings_means_what_the_map_says(form: str, day: tuple[int, int, int]) -> None:
    assert read_date("3/4/2021", [form]) == day


@pytest.mark.parametrize("text", ["3/4/21", "2021-13-01", "30.2.2021", "yesterday", "Sat 2021", "13/1/2021"])
def test_no_dates(text: str) -> None:
    assert read_date(text, ["m/d/y"]) is None


def test_a_date_of_two_meanings_is_asked_for_even_if_another_row_would_prove_it() -> None:
    said = faults("A,3/4/2021,fine,2015-01\nA,25/4/2021,fine,2015-01\n")
    assert "two ways" in said and "lines 2, 3" in said and "[dates] forms" in said


def test_dates_that_cannot_be_read_stop_or_are_counted() -> None:
    rows = "A,2021-01,fine,2015-01\nA,2021-14-01,fine,2015-01\nA,2022-01,fine,2015-01\n"
    assert "line 3" in faults(rows)
    found = looks(rows, {"dates": {"unreadable": "drop"}})
    assert left_out(found.account[0]) == {"a date that cannot be read": 1}


# --- words and columns -------------------------------------------------------------------------


def test_what_an_empty_cell_means_must_be_said() -> None:
    rows = "A,2021-01,,2015-01\nA,2022-01,leak,2015-01\n"
    assert "line 2" in faults(rows) and "blank" in faults(rows)
    fine = looks(rows, {"seen": {"blank": "fine"}})
    assert fine.seen.tolist() == [0, LEAK]
    not_looked = looks(rows, {"seen": {"blank": "not looked"}})
    assert not_looked.seen.tolist() == [LEAK]
    assert left_out(not_looked.account[0]) == {"not looked": 1}


def test_unknown_words_are_named_with_their_lines() -> None:
    said = faults("A,2021-01,wonky,2015-01\nB,2021-01,fine,2015-01\nB,2022-01,wonky,2015-01\n")
    assert '"wonky" on lines 2, 4' in said and "[seen]" in said


def test_missing_columns_are_named_with_what_they_are_for() -> None:
    said = faults("A,2021-01,fine,2015-01\n", head="coach,day,seen,lade")
    assert 'must have columns "date" (the day), "laid" (the day the roof was laid)' in said
    assert 'is "lade" your "laid"?' in said and said.count("a column map") == 1


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "an empty file"),
        ("coach,date\n", "a row of records"),
        ("a,b\n1,2\n1\n", "line 3"),
        ("a,a\n1,2\n", "must stand once"),
        ('a,b\n"1,2\n', "must be CSV"),
    ],
)
def test_files_that_are_no_sheets(text: str, said: str) -> None:
    with pytest.raises(ScenarioError, match=said):
        read_sheet(text, "x.csv")


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        ({"columns": {"coch": "x"}}, 'did you mean "coach"'),
        ({"dates": {"forms": ["m/d/y", "d/m/y"]}}, "cannot be m/d/y and d/m/y"),
        ({"seen": {"blank": "ok"}}, "must be one of: fine, not looked"),
        ({"seen": {"fine": ["x"], "leak": ["X"]}}, "cannot mean both"),
        ({"units": {"age": "days"}}, "must be one of: months, years"),
        ({"records": {"begin": "2016"}}, "must be a date"),
        ({"upkeep": {"weekly": ["x"]}}, "upkeep.weekly is not a known name"),
        ({"nonsense": 1}, "nonsense is not a known name"),
    ],
)
def test_maps_that_are_wrong(raw: dict[str, Any], said: str) -> None:
    with pytest.raises(ScenarioError, match=said):
        read_map(raw, "map.toml", PLANS)


COLUMNS, CELLS = ("coach", "date"), ("A", "2021-03")


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("packed", [False, True])
def test_tables_of_every_common_kind_are_one(separator: str, mark: str, packed: bool) -> None:
    content = f"{mark}{separator.join(COLUMNS)}\r\n{separator.join(CELLS)}\r\n".encode()
    sheet = read_sheet(gzip.compress(content, mtime=0) if packed else content, "x.csv")
    assert (sheet.names, sheet.rows, sheet.lines.tolist()) == (COLUMNS, [list(CELLS)], [2])
    assert sheet.column("COACH").tolist() == ["A"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (
            b"a,b\n1,2\n1,2,3\n",
            r"a row \(line 3\) must have 2 cells.*more on line 3: .*decimal comma as a point",
        ),
        (b"a,b\n1\n1,2\n", r"fewer on line 2"),
        (b"a,b\n1,2\n1", r"the last row \(line 3\) is cut off.*get it again"),
        (b'a,b\n1,2\n"1,', "a quotation mark is open at its end"),
        (b"A,b,a\n1,2,3\n", r'column "a" \(line 1\) must stand once; got columns 1 and 3'),
        (b"a,b\n1,\xe4\n", r"x.csv \(line 2\) must be text in UTF-8"),
        ("a,b\n1,2\n".encode("utf-16"), r"must be text"),
        (b"a,b\n" + b"x" * 1_000_001, "lines of fewer than 1,000,000 bytes"),
        (gzip.compress(b"a,b\n1,2\n" * 99, mtime=0)[:-9], "is cut off: its packing ends too early"),
    ],
)
def test_what_is_wrong_with_a_table_is_said_with_its_line(content: bytes, said: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        read_sheet(content, "x.csv")
    assert re.search(said, str(caught.value), re.DOTALL)


# --- the account -------------------------------------------------------------------------------


def test_every_row_is_used_or_left_out_for_one_reason() -> None:
    rows = (
        "A,2021-01,fine,2015-01\n,2021-01,fine,2015-01\nA,,fine,2015-01\nA,2021-01,fine,2015-01\n"
        "A,2014-01,fine,2015-01\nA,2022-05-02,fine,2015-01\nA,2022-05-30,leak,2015-01\n"
    )
    found = looks(rows)
    (count,) = found.account
    assert left_out(count) == {
        "no coach": 1,
        "no date": 1,
        "the same row twice": 1,
        "a look before the roof was laid": 1,
        "another look at the coach that month which saw no more": 1,
    }
    assert (count.found, count.kept) == (7, 2)
    assert found.seen.tolist() == [0, LEAK]


def test_an_account_that_does_not_add_up_cannot_be_made() -> None:
    with pytest.raises(ValueError, match="10 looks are not 0 left out and 9 kept"):
        Count("looks", 10, (), 9)


def test_untidy_looks_come_out_as_tidy_ones() -> None:
    """Three forms of dates, capitals, empty cells, rows twice: the same looks but for rows without a
    coach or a date."""
    drawn = demo_looks(150, np.random.default_rng(3))
    tidy = looks(looks_text(drawn).partition("\n")[2], head="coach,date,seen,reason,laid,resealed,leaks")
    known = {
        "columns": {
            "coach": "unit",
            "date": "inspected",
            "seen": "result",
            "leaks": "found",
            "reason": "why",
            "laid": "roof laid",
            "resealed": "joints redone",
        },
        "dates": {"forms": ["m/d/y"]},
        "seen": {"fine": ["ok"], "leak": ["wet inside"], "end": ["replaced"], "blank": "fine"},
        "reason": {"routine": ["annual"], "complaint": ["owner called"]},
    }
    rough = read_looks(read_sheet(untidy(drawn, np.random.default_rng(4)), "looks.csv"), read_map(known))
    (count,) = rough.account
    gone = left_out(count)
    assert set(gone) == {"no coach", "no date", "the same row twice"}
    assert count.kept == tidy.month.size - gone["no coach"] - gone["no date"]
    assert rough.leaks.sum() <= tidy.leaks.sum() and rough.leaks.sum() >= tidy.leaks.sum() - 8
    assert 0 <= (tidy.seen == END).sum() - (rough.seen == END).sum() <= 2


def test_no_identifier_and_no_day_is_kept() -> None:
    found = looks("secret plate,2021-01-17,fine,2015-01\n")
    assert "secret" not in repr(found)
    assert found.coach.tolist() == [0]
    assert found.covered == "2021-01 to 2021-01"


# --- lives -------------------------------------------------------------------------------------


def test_intervals_from_looks() -> None:
    """A: stands at 5 and 7, ended by 8. B: enters at 2, stands at 4. C: one look. D: seen at its end only."""
    found = lives_from_looks(
        looks(
            "A,2020-01,fine,2015-01\nA,2022-01,leak,2015-01\nA,2023-01,end,2015-01\n"
            "B,2022-01,fine,2020-01\nB,2024-01,fine,2020-01\nC,2020-01,fine,2015-01\nD,2020-01,end,2010-01\n"
        )
    )
    rows = sorted(zip(found.entry, found.lower, found.upper, strict=True))
    assert rows == [(2.0, 4.0, np.inf), (5.0, 7.0, 8.0)]
    assert left_out(found.account[-1]) == {
        "only seen at its end: it is in the records because it ended": 1,
        "a single look: nothing is known of it afterwards": 1,
    }


def test_where_the_records_begin_can_be_stated() -> None:
    """A roof first seen at its end then counts, from the age at which the records begin."""
    import datetime

    known = {"records": {"begin": datetime.date(2015, 1, 1), "all_from_begin": True}}
    found = lives_from_looks(looks("D,2020-01,end,2010-01\nE,2014-06,end,2010-01\n", known))
    assert (found.entry.tolist(), found.lower.tolist(), found.upper.tolist()) == ([5.0], [5.0], [10.0])
    assert left_out(found.account[-1]) == {"a life that ended before it could be in the records": 1}


def test_a_new_roof_on_the_same_coach_is_another_roof() -> None:
    found = lives_from_looks(
        looks(
            "A,2020-01,fine,2015-01\nA,2021-01,end,2015-01\nA,2021-06,fine,2021-02\nA,2023-02,fine,2021-02\n"
        )
    )
    assert found.roofs == 2 and found.ended == 1
    assert found.account[-1].found == 2


def test_ages_that_mix_months_and_years_are_found_out() -> None:
    """At 14 months and, a year later, at 26 months written as 2 years: the dates contradict it."""
    head = "coach,date,seen,age"
    known = {"units": {"age": "months"}}
    rows = "A,2020-01,fine,14\nA,2021-01,fine,2\nB,2020-01,fine,14\nB,2021-01,fine,26\n"
    found = lives_from_looks(looks(rows, known, head))
    assert found.roofs == 1
    mixed = "two days on which it was laid, and no end between: months and years mixed?"
    assert left_out(found.account[-1]) == {mixed: 2}
    assert "nothing says whether in months or in years" in faults(rows, {}, head)
    assert '"14 mo" on line 2' in faults("A,2020-01,fine,14 mo\n", known, head)


def intervals(rows: str) -> Any:
    return read_intervals(read_sheet(rows, "x.csv"), read_map({"units": {"age": "years"}}))


def test_ready_intervals() -> None:
    found = intervals("lower,upper,entry,count\n3,5,1,2\n4,,0,1\n")
    assert (found.roofs, found.ended, found.came_in_late) == (3, 2, 2)


def test_intervals_that_cannot_be_are_named_with_their_lines() -> None:
    with pytest.raises(ScenarioError) as caught:
        intervals("lower,upper,entry\n3,5,1\n3,2,0\n4,,9\n2,8,9\n")
    said = str(caught.value)
    assert "runs backwards; got line 3" in said
    assert "came in after that; got lines 4, 5" in said


# --- epochs ------------------------------------------------------------------------------------

HEAD = "coach,date,seen,laid,resealed,reason"


def test_the_window_of_joints_opens_and_closes_with_routine_looks() -> None:
    found = epochs_of(
        looks(
            "A,2020-01,leak,2019-01,,complaint\nA,2020-07,fine,2019-01,,routine\n"
            "A,2021-01,leak,2019-01,,complaint\nA,2021-07,fine,2019-01,,routine\n"
            "A,2022-01,leak,2019-01,,complaint\n",
            head=HEAD,
        )
    )
    assert (found.opens.tolist(), found.closes.tolist(), found.watched.tolist()) == ([18], [30], [29])
    assert (found.found, found.by_complaint, found.found_nothing) == (1, 1, 1)
    assert found.account[-1].kept == 2


def test_a_redoing_closes_one_epoch_and_opens_the_next_at_seal_age_nothing() -> None:
    found = epochs_of(
        looks(
            "A,2020-01,fine,2019-01,,routine\nA,2021-01,leak,2019-01,2021-01,routine\n"
            "A,2022-01,fine,2019-01,2021-01,routine\n",
            head=HEAD,
        )
    )
    assert found.opens.tolist() == [12, 0]
    assert found.closes.tolist() == [24, 12]
    assert found.found == 1


def test_joints_need_two_routine_looks() -> None:
    with pytest.raises(ScenarioError, match="two routine looks"):
        epochs_of(looks("A,2020-01,fine,2019-01,,routine\n", head=HEAD))


# --- job sheets --------------------------------------------------------------------------------


def sheets(text: str, known: ColumnMap | None = None) -> Any:
    return read_job_sheets(
        read_sheet(text, "s.csv"), known or read_map({"units": {"age": "months"}}, plans=PLANS)
    )


def test_only_planned_jobs_are_used_where_the_reason_is_said() -> None:
    found = sheets(
        "age,upkeep,deck,reason\n30,nothing,wet,routine\n40,nothing,rotten,complaint\n,nothing,wet,routine\n"
    )
    assert (found.roofs, found.not_sound, found.rotten) == (1, 1, 0)
    assert left_out(found.account[0]) == {"no age": 1, "stripped because of trouble, or no reason said": 1}


def test_two_sheets_alike_are_two_roofs_unless_they_are_named() -> None:
    assert sheets("age,upkeep,deck\n30,nothing,wet\n30,nothing,wet\n").roofs == 2
    assert sheets("coach,age,upkeep,deck\nA,30,nothing,wet\nA,30,nothing,wet\n").roofs == 1


def test_upkeep_must_be_known() -> None:
    with pytest.raises(ScenarioError, match="state one for all"):
        sheets("age,deck\n30,wet\n")
    with pytest.raises(ScenarioError, match='"weekly" is none, line 2'):
        sheets("age,upkeep,deck\n30,weekly,wet\n")
    known = read_map({"units": {"age": "months"}, "upkeep": {"all": "nothing"}}, plans=PLANS)
    assert sheets("age,deck\n30,wet\n", known).plans == ("nothing",)
