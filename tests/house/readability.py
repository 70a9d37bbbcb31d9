"""How hard a text is to read: sentences, words, syllables, and two standard measures made of them.

Reading ease (Flesch, A new readability yardstick, Journal of Applied Psychology 32, 1948)::

    206.835 - 1.015 words / sentences - 84.6 syllables / words

School grade (Kincaid, Fishburne, Rogers and Chissom, Navy Research Branch Report 8-75, 1975)::

    0.39 words / sentences + 11.8 syllables / words - 15.59

Both formulas are from memory. About 5 more than the grade is the age of the reader. As in Flesch's own
instructions (from memory) a unit of thought ends at a full stop, question mark, exclamation mark,
colon or semicolon. A number is a word of one syllable. Syllables are counted by rule: groups of
vowels, less a silent e at the end; a word in fifty or so is miscounted.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

_END, _UNIT = (re.compile(rf"(?<=[{marks}])[\"')\]]*\s+") for marks in (".!?", ".!?:;"))
_WORD = re.compile(r"[A-Za-z]+(?:['-][A-Za-z]+)*|\d[\d.,]*")
_SHORT = {"quiet": 2, "being": 2, "people": 2}


@dataclass(frozen=True)
class Measure:
    """Words a unit of thought, syllables a word, reading ease, and school grade."""

    words: float
    syllables: float
    ease: float
    grade: float


def sentences(text: str) -> list[str]:
    """Return the sentences of a text: a colon or a semicolon ends none."""
    return [part.strip() for part in _END.split(text) if words(part)]


def units(text: str) -> list[str]:
    """Return the units of thought of a text."""
    return [part.strip() for part in _UNIT.split(text) if words(part)]


def words(text: str) -> list[str]:
    """Return the words and numbers of a text."""
    return _WORD.findall(text)


def syllables(word: str) -> int:
    """Return about how many syllables a word has."""
    lower = word.lower()
    if not lower[0].isalpha():
        return 1
    if "-" in lower:
        return sum(syllables(part) for part in lower.split("-"))
    lower = lower.split("'")[0]
    if lower in _SHORT:
        return _SHORT[lower]
    return max(1, len(re.findall(r"[aeiouy]+", lower)) - _silent(lower))


def _silent(word: str) -> int:
    """Return 1 if the last e of a word is not spoken."""
    if re.search(r"[^aeiouy]le$", word):
        return 0
    if re.search(r"e$", word) and not re.search(r"[aeiouy]e$", word):
        return 1
    if re.search(r"[^aeiouytd]ed$", word):
        return 1
    return 1 if re.search(r"[^aeiouycghlsxz]es$|[aeiou]les$", word) else 0


def measure(texts: Sequence[str]) -> Measure:
    """Measure some texts as one."""
    every = [words(unit) for text in texts for unit in units(text)]
    total = sum(map(len, every))
    mean = total / len(every)
    each = sum(syllables(word) for unit in every for word in unit) / total
    return Measure(mean, each, 206.835 - 1.015 * mean - 84.6 * each, 0.39 * mean + 11.8 * each - 15.59)
