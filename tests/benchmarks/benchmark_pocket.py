"""How well the pocket page agrees with the whole tool, and how long it takes to answer.

    python tests/benchmarks/benchmark_pocket.py --cases 500

Answers are drawn by chance. What the page says is held against the tool with the same draws, and against
the tool with its usual 1,024, counts near a limit settled by more: the same way and word, of 20 within 1,
every mean cost within 3 %. Cases that differ are counted apart where the tool itself says a border.
Sentences have amounts in them, so they are alike with the same draws only.
"""

from __future__ import annotations

import argparse
import random
import statistics
import time
from typing import Any

from lifecycle.pages.pocket.stored import DRAWS
from tests.faces.browsing import chromium
from tests.faces.pocket import SAID, SAMPLE, pocket, random_answers, told

MONEY = 0.03


def agreement(here: dict[str, Any], there: dict[str, Any]) -> dict[str, bool]:
    """Say in what the page agrees with the tool."""
    shared = [name for name in there["costs"] if name in here["costs"]]
    near = [
        abs(here["costs"][name] - there["costs"][name]) <= MONEY * abs(there["costs"][name])
        for name in shared
    ]
    way = all(here[name] == there[name] for name in ("leads", "acting"))
    return {
        "same way and word": way and here["word"] == there["word"],
        "same, or a border is said": (way and here["word"] == there["word"]) or bool(there["borders"]),
        "of 20 within 1": abs(here["of_20"] - there["of_20"]) <= 1,
        "money within 3 %": all(near),
        "every sentence": all(here[name] == there[name] for name in ("lines", "price", "beside")),
    }


def main() -> None:
    """Answer by chance, and print the table of agreement now and then."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--cases", type=int, default=40)
    asked.add_argument("--seed", type=int, default=500)
    given = asked.parse_args()
    chance = random.Random(given.seed)
    counts: dict[int, dict[str, int]] = {DRAWS: {}, 1024: {}}
    times = []
    with chromium() as browser, pocket(browser) as tab:
        for _ in range(given.cases):
            answers = random_answers(chance)
            begun = time.perf_counter()
            here = tab.page.evaluate(SAID, [answers, False])
            times.append(time.perf_counter() - begun)
            for draws, found in counts.items():
                for name, agrees in agreement(here, told(answers, draws=draws)).items():
                    found[name] = found.get(name, 0) + agrees
            if len(times) % 50 == 0 or len(times) == given.cases:
                report(counts, times)


def report(counts: dict[int, dict[str, int]], times: list[float]) -> None:
    """Print how many answers agree so far."""
    print(f"{SAMPLE.name}: {SAMPLE.stat().st_size / 1000:,.0f} kB; {len(times)} answers")
    print(f"verdict: median {1000 * statistics.median(times):.0f} ms, most {1000 * max(times):.0f} ms")
    for name in counts[DRAWS]:
        print(f"| {name} | {counts[DRAWS][name]} | {counts[1024][name]} |", flush=True)


if __name__ == "__main__":
    main()
