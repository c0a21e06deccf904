"""The outlines of what is cut through a pierced ring's cells, on the strip."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Longs
from ringtex.pattern.tiling import Tiling
from ringtex.relief.make_relief import Relief
from ringtex.solid.cells.offset_loops import OffsetLoops
from ringtex.solid.mesh.strip_triangulation import SideRows

LEDGE_MM = 0.02
"""An outline lies this far inside the foot of the cell's flank: two faces in one place would leave the cut to rounding.
Half a printer's pixel, so that the ledge is not seen."""

CENTRE_SHIFT = 0.3
"""How far beside its centre a cell is shrunk to, as a fraction of the distance to its side."""

MIN_DEPTH_FRACTION = 0.5
"""Cells shallower than this fraction of the relief's depth (faded, scattered or changed by hand) are left whole."""


@dataclass(frozen=True, eq=False)
class CellOutlines:
    """Closed lines, counter-clockwise on the strip, one for each cell that is to be pierced.

    start      (n + 1,) outline i has the positions start[i] : start[i + 1].
    positions  (k, 2) u (unwrapped, each outline in one piece) and v, mm on the strip.
    centre     (n, 2) a position that sees all of the outline.
    cell       (n,) the cell of each.
    """

    start: Longs
    positions: Floats
    centre: Floats
    cell: Longs

    @property
    def number(self) -> Longs:
        """(k,) the outline of each position."""
        return np.repeat(np.arange(len(self.cell)), np.diff(self.start))

    @property
    def following(self) -> Longs:
        """(k,) the next position of the same outline."""
        after = np.arange(1, len(self.positions) + 1)
        after[self.start[1:] - 1] = self.start[:-1]
        return after

    def without(self, outlines: NDArray[np.bool_]) -> CellOutlines:
        """Those that are not marked (n,)."""
        mask = ~outlines
        length = np.diff(self.start)
        start = np.concatenate(([0], np.cumsum(length[mask])))
        return CellOutlines(start, self.positions[mask[self.number]], self.centre[mask], self.cell[mask])

    def containing(self, u: float, v: float, length: float) -> NDArray[np.bool_]:
        """Which outlines run round a point of the strip.

        Parameters:
            u, v: the point, mm.
            length: the strip's length, mm.
        Returns: (n,) True where the point is inside.
        """
        turn = np.rint((self.centre[self.number, 0] - u) / length) * length
        a, b = self.positions - [u, v], self.positions[self.following] - [u, v]
        a[:, 0] -= turn
        b[:, 0] -= turn
        spans = (a[:, 1] > 0.0) != (b[:, 1] > 0.0)
        rise = np.where(spans, b[:, 1] - a[:, 1], 1.0)
        crosses = spans & (a[:, 0] - a[:, 1] * (b[:, 0] - a[:, 0]) / rise > 0.0)
        return np.asarray(np.bincount(self.number, crosses, minlength=len(self.cell)) % 2 == 1)


def _shifted_centres(tiling: Tiling, loops: OffsetLoops) -> Floats:
    """(cells, 2) a position somewhat beside each cell's centre.

    Seen from the centre itself, an outline's corners would lie on the very lines along which the cell's floor is split,
    and each of them would leave a degenerate triangle.
    """
    first = tiling.cell_start[:-1]
    towards = loops.corner[first, -1] + 0.37 * (loops.corner[first + 1, -1] - loops.corner[first, -1])
    return np.asarray(loops.centre + CENTRE_SHIFT * (towards - loops.centre))


def cell_outlines(tiling: Tiling, loops: OffsetLoops, count: Longs, relief: Relief) -> CellOutlines:
    """The last offset loop of every cell that is deep enough to be pierced.

    Parameters:
        tiling, loops: the cells and their offset loops.
        count: (half-edges,) segments of each wall, which the outline's sides get too.
        relief: its form and depths.
    Returns: the outlines.
    """
    rows = SideRows(tiling, count)
    positions = rows.positions(tiling, loops.level_corner)
    side, cell = rows.side, tiling.corner_cell[rows.side].astype(np.int64)
    reach = np.minimum.reduceat(loops.inner_distance, tiling.cell_start[:-1])
    aim = _shifted_centres(tiling, loops)
    share = np.minimum(LEDGE_MM / np.maximum(reach, 1e-9), 0.5)[:, None]
    positions += share[cell] * (aim[cell] - positions)
    # The centre shrinks with its outline, so that it still sees all of it, in small cells too.
    centre = loops.centre + share * (aim - loops.centre)
    deep = (relief.depth_share >= MIN_DEPTH_FRACTION) & (reach > 0.0)
    mask = loops.level_alive[side] & deep[cell]
    enough = np.bincount(cell[mask], minlength=tiling.cells) >= 3
    mask &= enough[cell]
    cells, sizes = np.unique(cell[mask], return_counts=True)
    start = np.concatenate(([0], np.cumsum(sizes)))
    return CellOutlines(start, positions[mask], centre[cells], cells)
