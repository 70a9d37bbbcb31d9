"""Categories of cost and coverings: a kind that is half added is refused, with what is missing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lifecycle import files
from lifecycle.evaluation.comparison import check_categories
from lifecycle.kinds import CATEGORIES, COVERINGS, Category, Covering, Half, check_covering, read_kinds

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


def test_what_a_covering_lacks_is_named() -> None:
    check_covering("felt", {"jobs": True})
    with pytest.raises(Half, match="it lacks jobs, texts"):
        check_covering("felt", {"jobs": False, "figures": True, "texts": False})
