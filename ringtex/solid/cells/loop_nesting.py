"""Do a cell's inset rings nest? Each piece between two rings must be convex, or triangles in it would run backwards."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Bools, Floats
from ringtex.pattern.tiling import Tiling

MIN_SINE = 1e-3
"""Sine of an angle, at least, for a corner to turn the right way: far over rounding, far under any of a sound cell."""


def convex_between(tiling: Tiling, outer: Floats, inner: Floats) -> Bools:
    """(half walls,) the piece between each side of an outer row of corners and the same side of an inner one is convex.

    outer, inner (half walls, 2): where each side starts; a side that has shrunk to a point makes the piece a triangle.
    """
    return np.asarray(_convex(tiling, np.stack((outer.T, inner.T), axis=1))[0])


def nested_cells(tiling: Tiling, corner: Floats, centre: Floats) -> Bools:
    """(cells,) all pieces between neighbouring rings are convex, and the centre sees all of the last ring.

    corner (half walls, rings, 2) and centre (cells, 2) as in `CellInsets`.
    """
    good = np.all(_convex(tiling, np.ascontiguousarray(corner.transpose(2, 1, 0))), axis=0)
    good &= convex_between(tiling, corner[:, -1], centre[tiling.corner_cell])
    sound: Bools = np.logical_and.reduceat(good, tiling.cell_start[:-1])
    return sound


def _convex(tiling: Tiling, corner: Floats) -> Bools:
    """(rings - 1, half walls) the same for corner (2, rings, half walls): both sides turn left from both legs, the ways
    from corner to corner of neighbouring rings."""
    following = tiling.next_corner
    u, v = corner
    good = np.ones((len(u) - 1, len(following)), dtype=bool)
    inner = _with_length(u[0][following] - u[0], v[0][following] - v[0])
    # Ring by ring: all of them at once no longer fit a processor's cache.
    for ring, turning in enumerate(good, start=1):
        outer, inner = inner, _with_length(u[ring][following] - u[ring], v[ring][following] - v[ring])
        leg = _with_length(u[ring] - u[ring - 1], v[ring] - v[ring - 1])
        for way in (leg, [part[following] for part in leg]):
            for run in (outer, inner):
                cross = run[0] * way[1] - run[1] * way[0]
                size = run[2] * way[2]
                turning &= (cross * np.abs(cross) > MIN_SINE**2 * size) | (size == 0.0)
    return good


def _with_length(along_u: Floats, along_v: Floats) -> list[Floats]:
    """Ways in u and in v, and the squares of their lengths."""
    return [along_u, along_v, along_u * along_u + along_v * along_v]
