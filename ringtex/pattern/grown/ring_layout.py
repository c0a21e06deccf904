"""What growth rings are made from, and where their cells lie; the rings themselves grow in `growth_rings.py`."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, Protocol

import numpy as np

from ringtex.basics.arrays import Floats, Longs
from ringtex.pattern.motif.repeats import Part

RING: Final = 0.44
"""Mean width of a ring in roots of the mean area that `around` x `across` gives each cell."""

MARGIN: Final = 2.5
VARIED_MARGIN: Final = 0.8
"""Contour lines run on beyond rails and seam by so many widths of a ring; where the strip's scale varies by so many of
those where it is least."""

PINCH: Final = 0.12
"""Half of what is left free between rings where no relief says how wide grooves are, in mean widths of a ring."""


class ScaleTable(Protocol):
    """Values over the part, in a table, as `AreaDensity` has them; which is named in `growth_rings.py` alone, for its
    file needs the pattern, which needs this one."""

    @property
    def table(self) -> Floats:
        """Values at even points."""

    @property
    def total(self) -> float:
        """Their integral over the part."""

    def __call__(self, points: Floats) -> Floats:
        """(n,) the values at points (n, 2)."""


@dataclass(frozen=True)
class GrowthRings:
    """The rings of one strip.

    part           the patterned part.
    around, across how many places as large as a cell's there are; rings are `RING` times as wide.
    seed, scatter  as the pattern's.
    slide          how far all is turned round the ring, mm.
    count          how many rings there are, those apart that a rail cuts in pieces; 0 while they are not counted.
    density        the ring's area for an area of strip; None where it hardly varies.
    scales         its root: mm of the lengths that `width` is of for a millimetre of strip; None as there.
    """

    part: Part
    around: int
    across: int
    seed: int
    scatter: float
    slide: float
    count: int = field(default=0, compare=False)
    density: ScaleTable | None = None
    scales: ScaleTable | None = field(default=None, compare=False)

    @cached_property
    def width(self) -> float:
        """Mean width of a ring from wall to wall, mm on the ring; on the strip where its scale hardly varies."""
        area = self.part.length * self.part.width if self.density is None else self.density.total
        return RING * math.sqrt(area / (self.around * self.across))

    @cached_property
    def margin(self) -> float:
        """How far walls run on beyond rails and seam, mm on the strip."""
        if self.scales is None:
            return MARGIN * self.width
        return VARIED_MARGIN * self.width / float(np.min(self.scales.table))

    def on_strip(self, widths: float, points: Floats) -> Floats:
        """(n,) so many widths of a ring at points (n, 2), mm on the strip."""
        length = widths * self.width
        return np.full(len(points), length) if self.scales is None else np.asarray(length / self.scales(points))

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
