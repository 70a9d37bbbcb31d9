"""Which form of the evaluation answers here, and why: finds and loads the compiled kernel.

Lecture
-------
The library is looked for beside its source, under the digest of the source. It says itself which numbers
it reads and which flows of money it writes; if roofs, visits or leaks have come to hold others, or a category
of cost has been added, it is not used. The environment variable
``LIFECYCLE_FORM=numpy`` leaves it aside.
"""

from __future__ import annotations

import ctypes
import os
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path

from lifecycle.errors import fault
from lifecycle.evaluation.compiled.build import ROOM, library_name
from lifecycle.evaluation.flows import FLOWS
from lifecycle.roofs import HiddenLeak, Leaks, Roof, Visit

COMPILED, NUMPY = "compiled", "numpy"
"""The forms of the evaluation; results name with the first what it was compiled for (`form`)."""

_NOT_NUMBERS = {"name", "every", "visits", "plan_ends", "visits_after", "age"}
"""Fields that fix the calendar; the caller deals with them."""


RESULTS: dict[str, tuple[str, ...]] = {
    "by_year": ("years",),
    "at_holding": (),
    "found_at_sale": (),
    "residual": (),
    "first_change_at_holding": (),
    "first_change": ("years",),
    "apart_at_holding": ("aparts",),
    "apart_by_year": ("aparts", "years"),
    "chance_renewed": ("years",),
    "by_line": ("lines",),
}
"""What the kernel writes of an alternative: for every draw one number, or one for each year of sale, line of
the account, line that is kept apart."""


@dataclass(frozen=True)
class Library:
    """The loaded kernel.

    Parameters
    ----------
    functions : ctypes.CDLL
        Its functions.
    layout : dict of str to tuple of str
        Names of the fields of each of its lists, in order.
    lanes : int
        Draws that it takes side by side; columns come in whole multiples.
    instructions : str
        The processor's instructions that it is made of, and the compiler; others round in their own way.
    """

    functions: ctypes.CDLL
    layout: dict[str, tuple[str, ...]]
    lanes: int
    instructions: str


@cache
def found() -> tuple[Library | None, str]:
    """Return the kernel, or None; and why. ScenarioError if a form is asked for that there is not."""
    asked = os.environ.get("LIFECYCLE_FORM", "")
    if asked not in ("", COMPILED, NUMPY):
        raise fault(
            "LIFECYCLE_FORM",
            f"must be {NUMPY} or {COMPILED}",
            asked,
            "leave it out, and the faster one is taken",
        )
    if asked == NUMPY:
        return None, "LIFECYCLE_FORM asks for it"
    paths = [path for path in (ROOM / library_name("avx2"), ROOM / library_name()) if path.exists()]
    if not paths:
        return None, "the kernel is not compiled here; python -m lifecycle.evaluation.compiled.build does it"
    try:
        library = next((one for one in map(load, paths) if one.functions.lifecycle_runs()), None)
    except (OSError, AttributeError) as problem:
        return None, f"the kernel cannot be loaded: {problem}"
    if library is None:
        return None, "the kernel was compiled for another processor"
    for kind in (Leaks, Roof, Visit, HiddenLeak):
        numbers = {field.name for field in fields(kind)} - _NOT_NUMBERS
        if numbers != set(library.layout[kind.__name__]):
            return None, f"the kernel does not know {sorted(numbers ^ set(library.layout[kind.__name__]))}"
    unwritten = [flow for flow in FLOWS if flow.replace(" ", "_") not in {"upkeep", *library.layout["Lines"]}]
    if unwritten:
        return None, f"the kernel does not write the flows {unwritten}"
    if other := set(RESULTS) ^ set(library.layout["Results"]):
        return None, f"the kernel and its caller do not both know the results {sorted(other)}"
    return library, f"the kernel is compiled here and takes {library.lanes} draws at once"


def form() -> str:
    """Return the form that answers here, as results name it: others may differ in the last digits.

    Such as ``"numpy"``, or ``"compiled, AVX2, gcc"``.
    """
    library, _ = found()
    return NUMPY if library is None else f"{COMPILED}, {library.instructions}"


def load(path: Path) -> Library:
    """Load a library and ask what it reads."""
    functions = ctypes.CDLL(str(path))
    functions.lifecycle_layout.restype = functions.lifecycle_instructions.restype = ctypes.c_char_p
    for entry in (functions.lifecycle_expect, functions.lifecycle_recall):
        entry.argtypes = (ctypes.c_void_p, ctypes.c_int64, ctypes.c_int64)
    lists = functions.lifecycle_layout().decode().split(";")
    layout = {words[0]: tuple(words[1:]) for words in (fields_.split() for fields_ in lists)}
    instructions = functions.lifecycle_instructions().decode()
    return Library(functions, layout, functions.lifecycle_lanes(), instructions)
