"""What an owner reads is short and plain: sentence length, reading age, no expert word without its meaning.

Texts are collected by where they stand, so that a new paper or a new data file is included by itself.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from functools import cache
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from lifecycle.evaluation.comparison import compare
from lifecycle.files import data, load
from lifecycle.language.verdict import verdict_under
from lifecycle.studies.assessment import brief
from lifecycle.studies.verdict import last_year_needed
from tests.house.readability import measure, sentences, syllables, units, words

ROOT = Path(__file__).resolve().parents[2]
PLAIN = data("plain_words.toml")
LIMITS = PLAIN["limits"]

NOT_FOR_OWNERS = ("source", "note", "basis", "term", "symbol", "unit", "value", "like", "kind", "paths")
"""Names in data files whose texts an owner meets only in the register, or not at all."""

FOR_ANALYSTS = frozenset(
    f"{name}.toml" for name in ("analyst", "bands", "climate", "plain_words", "records", "regions")
)
"""Data files that hold no text for owners."""

SHORTEST = 4
"""Words of the shortest text that is measured; a label of three words is no sentence."""


@cache
def everything() -> dict[str, tuple[str, ...]]:
    """Return every text that an owner reads, by the paper it stands on."""
    papers: dict[str, tuple[str, ...]] = {}
    texts = ROOT / "lifecycle" / "data"
    for path in sorted(texts.rglob("*.toml")):
        if path.name not in FOR_ANALYSTS:
            name = path.relative_to(texts).as_posix()
            papers[f"data/{name}"] = tuple(_strings(data(name)))
    for path in sorted((ROOT / "reports").rglob("*.html")):
        if not path.name.startswith("analyst"):
            papers[str(path.relative_to(ROOT))] = tuple(_of_page(path.read_text(encoding="utf-8")))
    for path in sorted((ROOT / "notebooks").glob("*.ipynb")):
        papers[str(path.relative_to(ROOT))] = tuple(_of_notebook(path))
    papers["README.md"] = tuple(_of_readme((ROOT / "README.md").read_text(encoding="utf-8")))
    for path in sorted((ROOT / "scenarios").glob("*.toml")):
        papers[f"verdict on {path.stem}"] = _of_verdict(path)
    return {name: texts for name, texts in papers.items() if texts}


def _strings(table: Any, name: str = "") -> Iterator[str]:
    """Go through the texts of a data file that an owner reads; gaps are filled with a number."""
    if isinstance(table, Mapping):
        for key, value in table.items():
            if key not in NOT_FOR_OWNERS:
                yield from _strings(value, key)
    elif isinstance(table, list):
        for value in table:
            yield from _strings(value, name)
    elif isinstance(table, str):
        yield re.sub(r"\{[^}]*\}", "12", table)


def _of_page(page: str) -> Iterator[str]:
    """Go through the texts of a page; style and drawings are left out."""
    body = re.sub(r"<(style|svg|script)\b.*?</\1>", " ", page, flags=re.DOTALL)
    for part in re.split(r"</?(?:p|li|td|th|h\d|caption|figcaption|footer|title|div|tr)\b[^>]*>", body):
        text = " ".join(unescape(re.sub(r"<[^>]+>", " ", part)).split())
        if text:
            yield text


def _of_notebook(path: Path) -> Iterator[str]:
    """Go through the paragraphs of a notebook's texts."""
    for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
        if cell["cell_type"] == "markdown":
            yield from _paragraphs("".join(cell["source"]))


def _of_readme(text: str) -> Iterator[str]:
    """Go through the paragraphs of the README that are for owners: before what changed, without code."""
    before = text.split("\n## Changes")[0]
    yield from _paragraphs(re.sub(r"```.*?```|<!--.*?-->|!\[[^\]]*\]\([^)]*\)", "", before, flags=re.DOTALL))


def _paragraphs(text: str) -> Iterator[str]:
    """Go through paragraphs and items of a list, without marks."""
    for part in re.split(r"\n\s*\n|\n\s*(?:[-*]|\d+\.)\s|\n#+ |\n\|", f"\n{text}"):
        plain = re.sub(r"\]\([^)]*\)|[*`#\[|]", " ", part)
        if plain.strip():
            yield " ".join(plain.split())


def _of_verdict(path: Path) -> tuple[str, ...]:
    """Return what is said of a shipped scenario, without the titles of its ways."""
    comparison = compare(load(path))
    found = None
    if not comparison.trouble and comparison.subject is not None:
        found = brief(comparison.scenario, draws=16, until=last_year_needed(comparison.scenario))
        comparison = compare(found.scenario)
    verdict = verdict_under(comparison, found)
    titles = sorted({way.title for way in comparison.ways.values()}, key=len, reverse=True)
    return tuple(_without(line, titles) for line in (*verdict.lines, *verdict.beside))


def _without(line: str, titles: list[str]) -> str:
    """Return a line in which a title, which is the user's own, is one word."""
    for title in titles:
        line = line.replace(title, "it").replace(title[:1].lower() + title[1:], "it")
    return line


def told(texts: tuple[str, ...]) -> list[str]:
    """Return the texts that are sentences, not labels."""
    return [
        text for text in texts if len(words(text)) >= SHORTEST and text.rstrip(')"').endswith((".", "!", "?"))
    ]


def looked_through(paper: str) -> tuple[str, ...]:
    """Return the texts of a paper in which words are looked for; of data files the sentences only.

    A label of a data file is met on a paper, and looked at there.
    """
    texts = everything()[paper]
    return tuple(told(texts)) if paper.startswith("data/") else texts


def expert_words(texts: tuple[str, ...]) -> dict[str, str]:
    """Return the expert words without their meaning, each with a text that has it."""
    together = " ".join(texts).lower()
    found = {}
    for word, plain in PLAIN["words"].items():
        seen = re.compile(rf"\b{re.escape(word.lower())}(?:s|es)?\b")
        text = next((text for text in texts if seen.search(text.lower())), None)
        if text is not None and not any(meaning.lower() in together for meaning in plain):
            found[word] = text
    return found


def longest_of(texts: list[str]) -> str:
    """Return the longest unit of thought."""
    return max((unit for text in texts for unit in units(text)), key=lambda unit: len(words(unit)))


@cache
def papers() -> list[str]:
    """Return the names of the papers that have sentences."""
    return sorted(name for name, texts in everything().items() if told(texts))


@pytest.mark.slow
def test_papers_of_every_kind_are_looked_at() -> None:
    kinds = ("data/questions.toml", "data/words/card.toml", "data/fields.toml", "reports/price-card.html")
    assert {*kinds, "notebooks/owner.ipynb", "README.md", "verdict on trouble-reported"} <= set(papers())
    assert sum(name.startswith("verdict on ") for name in papers()) == len(
        list((ROOT / "scenarios").glob("*.toml"))
    )


def test_sentences_are_short() -> None:
    faults = []
    for paper in papers():
        found = told(everything()[paper])
        longest = longest_of(found)
        if len(words(longest)) > LIMITS["most_words"]:
            faults.append(f"{paper}: {len(words(longest))} words: {longest}")
        lengths = [len(words(sentence)) for text in found for sentence in sentences(text)]
        mean = sum(lengths) / len(lengths)
        kind = "verdict" if paper.startswith("verdict on ") else paper
        if mean > LIMITS["mean_words"].get(kind, LIMITS["mean_words"]["other"]):
            faults.append(f"{paper}: {mean:.1f} words a sentence")
    assert not faults, "\n".join(faults)


def test_a_reader_of_twelve_can_read_it() -> None:
    grades = {paper: measure(told(everything()[paper])).grade for paper in papers()}
    assert not {paper: round(grade, 1) for paper, grade in grades.items() if grade > LIMITS["grade"]}


def test_no_expert_word_stands_without_its_meaning() -> None:
    faults = [
        f"{paper}: {word}: say {PLAIN['words'][word][0]!r}, or both, in: {text}"
        for paper in sorted(everything())
        for word, text in expert_words(looked_through(paper)).items()
        if word not in PLAIN["known"].get(paper, ())
    ]
    assert not faults, "\n".join(faults)


def test_an_expert_word_is_seen_and_allowed_beside_its_meaning() -> None:
    assert set(expert_words(("Mind the deductible.", "The medians differ."))) == {"deductible", "median"}
    assert not expert_words(("Mind the deductible: what you pay first.",))
    assert not expert_words(("A medianworld of deductibleness.",))


def test_a_page_is_read_without_its_style_and_drawings() -> None:
    page = "<style>p{hazard:1}</style><p>One &amp; two.</p><svg><text>median</text></svg><td>3</td>"
    assert list(_of_page(page)) == ["One & two.", "3"]


@pytest.mark.parametrize(
    ("word", "number"),
    {
        "roof": 1, "reseal": 2, "cheaper": 2, "probably": 3, "sprayed": 1, "middle": 2, "otherwise": 3,
        "coaches": 2, "prices": 2, "damage": 2, "once": 1, "needed": 2, "looked": 1, "holes": 1,
        "self-levelling": 4, "the": 1, "people": 2, "12,400": 1,
    }.items(),
)  # fmt: skip
def test_syllables(word: str, number: int) -> None:
    assert syllables(word) == number


def test_measures_by_hand() -> None:
    """Six words of one syllable in one sentence, and two sentences with a colon: by the formulas."""
    one = measure(["The cat sat on the mat."])
    assert (one.words, one.syllables) == (6.0, 1.0)
    assert one.ease == pytest.approx(206.835 - 1.015 * 6 - 84.6)
    assert one.grade == pytest.approx(0.39 * 6 + 11.8 - 15.59)
    assert units("One thing: two things. Three!") == ["One thing:", "two things.", "Three!"]
    assert sentences("One thing: two things. Three!") == ["One thing: two things.", "Three!"]
