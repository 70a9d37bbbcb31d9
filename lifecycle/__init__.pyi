"""Types of the library's own face; its functions are imported when they are first used."""

from lifecycle import charts
from lifecycle.answers.sensitivity import what_changes as sensitivity
from lifecycle.answers.workbench import workbench
from lifecycle.evaluation.comparison import compare
from lifecycle.files import dumps, example, load, loads, save
from lifecycle.language.verdict import verdict_of as verdict
from lifecycle.pages.panels.sliders import Sliders as sliders
from lifecycle.places import shipped_file
from lifecycle.records.fleets import coaches
from lifecycle.records.weather import weather
from lifecycle.scenario import resolve
from lifecycle.studies.agreement import agreement
from lifecycle.studies.assessment import brief as assess
from lifecycle.studies.by_place import by_place
from lifecycle.studies.difference import difference
from lifecycle.studies.doubt import doubt
from lifecycle.studies.grid import sweep
from lifecycle.studies.habits import habits
from lifecycle.studies.sensitivity import two_way_map
from lifecycle.studies.steps import step
from lifecycle.studies.timing import timing
from lifecycle.studies.what_if import changed as change
from lifecycle.writers.ask import ask, fleet, printed

__all__ = [
    "__version__",
    "agreement",
    "ask",
    "assess",
    "by_place",
    "change",
    "charts",
    "coaches",
    "compare",
    "difference",
    "doubt",
    "dumps",
    "example",
    "fleet",
    "habits",
    "load",
    "loads",
    "printed",
    "resolve",
    "save",
    "sensitivity",
    "shipped_file",
    "sliders",
    "step",
    "sweep",
    "timing",
    "two_way_map",
    "verdict",
    "weather",
    "workbench",
]

__version__: str
