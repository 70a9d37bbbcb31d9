"""What holds for all tests: the same examples each time, one thread a worker, modules compiled once.

Property tests look at the same examples each time: a change fails for what it changed, not by luck. Whoever
hunts for counterexamples runs with HYPOTHESIS_PROFILE=search.

There is one worker more than there are cores, for tests of pages wait for a browser half of their time.
numpy's threads of several workers would only wait for each other: each keeps to one. A hundred processes are
started besides; they read modules that are compiled once, even where the environment asks that no compiled
module be kept.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator

import pytest
from hypothesis import settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("search", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))


def pytest_xdist_auto_num_workers() -> int:
    """Return how many workers `-n auto` starts."""
    return (os.cpu_count() or 1) + 1


SLOW = ("faces", "agreement", "properties")
"""Folders whose tests take long: the fast loop leaves them out, but for the worked examples."""


@pytest.fixture(scope="module")
def few_lives() -> Iterator[None]:
    """Draw few lives, where luck is shown and its figures are held against nothing but themselves."""
    from lifecycle.studies import assessment

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(assessment, "LIVES", 512)
        yield


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what takes long, by its folder."""
    for item in items:
        path = item.path
        if path.parent.name in SLOW and path.parent.parent.name == "tests" and "worked" not in path.name:
            item.add_marker(pytest.mark.slow)
