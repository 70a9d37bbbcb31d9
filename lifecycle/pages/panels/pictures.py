"""Pictures on a page: a kept figure that is drawn anew, shown as an image with its sentence.

Lecture
-------
A page redraws a chart at each move. A new figure each time is slow and flickers, so each picture keeps
its figure and its axes at fixed margins: the image changes, its size does not. The sentence of the chart is
the text alternative of the image; the library's own image widget has none, so it is plain HTML, decoded
at once and of known size. What is drawn are lines (SVG): sharp at every zoom, and dark in the dark.

A picture is drawn by whoever works things out; only `show` touches the widget.

Left out: which charts there are (`charts`).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import ipywidgets

from lifecycle.pages.panels.words_on_page import carried, part

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Place = tuple[float, float, float, float]
"""Left, bottom, width and height of the axes. [inch]"""


class KeptPicture:
    """An image drawn on one figure, again and again.

    Parameters
    ----------
    height : float
        Of the figure. [inch]
    place : tuple of float
        Of the axes on it. [inch]
    """

    def __init__(self, height: float, place: Place) -> None:
        self._height, self._place = height, place
        self._axes: Axes | None = None
        self.image = picture_widget()

    def drawn(self, draw: Callable[[Axes], object], sentence: str) -> bytes:
        """Draw on the kept figure."""
        from lifecycle.charts import Picture, page_picture

        if self._axes is None:
            self._axes = Picture(self._height).axes_at(*self._place)
        axes = self._axes
        axes.clear()
        axes.set_axis_on()
        draw(axes)
        figure = axes.get_figure(root=True)
        if figure is None:
            raise ValueError("the axes stand on no figure")
        figure.text_alternative = sentence  # type: ignore[attr-defined]
        return page_picture(figure)

    def show(self, content: bytes, sentence: str) -> None:
        """Show what was drawn."""
        put(self.image, content, sentence)


def picture_widget() -> Any:
    """Return a widget for a picture, without one."""
    widget = ipywidgets.HTML()
    widget.add_class("lc-picture")
    return widget


def put(widget: Any, content: bytes, sentence: str) -> None:
    """Put a picture and its sentence into a widget."""
    size = re.search(rb'width="(\d+)[^"]*" height="(\d+)', content[:400])
    wide, high = (int(one) for one in size.groups()) if size else (0, 0)
    widget.value = part("picture", carried(content, "image/svg+xml"), sentence, wide, high)


def shown_chart(chart: Axes | Figure) -> Any:
    """Return a chart as a picture with its sentence."""
    from matplotlib.figure import Figure

    from lifecycle.charts import page_picture

    figure = chart if isinstance(chart, Figure) else chart.get_figure(root=True)
    if figure is None:
        raise ValueError("the chart stands on no figure")
    image = picture_widget()
    put(image, page_picture(figure), str(getattr(figure, "text_alternative", "")))
    return image
