"""What changed in an answer since a version, against the figures that the list of changes names."""

from __future__ import annotations

import pytest

from lifecycle.answers.difference import changed_since
from lifecycle.answers.parts import Silent
from lifecycle.evaluation.comparison import compare
from lifecycle.files import EDITIONS, load, shared, shared_then
from lifecycle.language.sentences import words

FLAGSHIP = "scenarios/humid-coast-motorhome.toml"


def test_the_figures_of_then_give_the_costs_of_then() -> None:
    """14,134 and 12,352, printed under Changes in the README when the coach was measured (seen there).

    What the model counts otherwise since then moves the second by less than 4.
    """
    then = compare(load(FLAGSHIP, edition="0.1.0"))
    assert then.ways[then.base_case].at_holding == pytest.approx(14134.0, abs=0.5)
    assert then.ways[then.subject or ""].at_holding == pytest.approx(12352.0, abs=4.0)


def test_what_an_edition_holds_empty_was_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """So a place that is new moves the mean of the table today, and not the one of then."""
    now = shared()
    then = {"places": {"Miami": {}}}
    monkeypatch.setattr("lifecycle.files.data", lambda name: then)
    monkeypatch.setattr("lifecycle.files.shared", lambda: now)
    earlier = shared_then.__wrapped__("0.1.0")
    assert set(now["places"]) - set(earlier["places"]) == {"Miami"}
    assert {**earlier, "places": now["places"]} == now


def test_causes_add_up_and_both_first_lines_are_told() -> None:
    then, now = load(FLAGSHIP, edition="0.1.0"), load(FLAGSHIP)
    data = changed_since(then, now, "0.1.0", told=Silent()).data
    assert sum(cause["amount"] for cause in data["causes"]) == pytest.approx(data["difference"], abs=1e-6)
    assert data["first"]["net_savings"] > 0.0 > data["second"]["net_savings"]
    assert len(data["do"]) == 2 and data["since"] == "0.1.0"


def test_every_edition_says_what_changed_besides_figures() -> None:
    assert set(words("difference.since.rules")) == set(EDITIONS)


def test_a_version_that_is_not_known_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    from lifecycle.cli.main import main

    assert main(["difference", FLAGSHIP, "--since", "0.1"]) == 2
    assert 'did you mean "0.1.0"?' in capsys.readouterr().err
    assert main(["difference", FLAGSHIP]) == 2
    assert "--since" in capsys.readouterr().err
