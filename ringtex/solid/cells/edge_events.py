"""Walls that vanish while a cell is inset: the moved walls' half planes, with the redundant ones taken away."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Longs
from ringtex.basics.tolerances import MIN_INSET_MM
from ringtex.pattern.tiling import Tiling


def drop_vanished_walls(
    tiling: Tiling, corner: Floats, alive: Bools, tangent: Floats, along: Floats, cells: Bools
) -> tuple[Floats, Bools]:
    """Rings with every vanished side shrunk to the point where its surviving neighbours meet.

    corner (half walls, rings, 2) and alive (half walls, rings) as in `CellInsets`, with the corners of plainly moved
    walls; only those of the `cells` (cells,) with a side that is not alive are touched. One side, the one most
    reversed, is dropped at a time, and what has vanished in one ring stays so further in.
    """
    affected = np.flatnonzero(cells & ~np.logical_and.reduceat(np.all(alive, axis=1), tiling.cell_start[:-1]))
    if len(affected) == 0:
        return corner, alive
    half_edge, real = _padded(tiling, affected)
    corner, alive = corner.copy(), alive.copy()
    still = real.copy()
    for ring in range(1, corner.shape[1]):
        # Each moved wall as a line: the ends that its own wall's offset gives, before neighbours cut it.
        start = corner[half_edge, ring]
        end = corner[tiling.next_corner[half_edge], ring]
        direction = tangent[half_edge]
        still, places = _surviving(start, end, direction, along[half_edge], still)
        kept = half_edge[real]
        corner[kept, ring] = places[real]
        alive[kept, ring] = still[real]
    return corner, alive


def _padded(tiling: Tiling, cells: Longs) -> tuple[Longs, Bools]:
    """(a, most corners) the half walls of some cells, and which entries are real; the others repeat the cell's
    first."""
    sides = np.diff(tiling.cell_start)[cells]
    number = np.arange(int(sides.max()))
    real = number < sides[:, None]
    return (tiling.cell_start[cells][:, None] + np.where(real, number, 0)).astype(np.int64), real


def _surviving(start: Floats, end: Floats, direction: Floats, along: Floats, still: Bools) -> tuple[Bools, Floats]:
    """Drop sides one at a time until none runs backwards; at least three stay. Returns what stays and every start
    corner."""
    still = still.copy()
    places = np.empty_like(start)
    rows = np.arange(len(still))
    middle = 0.5 * (start + end)
    while len(rows):
        living, ways = still[rows], direction[rows]
        here = _corners(start[rows], end[rows], middle[rows], ways, living)
        places[rows] = here
        # A side ends where the next living one starts.
        ends = np.take_along_axis(here, np.roll(_next_alive(living), -1, axis=1)[..., None], axis=1)
        run = np.einsum("aei,aei->ae", ends - here, ways) * along[rows]
        run = np.where(living, run, np.inf)
        worst = np.argmin(run, axis=1)
        drop = (run[np.arange(len(rows)), worst] <= MIN_INSET_MM) & (living.sum(axis=1) > 3)
        still[rows[drop], worst[drop]] = False
        # Only where a side went is there anything new.
        rows = rows[drop]
    return still, places


def _corners(start: Floats, end: Floats, middle: Floats, direction: Floats, still: Bools) -> Floats:
    """Start corner of every side: where the last living side before it meets the first living one from it on."""
    here = _next_alive(still)
    before = _previous_alive(still)
    d1 = np.take_along_axis(direction, before[..., None], axis=1)
    d2 = np.take_along_axis(direction, here[..., None], axis=1)
    p1 = np.take_along_axis(middle, before[..., None], axis=1)
    p2 = np.take_along_axis(middle, here[..., None], axis=1)
    cross = d1[..., 0] * d2[..., 1] - d1[..., 1] * d2[..., 0]
    gap = p2 - p1
    reach = gap[..., 0] * d2[..., 1] - gap[..., 1] * d2[..., 0]
    parallel = np.abs(cross) < 1e-3
    met = p1 + d1 * (reach / np.where(parallel, 1.0, cross))[..., None]
    # Neighbours in one line meet half-way between their own ends.
    e1 = np.take_along_axis(end, before[..., None], axis=1)
    s2 = np.take_along_axis(start, here[..., None], axis=1)
    return np.where(parallel[..., None], 0.5 * (e1 + s2), met)


def _next_alive(still: Bools) -> Longs:
    """(a, e) the first living side at or after each, counting round."""
    size = still.shape[1]
    number = np.where(np.concatenate((still, still), axis=1), np.arange(2 * size), 2 * size)
    first = np.minimum.accumulate(number[:, ::-1], axis=1)[:, ::-1]
    return np.asarray(first[:, :size] % size)


def _previous_alive(still: Bools) -> Longs:
    """(a, e) the last living side strictly before each, counting round."""
    size = still.shape[1]
    number = np.where(np.concatenate((still, still), axis=1), np.arange(2 * size), -1)
    last = np.maximum.accumulate(number, axis=1)
    return np.asarray(last[:, size - 1 : 2 * size - 1] % size)
