"""Quantities: units at the border, bounds, and the text of numbers."""

from __future__ import annotations

import math
from dataclasses import MISSING
from dataclasses import fields as members

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lifecycle import files, roofs
from lifecycle.quantities import (
    CONVERSIONS,
    FieldInfo,
    Figure,
    clip_to_bounds,
    convert,
    money_text,
    number_text,
    rounded,
    unit_text,
)

GROUPS = {"price", "life", "leak", "looks", "damage", "time", "money", "owner", "place", "text"}
SHARE = FieldInfo("finds", "visits", "chance that it finds a leak", unit="-", low=0.0, high=1.0, ranged=True)


def figure(low: float, likely: float, high: float) -> Figure:
    """Return a figure of the field `SHARE`."""
    return Figure("visits.finds", likely, low, high, "normal", "judgement", "", "", SHARE)


# Exact by definition: the foot and pound of 1959, the gallon of 231 cubic inches, the two fixed
# points of the Fahrenheit scale (from memory). Tolerance: rounding of a double.
@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [
        (1.0, "ft", "m", 0.3048),
        (12.0, "in", "mm", 304.8),
        (1000.0, "mil", "mm", 25.4),
        (1.0, "sq ft", "m2", 0.09290304),
        (1.0, "US gal", "L", 231 * 2.54**3 / 1000),
        (1.0, "lb", "kg", 0.45359237),
        (32.0, "F", "C", 0.0),
        (212.0, "F", "C", 100.0),
        (-40.0, "F", "C", -40.0),
        (0.3048, "money/ft", "money/m", 1.0),
        (0.09290304, "money/sq ft", "money/m2", 1.0),
    ],
)
def test_conversions_at_their_definitions(value: float, unit: str, to: str, expected: float) -> None:
    assert convert(value, unit, to) == pytest.approx(expected, rel=1e-14, abs=1e-12)
    assert convert(expected, to, unit) == pytest.approx(value, rel=1e-14, abs=1e-12)


@given(st.sampled_from(sorted(CONVERSIONS)), st.floats(-1e6, 1e6))
def test_there_and_back_is_where_it_began(unit: str, value: float) -> None:
    metric = CONVERSIONS[unit][0]
    assert convert(convert(value, unit, metric), metric, unit) == pytest.approx(value, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize(
    ("unit", "to"), [("ft", "kg"), ("years", "m"), ("money/ft", "money/kg"), ("m", "mm")]
)
def test_units_of_different_things_do_not_convert(unit: str, to: str) -> None:
    with pytest.raises(ValueError, match="no conversion"):
        convert(1.0, unit, to)


def test_draws_outside_the_bounds_are_moved_and_counted() -> None:
    values, moved = clip_to_bounds(figure(0.7, 0.9, 1.0), np.array([-0.5, 0.0, 0.4, 1.0, 1.2]))
    assert values.tolist() == [0.0, 0.0, 0.4, 1.0, 1.0]
    assert moved == 2


def test_draws_inside_the_bounds_stay() -> None:
    drawn = np.linspace(0.0, 1.0, 11)
    values, moved = clip_to_bounds(figure(0.0, 0.5, 1.0), drawn)
    assert moved == 0
    assert values.tolist() == drawn.tolist()


def test_a_figure_is_ranged_if_its_ends_differ() -> None:
    assert figure(0.1, 0.2, 0.3).ranged
    assert not figure(0.2, 0.2, 0.2).ranged


@pytest.mark.parametrize(
    ("amount", "expected"),
    [(7100.0, "7,100"), (0.5, "1"), (-0.4, "0"), (-1234567.5, "-1,234,568"), (999.4999, "999")],
)
def test_money_is_whole_with_thousands_separators(amount: float, expected: str) -> None:
    assert money_text(amount) == expected


def test_money_signs_and_currency() -> None:
    assert money_text(-250.0, sign="none") == "250"
    assert money_text(250.0, sign="both") == "+250"
    assert money_text(0.2, sign="both") == "0"
    assert money_text(-250.0, "EUR") == "-250 EUR"
    with pytest.raises(ValueError, match="sign must be"):
        money_text(1.0, sign="plus")


@pytest.mark.parametrize("amount", [math.nan, math.inf, -math.inf])
def test_money_that_is_no_amount_is_refused(amount: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        money_text(amount)
    with pytest.raises(ValueError, match="finite"):
        rounded(amount)


@given(st.floats(-1e9, 1e9))
def test_a_rounded_amount_is_within_its_two_digits(amount: float) -> None:
    text = rounded(amount)
    value = float(text.replace(",", ""))
    size = abs(amount)
    step = 10.0 ** max(0, math.floor(math.log10(size)) - 1) if size >= 1 else 1.0
    assert abs(value - size) <= step / 2 + 1e-6
    assert len(text.replace(",", "").rstrip("0")) <= 2


@pytest.mark.parametrize(
    ("value", "expected"),
    [(3.0, "3"), (1200.0, "1,200"), (0.0752, "0.0752"), (12345678.5, "12,345,678"), (math.inf, "endless")],
)
def test_number_text(value: float, expected: str) -> None:
    assert number_text(value) == expected


def test_a_rule_is_said_in_the_units_of_the_file() -> None:
    length = files.fields()["coach"]["length"]
    assert length.rule("metric") == "must be a number from 1 to 40 m"
    assert length.rule("us") == "must be a number from 3.28084 to 131.234 ft"
    assert files.fields()["visits"]["every"].rule() == "must be a whole number from 1 to 1,200 months"


def test_units_read_on_behind_a_number() -> None:
    assert unit_text("money/h", "USD") == " USD an hour"
    assert unit_text("leaks/year") == " leaks a year"


def test_the_field_metadata_is_whole() -> None:
    for section, names in files.fields().items():
        for name, field in names.items():
            place = f"{section}.{name}"
            assert field.label and field.term, place
            assert field.group in GROUPS, place
            assert field.low <= field.high, place
            assert field.required or field.default, place
            assert field.kind != "number" or field.unit, place
            assert not (field.kind == "choice" and not field.choices), place
            assert field.help or section in (
                "coach",
                "penetrations",
                "climate",
                "places",
                "quotes",
                "items",
                "answers",
                "loan",
            ), place


def test_units_of_the_metadata_convert() -> None:
    for names in files.fields().values():
        for field in names.values():
            for unit in (field.unit_us, field.unit_metric):
                assert math.isfinite(convert(1.0, unit, field.unit))


@pytest.mark.parametrize(
    ("section", "resolved", "not_stated"),
    [
        ("visits", roofs.Visit, set()),
        ("roofs", roofs.Roof, {"name"}),
        ("leaks", roofs.Leaks, set()),
        ("hidden_now", roofs.HiddenLeak, set()),
        ("existing", roofs.Existing, {"found_at_least"}),
        ("loan", roofs.Loan, set()),
    ],
)
def test_every_number_of_the_model_has_a_field(section: str, resolved: type, not_stated: set[str]) -> None:
    names = {member.name for member in members(resolved)} - not_stated
    assert names <= set(files.fields()[section])


@pytest.mark.parametrize(
    ("section", "resolved"), [("visits", roofs.Visit), ("roofs", roofs.Roof), ("leaks", roofs.Leaks)]
)
def test_defaults_of_the_metadata_are_those_of_the_model(section: str, resolved: type) -> None:
    compared = 0
    for member in members(resolved):
        field = files.fields()[section].get(member.name)
        if field is None or field.kind != "number" or member.name == "defect_life":
            continue
        assert field.required == (member.default is MISSING), member.name
        if not field.required:
            default = None if field.default == "never" else float(field.default)
            assert default == member.default, member.name
            compared += 1
    assert compared >= 6
