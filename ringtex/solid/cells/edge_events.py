"""Edge events: walls that vanish while a cell is offset inwards, found from the half-planes of the moved walls."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Longs
from ringtex.basics.tolerances import MIN_INSET_MM
from ringtex.pattern.tiling import Tiling


def drop_vanished_walls(
    tiling: Tiling, corner: Floats, alive: Bools, tangent: Floats, along: Floats, cells: Bools
) -> tuple[Floats, Bools]:
    """Loops with every vanished side shrunk to the point where its surviving neighbours meet.

    These are the edge events of a straight skeleton (Aichholzer et al. 1995, A novel type of skeleton for polygons;
    from memory), resolved loop by loop: the side that is most reversed is dropped first, and what has vanished in one
    loop stays so further in.

    Parameters:
        tiling: the cells.
        corner: (half-edges, loops, 2) corners of the plainly offset walls, as in `OffsetLoops`.
        alive: (half-edges, loops) sides that have a length.
        tangent, along: (half-edges, 2) directions, and (half-edges,) mm on the ring per mm on the strip along them.
        cells: (cells,) those to treat; of them only the ones with a side that is not alive are changed.
    Returns: corner and alive with the events resolved.
    """
    affected = np.flatnonzero(cells & ~np.logical_and.reduceat(np.all(alive, axis=1), tiling.cell_start[:-1]))
    if len(affected) == 0:
        return corner, alive
    half_edge, real = _padded(tiling, affected)
    corner, alive = corner.copy(), alive.copy()
    surviving = real.copy()
    for ring in range(1, corner.shape[1]):
        # Each moved wall as a line: the ends that its own wall's offset gives, before neighbours cut it.
        start = corner[half_edge, ring]
        end = corner[tiling.next_corner[half_edge], ring]
        direction = tangent[half_edge]
        surviving, positions = _drop_reversed(start, end, direction, along[half_edge], surviving)
        real_edges = half_edge[real]
        corner[real_edges, ring] = positions[real]
        alive[real_edges, ring] = surviving[real]
    return corner, alive


def _padded(tiling: Tiling, cells: Longs) -> tuple[Longs, Bools]:
    """(a, most corners) the half-edges of some cells, and which entries are real; the rest repeat the cell's first."""
    sides = np.diff(tiling.cell_start)[cells]
    number = np.arange(int(sides.max()))
    real = number < sides[:, None]
    return (tiling.cell_start[cells][:, None] + np.where(real, number, 0)).astype(np.int64), real


def _drop_reversed(
    start: Floats, end: Floats, direction: Floats, along: Floats, surviving: Bools
) -> tuple[Bools, Floats]:
    """Drop sides one at a time until none runs backwards; at least three stay. Returns the survivors and all start
    corners."""
    surviving = surviving.copy()
    positions = np.empty_like(start)
    rows = np.arange(len(surviving))
    middle = 0.5 * (start + end)
    while len(rows):
        living, directions = surviving[rows], direction[rows]
        here = _corners(start[rows], end[rows], middle[rows], directions, living)
        positions[rows] = here
        # A side ends where the next living one starts.
        ends = _of_rows(here, np.roll(_next_alive(living), -1, axis=1))
        edge_length = np.einsum("aei,aei->ae", ends - here, directions) * along[rows]
        edge_length = np.where(living, edge_length, np.inf)
        worst = np.argmin(edge_length, axis=1)
        drop = (edge_length[np.arange(len(rows)), worst] <= MIN_INSET_MM) & (living.sum(axis=1) > 3)
        surviving[rows[drop], worst[drop]] = False
        # Only where a side went is there anything new.
        rows = rows[drop]
    return surviving, positions


def _corners(start: Floats, end: Floats, middle: Floats, direction: Floats, surviving: Bools) -> Floats:
    """Start corner of every side: where the last living side before it meets the first living one from it on."""
    here = _next_alive(surviving)
    before = _previous_alive(surviving)
    d1, d2 = _of_rows(direction, before), _of_rows(direction, here)
    p1, p2 = _of_rows(middle, before), _of_rows(middle, here)
    cross = d1[..., 0] * d2[..., 1] - d1[..., 1] * d2[..., 0]
    gap = p2 - p1
    along_first = gap[..., 0] * d2[..., 1] - gap[..., 1] * d2[..., 0]
    parallel = np.abs(cross) < 1e-3
    met = p1 + d1 * (along_first / np.where(parallel, 1.0, cross))[..., None]
    # Neighbours in one line meet half-way between their own ends.
    return np.where(parallel[..., None], 0.5 * (_of_rows(end, before) + _of_rows(start, here)), met)


def _of_rows(values: Floats, number: Longs) -> Floats:
    """(a, e, 2) those of values (a, n, 2) that number (a, e) says, row by row."""
    at = number + np.arange(len(values))[:, None] * values.shape[1]
    return np.asarray(np.take(values.reshape(-1, 2), at, axis=0))


def _next_alive(surviving: Bools) -> Longs:
    """(a, e) the first living side at or after each, counting round."""
    size = surviving.shape[1]
    number = np.where(np.concatenate((surviving, surviving), axis=1), np.arange(2 * size), 2 * size)
    first = np.minimum.accumulate(number[:, ::-1], axis=1)[:, ::-1]
    return np.asarray(first[:, :size] % size)


def _previous_alive(surviving: Bools) -> Longs:
    """(a, e) the last living side strictly before each, counting round."""
    size = surviving.shape[1]
    number = np.where(np.concatenate((surviving, surviving), axis=1), np.arange(2 * size), -1)
    last = np.maximum.accumulate(number, axis=1)
    return np.asarray(last[:, size - 1 : 2 * size - 1] % size)
