"""The owner's answer and paper held against the minimum standards for decision aids.

The standards are those of the IPDAS collaboration, version 4.0, and the items of the instrument IPDASi on
chances, written for aids to patients' decisions. How known: seen in reviews that print the items. Which of
them carry over, and where each is met, stands in DEVELOPERS.md; here is what can be tested.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path

import pytest
import textstat

from lifecycle.answers.blocks import Answer, Heading, Items, Table, whole
from lifecycle.answers.comparison import glossary, living_blocks
from lifecycle.answers.figures import figures_answer
from lifecycle.answers.papers import for_shop, for_us, gather
from lifecycle.data import data
from lifecycle.evaluation.comparison import compare
from lifecycle.files import load
from lifecycle.language.claims import case_lines
from lifecycle.language.sentences import say, words
from lifecycle.plans import KEEP, under_every_plan
from lifecycle.studies.ways import nothing_done
from lifecycle.writers.ask import ask
from lifecycle.writers.terminal import as_text
from tests.house.readability import sentences
from tests.house.readability import words as words_of
from tests.house.test_language import _strings

pytestmark = pytest.mark.usefixtures("few_lives")

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
SHIPPED = ("humid-coast-motorhome", "sells-in-three-years")
DRAWS = 64

EIGHTH = 8.0
"""Highest school grade of an owner's text."""


@cache
def asked(name: str) -> Answer:
    return ask("compare", load(SCENARIOS / f"{name}.toml"), draws=DRAWS).answer


@cache
def paper(name: str) -> Answer:
    return for_us(gather(load(SCENARIOS / f"{name}.toml"), draws=DRAWS))


@cache
def texts(name: str) -> tuple[str, str]:
    """What an owner reads of one scenario: the answer, and the paper with the sentences of its drawings."""
    return as_text(asked(name), drawings=True), as_text(paper(name), drawings=True)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_decision_and_its_options_are_stated(name: str) -> None:
    """Every way of the comparison stands in the answer, and the paper asks the question in its title."""
    answer, on_paper = texts(name)
    titles = [way.title for way in load(SCENARIOS / f"{name}.toml").alternatives]
    plain = " ".join(answer.split())
    assert titles and all(title in plain for title in titles)
    assert paper(name).title.endswith("?") and on_paper.startswith(paper(name).title)


@pytest.mark.parametrize("name", SHIPPED)
def test_what_happens_if_nothing_is_done_stands_beside_the_ways(name: str) -> None:
    """As a column of the answer and a row of the paper; as under the shipped plan of nothing."""
    scenario = load(SCENARIOS / f"{name}.toml")
    beside = [block.head[-1] for block in whole(asked(name).blocks) if isinstance(block, Table)]
    assert say("living.nothing") in beside
    on_paper = [block for block in paper(name).blocks if isinstance(block, Table)]
    assert any(row[0] == say("living.nothing_done") for block in on_paper for row in block.rows)
    account = nothing_done(compare(scenario).case)
    other = compare(under_every_plan(scenario)).ways[f"{KEEP}nothing"]
    assert float(account.at_holding[0]) == pytest.approx(other.at_holding, rel=1e-9)
    assert float(account.expected["leaks"][0]) == pytest.approx(other.expected["leaks"], rel=1e-9)


@pytest.mark.parametrize("name", SHIPPED)
def test_good_and_bad_stand_in_equal_detail(name: str) -> None:
    from lifecycle.studies.assessment import brief

    found = brief(load(SCENARIOS / f"{name}.toml"), draws=DRAWS)
    lines = case_lines(compare(found.scenario), found.doubt)
    assert len(lines.for_) == len(lines.against) >= 4
    lengths = [sum(len(words_of(line)) for line in side) for side in (lines.for_, lines.against)]
    assert max(lengths) < 2 * min(lengths)


CHANCE = re.compile(r"\b(\d[\d,]*) (?:of|in) (\d[\d,]*)\b(?! (?:years?|figures?|months?|ft|m)\b)")
RARE = re.compile(r"(?:fewer|more) than (?:1|39) in 40|<1 in 40|deck gone[^.]*\.", re.IGNORECASE)


@pytest.mark.parametrize("name", SHIPPED)
def test_every_chance_has_the_same_denominator(name: str) -> None:
    """Of 20, but for "fewer than 1 in 40", which is what 0 and 20 of 20 mean; counts are none."""
    for text in texts(name):
        plain = RARE.sub(" ", " ".join(text.split()))
        found = list(CHANCE.finditer(plain))
        others = [plain[one.start() - 40 : one.end() + 20] for one in found if one[2] != "20"]
        assert found and not others
        assert "%" not in re.sub(r"\(\d+ %\)", "", plain)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_chances_of_the_verdict_are_framed_both_ways(name: str) -> None:
    """What says how often it is cheaper says how often it is dearer too, and the counts add up."""
    line = str(asked(name).data["verdict"][1])
    both = re.search(r"cheaper in (\d+) and dearer in (\d+)", line)
    ends = "more than 39 in 40" in line and "fewer than 1 in 40" in line
    assert ends or (both and int(both[1]) + int(both[2]) == 20)
    for template in ("of_20", "of_20_all", "of_20_none"):
        sentence = words("verdict.how_much")[template]
        assert "cheaper" in sentence and "dearer" in sentence


@pytest.mark.parametrize("name", SHIPPED)
def test_chances_come_with_class_period_and_doubt(name: str) -> None:
    """Futures, so many years kept, and what most of them lie between."""
    line = str(asked(name).data["verdict"][1])
    assert re.search(r"if you keep it \d+ years", line)
    assert re.search(r"In 16 of 20 futures it is", line)
    on_paper = " ".join(texts(name)[1].split())
    assert "such roofs" in on_paper and "That is luck." in on_paper
    assert "20 such coaches" in on_paper and say("charts.twenties.luck") in on_paper


@pytest.mark.parametrize("name", SHIPPED)
def test_what_it_is_like_stands_in_answer_and_paper(name: str) -> None:
    assert Heading(say("living.head")) in whole(asked(name).blocks)
    heads = [block.head for block in paper(name).blocks if isinstance(block, Table)]
    assert ("", *words("living.heads")) in heads


def test_jobs_a_year_by_hand() -> None:
    """The shop comes once a year for ten years; not on the day of the sale, so 9 or 10 days in 10 years."""
    comparison = compare(load(SCENARIOS / "humid-coast-motorhome.toml"))
    table = next(block for block in living_blocks(comparison) if isinstance(block, Table))
    row = next(row for row in table.rows if row[0] == say("living.goes_up"))
    assert float(row[1]) in (0.9, 1.0) and row[-1] == "0.0"


@pytest.mark.parametrize("name", SHIPPED)
def test_date_renewal_and_who_gains_stand_on_every_answer_and_paper(name: str) -> None:
    today = data("editions/today.toml")
    shop = for_shop(load(SCENARIOS / f"{name}.toml"))
    assert isinstance(today["day"], date) and today["day"] < today["renewed"]
    for answer in (asked(name), paper(name), shop):
        for said in (today["day"].isoformat(), today["renewed"].isoformat(), "nobody who sells roofs"):
            assert answer.footer.count(said) == 1
        assert answer.footer in " ".join(as_text(answer).split())


@pytest.mark.parametrize("name", SHIPPED)
def test_trade_terms_have_their_meaning_on_the_page(name: str) -> None:
    """Those of the blocks above it, and those that the meanings themselves use."""
    blocks = list(whole(asked(name).blocks))
    said = glossary(blocks[: blocks.index(Heading(say("living.words")))])
    assert said and blocks[-len(said) :] == said and glossary([*blocks, *said]) == said
    items = next(block for block in said if isinstance(block, Items))
    assert any(line.startswith("membrane: ") for line in items.lines)


def owner_sentences() -> Iterator[str]:
    """Sentences of the owner's answer and paper, without titles of ways, tables and the foot."""
    for name in SHIPPED:
        for answer in (asked(name), paper(name)):
            yield from (
                part
                for block in whole(answer.blocks)
                if hasattr(block, "text")
                for part in sentences(block.text)
            )


def test_an_owner_of_eighth_grade_reads_it() -> None:
    """School grade by Kincaid's formula, worked out by a library; a glossary's terms count as they stand."""
    read = [sentence for sentence in owner_sentences() if len(words_of(sentence)) >= 4]
    assert len(read) > 20
    assert textstat.flesch_kincaid_grade(" ".join(read)) <= EIGHTH


@pytest.mark.parametrize(
    "subject", ["verdict", "living", "papers", "timing", "doubt", "quote", "claims", "card"]
)
def test_the_stored_words_of_owner_and_counter_are_as_plain(subject: str) -> None:
    """Every whole sentence of the words that these pages are filled from, a number in each slot."""
    read = [
        sentence
        for text in _strings(words(subject))
        for sentence in sentences(text)
        if sentence.endswith((".", "?")) and len(words_of(sentence)) >= 4
    ]
    assert len(read) >= 3
    assert textstat.flesch_kincaid_grade(" ".join(read)) <= EIGHTH


def test_the_measure_tells_hard_from_plain() -> None:
    hard = "Institutional considerations necessitate multidisciplinary reconsideration of amortisation."
    assert (
        textstat.flesch_kincaid_grade(hard)
        > EIGHTH
        > textstat.flesch_kincaid_grade("Look at the roof first.")
    )


@pytest.mark.parametrize("name", SHIPPED)
def test_a_persons_name_in_a_source_stands_on_no_face_of_an_owner_or_a_seller(name: str) -> None:
    """Analysts read who published a figure; everybody else what it was: a survey of so many roofs."""
    named = ("Schneider", "Keenan")
    source = data("shared.toml")["roofs"]["membrane"]["life_mean"]["source"]
    assert all(one in source for one in named)
    scenario = load(SCENARIOS / f"{name}.toml")
    faces = [*texts(name), as_text(for_shop(scenario), drawings=True)]
    commands = ("claims", "doubt", "timing")
    faces += [as_text(ask(command, scenario, draws=DRAWS).answer) for command in commands]
    assert not [one for one in named for face in faces if one in face]
    analyst = as_text(figures_answer(scenario))
    assert all(one in analyst for one in named)
