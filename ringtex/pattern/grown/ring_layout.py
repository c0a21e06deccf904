"""What growth rings are made from, and where their cells lie; the rings themselves grow in `growth_rings.py`."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Longs
from ringtex.pattern.motif.repeats import Part

RING: Final = 0.44
"""Mean width of a ring in roots of the mean area that `around` x `across` gives each cell."""

MARGIN: Final = 2.5
"""Contour lines run on beyond rails and seam by so many widths of a ring."""

PINCH: Final = 0.12
"""Rings end where, less their grooves, they are narrower than twice this, in mean widths of a ring."""


@dataclass(frozen=True)
class GrowthRings:
    """The rings of one strip.

    part           the patterned part.
    around, across how many places as large as a cell's there are; rings are `RING` times as wide.
    seed, scatter  as the pattern's.
    slide          how far all is turned round the ring, mm.
    count          how many rings there are, those apart that a rail cuts in pieces; 0 while they are not counted.
    """

    part: Part
    around: int
    across: int
    seed: int
    scatter: float
    slide: float
    count: int = field(default=0, compare=False)

    @property
    def width(self) -> float:
        """Mean width of a ring from wall to wall, mm on the strip."""
        return RING * math.sqrt(self.part.length * self.part.width / (self.around * self.across))

    @property
    def margin(self) -> float:
        """How far walls run on beyond rails and seam, mm."""
        return MARGIN * self.width

    @property
    def pinch(self) -> float:
        """Radius of the ends of rings, mm on the strip: where they are narrower than twice this they end."""
        return PINCH * self.width

    @property
    def cells(self) -> tuple[int, int]:
        """Columns and rows of the cells that carry depths."""
        return self.around, self.across

    @property
    def counted(self) -> tuple[int, str]:
        """How many rings there are."""
        return self.count, "rings"

    def cells_at(self, points: Floats) -> Longs:
        """(n,) the cell of `grid_tiling`, not slid, that each point (n, 2) lies in."""
        column = np.floor(points[:, 0] / self.part.length * self.around).astype(np.int64) % self.around
        row = np.floor((points[:, 1] - self.part.lower) / self.part.width * self.across).astype(np.int64)
        return np.asarray(np.clip(row, 0, self.across - 1) * self.around + column)
