"""The kerfs that blades leave in the virtual stock, which is a field of heights and has none.

Stock above a kerf is still there, and so is the height of its column. What the blade took is kept
here instead, cell by cell for each height that a blade goes at: for the volume, and to tell a cut
from a way back through the kerf.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from gcodekit.proof.stock_grid import Heights, Mask, Window

# Kerfs of more heights than this are not kept apart from the stock round them: 4 MB each at most.
MOST_KERFS = 64


@dataclass(slots=True)
class Kerfs:
    """The cells where a blade has been, by z of its underside and its thickness, mm."""

    rows: int
    columns: int
    layers: dict[tuple[float, float], Mask] = field(default_factory=dict)

    def beside(self, met: Mask, window: Window, low: float | None, thick: float) -> Mask:
        """Those of the cells met where no blade has been at this height."""
        layer = None if low is None else self.layers.get((low, thick))
        return met if layer is None else met & ~layer[window.cells]

    def add(self, met: Mask, window: Window, low: float | None, thick: float) -> None:
        """Take in cells of a way at one height; on a slope none are kept."""
        if low is None or (len(self.layers) >= MOST_KERFS and (low, thick) not in self.layers):
            return
        empty = np.zeros((self.rows, self.columns), dtype=np.bool_)
        self.layers.setdefault((low, thick), empty)[window.cells] |= met

    def height(self, heights: Heights) -> float:
        """All that the kerfs take of the columns they are in, added up over the cells, mm; where
        two overlap in height both count."""
        total = 0.0
        for (low, thick), layer in self.layers.items():
            inside = np.clip(heights[layer] - np.float32(low), 0.0, np.float32(thick))
            total += float(inside.sum(dtype=np.float64))
        return total
