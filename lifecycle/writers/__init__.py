"""An answer written down: as text, a page, a PDF, JSON, a picture; and workbook and calendar beside them.

Lecture
-------
A writer knows blocks and has no words of its own. `written` takes an answer to the form that a file's name
asks for.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from lifecycle.answers.blocks import Answer

FORMS = ("html", "pdf", "txt", "json")
"""Forms in which every answer can be written, by the ending of a file."""


def written(answer: Answer, form: str, *, units: str = "us") -> bytes:
    """Return an answer as the content of a file."""
    if form == "html":
        from lifecycle.writers.html import as_html

        return as_html(answer).encode("utf-8")
    if form == "pdf":
        from lifecycle.writers.pdf import as_pdf

        return as_pdf(answer, paper="letter" if units == "us" else "a4")
    if form == "txt":
        from lifecycle.writers.terminal import as_text

        return f"{as_text(answer, drawings=True)}\n".encode()
    if form == "json":
        return f"{as_json(answer.data)}\n".encode()
    raise ValueError(f"an answer is written as one of {', '.join(FORMS)}, not as {form!r}")


def as_json(data: Mapping[str, Any]) -> str:
    """Return plain data as JSON text.

    Examples
    --------
    >>> as_json({"a": [0.5, None]})
    '{"a": [0.5, null]}'
    """
    return json.dumps(dict(data), allow_nan=False)
