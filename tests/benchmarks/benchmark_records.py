"""Records: how long 100,000 looks take, and how often the ends hold the truth. Prints; not part of the tests.

    python tests/benchmarks/benchmark_records.py [samples]

Each sample is drawn from the stated truth (`records.demo`), cleaned and fitted anew. The ends of a figure
are to hold the truth in 8 of 10 samples.
"""

from __future__ import annotations

import sys
import time

import numpy as np

from lifecycle.records.columns import read_map
from lifecycle.records.demo import Truth, demo_job_sheets, demo_looks, looks_text
from lifecycle.records.hidden import fit_hidden, hidden_by_age, read_job_sheets
from lifecycle.records.joints import epochs_of, fit_joints
from lifecycle.records.lives import fit_life, lives_from_looks
from lifecycle.records.looks import read_looks
from lifecycle.records.tables import read_sheet
from lifecycle.records.tuning import tool_figures
from lifecycle.studies.implied import shipped_membrane

PLANS = ("nothing", "only_looks", "shop_every_year")
TRUTH = Truth()


def print_times() -> None:
    """Print how long each step takes on about 100,000 looks."""
    text = looks_text(demo_looks(18_500, np.random.default_rng(1)))
    start = time.perf_counter()
    sheet = read_sheet(text, "looks.csv")
    looks = read_looks(sheet, read_map({}))
    cleaned = time.perf_counter()
    life = fit_life(lives_from_looks(looks))
    fitted = time.perf_counter()
    joints = fit_joints(epochs_of(looks), tool_figures())
    end = time.perf_counter()
    print(f"{len(sheet.rows):,} looks: read and cleaned {cleaned - start:.1f} s")
    print(f"  lives of {life.lives.roofs:,} roofs fitted {fitted - cleaned:.1f} s")
    print(f"  {joints.epochs.found:,} joint leaks fitted {end - fitted:.1f} s")


def print_coverage(samples: int) -> None:
    """Print how often the ends hold the truth, and the middle of the estimates against it."""
    tool, membrane = tool_figures(), shipped_membrane()
    model = hidden_by_age(membrane, PLANS, 180)
    held: dict[str, list[bool]] = {}
    ratio: dict[str, list[float]] = {}
    misfits: dict[str, list[float]] = {}
    for seed in range(samples):
        generator = np.random.default_rng([7, seed])
        looks = read_looks(read_sheet(looks_text(demo_looks(300, generator)), "looks"), read_map({}))
        sheet = read_sheet(demo_job_sheets(400, model, generator), "sheets")
        known = read_map({"units": {"age": "months"}}, plans=PLANS)
        life = fit_life(lives_from_looks(looks))
        joints = fit_joints(epochs_of(looks), tool)
        hidden = fit_hidden(read_job_sheets(sheet, known), membrane, tool, model=model)
        for kind, fit in (("life", life), ("joints", joints), ("hidden", hidden)):
            if fit.fit_chance is not None:
                misfits.setdefault(kind, []).append(fit.fit_chance)
            for one in fit.estimates:
                true = getattr(TRUTH, one.name)
                held.setdefault(one.name, []).append(one.holds(true))
                ratio.setdefault(one.name, []).append(one.likely / true)
    for name, hits in held.items():
        middle = np.median(ratio[name])
        print(f"{name}: held in {np.mean(hits):.0%} of {len(hits)}; median estimate {middle:.3f} of truth")
    for kind, chances in misfits.items():
        bad = np.mean(np.array(chances) < 0.05)
        print(f"{kind}: called a bad fit in {bad:.0%} of {len(chances)} (5 % by luck)")


if __name__ == "__main__":
    print_times()
    print_coverage(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
