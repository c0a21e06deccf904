"""Vertices where a side vanishes between two offset loops: there three planes of a flank or a rounded edge meet.

A side shrinks to a point on its way from one loop to the next, and from there on its neighbours meet in an edge of
their own (edge event of the straight skeleton; Aichholzer et al. 1995). Triangles from the side straight to the next
loop cut that corner off, by up to 5 micrometres on rounded edges of small cells.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.pattern.tiling import Tiling
from ringtex.solid.cells.offset_loops import OffsetLoops

MIN_DEVIATION: Final = 0.15
"""Fraction of the chord tolerance that the cut corner must take before a vertex is worth its two triangles."""

MIN_WEIGHT: Final = 0.05
"""Least barycentric coordinate of the vertex in the triangle it divides: nearer to an edge its parts are needles."""


@dataclass(frozen=True, eq=False)
class EventVertices:
    """Of one loop. side (n,) half-edges that vanish before it; positions (n, 3) u, v, h where they do."""

    side: Longs
    positions: Floats


def event_vertices(tiling: Tiling, loops: OffsetLoops, loop: int, chord_mm: float) -> EventVertices:
    """Where sides vanish between a loop and the one before, if both neighbours go on and the corner is worth a vertex.

    In drafts none is.

    Parameters:
        tiling, loops: the cells and their offset loops.
        loop: the loop that the sides do not reach.
        chord_mm: chord tolerance, mm.
    Returns: the sides and their vertices; none nearer to an edge of the triangle they divide than MIN_WEIGHT.
    """
    following, previous, alive = tiling.next_corner, tiling.previous_corner, loops.alive
    vanishing = alive[:, loop - 1] & ~alive[:, loop]
    if chord_mm >= DRAFT_CHORD_MM or not np.any(vanishing):
        return EventVertices(np.zeros(0, dtype=np.int64), np.zeros((0, 3)))
    side = np.flatnonzero(vanishing & alive[previous, loop] & alive[following, loop])
    before, after = previous[side], following[side]
    outer = loops.corner[:, loop - 1]
    a, b, inner = outer[side], outer[after], loops.corner[after, loop]
    lines: list[tuple[Ints | Longs, Floats]] = [
        (before, a - outer[before]),
        (side, b - a),
        (after, outer[following[after]] - b),
    ]
    matrix, right = np.empty((len(side), 3, 3)), np.empty((len(side), 3))
    for row, (half_edge, edge) in enumerate(lines):
        inward = np.stack((-edge[:, 1], edge[:, 0]), axis=1)
        inward *= (loops.across[half_edge] / np.maximum(np.hypot(*edge.T), 1e-300))[:, None]
        matrix[:, row, :2], matrix[:, row, 2] = inward, -1.0
        right[:, row] = np.sum(inward * (b if row == 2 else a), axis=1)
    good = np.abs(np.linalg.det(matrix)) > 1e-6
    matrix[~good] = np.eye(3)
    solved = np.asarray(np.linalg.solve(matrix, right[..., None])[..., 0], dtype=np.float64)
    at, inset = solved[:, :2], solved[:, 2]
    total = 0.5 * np.sum((matrix[:, 0, :2] + matrix[:, 2, :2]) * inner, axis=1)
    total -= 0.5 * (right[:, 0] + right[:, 2])
    weight = _barycentric(at, a, b, inner)
    good &= (inset > 0.0) & (inset < total) & np.all(weight > MIN_WEIGHT, axis=1)
    cell = tiling.corner_cell[side]
    low, high = loops.height[cell, loop - 1], loops.height[cell, loop]
    reached = inset / np.where(good, total, 1.0)
    good &= np.abs((reached - weight[:, 2]) * (high - low)) > MIN_DEVIATION * chord_mm
    positions = np.column_stack((at, low + reached * (high - low)))
    return EventVertices(side[good], positions[good])


def _barycentric(at: Floats, a: Floats, b: Floats, c: Floats) -> Floats:
    """(n, 3) barycentric coordinates of points in triangles, all (n, 2); -1 where a triangle has no area."""

    def doubled(p: Floats, q: Floats, r: Floats) -> Floats:
        return np.asarray((q[:, 0] - p[:, 0]) * (r[:, 1] - p[:, 1]) - (q[:, 1] - p[:, 1]) * (r[:, 0] - p[:, 0]))

    whole = doubled(a, b, c)
    parts = np.stack((doubled(at, b, c), doubled(a, at, c), doubled(a, b, at)), axis=1)
    solid = whole > 1e-12
    return np.where(solid[:, None], parts / np.where(solid, whole, 1.0)[:, None], -1.0)
