"""How large and how regular the cells are on the ring: for each of them and over all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.make_ring import ShapedRing
from ringtex.pattern.measure import areas_on_ring, on_border, percent_words, roundness_on_ring, sides


@dataclass(frozen=True, eq=False)
class CellNumbers:
    """Per cell, (c,): area on the ring, mm2; 4 pi A / P^2 on the ring; sides; whether no border cuts it."""

    area: Floats
    roundness: Floats
    sides: NDArray[np.integer]
    inner: NDArray[np.bool_]

    @property
    def smallest(self) -> float:
        """The smallest cell, mm2."""
        return float(self.area.min())

    @property
    def largest(self) -> float:
        """The largest cell, mm2."""
        return float(self.area.max())

    @property
    def variation(self) -> float:
        """Deviation of the areas over their mean."""
        return float(self.area.std() / self.area.mean())

    @property
    def six_sided_share(self) -> float | None:
        """Of the cells that no border cuts; None where there are none."""
        return float(np.mean(self.sides[self.inner] == 6)) if np.any(self.inner) else None

    def lines(self) -> list[tuple[str, str]]:
        """Name and number of what a designer asks about all cells."""
        return [
            ("Smallest, largest cell", f"{self.smallest:.2f}, {self.largest:.2f} mm²"),
            ("Largest / smallest", f"{self.largest / self.smallest:.2f}"),
            ("Areas vary by", f"{100.0 * self.variation:.{1 if self.variation < 0.1 else 0}f} %"),
            ("Cells with six sides", percent_words(self.six_sided_share)),
            ("Roundness, mean and worst", f"{self.roundness.mean():.2f}, {self.roundness.min():.2f}"),
        ]

    def words_for(self, cell: int) -> str:
        """One cell beside all others."""
        off = 100.0 * (float(self.area[cell]) / float(self.area.mean()) - 1.0)
        beside = "as the mean" if abs(off) < 0.5 else f"{abs(off):.0f} % {'over' if off > 0.0 else 'under'} the mean"
        return f"{self.sides[cell]} sides   roundness {self.roundness[cell]:.2f}   {beside}"


def cell_numbers(built: ShapedRing) -> CellNumbers:
    """Measure a built ring's cells."""
    tiling = built.pattern.tiling
    areas = areas_on_ring(tiling, built.strip)
    return CellNumbers(areas, roundness_on_ring(tiling, built.strip), sides(tiling), ~on_border(tiling))
