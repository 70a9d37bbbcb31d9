"""A page that is still being drawn when its answer comes: what was shown meanwhile is shown again.

Lecture
-------
A browser draws a page in two steps: it asks the kernel for all that stands there, and then makes it. An
answer that comes between the two reaches nothing, and would be lost for good: the page would go on
saying that there is no verdict. So every page with work of its own holds a button that nobody sees. The
page's script presses it as soon as it is drawn (`pages/template/arriving.js`), and then all that only
shows is sent again. Fields are left alone: what somebody began to type stays.

Left out: a page whose connection broke later; the server keeps what is sent meanwhile.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import ipywidgets

MARK = "lc-arrived"
"""Class of the button; the page's script looks for it."""


def arrival(page: Any) -> Any:
    """Return the button that the page's script presses when the page is drawn."""
    button = ipywidgets.Button(layout={"display": "none"})
    button.add_class(MARK)
    button.on_click(lambda _: _send_again(page))
    return button


def _send_again(page: Any) -> None:
    """Send the state of all that only shows."""
    for widget in showing(page):
        widget.layout.send_state()
        widget.send_state()


def showing(widget: Any) -> Iterator[Any]:
    """Return a widget and all within it that shows and does not ask: boxes, and texts."""
    if isinstance(widget, ipywidgets.Box):
        for child in widget.children:
            yield from showing(child)
    if isinstance(widget, ipywidgets.Box | ipywidgets.HTML):
        yield widget
