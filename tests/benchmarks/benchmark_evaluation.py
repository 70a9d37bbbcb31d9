"""How fast the evaluation is, against what a user would write instead, in the same run. Not timed in CI.

    python tests/benchmarks/benchmark_evaluation.py [--cases 500] [--only compare doubt] [--compiled]

Prints the day and the machine, then a table: each thing in the compiled form, in the numpy form, and by the
plain loop over months of the agreement tests, with ratios and targets; what a simulation takes for the
standard error of 10,000 futures; how time grows with draws, months and ways (the slope on two logarithmic
axes); the largest difference between the three forms over random cases; what a command imports. Each time is
the shortest of three, in a process of its own, which also gives its memory. `--only` measures what is named
and nothing else; `--compiled` leaves the numpy form out, which takes most of the time.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from lifecycle.evaluation.compiled.library import COMPILED, NUMPY, found
from lifecycle.evaluation.expectation import evaluate, evaluate_in_numpy
from lifecycle.evaluation.simulation import simulate
from lifecycle.files import data, load
from lifecycle.roofs import Case
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.futures import Evaluator, futures

ROOT = Path(__file__).resolve().parents[2]
COMPILED_PYTHON = TemporaryDirectory()
"""Where what Python compiles of the modules is kept: by the first run of a command, for the others."""

SCENARIO = ROOT / "scenarios" / "humid-coast-motorhome.toml"
Work = Callable[[], object]


def pair(ways: int, years: int, draws: int) -> Case:
    """Return the base case and other ways over some years, in so many futures."""
    scenario = load(SCENARIO)
    case = resolve(scenario, dict(futures(scenario, draws=draws, seed=1).sample.values))
    chosen = [way for way in case.alternatives if way.base_case or way.change_month is not None]
    kept = np.minimum(np.asarray(case.terms.holding_period), years)
    terms = replace(case.terms, study_period=years, holding_period=kept)
    return replace(case, alternatives=tuple(chosen[:ways]), terms=terms)


def swings() -> Case:
    """Return every way of the scenario with every range at both ends, as `compare` evaluates it."""
    scenario: Scenario = load(SCENARIO)
    ranged = [figure for figure in scenario.inputs.values() if figure.ranged]
    values = {figure.path: np.full(1 + 2 * len(ranged), figure.likely) for figure in ranged}
    for place, figure in enumerate(ranged):
        values[figure.path][2 * place + 1 : 2 * place + 3] = figure.low, figure.high
    return resolve(scenario, values)


def lives() -> Work:
    """Return 100,000 lives of two ways over thirty years, at likely values."""
    case = resolve(load(SCENARIO))
    terms = replace(case.terms, study_period=30)
    two = replace(case, alternatives=case.alternatives[:2], terms=terms)
    return lambda: simulate(two, lives=100_000, seed=1)


def evaluation(ways: int, years: int, draws: int) -> Work:
    """Return the totals of some ways in some futures."""
    case = pair(ways, years, draws)
    return lambda: evaluate(case, totals_only=True)


def all_swings() -> Work:
    """Return all that `compare` evaluates."""
    case = swings()
    return lambda: evaluate(case)


def drawing() -> Work:
    """Return the drawing of 10,000 futures."""
    scenario = load(SCENARIO)
    seed = iter(range(1, 100))
    return lambda: futures(scenario, draws=10_000, seed=next(seed))


JOBS: dict[str, Callable[[], Work]] = {
    "10,000 futures x 2 ways x 30 years": lambda: evaluation(2, 30, 10_000),
    "all ways, all swings, 20 years": all_swings,
    "100,000 lives x 2 ways x 30 years": lives,
    "drawing 10,000 futures": drawing,
    **{f"growth {n}": lambda n=n: evaluation(2, 30, n) for n in (2_500, 20_000)},
    **{f"months {n}": lambda n=n: evaluation(2, n, 4_000) for n in (10, 40)},
    **{f"ways {n}": lambda n=n: evaluation(n, 30, 4_000) for n in (1, 3)},
}
"""What is measured: prepared, then timed."""

TARGETS = {
    "10,000 futures x 2 ways x 30 years": (0.5, 300),
    "100,000 lives x 2 ways x 30 years": (0.3, None),
    "compare": (0.5, None),
    "doubt": (1.0, None),
    "timing": (0.8, None),
    "report": (3.0, None),
    "regions": (5.0, None),
}
"""Seconds, and memory [MB], on two cores that do nothing else."""


MOVED = ("cost", "hour_value", "day_cost", "quote")
"""Fields of the prices that no evaluation stands on: of visits, hours, days and the first change."""

COMMANDS: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("compare", "doubt", "timing", "sensitivity"), ()),
    "difference": (str(SCENARIO.with_name("own-hands.toml")),),
    "report": ("--replace", "--to"),
    "regions": (),
}
"""Commands that are measured, each with what follows the scenario."""


def main() -> None:
    """Print the table."""
    asked = arguments()
    if asked.job:
        print(json.dumps(measured(JOBS[asked.job]())))
        return
    forms = (COMPILED,) if asked.compiled else (COMPILED, NUMPY)
    load_now = os.getloadavg()[0]
    print(
        f"{date.today()}, {platform.machine()}, {os.cpu_count()} cores, load {load_now:.1f} before the start"
    )
    print(f"Python {platform.python_version()}, numpy {np.__version__}; {found()[1]}")
    print(f"{'':38}{'compiled':>19}{'numpy':>19}  ratio  target")
    for name in list(JOBS)[:4]:
        if not asked.only or name in asked.only:
            row(name, [in_process(name, form) for form in forms])
    for name, more in COMMANDS.items():
        if not asked.only or name in asked.only:
            row(name, [command(name, more, form) for form in forms])
    if asked.only:
        return
    loop = plain_loop()
    print(f"one future by the plain loop: {loop:.2f} s, so 10,000 would take {loop * 10_000 / 3600:.1f} h")
    by_simulation()
    print("growth, as a power of:")
    growth("draws", "growth 2500", "growth 20000", 8.0)
    growth("months", "months 10", "months 40", 4.0)
    growth("ways", "ways 1", "ways 3", 3.0)
    differences(asked.cases)
    other_prices()
    imports()


def arguments() -> argparse.Namespace:
    """Read what is asked for."""
    reader = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    reader.add_argument("--cases", type=int, default=500, help="random cases")
    reader.add_argument("--only", nargs="*", default=(), choices=[*list(JOBS)[:4], *COMMANDS])
    reader.add_argument("--compiled", action="store_true", help="the compiled form alone")
    reader.add_argument("--job", choices=JOBS, help=argparse.SUPPRESS)
    return reader.parse_args()


def measured(work: Work) -> dict[str, float]:
    """Return first and best time, processor time of the best, and most memory, of this process."""
    taken, busy = [], []
    for _ in range(4):
        start, cpu = time.perf_counter(), time.process_time()
        work()
        taken.append(time.perf_counter() - start)
        busy.append(time.process_time() - cpu)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {"cold": taken[0], "seconds": min(taken), "busy": min(busy), "memory": memory}


def in_process(name: str, form: str) -> dict[str, float]:
    """Measure a job in a process of its own."""
    words = [sys.executable, __file__, "--job", name]
    done = subprocess.run(words, env=environment(form), check=True, capture_output=True, text=True)
    result: dict[str, float] = json.loads(done.stdout)
    return result


def command(name: str, more: Sequence[str], form: str) -> dict[str, float]:
    """Measure a command from start to end: the first run, which compiles modules, and the best of three."""
    taken, busy = [], []
    with TemporaryDirectory() as folder:
        asked = twelve_regions(Path(folder)) if name == "regions" else SCENARIO
        words = [sys.executable, "-m", "lifecycle", name, str(asked), *more]
        words += [folder] if name == "report" else []
        for _ in range(4):
            before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
            subprocess.run(words, env=environment(form), check=True, stdout=subprocess.DEVNULL, cwd=ROOT)
            taken.append(time.perf_counter() - start)
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            busy.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return {"cold": taken[0], "seconds": min(taken[1:]), "busy": min(busy[1:])}


def twelve_regions(folder: Path) -> Path:
    """Write the shipped regions with twelve places of the table, four habits, four years; return the file."""
    text = (ROOT / "scenarios" / "regions" / "three-regions.toml").read_text(encoding="utf-8")
    head = text[: text.index("[[regions]]")].replace("../humid-coast-motorhome.toml", str(SCENARIO))
    places = list(data("places.toml")["places"])[:12]
    file = folder / "twelve-regions.toml"
    tables = (f'[[regions]]\nname = "{place}"\nplace = "{place}"\n' for place in places)
    file.write_text(head + "".join(tables), encoding="utf-8")
    return file


def environment(form: str) -> dict[str, str]:
    """Return the environment that asks for a form."""
    own = {"LIFECYCLE_FORM": form, "OPENBLAS_NUM_THREADS": "1", "PYTHONPATH": str(ROOT)}
    kept = {"PYTHONDONTWRITEBYTECODE": "", "PYTHONPYCACHEPREFIX": COMPILED_PYTHON.name}
    return {**os.environ, **own, **kept}


def row(name: str, forms: Sequence[dict[str, float]]) -> None:
    """Print a row: one form or both, their ratio, and whether the target is met."""

    def cell(one: dict[str, float]) -> str:
        memory = f" {one['memory']:4.0f} MB" if "memory" in one else ""
        return f"{one['seconds']:6.2f} s{memory}"

    mine, other = forms[0], forms[-1]
    seconds, memory = TARGETS.get(name, (None, None))
    said = ""
    if seconds is not None:
        held = mine["seconds"] <= seconds and (memory is None or mine["memory"] <= memory)
        said = f"{seconds:g} s{f', {memory} MB' if memory else ''}: {'met' if held else 'missed'}"
    ratio = f"{other['seconds'] / mine['seconds']:7.1f}" if len(forms) > 1 else f"{'':7}"
    print(f"{name:38}{cell(mine):>19}{cell(other) if len(forms) > 1 else '':>19}{ratio}  {said}")
    against = f" against {other['busy']:.2f} s, {other['busy'] / mine['busy']:.1f} times"
    busy = f"{mine['busy']:.2f} s{against if len(forms) > 1 else ''}"
    print(f"{'':38}first run {mine['cold']:.2f} s; busy in all cores {busy}", flush=True)


def by_simulation() -> None:
    """Print what lives, one a future, take for the standard error that exact means have in 10,000 futures.

    Lives add luck to what the futures differ by: for the net savings of two ways, var(futures) + var(luck).
    """
    drawn = pair(2, 30, 10_000)
    start = time.perf_counter()
    first, second = (one.at_holding for one in evaluate(drawn, totals_only=True).values())
    exact = time.perf_counter() - start
    between = float(np.var(first - second))
    case = resolve(load(SCENARIO))
    two = replace(case, alternatives=case.alternatives[:2], terms=replace(case.terms, study_period=30))
    start = time.perf_counter()
    luck = sum(float(np.var(one.at_holding)) for one in simulate(two, lives=100_000, seed=1).values())
    lives, taken = 10_000 * (1.0 + luck / between), time.perf_counter() - start
    by_lives, error = taken * lives / 100_000, np.sqrt(between / 10_000)
    compared = f"{exact:.2f} s exact, {by_lives:.2f} s by lives, {by_lives / exact:.1f} times"
    print(f"net savings of two ways to a standard error of {error:.0f} USD: {compared}")
    print(f"  ({lives:,.0f} lives at likely values, one for each future)")


def growth(what: str, small: str, large: str, times: float) -> None:
    """Print the exponent with which the time in the processor grows."""
    less, more = in_process(small, COMPILED), in_process(large, COMPILED)
    exponent = np.log(more["busy"] / less["busy"]) / np.log(times)
    span = f"{less['busy']:.3f} s to {more['busy']:.3f} s"
    print(f"  {what:8} {exponent:.2f}   ({span}, {times:g} times as many)")


def plain_loop() -> float:
    """Seconds of the plain loop for one future of two ways."""
    slow_evaluate = agreement("slow_model").slow_evaluate
    case = resolve(load(SCENARIO))
    terms = replace(case.terms, study_period=30)
    two = replace(case, alternatives=case.alternatives[:2], terms=terms)
    start = time.perf_counter()
    slow_evaluate(two)
    return time.perf_counter() - start


def agreement(module: str) -> Any:
    """Return a module of the agreement tests."""
    if str(ROOT) not in sys.path:
        sys.path.insert(0, str(ROOT))
    return import_module(f"tests.agreement.{module}")


def differences(cases: int) -> None:
    """Print the largest differences of net-present cost between the forms, over random cases."""
    random_case = agreement("random_cases").random_case
    slow_evaluate = agreement("slow_model").slow_evaluate
    to_numpy = to_loop = 0.0
    for seed in range(cases):
        case = replace(random_case(seed), loan=None)
        mine, numpy_form, loop = evaluate(case), evaluate_in_numpy(case, 1), slow_evaluate(case)
        for name, ledger in mine.items():
            cost, other = ledger.net_present_cost[0], numpy_form[name].net_present_cost[0]
            slow = np.asarray(loop[name].net_present_cost)
            scale = max(1.0, float(np.max(np.abs(slow))))
            to_numpy = max(to_numpy, float(np.max(np.abs(cost - other))) / scale)
            to_loop = max(to_loop, float(np.max(np.abs(cost - slow))) / scale)
    print(f"{cases} random cases, largest difference: numpy form {to_numpy:.1e}, plain loop {to_loop:.1e}")


def other_prices() -> None:
    """Print what all ways take in 1,024 futures, and then what they take at other prices."""
    scenario = load(SCENARIO)
    drawn = dict(futures(scenario, draws=1024, seed=1).sample.values)
    moved = {path: 1.1 * drawn[path] for path in drawn if scenario.inputs[path].field.name in MOVED}
    work, taken = Evaluator(), []
    for values in (drawn, {**drawn, **moved}):
        case = resolve(scenario, values)
        start = time.perf_counter()
        work.costs(case, 1024)
        taken.append(1000.0 * (time.perf_counter() - start))
    ways = len(scenario.alternatives)
    print(f"{ways} ways in 1,024 futures: {taken[0]:.0f} ms; at {len(moved)} other prices {taken[1]:.0f} ms")


def imports() -> None:
    """Print how long `compare` imports, and what is not among it."""
    words = [sys.executable, "-X", "importtime", "-m", "lifecycle", "compare", str(SCENARIO)]
    done = subprocess.run(
        words, env=environment(COMPILED), check=True, capture_output=True, text=True, cwd=ROOT
    )
    rows = [line.split("|") for line in done.stderr.splitlines() if line.startswith("import time:")][1:]
    own = {row[2].strip(): int(row[0].split(":")[1]) for row in rows}
    ours = [name for name in own if name.startswith("lifecycle")]
    heavy = [name for name in ("scipy", "pandas", "matplotlib") if name in own]
    print(
        f"compare imports {len(own)} modules in {sum(own.values()) / 1e6:.2f} s, {len(ours)} of them ours in "
        f"{sum(own[name] for name in ours) / 1e6:.2f} s; heavy ones among them: {', '.join(heavy) or 'none'}"
    )


if __name__ == "__main__":
    main()
