"""Colours, dashes, markers and hatches: how ways and categories of cost look in every chart.

Lecture
-------
Every colour and pattern has one meaning, on every chart, page and paper (the table stands in DEVELOPERS.md):

    KEEP, hatched   what the owner would do otherwise; money or futures in which that is the cheaper
    SPRAY, plain    the way that the answer is about; money or futures in which it is the cheaper
    other LOOKS     further ways, and curves that are no ways; they mean what stands beside them
    greys           what belongs to no way: a share, a range, a frame
    ink bar         16 of 20 futures; a dot on it is the mean, a diamond the middle one

A way is told from another by four things at once: its colour, its dash, its marker and its label. So a chart
still works in grey, in print, and for people who see few colours. No way is green or red: a choice is not
good or bad by its colour. Categories of cost are told by lightness and hatch (`kinds.toml`): blues lay a
roof, browns look after one; neighbours in the stack differ in both.

The colours are our own. They were searched for so that the nearest two of the ways stay well apart
for full colour vision and for the three kinds of dichromatic vision; the test beside this module
holds them to it, and to the style sheet of the pages.

Assumed: a white ground. In the dark (a page whose system is set so) each colour has its partner: those of
the ways are named, like the ones of the style sheet, and any other has its lightness turned round.
"""

from __future__ import annotations

import colorsys
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from lifecycle.kinds import CATEGORIES

INK, QUIET, FAINT, GROUND = "#1c1c22", "#55565e", "#d9dae0", "#ffffff"
"""Text; lesser text; grid lines; ground."""


@dataclass(frozen=True)
class Look:
    """How one way is drawn.

    Parameters
    ----------
    colour : str
        Hexadecimal colour.
    dash : tuple of float
        Lengths of dash and gap in line widths; empty for an unbroken line.
    marker : str
        Marker, in matplotlib's letters.
    """

    colour: str
    dash: tuple[float, ...]
    marker: str

    @property
    def line(self) -> tuple[int, tuple[float, ...] | None]:
        """The dash as matplotlib wants it."""
        return (0, self.dash or None)


KEEP, SPRAY = Look("#8a4a00", (), "o"), Look("#034ced", (5.0, 1.6), "s")
"""What the owner would do otherwise; the way that the answer is about."""

CURVES = (
    Look("#f16300", (1.6, 1.2), "^"),
    Look("#5f4382", (6.0, 1.4, 1.4, 1.4), "D"),
    Look("#4992dd", (3.0, 1.2), "v"),
    Look(INK, (8.0, 1.6, 1.4, 1.6, 1.4, 1.6), "P"),
    Look("#8796a5", (1.0, 1.6), "X"),
)
"""Looks of curves that are no ways."""

LOOKS = (KEEP, SPRAY, *CURVES)
"""Looks of the ways, in the order in which they are given away."""


@dataclass(frozen=True)
class Fill:
    """How one category of cost is filled: a hexadecimal colour and a hatch."""

    colour: str
    hatch: str


FILLS = {name: Fill(category.colour, category.hatch) for name, category in CATEGORIES.items()}
"""Fill by category of cost."""


HATCH, TINT = "//", "#f7d9b8"
"""Pattern of keeping, and its ground."""

SPRAY_FILL: dict[str, Any] = {"facecolor": SPRAY.colour, "edgecolor": INK, "linewidth": 0.8}
KEEP_FILL: dict[str, Any] = {"facecolor": TINT, "edgecolor": KEEP.colour, "linewidth": 0.8, "hatch": HATCH}
"""Fills of where the way that the answer is about is cheaper, and dearer, than the other."""

PART: dict[str, Any] = {"facecolor": QUIET, "edgecolor": INK, "linewidth": 0.8}
WHOLE: dict[str, Any] = {"facecolor": FAINT, "edgecolor": INK, "linewidth": 0.8}
"""Fills of what belongs to no way: a part, and the whole that it is part of."""

DARK = {
    INK: "#ececf0",
    QUIET: "#b3b4bc",
    FAINT: "#3d3f48",
    GROUND: "#212228",
    KEEP.colour: "#eeb26a",
    SPRAY.colour: "#8fb2ff",
    TINT: "#5a3c1c",
    "#f16300": "#9f5b13",
    "#5f4382": "#7e6297",
    "#4992dd": "#206ced",
    "#8796a5": "#999a9a",
}
"""What stands for a colour in the dark."""


def in_the_dark(colour: str) -> str:
    """Return what stands for a colour in the dark.

    Examples
    --------
    >>> in_the_dark("#1c1c22"), in_the_dark("#ffffff"), in_the_dark("#000000")
    ('#ececf0', '#212228', '#ffffff')
    """
    if colour in DARK:
        return DARK[colour]
    hue, light, strength = colorsys.rgb_to_hls(*(int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5)))
    red, green, blue = (round(255.0 * one) for one in colorsys.hls_to_rgb(hue, 1.0 - 0.85 * light, strength))
    return f"#{red:02x}{green:02x}{blue:02x}"


RANGE: dict[str, Any] = {"color": INK, "linewidth": 5.0, "solid_capstyle": "butt"}
"""Bar of 16 of 20 futures."""


def looks(names: Iterable[str], *, base_case: str, subject: str | None = None) -> dict[str, Look]:
    """Give every way its look.

    Parameters
    ----------
    names : iterable of str
        Ways, in the order of the scenario.
    base_case : str
        What the owner would do otherwise; always the first look.
    subject : str or None
        The way that the answer is about; always the second look.

    Returns
    -------
    dict of str to Look
        In the order of `names`. More ways than looks: the looks start anew with other markers.

    Examples
    --------
    >>> given = looks(["keep", "later", "now"], base_case="keep", subject="now")
    >>> given["now"] == LOOKS[1], given["later"] == LOOKS[2]
    (True, True)
    """
    names = list(names)
    order = [name for name in dict.fromkeys([base_case, subject, *names]) if name in names]
    given = {}
    for place, name in enumerate(order):
        around, number = divmod(place, len(LOOKS))
        marker = LOOKS[(number + 3 * around) % len(LOOKS)].marker
        given[name] = Look(LOOKS[number].colour, LOOKS[number].dash, marker)
    return {name: given[name] for name in names}
