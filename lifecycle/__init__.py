"""Life-cycle cost of keeping, renewing or coating the roof of a coach.

Each function is imported when it is first used, so that `import lifecycle` takes no time. Every result has a
short `repr`, and a table by `to_frame()`; in a notebook it shows as that table.

====================  =======================================================================================
`load`, `loads`       a scenario from a file, or from its text
`example`             a scenario that comes with the library, by name (`shipped_file`: a file of records)
`change`              a new scenario: another quote, other years, another place, any input by its path
`save`, `dumps`       a scenario, changed or not, as a file or as its text
`compare`             the ways of the file at likely values: cost by category, year; measures (`Comparison`)
`doubt`               the same ways in many futures: means, bands, chances, costs by draw (`Doubt`)
`timing`              every date of the change, every reseal interval (`Timing`)
`sensitivity`         what would change the answer, figure by figure (`Sensitivity`)
`two_way_map`         where the answer turns, by two figures (`TwoWayMap`)
`habits`              in how many of 20 futures, by habit and year of sale (`Habits`)
`by_place`            the answer where it stands, and in every place of the table (`ByPlace`)
`workbench`           a scenario whose judgement gives way to weather and records (`Workbench`)
`weather`             the climate of a daily weather file (`StationClimate`)
`sweep`               scenarios by changed inputs by years kept, one tidy table (`Sweep`)
`coaches`             a table of coaches, to be swept: ``sweep(base, rows=table.rows, labels=table.labels)``
`fleet`               which coaches of a sweep first, under a yearly budget (`Answer`)
`difference`          why two scenarios differ, by cause (`Difference`)
`verdict`             the answer in five lines, and its parts, as the commands give it (`Verdict`)
`ask`                 an answer as the command line gives it: blocks, plain data, chart (`Answer`)
`assess`              all that doubt says of the one set of ways that the verdict compares (`Assessment`)
`step`                one step of the model as lines (`Curves`)
`agreement`           the two evaluations of one scenario beside each other (`Agreement`)
`printed`             numbers that others printed, beside ours
`resolve`             the plain numbers that the model computes on
`sliders`             quote, years kept, price of a reseal over a chart that follows, in a notebook
`charts`              every chart by name: ``charts.break_even(comparison).figure`` shows itself
====================  =======================================================================================

`compare` and `doubt` take the ways as the file states them. `verdict`, `assess`, `ask` and every command
first complete them to one set: whoever waits keeps the roof in the cheapest way meanwhile, and the best date
of the change is among them. ``assess(scenario).scenario`` has that set, to be compared as well.

Examples
--------
>>> import lifecycle
>>> scenario = lifecycle.load("scenarios/worked-example-1.toml")
>>> comparison = lifecycle.compare(scenario)
>>> comparison
Comparison of 'Worked example 1: a membrane kept by a shop, or sprayed', USD, kept 8 years
  keep: 11,031  (otherwise)
  coat_now: 7,751  (in question)
  coat_later: 9,638
  coat_at_end: 10,204
>>> round(float(comparison.curves().loc[20, "coat_now"]), 2)
11056.45
>>> dearer = lifecycle.change(scenario, {"alternatives.coat_now.quote": 9000.0})
>>> round(lifecycle.compare(dearer).net_savings("coat_now"))
1379
"""

from __future__ import annotations

from importlib import import_module

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

__version__ = "0.2.0"

_ROOMS = {
    "agreement": "studies.agreement:agreement",
    "ask": "writers.ask:ask",
    "assess": "studies.assessment:brief",
    "workbench": "answers.workbench:workbench",
    "by_place": "studies.by_place:by_place",
    "change": "studies.what_if:changed",
    "charts": "charts",
    "coaches": "records.fleets:coaches",
    "compare": "evaluation.comparison:compare",
    "difference": "studies.difference:difference",
    "doubt": "studies.doubt:doubt",
    "dumps": "files:dumps",
    "example": "files:example",
    "fleet": "writers.ask:fleet",
    "habits": "studies.habits:habits",
    "load": "files:load",
    "loads": "files:loads",
    "printed": "writers.ask:printed",
    "resolve": "scenario:resolve",
    "save": "files:save",
    "sensitivity": "answers.sensitivity:what_changes",
    "shipped_file": "places:shipped_file",
    "sliders": "pages.panels.sliders:Sliders",
    "step": "studies.steps:step",
    "sweep": "studies.grid:sweep",
    "timing": "studies.timing:timing",
    "two_way_map": "studies.sensitivity:two_way_map",
    "verdict": "language.verdict:verdict_of",
    "weather": "records.weather:weather",
}
"""Where each function lives; a room stands for itself."""


def __getattr__(name: str) -> object:
    """Import a function, or the charts, when they are first used."""
    if name not in _ROOMS:
        raise AttributeError(f"module 'lifecycle' has no attribute {name!r}; it has {', '.join(__all__)}")
    room, _, function = _ROOMS[name].partition(":")
    try:
        module = import_module(f"lifecycle.{room}")
    except ModuleNotFoundError as error:
        told = (
            f"lifecycle.{name} needs the library {error.name}: python -m pip install 'lifecycle[notebooks]'"
        )
        raise ImportError(told, name=error.name) from None
    return getattr(module, function) if function else module


def __dir__() -> list[str]:
    """Name what the library offers."""
    return sorted(__all__)
