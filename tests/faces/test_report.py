"""The papers of one scenario: what stands on each, as a page and as a PDF, and what must never stand there.

The numbers are those of `lifecycle compare --json`; the scenario is a shipped one, invented.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any

import html5lib
import pytest
from PIL import Image
from pypdf import PdfReader

import lifecycle
from lifecycle.answers.papers import Gathered, for_shop, for_us, gather
from lifecycle.cli.main import main
from lifecycle.cli.papers import PAPERS, papers_of
from lifecycle.interview import scenario_text
from lifecycle.language.sentences import say
from lifecycle.language.verdict import NO_SINGLE
from lifecycle.quantities import money_text
from lifecycle.scenario import replaced
from lifecycle.studies.switching import along
from lifecycle.writers.html import as_html
from lifecycle.writers.pdf import as_pdf

pytestmark = pytest.mark.usefixtures("few_lives")

ROOT = Path(__file__).parents[2]
HUMID = ROOT / "scenarios" / "humid-coast-motorhome.toml"
TROUBLE = ROOT / "scenarios" / "trouble-reported.toml"
DRAWS = 128


@pytest.fixture(scope="module")
def told() -> Gathered:
    """What the studies say of a shipped scenario."""
    return gather(lifecycle.load(HUMID), draws=DRAWS)


@pytest.fixture(scope="module")
def papers(told: Gathered) -> dict[str, bytes]:
    """Its papers."""
    return papers_of(told)


def words(page: str) -> str:
    """Return what a reader reads of a page: its text without pictures and style, on one line."""
    bare = re.sub(r"<(style|svg)\b.*?</\1>", " ", page, flags=re.DOTALL)
    text = re.sub(r"<[^>]*>", " ", bare)
    for code, letter in (("&#34;", '"'), ("&#39;", "'"), ("&lt;", "<"), ("&gt;", ">"), ("&amp;", "&")):
        text = text.replace(code, letter)
    return " ".join(text.split())


def pdf_words(content: bytes) -> str:
    """Return the text that can be marked in a PDF, on one line."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages).split())


def attributes(page: str) -> Iterator[tuple[str, str]]:
    """Go through every attribute of a page, checked to be HTML without a fault."""
    parser = html5lib.HTMLParser(strict=True)
    for element in parser.parse(page).iter():
        yield from ((str(name), value) for name, value in element.attrib.items())


def test_all_papers_are_made(papers: dict[str, bytes]) -> None:
    assert set(papers) == set(PAPERS)
    assert all(papers.values())


@pytest.mark.parametrize("name", ["us.html", "shop.html", "analyst.html"])
def test_a_page_is_html_without_a_fault_and_complete_in_itself(papers: dict[str, bytes], name: str) -> None:
    page = papers[name].decode("utf-8")
    found = list(attributes(page))
    assert not [value for _, value in found if "://" in value or value.startswith("//")]
    assert not [key for key, _ in found if key.lower().startswith("on")]
    assert "<script" not in page.lower() and "@import" not in page and "url(http" not in page
    ids = [value for key, value in found if key == "id"]
    assert len(ids) == len(set(ids))
    used = {value[1:] for key, value in found if key == "href"}
    used |= {one for _, value in found for one in re.findall(r"url\(#([^)]+)\)", value)}
    assert used <= set(ids)
    labels = re.findall(r'<svg role="img" aria-label="([^"]*)"', page)
    assert len(labels) == page.count("<svg") and all(len(label) > 20 for label in labels)
    assert '<html lang="en"' in page and "@media print" in page


def test_the_paper_for_us_says_what_compare_says(
    papers: dict[str, bytes], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["compare", str(HUMID), "--draws", str(DRAWS), "--json"]) == 0
    result: dict[str, Any] = json.loads(capsys.readouterr().out)
    said = words(papers["us.html"].decode("utf-8"))
    printed = pdf_words(papers["us.pdf"])
    for line in result["verdict"]:
        assert line in said
        assert line in printed
    analyst = words(papers["analyst.html"].decode("utf-8"))
    for name, way in result["alternatives"].items():
        assert money_text(way["net_present_cost"][result["holding_period"]]) in analyst
        assert money_text(result["doubt"]["alternatives"][name]["cost"]["p90"][10]) in analyst
    assert result["made_by"]["scenario_sha256"][:16] in said
    assert "Invented" in said and "2027-04-01" in said


def test_the_paper_for_us_holds_everything_on_a_page_front_and_a_page_back(papers: dict[str, bytes]) -> None:
    said = words(papers["us.html"].decode("utf-8"))
    for heading in (
        "In how many of 20 futures",
        "Now, later or never?",
        "What would change the answer?",
        "The case for",
        "The case against",
        "Whose figures are these?",
        "The seven questions",
        "The roof from above",
        "What to mind",
        "Our notes",
    ):
        assert heading in said
    assert papers["us.html"].decode("utf-8").count("<svg") == 4
    assert len(PdfReader(BytesIO(papers["us.pdf"])).pages) == 2


@pytest.mark.parametrize("name", ["us.pdf", "shop.pdf"])
def test_a_pdf_names_nobody_and_comes_out_the_same(
    told: Gathered, papers: dict[str, bytes], name: str
) -> None:
    reader = PdfReader(BytesIO(papers[name]))
    data = dict(reader.metadata or {})
    assert set(data) <= {"/Title", "/CreationDate"}
    assert data["/CreationDate"] == "D:20270401000000Z"
    for trace in (b"/home", b"/root", b"/tmp", b"matplotlib", str(ROOT).encode()):
        assert trace not in papers[name]
    sheet = for_us(told) if name == "us.pdf" else for_shop(told.scenario)
    assert as_pdf(sheet, paper="letter") == papers[name]


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="no program here that draws a PDF")
@pytest.mark.parametrize("name", ["us.pdf", "shop.pdf"])
def test_every_page_of_a_pdf_can_be_drawn_and_is_inked_within_its_margins(
    papers: dict[str, bytes], name: str, tmp_path: Path
) -> None:
    (tmp_path / name).write_bytes(papers[name])
    subprocess.run(["pdftoppm", "-r", "50", "-gray", name, "page"], cwd=tmp_path, check=True)
    pages = sorted(tmp_path.glob("page*"))
    assert len(pages) == len(PdfReader(BytesIO(papers[name])).pages)
    for page in pages:
        picture = Image.open(page).point(lambda grey: 255 if grey < 200 else 0)
        box = picture.getbbox()
        assert box is not None
        margin = 8.0 / 25.4 * 50
        assert box[0] > margin and box[1] > margin
        assert box[2] < picture.width - margin and box[3] < picture.height - margin


# Two owners of one roof: what they keep back is all that differs. The shop sees and measures the rest.
ROOF: dict[str, Any] = {"roof_age": 50, "seal_age": 50, "length": 24}
OWNERS: tuple[dict[str, Any], ...] = (
    {"otherwise": "shop_every_year", "climbs": False, "keep": 4, "quote": 3900, "reseal_price": 700},
    {
        "otherwise": "own_touch_up",
        "climbs": True,
        "climbs_in_ten_years": True,
        "hour_value": 77,
        "keep": 15,
        "quote": 8130,
    },
    {"otherwise": "nothing", "keep": {"low": 2, "likely": 9, "high": 12}, "quote": 12000, "place": "Miami"},
    {"otherwise": "own_reseal", "climbs": True, "keep": 6, "quote": 5000, "place": "Duluth"},
    {"otherwise": "not sure", "keep": "not sure", "quote": "not sure"},
)


def test_owners_who_differ_in_what_they_keep_back_hand_over_the_same_bytes() -> None:
    """By difference: the paper for us differs between any two of them, the paper for the shop in no byte."""
    made = []
    for owner in OWNERS:
        scenario = lifecycle.loads(scenario_text({**ROOF, **owner}, base_date=date(2027, 4, 1)))
        sheet = for_shop(scenario)
        made.append((as_html(sheet), as_pdf(sheet, paper="letter"), scenario.sha256))
    assert len({digest for *_, digest in made}) == len(OWNERS)
    assert len({(page, pdf) for page, pdf, _ in made}) == 1


def test_another_roof_is_another_paper() -> None:
    """So that the bytes above are equal for what is kept back, and not whatever is answered."""
    pages = set()
    for other in ({}, {"roof_age": 120}, {"length": 31}, {"trouble": ["stain"]}):
        answers = {**ROOF, **OWNERS[0], **other}
        pages.add(as_html(for_shop(lifecycle.loads(scenario_text(answers, base_date=date(2027, 4, 1))))))
    assert len(pages) == 4


def test_the_shop_is_told_nothing_of_what_the_owner_keeps_to_himself(told: Gathered) -> None:
    page = as_html(for_shop(told.scenario))
    for private in (
        {"holding_period": 4.0},
        {"hour_value": 77.0},
        {"day_cost": 5.0},
        {"holding_period": 15.0},
    ):
        changes = {f"owner.{name}": value for name, value in private.items()}
        assert as_html(for_shop(replaced(told.scenario, changes))) == page
    said = words(page)
    assert told.scenario.title not in said
    prices = [way.measures.break_even_price.value for way in told.comparison.ways.values() if way.measures]
    kept = [price for price in prices if price is not None]
    assert kept and not [price for price in kept if money_text(price) in said]
    for way in told.comparison.ways.values():
        assert way.title not in said and money_text(way.at_holding) not in said
    assert "10 years" not in said and "cheaper" not in said and "dearer" not in said
    assert "9,870" not in said and "matters most" not in said
    assert "26.6 ft between the caps" in said and "Who gives the warranty" in said


def test_swings_are_those_of_the_pair_in_question(told: Gathered) -> None:
    assert told.studied is not None
    change = told.studied.change
    assert (change.subject, change.than) == (told.answer.parts.subject, told.answer.parts.against)
    assert change.mean == pytest.approx(told.answer.parts.middle)
    pair = along(told.studied.found.scenario, doubt=told.studied.found.doubt)
    known = {one.figure.path: (one.at_low, one.at_high) for one in change.swings}
    ends = pair.net_savings[:, [0, -1]].tolist()
    assert known == {figure.path: tuple(row) for figure, row in zip(pair.figures, ends, strict=True)}


def test_with_trouble_every_paper_says_open_it_first_and_compares_nothing() -> None:
    told = gather(lifecycle.load(TROUBLE))
    assert told.studied is None
    made = papers_of(told)
    us, shop = (words(made[name].decode("utf-8")) for name in ("us.html", "shop.html"))
    assert "Open it first" in us and "Open it first" in shop
    assert "soft spot" in us and "soft spot" in shop
    for said in (us, shop, pdf_words(made["us.pdf"]), pdf_words(made["shop.pdf"])):
        assert "cheaper" not in said and "of 20 " not in said
    assert "Open it first" in pdf_words(made["us.pdf"])
    for name in ("us.html", "shop.html", "analyst.html"):
        assert list(attributes(made[name].decode("utf-8")))


def test_without_an_answer_no_case_is_made_for_or_against_it(told: Gathered) -> None:
    unsure = replace(told, answer=replace(told.answer, parts=replace(told.answer.parts, word=NO_SINGLE)))
    said = words(as_html(for_us(unsure)))
    assert say("papers.not_answered") in said
    assert "The case for" not in said and "turn the answer alone" not in said
    assert "The seven questions" in said
