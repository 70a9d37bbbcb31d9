"""Records: how long 100,000 looks take, and how often the ends hold the truth. Prints; not part of the tests.

    python tests/benchmarks/benchmark_records.py [samples]

Each sample is drawn from a stated truth (`records.demo`), cleaned and fitted anew. The ends of a figure are
to hold the truth in 8 of 10 samples. Designs: lives of roofs that were not new when they came into the
records, with that reckoned with, half of it (coaches that came later than is said) and not; joints at the
tool's own rates, watched from few looks, with other leaks, and with looks on suspicion that were written down
as routine; stripped roofs.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from lifecycle.deterioration import scale_from_mean
from lifecycle.errors import ScenarioError
from lifecycle.records.columns import read_map
from lifecycle.records.demo import Truth, demo_job_sheets, demo_looks
from lifecycle.records.estimate import Estimate
from lifecycle.records.hidden import fit_hidden, hidden_by_age, read_job_sheets
from lifecycle.records.joints import epochs_of, fit_joints
from lifecycle.records.lives import fit_life, lives_from_looks, roof_lives
from lifecycle.records.looks import read_looks
from lifecycle.records.tables import read_sheet
from lifecycle.records.tuning import tool_figures
from lifecycle.studies.implied import shipped_membrane

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.unit.shop_records import Shop, looks_text, shop_looks

PLANS = ("nothing", "only_looks", "shop_every_year")
TRUTH = Truth()
TOOL = tool_figures()
OWN = Truth(
    **{
        name: TOOL[name].likely
        for name in ("joint_leaks_ten_years", "joint_leak_growth", "sign_years", "look_finds")
    }
)

Fitted = tuple[tuple[Estimate, ...], tuple[float | None, ...]]
"""Figures, and chances of a misfit: of the curve, and of looks on suspicion."""


def print_times() -> None:
    """Print how long each step takes on about 100,000 looks."""
    text = looks_text(demo_looks(18_500, np.random.default_rng(1)))
    start = time.perf_counter()
    sheet = read_sheet(text, "looks.csv")
    looks = read_looks(sheet, read_map({"records": {"where": "joint"}}))
    cleaned = time.perf_counter()
    life = fit_life(lives_from_looks(looks))
    fitted = time.perf_counter()
    joints = fit_joints(epochs_of(looks), TOOL)
    end = time.perf_counter()
    print(f"{len(sheet.rows):,} looks: read and cleaned {cleaned - start:.1f} s")
    print(f"  lives of {life.lives.roofs:,} roofs fitted {fitted - cleaned:.1f} s")
    print(f"  {joints.epochs.found:,} joint leaks fitted {end - fitted:.1f} s")


def lives(generator: np.random.Generator, *, known: float = 1.0) -> Fitted:
    """Fit lives of 250 roofs looked at yearly; they came at ages up to 16, of which a share is known."""
    scale = scale_from_mean(TRUTH.life_mean, TRUTH.life_shape)
    life = scale * generator.weibull(TRUTH.life_shape, 250)
    entry = np.floor(generator.uniform(0.0, 16.0, life.size)) * (generator.random(life.size) < 0.8)
    there = life > entry
    life, entry = life[there], entry[there]
    looks, ends = generator.integers(1, 8, life.size), np.floor(life - entry)
    lower = entry + np.minimum(ends, looks)
    fit = fit_life(roof_lives(lower, np.where(ends < looks, lower + 1.0, np.inf), known * entry))
    return fit.estimates, (fit.fit_chance,)


def joints(
    generator: np.random.Generator, shop: Shop, coaches: int = 1500, *, tells_where: bool = True
) -> Fitted:
    """Fit joint leaks at the tool's own rates."""
    text = shop_looks(coaches, generator, OWN, shop, tells_where=tells_where)
    fit = fit_joints(epochs_of(read_looks(read_sheet(text, "looks"), read_map({}))), TOOL)
    return fit.estimates, (fit.fit_chance, fit.suspicion_chance)


def hidden() -> Callable[[np.random.Generator], Fitted]:
    """Return the fit of 400 job sheets."""
    membrane = shipped_membrane()
    model = hidden_by_age(membrane, PLANS, 180)
    known = read_map({"units": {"age": "months"}}, plans=PLANS)

    def fitted(generator: np.random.Generator) -> Fitted:
        sheet = read_sheet(demo_job_sheets(400, model, generator), "sheets")
        fit = fit_hidden(read_job_sheets(sheet, known), membrane, TOOL, model=model)
        return fit.estimates, (fit.fit_chance,)

    return fitted


def designs() -> Iterator[tuple[str, Truth, Callable[[np.random.Generator], Fitted]]]:
    """Give each design: what it is, its truth, and its fit."""
    sealed, bare = Shop(resealed_every=24), Shop(resealed_every=0)
    punctured = replace(bare, punctures=TOOL["puncture_rate"].likely)
    yield "lives, late entry reckoned with", TRUTH, lives
    yield "lives, came later than is said", TRUTH, lambda one: lives(one, known=0.5)
    yield "lives, late entry forgotten", TRUTH, lambda one: lives(one, known=0.0)
    yield "joints, 6,000 years, resealed", OWN, lambda one: joints(one, sealed)
    yield "joints, never resealed", OWN, lambda one: joints(one, bare, 400)
    yield "joints and others, place said", OWN, lambda one: joints(one, punctured, 400)
    yield "joints and others, place not said", OWN, lambda one: joints(one, punctured, 400, tells_where=False)
    suspicious = replace(bare, on_suspicion=0.7)
    yield "joints, suspicion called routine", OWN, lambda one: joints(one, suspicious, 400)
    yield "stripped roofs", TRUTH, hidden()


def print_coverage(samples: int) -> None:
    """Print how often the ends hold the truth, and the middle of the estimates against it."""
    print(f"{'design':36}{'figure':24}{'held':>7}{'given':>7}{'median / truth':>16}")
    for number, (what, truth, fit) in enumerate(designs()):
        held: dict[str, list[bool]] = {}
        ratio: dict[str, list[float]] = {}
        misfits: list[list[bool]] = [[], []]
        refused = 0
        for seed in range(samples):
            try:
                estimates, chances = fit(np.random.default_rng([7, number, seed]))
            except ScenarioError:
                refused += 1
                continue
            for place, chance in enumerate(chances):
                if chance is not None:
                    misfits[place].append(chance < 0.05)
            for one in estimates:
                held.setdefault(one.name, []).append(one.holds(getattr(truth, one.name)))
                ratio.setdefault(one.name, []).append(one.likely / getattr(truth, one.name))
        for name, hits in held.items():
            middle = np.median(ratio[name])
            print(f"{what:36}{name:24}{np.mean(hits):7.0%}{len(hits):7}{middle:16.2f}")
        said = [
            f"{name} in {np.mean(bad):.0%} of {len(bad)}"
            for name, bad in zip(("called a bad fit", "suspicion seen"), misfits, strict=True)
            if bad
        ]
        print(f"{'':36}refused {refused} of {samples}; {'; '.join(said) or 'too few to test'}")


if __name__ == "__main__":
    print_times()
    print_coverage(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
