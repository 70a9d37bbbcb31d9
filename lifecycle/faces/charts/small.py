"""A chart in few bytes, for notebooks that store what they show.

Lecture
-------
Charts here have few colours. Drawn with fewer dots and kept in a palette they take a fifth of the bytes;
nothing is lost that an eye could see. The sentence stays with the picture.

Left out: pictures for print, which want all their dots.
"""

from __future__ import annotations

import io
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from lifecycle.faces.charts.canvas import picture_bytes

COLOURS = 32
"""Colours kept."""

SHARE = 2.0 / 3.0
"""Dots kept along an edge, of those in print. [-]"""


class SmallPicture:
    """A chart that shows itself in a notebook in few bytes.

    Parameters
    ----------
    chart : Axes or Figure
        With a text alternative.

    Raises
    ------
    ValueError
        If the axes stand on no figure, or the chart has no sentence.
    """

    def __init__(self, chart: Axes | Figure) -> None:
        figure = chart if isinstance(chart, Figure) else chart.get_figure(root=True)
        self.text_alternative = str(getattr(figure, "text_alternative", ""))
        if figure is None or not self.text_alternative:
            raise ValueError("a picture in a notebook needs a figure with its sentence")
        self.content = _in_few_bytes(picture_bytes(figure, "png"))

    def _repr_mimebundle_(self, **_: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        """Return the picture, and its sentence where no picture can be shown."""
        shown = {"image/png": self.content, "text/plain": self.text_alternative}
        return shown, {"image/png": {"alt": self.text_alternative}}


def _in_few_bytes(content: bytes) -> bytes:
    """Return a picture with fewer dots and few colours."""
    from PIL import Image

    with Image.open(io.BytesIO(content)) as image:
        whole = image.convert("RGB")
    size = round(whole.width * SHARE), round(whole.height * SHARE)
    reduced = whole.resize(size, Image.Resampling.LANCZOS)
    out = io.BytesIO()
    few = reduced.quantize(COLOURS, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
    few.save(out, "PNG", optimize=True)
    return out.getvalue()
