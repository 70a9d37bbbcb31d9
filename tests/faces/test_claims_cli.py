"""What may be said, on the command line: text, JSON, trouble, one way, and mistakes."""

from __future__ import annotations

import io
import json
from contextlib import redirect_stdout
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from lifecycle.answers.claims import rests_on
from lifecycle.cli.main import main
from lifecycle.language.claims import filled, said
from lifecycle.studies.case import Named
from lifecycle.studies.claims import MONEY_AND_ROOFS

SCENARIOS = Path(__file__).parents[2] / "scenarios"
DEARER = str(SCENARIOS / "sells-in-three-years.toml")
HUMID = str(SCENARIOS / "humid-coast-motorhome.toml")
TROUBLE = str(SCENARIOS / "trouble-reported.toml")
PLAIN = str(SCENARIOS / "worked-example-1.toml")
METRIC = str(SCENARIOS / "cold-stored-trailer.toml")
FEW = ("--draws", "64")


@cache
def printed(*arguments: str) -> str:
    """Return what a command prints, once for all tests that only read it."""
    with redirect_stdout(io.StringIO()) as out:
        assert main(arguments) == 0
    return out.getvalue()


def result(*arguments: str) -> dict[str, Any]:
    """Return the JSON that a command prints; NaN and infinity are no JSON."""

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} in the result")

    parsed: dict[str, Any] = json.loads(printed(*arguments, "--json"), parse_constant=refuse)
    return parsed


def judgements(found: dict[str, Any]) -> dict[str, str]:
    return {claim["key"]: claim["judgement"] for claim in found["claims"]}


def test_the_first_screen_is_a_table_of_statements() -> None:
    lines = printed("claims", HUMID, *FEW).splitlines()
    assert len(lines) <= 40
    assert sum(line.startswith('"') for line in lines) == len(result("claims", HUMID, *FEW)["claims"])
    assert any(line.split("  ")[0] == '"It makes the coach quieter."' for line in lines)


def test_other_years_are_those_spoken_of() -> None:
    assert result("claims", HUMID, *FEW, "--years", "4")["holding_period"] == 4


def test_statements_in_words() -> None:
    text = printed("claims", HUMID, *FEW, "--all")
    assert text.startswith("What may be said\nA one-year-old motorhome on a humid coast")
    flowing = " ".join(text.split())
    for part in (
        'About "Spray now", compared with what you would do otherwise (a shop reseals every year)',
        '"It makes the coach quieter." CANNOT BE JUDGED',
        '"This price is for today only." DOES NOT FIT',
        "- I may say: Take your time.",
        "- I may not say:",
        "- It rests on: the quoted price of the coating (said by somebody who gains by it)",
        "- In hand first:",
        "16 CFR 702",
        "The case for",
        "The case against",
        "Figures that come from the shop",
        "3 figures come from the shop",
    ):
        assert part in flowing, part
    assert max(len(line) for line in text.splitlines()) <= 100
    assert "{" not in text and "}" not in text


def test_statements_add_up_to_the_count_above_them() -> None:
    text = " ".join(printed("claims", HUMID, *FEW, "--all").split())
    for judgement in ("PARTLY", "DOES NOT FIT", "CANNOT BE JUDGED"):
        number = text.count(f'" {judgement} - I may say')
        assert number and f'"{judgement.lower()}" {number}' in text


def test_both_sides_of_the_case_are_as_long() -> None:
    text = printed("claims", HUMID, *FEW, "--all")
    for_, against = text.split("The case for\n")[1].split("\n\nThe case against\n")
    against = against.split("\n\n")[0]
    assert for_.count("\n- ") == against.count("\n- ") > 3


def test_where_spraying_is_dearer_paying_back_is_not_supported() -> None:
    found = result("claims", DEARER, *FEW)
    assert judgements(found)["pays_back"] == "does not fit"
    assert found["both_ways"]["as_stated"]["word"] == "dearer"
    assert "dearer" in next(claim["may_say"] for claim in found["claims"] if claim["key"] == "pays_back")


def test_the_result_names_inputs_bases_and_figures() -> None:
    found = result("claims", DEARER, *FEW)
    assert (found["schema"], found["holding_period"], found["draws"], found["seed"]) == (1, 3, 64, 1)
    keys = [claim["key"] for claim in found["claims"]]
    assert set(keys) >= set(MONEY_AND_ROOFS) and len(set(keys)) == len(keys)
    pays_back = next(claim for claim in found["claims"] if claim["key"] == "pays_back")
    assert pays_back["rests_on"][0]["path"] == "figures.coating_quote"
    assert pays_back["rests_on"][0]["basis"] == "offer"
    assert pays_back["figures"]["middle"]["value"] < 0.0
    assert pays_back["figures"]["middle"]["said"].endswith("dearer")
    unknown = [claim for claim in found["claims"] if claim["judgement"] == "cannot be judged"]
    assert all(claim["missing"] for claim in unknown)
    assert len(found["case"]["for"]) == len(found["case"]["against"])
    assert found["both_ways"]["offers"] == ["figures.shop_reseal_cost", "figures.coating_quote"]


def test_the_verdict_behind_it_is_that_of_a_comparison() -> None:
    stated = result("claims", HUMID, *FEW)["both_ways"]["as_stated"]
    parts = result("compare", HUMID, *FEW)["verdict_parts"]
    assert stated["word"] == parts["word"]
    assert stated["of_20"] == parts["of_20"]
    assert stated["middle"] == pytest.approx(parts["middle"], rel=1e-9)


def test_the_same_seed_gives_the_same_bytes_and_another_does_not() -> None:
    one = printed("claims", PLAIN, *FEW, "--json")
    with redirect_stdout(io.StringIO()) as again:
        assert main(("claims", PLAIN, *FEW, "--json")) == 0
    assert again.getvalue() == one
    assert printed("claims", DEARER, *FEW, "--seed", "2", "--json") != printed(
        "claims", DEARER, *FEW, "--json"
    )


def test_with_trouble_nothing_but_opening_it_may_be_said() -> None:
    text = " ".join(printed("claims", TROUBLE, "--all").split())
    assert "Trouble is reported: stain and soft spot." in text
    assert "Open it first: 2 signs reported (stain, soft spot)" in text
    assert "The case for" not in text
    found = result("claims", TROUBLE)
    assert judgements(found) == {
        "open_first": "fits these figures",
        "spray_over": "does not fit",
        "just_a_stain": "cannot be judged",
    }
    assert found["case"] is found["both_ways"] is found["draws"] is None


def test_without_ranges_nothing_is_said_of_futures() -> None:
    text = " ".join(printed("claims", PLAIN, *FEW, "--all").split())
    assert "Every input stands at one value: nothing here says how sure that is." in text
    assert "futures" not in text


def test_one_way_has_nothing_to_claim(tmp_path: Path) -> None:
    whole = Path(PLAIN).read_text(encoding="utf-8")
    place = tmp_path / "one-way.toml"
    place.write_text(whole[: whole.index("[alternatives.coat_now]")], encoding="utf-8")
    assert "There is nothing to compare" in printed("claims", str(place))


@pytest.mark.parametrize(
    ("arguments", "rule"),
    [
        (("claims", "nowhere.toml"), "nowhere.toml does not exist"),
        (("claims", PLAIN, "--draws", "2"), "--draws must be at least 16"),
        (("claims", PLAIN, "--seed", "-3"), "--seed must be a whole number from 0"),
    ],
)
def test_a_mistake_is_one_message(
    capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], rule: str
) -> None:
    assert main(arguments) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert rule in said.err and "Traceback" not in said.err


def test_weights_and_warmth_stand_in_the_units_of_the_file() -> None:
    assert "kg more to carry" in " ".join(printed("claims", METRIC, *FEW, "--all").split())
    assert said(Named(100.0, "mass"), "metric") == "100 kg"
    assert said(Named(5.0, "warmer"), "metric") == "5 C"
    with pytest.raises(KeyError):
        filled("{missing}", {})


def test_what_rests_on_nothing_says_so() -> None:
    assert rests_on(()) == "no figure here"
