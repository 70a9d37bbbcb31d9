"""`lifecycle logbook`: does the answer stand, the account, the page for the buyer; mistakes."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from lifecycle.cli.main import main

SCENARIOS = Path(__file__).parents[2] / "scenarios"
LOGS = SCENARIOS / "logbooks"
SPRAYED = (
    str(LOGS / "humid-coast-sprayed.toml"),
    "--scenario",
    str(SCENARIOS / "humid-coast-motorhome.toml"),
    "--today",
    "2030-04-20",
)
KEPT = (
    str(LOGS / "cold-trailer-kept.csv"),
    "--scenario",
    str(SCENARIOS / "cold-stored-trailer.toml"),
    "--today",
    "2030-06-01",
)
FEW = ("--draws", "64")


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Return what the command prints, in one line; it must succeed."""
    assert main(("logbook", *arguments, *FEW)) == 0
    return " ".join(capsys.readouterr().out.split())


def result(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    """Return what the command prints as JSON."""
    assert main(("logbook", *arguments, *FEW, "--json")) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def mistake(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Return what the command says of a mistake."""
    assert main(("logbook", *arguments)) == 2
    captured = capsys.readouterr()
    assert not captured.out and "Traceback" not in captured.err
    return captured.err


def written(folder: Path, name: str, text: str) -> str:
    """Write a file and return its name."""
    place = folder / name
    place.write_text(text, encoding="utf-8")
    return str(place)


def test_a_sprayed_roof_says_that_the_choice_is_made(capsys: pytest.CaptureFixture[str]) -> None:
    said = answer(capsys, *SPRAYED)
    assert said.startswith("The years after A one-year-old motorhome on a humid coast")
    assert (
        'The answer stands. "Spray now": could go either way, compared with what you would do otherwise'
        in said
    )
    assert "A new roof is on (spray now), so that choice is made." in said
    assert "The way taken: Spray now." in said
    assert re.search(
        r"No leak in 3 years: so it goes for about 1\d of 20 coaches looked after as yours", said
    )
    assert "It proves little yet." in said
    assert "Leave out the topcoat: no difference, for it is not due in that time." in said
    assert "You paid 10,415 USD in the money of each day" in answer(capsys, *SPRAYED, "--all")
    assert "You paid" not in said
    assert "a branch had scraped" not in said


def test_the_first_screen_is_short_and_the_buyers_page_has_its_own_data(
    capsys: pytest.CaptureFixture[str],
) -> None:
    for log in (SPRAYED, KEPT):
        assert main(("logbook", *log, *FEW)) == 0
        assert len(capsys.readouterr().out.splitlines()) <= 40
    found = result(capsys, *SPRAYED, "--buyer")
    assert found["done"][0] == {"month": "April 2027", "what": "a new roof was laid: a seamless coating"}
    assert found["until"] == "2030-04-20" and "currency" not in found


def test_a_kept_roof_is_compared_from_today_on(capsys: pytest.CaptureFixture[str]) -> None:
    said = answer(capsys, *KEPT)
    assert 'The answer stands. "Spray now": dearer, compared with' in said
    assert "From today on (2030-06-01, kept 5 years 10 months more)" in said
    assert "The way taken, by what the log holds: A shop reseals every third year" in said
    assert "1 leak in 3 years 2 months: as many or more are found on" in said
    assert "Reseal: you paid 700 USD, the comparison takes 1,000." in said
    assert "Own hours: 5.5 h, more than expected" in answer(capsys, *KEPT, "--all")


def test_the_result_says_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    found = result(capsys, *KEPT)
    assert (found["way"], found["months"], found["entries"]) == ("keep", 38, 5)
    total = found["account"]["total"]
    assert total["spent"] == pytest.approx(sum(row["spent"] for row in found["account"]["rows"].values()))
    assert found["answer"]["becomes"] == "stands" and found["answer"]["now"]["years"] == pytest.approx(
        70 / 12
    )
    leaks = found["leaks"]
    assert leaks["found"] == 1 and leaks["times_as_often"] > 1.0
    assert leaks["other_way"]["expected_found"] < leaks["expected_found"]
    assert found["answer"]["then"]["word"] == "dearer"
    assert "NaN" not in json.dumps(found)


def test_an_empty_log_says_what_compare_says(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    empty = written(tmp_path, "empty.csv", "date,kind,cost,hours,note\n")
    scenario = str(SCENARIOS / "humid-coast-motorhome.toml")
    found = result(capsys, empty, "--scenario", scenario, "--today", "2027-04-01")
    assert main(("compare", scenario, *FEW, "--json")) == 0
    parts = json.loads(capsys.readouterr().out)["verdict_parts"]
    now = found["answer"]["now"]
    assert (now["word"], now["of_20"], now["years"]) == (parts["word"], parts["of_20"], parts["years"])
    assert [now[end] for end in ("low", "middle", "high")] == pytest.approx(
        [parts[end] for end in ("low", "middle", "high")]
    )
    said = answer(capsys, empty, "--scenario", scenario, "--today", "2027-04-01")
    assert 'Nothing is logged yet. "Spray now": could go either way' in said


def test_after_the_sale_the_account_is_closed(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    rows = (LOGS / "cold-trailer-kept.csv").read_text(encoding="utf-8") + "2033-06-01,sale,300,,\n"
    sold = (written(tmp_path, "sold.csv", rows), *KEPT[1:3], "--today", "2034-01-01")
    said = answer(capsys, *sold)
    assert "Sold after 6 years 2 months: you spent" in said
    assert "The other way (spray now) was expected to cost" in said
    assert "what it would have cost on this coach nobody knows" in said
    assert "One coach proves little" in said and "The answer stands" not in said
    found = result(capsys, *sold)
    assert found["answer"] is None and found["reasons"]["answer"] == "the coach is sold"
    assert found["account"]["rows"]["at the sale"]["spent"] == pytest.approx(300 / 1.025 ** (2253 / 365.25))
    assert found["until"] == "2033-06-01"


def test_many_leaks_are_said_to_prove_something(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    rows = "".join(f"2029-0{month}-01,leak,400\n" for month in range(1, 7))
    log = written(tmp_path, "leaky.csv", f"date,kind,cost\n{rows}")
    said = answer(capsys, log, *KEPT[1:])
    assert re.search(
        r"6 leaks in 3 years 2 months: .* 10 leaks were expected before, expect about (1[3-9]|[2-9]\d) now",
        said,
    )
    assert "Mind: the log holds no upkeep job. What is not in it counts as not done." in said


def test_with_trouble_it_is_opened_first(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    empty = written(tmp_path, "empty.csv", "date,kind\n")
    scenario = str(SCENARIOS / "trouble-reported.toml")
    page = tmp_path / "buyer.html"
    said = answer(capsys, empty, "--scenario", scenario, "--today", "2029-01-01")
    assert "Open it first." in said and "The way taken" not in said
    buyer = ("--today", "2029-01-01", "--buyer", "--to", str(page))
    assert "Open it first." not in answer(capsys, empty, "--scenario", scenario, *buyer)
    assert "The owner has reported: stain and soft spot." in page.read_text(encoding="utf-8")
    found = result(capsys, empty, "--scenario", scenario, "--today", "2029-01-01")
    assert found["answer"] is None and "open it first" in found["reasons"]["answer"]


class Strict(HTMLParser):
    """Reads a page; notes its text, its tags and what is left open."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: set[str] = set()
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


def page_of(capsys: pytest.CaptureFixture[str], folder: Path, *arguments: str) -> Strict:
    """Write the page for the buyer and read it."""
    place = folder / "buyer.html"
    assert f"Written to {place}" in answer(capsys, *arguments, "--buyer", "--to", str(place))
    page = Strict()
    page.feed(place.read_text(encoding="utf-8"))
    assert not page.open and not page.tags & {"script", "a", "img", "link", "form", "input"}
    assert "http" not in place.read_text(encoding="utf-8")
    return page


def test_the_page_for_the_buyer_says_what_was_done(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    readings = written(tmp_path, "film.csv", "spot,reading\nA1,190\nA1,200\nA1,195\nB1,150\nB1,140\nB1,148\n")
    page = page_of(capsys, tmp_path, *SPRAYED, "--readings", readings, "--film", "187.5")
    for said in (
        "The roof is a seamless coating, laid in April 2027, so 3 years old.",
        "the owner's own word",
        "INVENTED",
        "a new roof was laid: a seamless coating",
        "Topcoat, every 10 years: next in April 2037.",
        "150, 140 and 148",
        "The shop stated 10 years of warranty from April 2027: until April 2037.",
        "Ask the shop in writing whether its warranty goes on with the coach.",
        "(by hand)",
    ):
        assert said in page.text, said


def test_the_page_for_the_buyer_keeps_what_is_private(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    page = page_of(capsys, tmp_path, *KEPT)
    text = page.text[page.text.rindex("For the buyer") :]
    rows = (LOGS / "cold-trailer-kept.csv").read_text(encoding="utf-8").splitlines()[1:]
    costs = [row.split(",")[2] for row in rows if row.split(",")[2]]
    assert costs and not [cost for cost in costs if cost in text]
    assert "cracks at the front vent" not in text and "stain over the bed" not in text
    assert (
        "seven-year-old trailer" not in text
        and "USD" not in text
        and " h" not in re.findall(r"\d( h)\b", text)
    )
    assert "a leak was found and mended" in text and "1 leak found" in text
    assert "No warranty is known." in text


@pytest.mark.parametrize(
    ("quote", "said"),
    [
        ("by_the_foot", "The quote says that it goes on with the coach."),
        ("by_overall_length", "to the buyer it is worth nothing"),
    ],
)
def test_whether_the_warranty_passes_on(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, quote: str, said: str
) -> None:
    text = (SCENARIOS / "two-quotes.toml").read_text(encoding="utf-8")
    way = re.search(rf'\[alternatives\.(\w+)\][^\[]*quote = "{quote}"', text)
    assert way
    log = written(tmp_path, "log.csv", "date,kind,cost\n2027-05-01,renewal,7000\n")
    page = page_of(
        capsys, tmp_path, log, "--scenario", str(SCENARIOS / "two-quotes.toml"), "--today", "2029-01-01",
        "--way", way[1],
    )  # fmt: skip
    assert said in page.text


def test_mistakes_are_said(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    bad = written(tmp_path, "bad.csv", "date,kind,cost\n2028-01-01,resael,-1\n2027-01-01,leak,1\n")
    said = mistake(capsys, bad, *KEPT[1:])
    assert "3 faults" in said and 'did you mean "reseal"?' in said and "(line 3)" in said
    assert "ending in .toml or .csv" in mistake(capsys, written(tmp_path, "log.txt", ""), *KEPT[1:])
    assert "does not exist" in mistake(capsys, str(tmp_path / "none.csv"), *KEPT[1:])
    assert "got an empty file" in mistake(capsys, written(tmp_path, "no.csv", ""), *KEPT[1:])
    assert "must be TOML" in mistake(capsys, written(tmp_path, "no.toml", "way = "), *KEPT[1:])
    assert "entries must be a list of tables" in mistake(capsys, written(tmp_path, "e.toml", ""), *KEPT[1:])
    assert "--today must be a day" in mistake(capsys, *KEPT[:3], "--today", "1 June")
    assert 'did you mean "keep_shop"?' in mistake(capsys, *KEPT, "--way", "keep_shp")
    assert "--to must name a file ending in .html" in mistake(capsys, *KEPT, "--buyer", "--to", "x.docx")
    assert "--readings belong to the page" in mistake(capsys, *KEPT, "--readings", "x.csv")
    assert "--film belongs to film readings" in mistake(capsys, *KEPT, "--film", "3")
    page = ("--buyer", "--to", str(tmp_path / "x.html"), "--readings", bad)
    assert "--film must be the dry film promised" in mistake(capsys, *KEPT, *page)
    assert not (tmp_path / "x.html").exists()


def test_more_leaks_than_can_be_are_a_mistake(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    text = (SCENARIOS / "worked-example-1.toml").read_text(encoding="utf-8")
    for name in ("joint_leaks_first_year", "puncture_rate"):
        text = re.sub(rf"^{name} = .*$", f"{name} = 0", text, flags=re.MULTILINE)
    text = re.sub(r"hidden_now = \[.*?\n\]", "hidden_now = []", text, flags=re.DOTALL)
    scenario = written(tmp_path, "dry.toml", text)
    log = written(tmp_path, "log.csv", "date,kind\n2028-01-01,leak\n")
    said = mistake(capsys, log, "--scenario", scenario, "--today", "2029-01-01", *FEW)
    assert "no draw of the inputs can explain it" in said
