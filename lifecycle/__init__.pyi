"""Types of the library's own face; its functions are imported when they are first used."""

from lifecycle.answers.sensitivity import what_changes as sensitivity
from lifecycle.evaluation.comparison import compare
from lifecycle.files import load, loads
from lifecycle.language.verdict import verdict_of as verdict
from lifecycle.scenario import resolve
from lifecycle.studies.by_place import changed as change
from lifecycle.studies.difference import difference
from lifecycle.studies.doubt import doubt
from lifecycle.studies.timing import timing
from lifecycle.writers.asked import ask

__all__ = [
    "__version__",
    "ask",
    "change",
    "compare",
    "difference",
    "doubt",
    "load",
    "loads",
    "resolve",
    "sensitivity",
    "timing",
    "verdict",
]

__version__: str
