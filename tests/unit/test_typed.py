"""What people type: fifty ways of writing prices, ages, years and lengths, each read right or asked about.

The ways are invented, after how such things are said (common practice, no source); the numbers beside them
are what a reader of the line would write down.
"""

from __future__ import annotations

from datetime import date

import pytest

from lifecycle.interview import NOT_SURE, broken_rule, parts
from lifecycle.interview.typed import readings, understood

TODAY = date(2026, 11, 29)
ASKED = object()
"""It is asked about: no answer is made of it."""

WAYS = [
    # Prices.
    ("quote", "9k", 9000),
    ("quote", "9,200", 9200),
    ("quote", "$8,130", 8130),
    ("quote", "8 thousand", 8000),
    ("quote", "8.130", ASKED),
    ("quote", "8130.50", 8130.5),
    ("quote", "8 130", 8130),
    ("quote", "8.1K", 8100),
    ("quote", "about 8000", 8000),
    ("quote", "nine thousand two hundred", 9200),
    ("quote", "Eighty-one hundred", 8100),
    ("quote", "8 and a half thousand", 8500),
    ("quote", "8,130 USD", 8130),
    ("quote", "8,130 dollars, with tax", 8130),
    ("quote", "8,130 plus tax", ASKED),
    ("quote", "8,000-9,000", ASKED),
    ("quote", "between 8 and 9 thousand", ASKED),
    ("quote", "7,000 8,130 9,500", ASKED),
    ("quote", "8,5", ASKED),
    ("quote", "9,2000", ASKED),
    ("quote", "under 9k", ASKED),
    ("quote", "€8,130", ASKED),
    ("reseal_price", "0", ASKED),
    ("reseal_price", "six fifty", ASKED),
    ("reseal_price", "650 bucks", 650),
    ("hour_value", "$20 an hour", 20),
    ("hour_value", "25/h", 25),
    # Ages.
    ("roof_age", "14 months", 14),
    ("roof_age", "about 14 months", 14),
    ("roof_age", "18 months", 18),
    ("roof_age", "3 yrs", 36),
    ("roof_age", "new", 0),
    ("roof_age", "a year and a half", 18),
    ("roof_age", "1 1/2 years", 18),
    ("roof_age", "2½ years", 30),
    ("roof_age", "half a year", 6),
    ("roof_age", "2 years and 3 months", 27),
    ("roof_age", "2y3m", 27),
    ("roof_age", "twenty-one months", 21),
    ("roof_age", "2019", 88),
    ("roof_age", "2019 or 2020", ASKED),
    ("roof_age", "14", ASKED),
    ("roof_age", "a few years", ASKED),
    ("roof_age", "2 years 3", ASKED),
    ("roof_age", "not 3 years", ASKED),
    ("seal_age", "3 years ago", 36),
    ("seal_age", "never", "never"),
    ("seal_age", "last year", ASKED),
    # Years kept, and of a warranty.
    ("keep", "8", 8),
    ("keep", "8 years", 8),
    ("keep", "18 months", 1.5),
    ("keep", "until 2035", 9),
    ("keep", "2020", ASKED),
    ("keep", "6 10 15", {"low": 6, "likely": 10, "high": 15}),
    ("keep", "surely 6, likely 10, at most 15", {"low": 6, "likely": 10, "high": 15}),
    ("keep", "6 to 10 years", ASKED),
    ("keep", "at most 10", ASKED),
    ("keep", "forever", ASKED),
    ("warranty_years", "none", 0),
    ("warranty_years", "lifetime", ASKED),
    # Lengths, and months of the year.
    ("length", "26'", 26),
    ("length", "26-foot", 26),
    ("length", "26 ft 6 in", 26.5),
    ("length", "26' 6\"", 26.5),
    ("length", "7.9 m", 25.92),
    ("length", "26 x 8", ASKED),
    ("sheltered_share", "half the year", 0.5),
    ("sheltered_share", "3 months a year", 0.25),
    ("sheltered_share", "in winter", ASKED),
]


def test_at_least_fifty_ways_are_tried_and_none_twice() -> None:
    assert len({(key, typed) for key, typed, _ in WAYS}) == len(WAYS) >= 50


@pytest.mark.parametrize(("key", "typed", "meant"), WAYS)
def test_it_is_read_right_or_asked_about(key: str, typed: str, meant: object) -> None:
    part = parts()[key]
    found = understood(part, typed, TODAY)
    if meant is ASKED:
        assert broken_rule(part, found), found
    else:
        assert found == meant and broken_rule(part, found) is None


@pytest.mark.parametrize(
    "key", [key for key, part in parts().items() if part.not_sure and part.kind != "text"]
)
def test_not_sure_is_read_everywhere(key: str) -> None:
    assert understood(parts()[key], "No idea.", TODAY) == NOT_SURE


@pytest.mark.parametrize("junk", ["soon", "junk", "-", "xx", "please"])
@pytest.mark.parametrize(("key", "typed", "meant"), [way for way in WAYS if isinstance(way[2], int | float)])
def test_a_word_that_is_not_known_makes_the_whole_line_no_answer(
    key: str, typed: str, meant: object, junk: str
) -> None:
    for line in (f"{typed} {junk}", f"{junk} {typed}"):
        assert broken_rule(parts()[key], understood(parts()[key], line, TODAY)), line


def test_a_point_before_three_digits_can_be_two_numbers_of_money_only() -> None:
    assert readings(parts()["quote"], "8.130") == ("8,130", "8.13")
    assert readings(parts()["quote"], "8.13") is None
    assert readings(parts()["length"], "26.125") is None


@pytest.mark.parametrize("price", [1, 12, 999, 1000, 8130, 12345, 999999])
def test_a_price_is_the_same_however_its_thousands_are_set(price: int) -> None:
    part = parts()["quote"]
    written = (f"{price}", f"{price:,}", f"{price:,}".replace(",", " "), f"${price:,}.00", f"{price} USD")
    assert {understood(part, text) for text in written} == {price}
