"""Do a cell's inset rings nest? Each piece between two rings must be convex, or triangles in it would run backwards."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringtex.pattern.tiling import Tiling

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

LEAST_SINE = 1e-3
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
    side = corner[:, :, tiling.next_corner] - corner
    leg = corner[:, 1:] - corner[:, :-1]
    leg_at_end = leg[:, :, tiling.next_corner]
    least = LEAST_SINE**2
    good = np.ones(leg.shape[1:], dtype=bool)
    for run in (side[:, :-1], side[:, 1:]):
        for way in (leg, leg_at_end):
            cross = run[0] * way[1] - run[1] * way[0]
            size = (run[0] ** 2 + run[1] ** 2) * (way[0] ** 2 + way[1] ** 2)
            good &= ((cross > 0.0) & (cross * cross > least * size)) | (size == 0.0)
    return good
