"""Makes the invented records of `scenarios/records`: run it after the model or the generator changed.

Lecture
-------
``python -m lifecycle.cli.demo_records FOLDER`` writes the files anew; a test says when they are out of
date. Everything in them follows from `records.demo.Truth` and a seed.
"""

from __future__ import annotations

import sys
from pathlib import Path

SEED, COACHES, JOBS, OLDEST = 2027, 300, 240, 15
"""Seed; coaches with looks; stripped roofs, and the highest age of one. [-, -, -, years]"""

PLANS = ("nothing", "only_looks", "shop_every_year")
"""Upkeep of the stripped roofs."""


def demo_files() -> dict[str, str]:
    """Return the content of each file by its name."""
    import numpy as np

    from lifecycle.records.demo import demo_job_sheets, demo_looks, demo_weather, untidy
    from lifecycle.records.hidden import hidden_by_age
    from lifecycle.studies.implied import shipped_membrane

    generator = np.random.default_rng(SEED)
    looks = untidy(demo_looks(COACHES, generator), generator)
    model = hidden_by_age(shipped_membrane(), PLANS, 12 * OLDEST)
    sheets = demo_job_sheets(JOBS, model, generator)
    weather = demo_weather(np.random.default_rng(SEED))
    return {"looks.csv": looks, "job-sheets.csv": sheets, "daily-weather.csv": weather}


def main(folder: str) -> None:
    """Write the files into a folder."""
    from lifecycle.files import write

    for name, text in demo_files().items():
        write(Path(folder) / name, text.encode())


if __name__ == "__main__":
    main(sys.argv[1])
