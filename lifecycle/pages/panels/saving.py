"""What was entered, as a scenario file to keep; read back, it is the same.

Lecture
-------
The file is the one that `lifecycle new` writes from the answers (or the file that the page was opened
with), with the figures that were changed on the page in their places. So it can be read, changed by hand
and given to every command. It is read back before it is offered: a figure that could not be written down
is a fault, not a loss.

Left out: writing it anywhere. The browser keeps it, when asked.
"""

from __future__ import annotations

from lifecycle.pages.panels.state import Entered, scenario_of
from lifecycle.quantities import Figure

SECTIONS = ("study", "owner", "leaks", "figures", "roofs", "existing", "coach", "climate")
"""Sections of a file in which a figure can be changed on a page."""

NAME = "my-roof.toml"
"""Of the file, unless it came from one."""


def can_be_written(figure: Figure) -> bool:
    """Whether a figure has a place of its own in a file."""
    section, *rest = figure.path.split(".")
    return section in SECTIONS and len(rest) == (2 if section == "roofs" else 1)


def scenario_file(entered: Entered) -> str:
    """Return a scenario file of what was entered."""
    return scenario_of(entered).text


def file_name(entered: Entered) -> str:
    """Return the name under which a file is kept."""
    source = entered.by_hand.source if entered.by_hand is not None else ""
    last = source.replace("\\", "/").rpartition("/")[2]
    return last if last.endswith(".toml") else NAME
