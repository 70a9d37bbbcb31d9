"""Life-cycle cost of keeping, renewing or coating the roof of a coach.

`load` a scenario file, `compare` its ways, `resolve` it to the plain numbers that the model computes
on. They are imported when they are first used, so that `import lifecycle` takes no time.

Examples
--------
>>> import lifecycle
>>> lifecycle.__version__
'0.1.0'
"""

from __future__ import annotations

from importlib import import_module

TYPE_CHECKING = False  # not from `typing`: importing that would take longer than all the rest
if TYPE_CHECKING:
    from lifecycle.evaluation.comparison import compare
    from lifecycle.files import load
    from lifecycle.scenario import resolve

__all__ = ["__version__", "compare", "load", "resolve"]

__version__ = "0.1.0"

_ROOMS = {"load": "files", "compare": "evaluation.comparison", "resolve": "scenario"}
"""Where each function lives."""


def __getattr__(name: str) -> object:
    """Import a function of the library when it is first used."""
    if name not in _ROOMS:
        raise AttributeError(f"module 'lifecycle' has no attribute {name!r}; it has {', '.join(__all__)}")
    found: object = getattr(import_module(f"lifecycle.{_ROOMS[name]}"), name)
    return found


def __dir__() -> list[str]:
    """Name what the library offers."""
    return [*globals(), *_ROOMS]
