"""Which cell lies under a place of the strip."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Longs
from ringtex.pattern.tiling import Tiling

_CELLS_IN_A_BOX: Final = 2.0


class CellFinder:
    """Looks cells up by place, over the seam too: a grid of boxes names the few cells that may hold it."""

    def __init__(self, tiling: Tiling) -> None:
        self._tiling = tiling
        first = tiling.cell_start[:-1]
        u, v = tiling.corners[:, 0], tiling.corners[:, 1]
        self._low_u, self._high_u = np.minimum.reduceat(u, first), np.maximum.reduceat(u, first)
        self._low_v, self._high_v = np.minimum.reduceat(v, first), np.maximum.reduceat(v, first)
        size = float(np.sqrt(_CELLS_IN_A_BOX * tiling.length * (tiling.upper - tiling.lower) / max(tiling.cells, 1)))
        self._across = max(1, int((tiling.upper - tiling.lower) / size))
        self._along = max(1, int(tiling.length / size))
        self._sort_into_boxes()

    def _sort_into_boxes(self) -> None:
        along, across = self._along, self._across
        first_u = np.floor(self._low_u / self._tiling.length * along).astype(np.int64)
        last_u = np.floor(self._high_u / self._tiling.length * along).astype(np.int64)
        height = self._tiling.upper - self._tiling.lower
        first_v = np.floor((self._low_v - self._tiling.lower) / height * across).astype(np.int64)
        last_v = np.floor((self._high_v - self._tiling.lower) / height * across).astype(np.int64)
        wide, high = last_u - first_u + 1, last_v - first_v + 1
        count = wide * high
        cell = np.repeat(np.arange(self._tiling.cells), count)
        number = np.arange(len(cell)) - np.repeat(np.cumsum(count) - count, count)
        box_u = (first_u[cell] + number % wide[cell]) % along
        box_v = np.clip(first_v[cell] + number // wide[cell], 0, across - 1)
        box = box_v * along + box_u
        order = np.argsort(box, kind="stable")
        self._in_box: Longs = cell[order]
        self._box_start: Longs = np.searchsorted(box[order], np.arange(along * across + 1))

    def cell_at(self, u: float, v: float) -> int | None:
        """The cell at (u, v), mm, u of any turn; None on the rails and beyond. A place on a wall belongs to one of its
        two cells."""
        tiling = self._tiling
        if not tiling.lower <= v <= tiling.upper:
            return None
        u %= tiling.length
        box_u = min(int(u / tiling.length * self._along), self._along - 1)
        share = (v - tiling.lower) / (tiling.upper - tiling.lower)
        box = min(int(share * self._across), self._across - 1) * self._along + box_u
        best, best_room = None, -np.inf
        for cell in np.unique(self._in_box[self._box_start[box] : self._box_start[box + 1]]).tolist():
            for turn in (-1, 0, 1):
                at = u + turn * tiling.length
                if self._low_u[cell] <= at <= self._high_u[cell] and self._low_v[cell] <= v <= self._high_v[cell]:
                    if self._holds(cell, at, v):
                        return int(cell)
                    room = -abs(at - 0.5 * (self._low_u[cell] + self._high_u[cell]))
                    if room > best_room:
                        best, best_room = int(cell), room
        # Rounding can leave a place on a wall to neither side.
        return best

    def _holds(self, cell: int, u: float, v: float) -> bool:
        """Ray casting (Shimrat 1962, Algorithm 112): an odd number of walls to the right."""
        tiling = self._tiling
        corners = tiling.corners[tiling.cell_start[cell] : tiling.cell_start[cell + 1]]
        before = np.roll(corners, 1, axis=0)
        crosses = (corners[:, 1] > v) != (before[:, 1] > v)
        rise = np.where(crosses, before[:, 1] - corners[:, 1], 1.0)
        at = corners[:, 0] + (v - corners[:, 1]) / rise * (before[:, 0] - corners[:, 0])
        return bool(np.sum(crosses & (u < at)) % 2)
