"""Depths that cells carry, between their centres."""

from __future__ import annotations

from typing import Protocol

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.pattern.motif.repeats import Part
from ringtex.relief.make_relief import Relief


class CellGrid(Protocol):
    """Cells in straight rows over a part of the strip."""

    @property
    def part(self) -> Part:
        """The part."""

    @property
    def cells(self) -> tuple[int, int]:
        """How many round the ring and across it."""


def depth_fractions(layout: CellGrid, relief: Relief, u: Floats, v: Floats) -> Floats | float:
    """Depth as a share of the relief's: bilinear between the centres of the cells.

    Parameters:
        layout: the cells; cell row * columns + column.
        relief: has the depth of each.
        u, v: (n,) positions on the strip, mm.
    Returns: (n,) shares, or one where all cells are alike.
    """
    fraction = relief.depth_share
    if np.all(fraction == fraction[0]):
        return float(fraction[0])
    from scipy import ndimage

    columns, rows = layout.cells
    part = layout.part
    grid = np.pad(fraction.reshape(rows, columns), ((0, 0), (1, 1)), mode="wrap")
    places = np.stack(((v - part.lower) / part.width * rows - 0.5, u / part.length * columns + 0.5))
    return np.asarray(ndimage.map_coordinates(grid, places, order=1, mode="nearest"))
