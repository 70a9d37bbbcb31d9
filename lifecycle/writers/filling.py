"""Templates: markup stands in files, and its slots are filled with text made safe.

Lecture
-------
A template file holds macros. Whatever fills a slot is escaped, and what no reader can see is taken out of it;
only a template itself can say that a piece is markup already. Pages and papers both fill templates.

Left out: which markup there is (`pages/look/parts.html`, `writers/look/sheet.html`).
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from lifecycle.answers.blocks import seen


@cache
def _macros(template: Path) -> Any:
    """Return the macros of a template."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    environment = Environment(
        loader=FileSystemLoader(template.parent),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
        finalize=lambda slot: seen(slot) if isinstance(slot, str) and not isinstance(slot, Markup) else slot,
    )
    return environment.get_template(template.name).module


def filled(template: Path, macro: str, *slots: Any, **named: Any) -> str:
    """Return a macro of a template, filled."""
    return str(getattr(_macros(template), macro)(*slots, **named))
