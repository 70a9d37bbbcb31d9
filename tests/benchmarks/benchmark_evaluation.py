"""How fast the evaluation is, against the plain loop in the same run. Not timed in CI.

Run with:  python tests/benchmarks/benchmark_evaluation.py

Prints the machine, then a line for each target: what was measured, the target, and whether it is
met. The plain loop is the slow model of the agreement tests: one month after another, in plain
Python, for one set of inputs; its time for many draws is one draw's times their number.
"""

from __future__ import annotations

import os
import platform
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from lifecycle.evaluation.expectation import evaluate
from lifecycle.files import load
from lifecycle.roofs import Case
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.doubt import futures
from lifecycle.studies.habits import habits
from lifecycle.studies.timing import timing

HERE = Path(__file__).resolve()
ROOT = HERE.parents[2]
SCENARIO = ROOT / "scenarios" / "humid-coast-motorhome.toml"


def main() -> None:
    """Print every measurement."""
    versions = f"Python {platform.python_version()}, numpy {np.__version__}"
    print(f"{platform.machine()}, {os.cpu_count()} cores, {versions}")
    scenario = load(SCENARIO)
    plain = _plain_loop(resolve(scenario))
    for ways, years, draws, target in ((3, 30, None, 0.4), (2, 30, 10_000, 3.0)):
        case = _case(scenario, ways, years, draws)
        seconds = _best_of(lambda case=case: evaluate(case), 1 if draws else 3)
        rows = draws or _swings(scenario)
        loop = plain * rows * ways / 2 * (years / 20) ** 2
        _line(f"{ways} ways, {years} years, {rows:,} rows in one batch", seconds, target)
        print(f"    the plain loop would take about {loop:,.0f} s: {loop / seconds:,.0f} times as long")
    half = _best_of(lambda: evaluate(_case(scenario, 2, 30, 5_000)), 1)
    whole = _best_of(lambda: evaluate(_case(scenario, 2, 30, 10_000)), 1)
    print(f"    twice the draws take {whole / half:.1f} times as long")
    short = _best_of(lambda: evaluate(_case(scenario, 2, 15, 2_000)), 1)
    long = _best_of(lambda: evaluate(_case(scenario, 2, 30, 2_000)), 1)
    print(f"    twice the months take {long / short:.1f} times as long")
    _line("table of 20s, seven plans, 1,024 draws", _best_of(lambda: habits(scenario), 1), 2.5)
    _line("timing curve, 1,000 draws", _best_of(lambda: timing(scenario, draws=1_000), 1), 10.0)
    for words, target in ((["--help"], 0.1), (["compare", str(SCENARIO)], 3.0)):
        _line(f"lifecycle {words[0]} as a process", _best_of(lambda words=words: _process(words), 3), target)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"most memory: {memory:,.0f} MB (target 1,000)")


def _case(scenario: Scenario, ways: int, years: int, draws: int | None) -> Case:
    """Return the base case and the next ways over some years, with draws or with all swings."""
    if draws is None:
        rows = _swings(scenario)
        values = {p: np.full(rows, f.likely) for p, f in scenario.inputs.items() if f.ranged}
        for place, path in enumerate(values):
            values[path][2 * place + 1] = scenario.inputs[path].low
            values[path][2 * place + 2] = scenario.inputs[path].high
    else:
        values = dict(futures(scenario, draws=draws, seed=1).sample.values)
    case = resolve(scenario, values)
    chosen = [way for way in case.alternatives if way.base_case or way.change_month is not None]
    terms = replace(case.terms, study_period=years)
    return replace(case, alternatives=tuple(chosen[:ways]), terms=terms)


def _swings(scenario: Scenario) -> int:
    """Return the number of rows of a batch with every swing."""
    return 1 + 2 * sum(figure.ranged for figure in scenario.inputs.values())


def _plain_loop(case: Case) -> float:
    """Seconds of the plain loop for two ways and one set of inputs."""
    sys.path.insert(0, str(ROOT / "tests" / "agreement"))
    from slow_model import slow_evaluate

    two = replace(case, alternatives=case.alternatives[:2])
    return _best_of(lambda: slow_evaluate(two), 1)


def _process(words: list[str]) -> None:
    """Run the command line as a process of its own."""
    command = [sys.executable, "-m", "lifecycle", *words]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=ROOT)


def _best_of(work: Callable[[], object], times: int) -> float:
    """Shortest time of some runs. [s]"""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def _line(what: str, seconds: float, target: float) -> None:
    """Print one measurement against its target."""
    print(f"{what}: {seconds:.2f} s, target {target:g} s: {'met' if seconds < target else 'missed'}")


if __name__ == "__main__":
    main()
