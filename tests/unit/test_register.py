"""The register of assumptions: complete, with bases, counted, and true about the joint bands."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from lifecycle import files
from lifecycle.quantities import BASES, FieldInfo, Figure
from lifecycle.scenario import replaced
from lifecycle.studies.implied import shipped_membrane
from lifecycle.studies.register import GIVES_WAY, register

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
COAST = next(path for path in SCENARIOS if path.stem == "humid-coast-motorhome")


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_input_of_a_shipped_scenario_is_listed_with_its_basis(path: Path) -> None:
    scenario = files.load(path)
    listed = register(scenario)
    assert [entry.path for entry in listed.entries] == list(scenario.inputs)
    for entry in listed.entries:
        assert entry.basis in BASES, entry.path
        assert entry.note, entry.path
        assert entry.label and entry.amount.text, entry.path
        assert entry.source or entry.basis != "published", entry.path


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_counts_add_up(path: Path) -> None:
    listed = register(files.load(path))
    assert list(listed.by_basis) == list(BASES)
    assert sum(listed.by_basis.values()) == listed.estimates
    assert listed.estimates + listed.statements == len(listed.entries)


def test_worked_examples_are_nothing_but_demo() -> None:
    for path in SCENARIOS:
        if path.stem.startswith("worked-example"):
            counts = register(files.load(path)).by_basis
            assert counts["demo"] == sum(counts.values()) > 40


def test_an_interval_is_a_statement_and_a_price_is_an_estimate() -> None:
    entries = {entry.path: entry for entry in register(files.load(COAST)).entries}
    assert entries["plans.shop_every_year.membrane.reseal.every"].statement
    assert not entries["figures.shop_reseal_cost"].statement
    assert entries["figures.shop_reseal_cost"].amount.text == "300 ... 1,000 ... 2,000"
    assert entries["figures.shop_reseal_cost"].unit == "USD"


def test_a_changed_figure_has_the_tools_own_beside_it() -> None:
    listed = register(files.load(COAST))
    entries = {entry.path: entry for entry in listed.entries}
    years = entries["owner.holding_period"]
    own = years.own
    assert years.changed and own is not None
    assert (own.low, own.likely, own.high) == (3, 8, 20)
    assert years.amount.likely == 10
    assert listed.changed == sum(entry.changed for entry in listed.entries) > 0
    assert not entries["leaks.sign_years"].changed


def test_a_figure_stated_as_it_is_counts_as_unchanged() -> None:
    shipped = shipped_membrane()
    same = shipped.inputs["leaks.rot_time"]
    listed = register(replaced(shipped, {"leaks.rot_time": replace(same, shared=False, note="as it is")}))
    entry = next(entry for entry in listed.entries if entry.path == "leaks.rot_time")
    assert entry.own is not None and not entry.changed and entry.this_run
    assert listed.changed == 0


def test_what_somebody_says_who_gains_by_it_is_counted() -> None:
    listed = register(files.load(COAST))
    said = {entry.path for entry in listed.entries if entry.basis == "offer"}
    assert "figures.coating_quote" in said
    assert listed.offers == len(said)


def test_numbers_stand_in_the_units_of_the_scenario() -> None:
    scenario = shipped_membrane()
    length = FieldInfo("length", "coach", "length", unit="m", unit_us="ft", unit_metric="m", ranged=True)
    figure = Figure("coach.length", 7.9248, 6.096, 9.144, "pert", "judgement", "", "for the test", length)
    in_feet = register(replace(scenario, inputs={figure.path: figure})).entries[0]
    in_metres = register(replace(scenario, inputs={figure.path: figure}, units="metric")).entries[0]
    assert (in_feet.amount.text, in_feet.unit) == ("20 ... 26 ... 30", "ft")
    assert (in_metres.amount.text, in_metres.unit) == ("6.096 ... 7.9248 ... 9.144", "m")


def test_the_register_says_that_all_bands_hold_and_nothing_gave_way() -> None:
    listed = register(files.load(COAST))
    assert len(listed.bands) == 13 and all(check.inside for check in listed.bands)
    assert listed.gave_way == ()
    first, *_, last = listed.on_bands
    assert "inside 13 of the 13" in first
    assert last == "No figure gave way to meet them."
    assert sum(line.startswith("Inside: ") for line in listed.on_bands) == 13
    assert any("16.7 years, inside the band 15 to 19" in line for line in listed.on_bands)
    # The bands of the first year contradict each other, joints resealed and not being the same then.
    assert any("age 0" in line and "single years outside" in line for line in listed.on_bands)


def test_the_register_would_say_what_gave_way_and_what_does_not_hold() -> None:
    listed = register(files.load(COAST))
    entry = replace(listed.entries[0], note=f"{GIVES_WAY}: the trade's likely value is 30")
    broken = replace(listed.bands[0], value=0.9)
    text = "\n".join(replace(listed, bands=(broken, *listed.bands[1:]), gave_way=(entry,)).on_bands)
    assert "inside 12 of the 13" in text
    assert f"Outside: {broken.label}: 90 %, band 2 % to 10 %." in text
    assert f"{entry.path}): {GIVES_WAY}" in text
    assert "No figure gave way" not in text
