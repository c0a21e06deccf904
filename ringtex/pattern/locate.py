"""Which cell of a tiling contains a place."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.pattern.tiling import Tiling

MAX_BINS: Final = 1024


def cells_at(tiling: Tiling, places: Floats) -> Ints:
    """The cell that contains each place; -1 above and below the patterned part.

    Parameters: places (n, 2), mm on the strip; u is periodic. Returns (n,). A place on a wall belongs to one of its two
    cells, always the same one.

    The cell is the one that lies above the nearest wall straight below the place.
    """
    found = np.full(len(places), -1, np.int32)
    u, v = np.mod(places[:, 0], tiling.length), places[:, 1]
    inside = np.flatnonzero((v >= tiling.lower) & (v <= tiling.upper))
    floor = _Floors(tiling)
    place, wall = floor.near(u[inside])
    place = inside[place]
    start, end = floor.start[wall], floor.end[wall]
    spans = (start[:, 0] <= u[place]) & (u[place] < end[:, 0])
    place, wall, start, end = place[spans], wall[spans], start[spans], end[spans]
    share = (u[place] - start[:, 0]) / (end[:, 0] - start[:, 0])
    height = start[:, 1] + share * (end[:, 1] - start[:, 1])
    below = height <= v[place]
    place, wall, height = place[below], wall[below], height[below]
    order = np.lexsort((wall, height, place))
    last = np.append(np.flatnonzero(np.diff(place[order])), len(order) - 1) if len(order) else order
    found[place[order][last]] = tiling.corner_cell[floor.half_edge[wall[order][last]]]
    return found


class _Floors:
    """Half walls that run towards larger u, so that their cell lies above them, sorted into bins along u.

    start, end (w, 2): their ends, unwrapped; those that cross the seam twice, one turn apart; half_wall (w,).
    """

    def __init__(self, tiling: Tiling) -> None:
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

    def _sort(self) -> None:
        first = np.clip(np.floor(self.start[:, 0] * self.scale), 0, self.bins - 1).astype(np.int64)
        last = np.clip(np.floor(self.end[:, 0] * self.scale), 0, self.bins - 1).astype(np.int64)
        wall, step = _spread(last - first + 1)
        number = first[wall] + step
        order = np.argsort(number, kind="stable")
        self.wall = wall[order]
        self.bin_start = np.searchsorted(number[order], np.arange(self.bins + 1))

    def near(self, u: Floats) -> tuple[Longs, Longs]:
        """Pairs of a place and a wall that may lie under or over it."""
        number = np.minimum((u * self.scale).astype(np.int64), self.bins - 1)
        first = self.bin_start[number]
        place, step = _spread(self.bin_start[number + 1] - first)
        return place, self.wall[first[place] + step]


def _spread(count: Longs) -> tuple[Longs, Longs]:
    """For count (n,): the numbers 0 to n - 1, each as often as its count says, and a running number in each."""
    owner = np.repeat(np.arange(len(count)), count)
    return owner, np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
