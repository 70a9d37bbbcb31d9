"""What tests of pictures share: the texts that a figure draws, and what is wrong with them."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any

import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

PHONE = 370.0
"""Width left for a picture on a phone. [CSS pixel]"""

LEAST = 10.0
"""Smallest text on a phone. [CSS pixel]"""

Drawn = list[tuple[str, float, Bbox]]
"""Text, size in points and box of each text drawn."""


@pytest.fixture
def texts_of(monkeypatch: pytest.MonkeyPatch) -> Callable[[Figure], Drawn]:
    """Return a function that draws a figure and gives the texts drawn."""

    def texts_of(figure: Figure) -> Drawn:
        drawn: Drawn = []
        draw = Text.draw

        def record(self: Text, renderer: Any, *args: Any, **kwargs: Any) -> None:
            if self.get_visible() and self.get_text().strip():
                box = Text.get_window_extent(self, renderer)
                drawn.append((self.get_text(), float(self.get_fontsize()), box))
            draw(self, renderer, *args, **kwargs)

        with monkeypatch.context() as patch:
            patch.setattr(Text, "draw", record)
            figure.draw_without_rendering()
        return drawn

    return texts_of


@pytest.fixture
def said_by(texts_of: Callable[[Figure], Drawn]) -> Callable[[Figure], str]:
    """Return a function that gives all texts of a figure in one line."""
    return lambda figure: " ".join(text for text, _, _ in texts_of(figure)).replace("\n", " ")


@pytest.fixture
def faults_of(texts_of: Callable[[Figure], Drawn]) -> Callable[[Figure], list[str]]:
    """Return a function that names texts that touch, leave the picture, or are too small for a phone."""

    def faults_of(figure: Figure) -> list[str]:
        texts = texts_of(figure)
        wide, high = figure.get_size_inches() * figure.dpi
        least = LEAST * 72.0 * figure.get_size_inches()[0] / PHONE
        outside = [
            f"outside: {text!r}"
            for text, _, box in texts
            if box.x0 < 0 or box.y0 < 0 or box.x1 > wide or box.y1 > high
        ]
        touching = [
            f"touch: {one!r} and {other!r}"
            for (one, _, a), (other, _, b) in itertools.combinations(texts, 2)
            if min(a.x1, b.x1) - max(a.x0, b.x0) > 1.0 and min(a.y1, b.y1) - max(a.y0, b.y0) > 1.0
        ]
        return outside + touching + [f"small: {text!r}" for text, size, _ in texts if size < least]

    return faults_of
