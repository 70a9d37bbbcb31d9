"""Labels at line ends: they never overlap, keep their order, and stay as near as they can."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from lifecycle.charts.frame import spread

LABELS = st.lists(st.tuples(st.floats(-5.0, 15.0), st.floats(0.2, 2.0)), min_size=1, max_size=8)


@given(LABELS, st.floats(0.0, 0.5))
def test_spread_labels_keep_apart_in_order_and_within_the_room(
    labels: list[tuple[float, float]], gap: float
) -> None:
    wanted, heights = zip(*labels, strict=True)
    needed = sum(heights) + gap * (len(heights) - 1)
    low = min(0.0, 10.0 - needed)
    centres = spread(wanted, heights, low=low, high=10.0, gap=gap)
    boxes = sorted((c - h / 2.0, c + h / 2.0) for c, h in zip(centres, heights, strict=True))
    assert boxes[0][0] >= low - 1e-9 and boxes[-1][1] <= 10.0 + 1e-9
    assert all(after[0] - before[1] >= gap - 1e-9 for before, after in itertools.pairwise(boxes))
    placed = sorted(zip(wanted, centres, strict=True))
    assert all(a[1] < b[1] for a, b in itertools.pairwise(placed) if a[0] < b[0])


def test_labels_with_room_stay_where_their_lines_end() -> None:
    assert spread([8.0, 1.0, 4.5], [1.0, 1.0, 2.0], low=0.0, high=10.0) == [8.0, 1.0, 4.5]


def test_spread_labels_are_as_near_as_a_search_can_bring_them() -> None:
    wanted, heights = np.array([2.0, 2.1, 2.3, 7.0, 7.1]), np.array([1.0, 2.0, 0.5, 1.0, 1.0])
    apart = (heights[1:] + heights[:-1]) / 2.0
    found = minimize(
        lambda centres: float(np.sum((centres - wanted) ** 2)),
        np.cumsum(heights),
        constraints=[{"type": "ineq", "fun": lambda centres: np.diff(centres) - apart}],
    )
    assert spread(wanted, heights, low=-10.0, high=20.0) == pytest.approx(found.x, abs=1e-4)
