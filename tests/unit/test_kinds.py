"""Categories of cost and coverings: a kind that is half added is refused, with what is missing."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import pytest

import lifecycle
from lifecycle import files
from lifecycle.evaluation.comparison import check_categories, compare
from lifecycle.kinds import CATEGORIES, COVERINGS, Category, Covering, Half, check_covering, read_kinds
from lifecycle.studies.habits import plans_for
from lifecycle.studies.objections import ALIKE, _coated_alike
from lifecycle.studies.steps import step

SCENARIOS = Path(__file__).parents[2] / "scenarios"

STORAGE = {
    "label": "storage",
    "reason": "for storage",
    "escalates": True,
    "from": "flow",
    "colour": "#000000",
}


def test_a_category_without_a_hatch_is_refused() -> None:
    with pytest.raises(Half, match=r"categories\.storage lacks hatch"):
        read_kinds("categories", Category, {"storage": STORAGE})


def test_a_word_that_no_kind_has_is_refused() -> None:
    with pytest.raises(Half, match=r"coverings\.felt lacks sprayed and has smell"):
        read_kinds(
            "coverings",
            Covering,
            {"felt": {"label": "felt", "what": "f", "lay": "lay", "kept_as": "felt", "smell": 1}},
        )


def test_what_the_model_gives_has_a_category() -> None:
    fewer = {name: category for name, category in CATEGORIES.items() if name != "energy"}
    with pytest.raises(Half, match="no category 'energy'"):
        check_categories(fewer)


def test_a_covering_without_jobs_is_refused_by_the_shared_data(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        files, "COVERINGS", {**COVERINGS, "felt": replace(COVERINGS["membrane"], kept_as="felt")}
    )
    files.shared.cache_clear()
    try:
        with pytest.raises(
            Half, match=r"'felt' .* lacks jobs in the plan 'shop_every_year'.*felt_reflectance"
        ):
            files.shared()
    finally:
        monkeypatch.undo()
        files.shared.cache_clear()
        assert files.shared()


def test_a_new_sprayed_covering_is_treated_as_sprayed_everywhere(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same roof under an invented name: the same looks, costs, objections and order of a chart."""
    more = MappingProxyType({"foam": replace(COVERINGS["coating"], label="foam"), **COVERINGS})
    for name, module in list(sys.modules.items()):
        if name.startswith("lifecycle.") and hasattr(module, "COVERINGS"):
            monkeypatch.setattr(module, "COVERINGS", more)
    text = (SCENARIOS / "humid-coast-motorhome.toml").read_text(encoding="utf-8")
    start, end = text.index("[roofs.coating]\n"), text.index('like = "coating"')
    foam = f'{text[:end]}covering = "foam"\n{text[end:]}'
    assert start < end
    known, new = lifecycle.loads(text), lifecycle.loads(foam)
    assert new.roofs["coating"].covering == "foam"
    assert new.roofs["coating"].visits == known.roofs["coating"].visits != ()
    costs = [{name: way.at_holding for name, way in compare(one).ways.items()} for one in (known, new)]
    assert costs[0] == pytest.approx(costs[1])
    for rule in ALIKE:
        alike = _coated_alike(new, ALIKE[rule])
        assert not isinstance(alike, str)
        stands = alike.roofs[alike.existing.roof].numbers
        assert all(
            alike.roofs["coating"].numbers[name] == stands[name] for name in ALIKE[rule] if name in stands
        )
    assert [line[0] for line in step(new, "life").lines][-1] == "foam"
    assert plans_for(replace(new, climbs=False)) == plans_for(replace(known, climbs=False))


def test_under_a_skin_of_fibreglass_the_same_objections_are_tried() -> None:
    text = (SCENARIOS / "humid-coast-motorhome.toml").read_text(encoding="utf-8")
    assert text.count('like = "membrane"') >= 1
    skin = lifecycle.loads(text.replace('like = "membrane"', 'like = "fibreglass"'))
    assert skin.roofs[skin.existing.roof].covering == "fibreglass"
    alike = _coated_alike(skin, ALIKE["life_alike"])
    assert not isinstance(alike, str)
    assert alike.roofs["coating"].numbers["life_mean"] == skin.roofs[skin.existing.roof].numbers["life_mean"]


def test_what_a_covering_lacks_is_named() -> None:
    check_covering("felt", {"jobs": True})
    with pytest.raises(Half, match="it lacks jobs, texts"):
        check_covering("felt", {"jobs": False, "figures": True, "texts": False})
