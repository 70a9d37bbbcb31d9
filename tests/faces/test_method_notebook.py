"""The notebook on the method: printed numbers, the steps, the two evaluations; and what it stores."""

from __future__ import annotations

import html
import json
import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

import lifecycle
from lifecycle.answers.published import published_answer, source_sentence
from lifecycle.charts.canvas import SmallPicture
from lifecycle.charts.method import describe_step, published_numbers, step
from lifecycle.deterioration import power_law, survival
from lifecycle.errors import ScenarioError
from lifecycle.places import notebook_paths, scenario_path
from lifecycle.records.published import Number, published
from lifecycle.scenario import resolve
from lifecycle.studies.agreement import BEYOND, agreement
from lifecycle.studies.steps import STEPS, Curves
from lifecycle.writers.terminal import as_text

EXAMPLE = "humid-coast-motorhome"

LARGEST = 400_000
"""Of a stored notebook. [bytes]"""

QUICK = ("factors", "renewals", "joints", "reflectance", "shares")
"""Printed sources that are worked out at once."""


@pytest.fixture(scope="module")
def found() -> dict[str, Any]:
    return {one.key: one for one in published(*QUICK)}


def stored() -> dict[str, dict[str, Any]]:
    path = next(path for path in notebook_paths() if path.stem == "method")
    assert path.stat().st_size < LARGEST
    return {cell["id"]: cell for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]}


def test_printed_numbers_agree(found: dict[str, Any]) -> None:
    for one in found.values():
        assert one.numbers and all(number.agrees for number in one.numbers), one.furthest
        assert one.status in ("seen", "transcribed", "derived") and one.source


def test_a_wrong_number_would_be_seen() -> None:
    right = Number("one", "0.7664", 0.76642, 5e-5)
    assert right.agrees and not replace(right, ours=0.76646).agrees
    assert not replace(right, printed="0.7665").agrees
    one = replace(published("factors")[0], numbers=(replace(right, printed="0.7665"),))
    assert "NO" in as_text(published_answer([one])).split() and "0 of 1 numbers agree" in source_sentence(one)


def test_sources_are_an_answer_that_can_be_written(found: dict[str, Any]) -> None:
    answer = published_answer(found.values())
    assert set(answer.data["sources"]) == set(QUICK)
    text = as_text(answer)
    assert source_sentence(found["factors"]) in " ".join(text.split())
    assert "3 %, 9 years 0.7664 0.76642 0.00005" in " ".join(text.split())


def test_an_unknown_source_is_named() -> None:
    with pytest.raises(ScenarioError, match="factor"):
        published("factor")


def test_rings_stand_at_the_printed_numbers(found: dict[str, Any]) -> None:
    ax = published_numbers(found["renewals"])
    rings = [line for line in ax.lines if line.get_marker() == "o"]
    places = {(float(ring.get_xdata()[0]), float(ring.get_ydata()[0])) for ring in rings}  # type: ignore[index]
    assert (1.0, 0.6091) in places and len(places) == 6
    line = next(line for line in ax.lines if line.get_marker() != "o")
    at_one = np.interp(1.0, line.get_xdata(), line.get_ydata())  # type: ignore[arg-type]
    assert at_one == pytest.approx(0.6091, abs=2e-3)


@pytest.fixture(scope="module")
def steps() -> dict[str, Curves]:
    scenario = lifecycle.load(scenario_path(EXAMPLE))
    return {name: curves(scenario) for name, curves in STEPS.items()}


def test_steps_are_those_of_the_model(steps: dict[str, Curves]) -> None:
    roof = resolve(lifecycle.load(scenario_path(EXAMPLE))).alternatives[0].roof
    lines = {name: (across, up) for name, across, up in steps["joints"].lines}
    yearly = 15.0 * float(
        power_law(1.0, first_year=roof.joint_leaks_first_year, growth=roof.joint_leak_growth)
    )
    assert lines["every year"][1][-1] == pytest.approx(yearly)
    never = power_law(15.0, first_year=roof.joint_leaks_first_year, growth=roof.joint_leak_growth)
    assert lines["never resealed"][1][-1] == pytest.approx(float(never))
    alive = {name: (across, up) for name, across, up in steps["life"].lines}
    at_ten = 100.0 * float(survival(10.0 * roof.ageing, shape=roof.life_shape, scale=roof.life_scale))
    assert np.interp(10.0, *alive["membrane"]) == pytest.approx(at_ten)


def test_a_roof_that_is_looked_after_hides_fewer_leaks(steps: dict[str, Curves]) -> None:
    last = {name: float(up[-1]) for name, _, up in steps["hiding"].lines}
    order = list(last.values())
    assert order == sorted(order, reverse=True) and len(order) == 4


def test_each_step_has_a_sentence_with_its_numbers(steps: dict[str, Curves]) -> None:
    for curves in steps.values():
        said = describe_step(curves)
        assert curves.title in said and all(name in said for name, _, _ in curves.lines)
        assert getattr(step(curves).get_figure(), "text_alternative", "") == said


def test_a_small_picture_keeps_its_sentence(steps: dict[str, Curves]) -> None:
    picture = SmallPicture(step(steps["harm"]))
    data, metadata = picture._repr_mimebundle_()
    assert data["text/plain"] == metadata["image/png"]["alt"] == describe_step(steps["harm"])
    assert data["image/png"].startswith(b"\x89PNG") and len(data["image/png"]) < 25_000


def test_both_evaluations_agree_on_a_shipped_coach() -> None:
    both = agreement(lifecycle.load(scenario_path(EXAMPLE)), lives=5000, seed=3)
    assert len(both.lines) > 40 and abs(both.furthest.apart) < BEYOND
    assert both.near >= 0.9 * len(both.lines)
    ends = agreement(lifecycle.load(scenario_path("worked-example-1")), lives=2000, seed=3)
    assert all(line.error > 0.0 for line in ends.lines)


def test_what_is_stored_is_what_the_library_says(found: dict[str, Any]) -> None:
    cells = stored()
    shown = "".join(cells["sources_text"]["outputs"][0]["data"]["text/html"])
    said = html.unescape(re.sub(r"<[^>]*>", " ", shown))
    for one in found.values():
        assert source_sentence(one) in " ".join(said.split())
    assert ">NO<" not in shown and shown.count(">yes<") == sum(len(one.numbers) for one in published())
    texts = ["".join(cell["source"]) for cell in cells.values()]
    assert texts[0].startswith("# How does it work this out") and "no advice" in texts[-1]


def test_a_small_picture_keeps_its_white_ground_and_its_colours(steps: dict[str, Curves]) -> None:
    import io

    from PIL import Image

    from lifecycle.charts.palette import CURVES

    with Image.open(io.BytesIO(SmallPicture(step(steps["joints"])).content)) as image:
        colours = {colour: number for number, colour in image.convert("RGB").getcolors(2**20)}
        assert max(colours, key=lambda colour: colours[colour]) == (255, 255, 255)
    orange, violet = (tuple(bytes.fromhex(look.colour[1:])) for look in CURVES[:2])
    assert orange in colours and violet in colours
