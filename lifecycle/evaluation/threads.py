"""How many threads an evaluation starts: one for each core that is ours, or for our share of them."""

from __future__ import annotations

import os

_processes = 1


def share(processes: int) -> None:
    """Say how many processes of one piece of work this one is one of: they share the cores."""
    global _processes
    _processes = processes


def threads() -> int:
    """Return how many threads to start, at least one."""
    allowed = getattr(os, "sched_getaffinity", None)
    cores = len(allowed(0)) if allowed else os.cpu_count() or 1
    return max(1, cores // _processes)
