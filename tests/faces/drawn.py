"""What a chart holds, read back from its axes."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Patch
from matplotlib.transforms import Bbox


def drawn_bars(ax: Axes) -> Iterator[tuple[Bbox, Patch]]:
    """Give the bars on axes, each with the patch that it belongs to, which may hold several."""
    for patch in ax.patches:
        to_axes = patch.get_patch_transform()
        for corners in patch.get_path().to_polygons(to_axes):
            yield Bbox([np.min(corners, axis=0), np.max(corners, axis=0)]), patch
