"""The pages that open in a browser: which there are, and what a page is told when it starts.

Lecture
-------
A page is a notebook without its code. `guard` says where it may be reached and who may
come in, `server` is the server of one page, `laboratory` the same notebook with its code, `starting` the
life of the process from the first check to the last sentence.

A page learns which scenario it is about from one environment variable, `SCENARIO`: the path of a
scenario file that was checked before anything started. Nothing else is passed to it. Whoever writes
a notebook asks `given_scenario`.

Left out: what stands on a page (`pages.panels`).
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from lifecycle.errors import fault, nearest
from lifecycle.places import notebook_paths

PAGES: Mapping[str, str] = {
    "owner": "owner",
    "counter": "counter",
    "analyst": "records",
    "doubt": "sensitivity",
    "method": "method",
}
"""Names of the pages, who or what each is for, and their notebooks. The first opens where none is named."""

SCENARIO = "LIFECYCLE_SCENARIO"
"""Environment variable that names the scenario file of a page."""


def given_scenario() -> Path | None:
    """Return the scenario file that this page was opened with, or None: the page begins empty."""
    name = os.environ.get(SCENARIO)
    return Path(name) if name else None


def notebook_of(page: str) -> Path:
    """Return the notebook of a page.

    Examples
    --------
    >>> notebook_of("owner").name
    'owner.ipynb'
    """
    known = {name: path for name, stem in PAGES.items() for path in notebook_paths() if path.stem == stem}
    if page not in known:
        raise fault(page, "is no page that is installed", "", nearest(page, tuple(known)))
    return known[page]
