"""Which cell of a tiling contains a point."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.pattern.tiling import Tiling

MAX_BINS: Final = 1024
"""Bins along u: on the finest patterns some 300 half-edges each."""


def cells_at(tiling: Tiling, points: Floats) -> Ints:
    """(n,) the cell that contains each point (n, 2) of the strip; see `CellLocator.cells_at`."""
    return CellLocator(tiling).cells_at(points)


class CellLocator:
    """Point location in one tiling, for many questions: half-edges in bins along u.

    The cell is the one that lies above the nearest half-edge straight below the point (slab method; Preparata and
    Shamos 1985, Computational Geometry, 2.2; from memory). start, end (w, 2): the ends of the half-edges that run
    towards larger u, so that their cell lies above them, unwrapped; those that cross the seam twice, one turn apart;
    half_edge (w,): their numbers.
    """

    def __init__(self, tiling: Tiling) -> None:
        self.tiling = tiling
        start, end = tiling.corners, tiling.corners[tiling.next_corner]
        half_edge = np.flatnonzero(end[:, 0] > start[:, 0])
        start, end = start[half_edge], end[half_edge]
        turns = np.column_stack([np.floor(start[:, 0] / tiling.length) * tiling.length, np.zeros(len(start))])
        start, end = start - turns, end - turns
        back = np.array([tiling.length, 0.0])
        over = np.flatnonzero(end[:, 0] > tiling.length)
        self.start = np.concatenate([start, start[over] - back])
        self.end = np.concatenate([end, end[over] - back])
        self.half_edge = np.concatenate([half_edge, half_edge[over]])
        self.bins = int(min(MAX_BINS, max(1, len(self.start) // 8)))
        self.scale = self.bins / tiling.length
        self._sort()

    def cells_at(self, points: Floats) -> Ints:
        """The cell that contains each point; -1 above and below the patterned part, and in its gaps.

        Parameters: points (n, 2), mm on the strip; u is periodic. Returns (n,). A point on a wall belongs to one of its
        two cells, always the same one.
        """
        cells = np.full(len(points), -1, np.int32)
        u, v = np.mod(points[:, 0], self.tiling.length), points[:, 1]
        covered = (v >= self.tiling.lower) & (v <= self.tiling.upper)
        for low, high in self.tiling.gaps:
            covered &= (v <= low) | (v >= high)
        inside = np.flatnonzero(covered)
        point, edge = self._near(u[inside])
        point = inside[point]
        start, end = self.start[edge], self.end[edge]
        spans = (start[:, 0] <= u[point]) & (u[point] < end[:, 0])
        point, edge, start, end = point[spans], edge[spans], start[spans], end[spans]
        fraction = (u[point] - start[:, 0]) / (end[:, 0] - start[:, 0])
        height = start[:, 1] + fraction * (end[:, 1] - start[:, 1])
        below = height <= v[point]
        point, edge, height = point[below], edge[below], height[below]
        order = np.lexsort((edge, height, point))
        last = np.append(np.flatnonzero(np.diff(point[order])), len(order) - 1) if len(order) else order
        cells[point[order][last]] = self.tiling.corner_cell[self.half_edge[edge[order][last]]]
        return cells

    def cell_at(self, u: float, v: float) -> int | None:
        """The cell that contains one point, mm, u of any turn; None on the rails and beyond."""
        cell = int(self.cells_at(np.array([[u, v]]))[0])
        return cell if cell >= 0 else None

    def _sort(self) -> None:
        first = np.clip(np.floor(self.start[:, 0] * self.scale), 0, self.bins - 1).astype(np.int64)
        last = np.clip(np.floor(self.end[:, 0] * self.scale), 0, self.bins - 1).astype(np.int64)
        edge, step = _spread(last - first + 1)
        number = first[edge] + step
        order = np.argsort(number, kind="stable")
        self.edge = edge[order]
        self.bin_start = np.searchsorted(number[order], np.arange(self.bins + 1))

    def _near(self, u: Floats) -> tuple[Longs, Longs]:
        """Pairs of a point and a half-edge that may lie under or over it."""
        number = np.minimum((u * self.scale).astype(np.int64), self.bins - 1)
        first = self.bin_start[number]
        point, step = _spread(self.bin_start[number + 1] - first)
        return point, self.edge[first[point] + step]


def _spread(count: Longs) -> tuple[Longs, Longs]:
    """For count (n,): the numbers 0 to n - 1, each as often as its count says, and a running number in each."""
    owner = np.repeat(np.arange(len(count)), count)
    return owner, np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
