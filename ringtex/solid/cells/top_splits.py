"""Splits of the edges of a smooth top that lie further from it than the tolerance: at corners, and in irregular cells.

Edges are planned by each cell's rise alone. The top is more curved where it is levelled towards a corner; there single
edges are split at their middles, measured against the top's own height, instead of the whole cell being finer.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.solid.cells.smooth_fill import SmoothFill
from ringtex.solid.mesh.edge_splits import EdgesToSplit, paired_half_edges, split_edges, worst_edges
from ringtex.solid.mesh.strip_triangulation import StripMesh

LONG_EDGE: Final = 0.6
"""Only edges of more than this fraction of their cell's longest are measured."""

MAX_DEVIATION: Final = 0.75
"""Fraction of the tolerance that an edge may take: the middle of a triangle lies up to a third deeper."""

ROUNDS: Final = 3
"""Rounds of splits, each with at most one edge of every triangle."""


def split_long_edges(fill: SmoothFill, mesh: StripMesh, at: Floats) -> StripMesh:
    """Split inner edges of smooth tops at their middles until they keep the tolerance.

    Parameters:
        fill: the fill that the mesh is from.
        mesh: its triangles.
        at: (vertices, 3) u, v, h of all that they number, those of the mesh last, in one piece within each cell.
    Returns: the mesh with more vertices at its end.
    """
    faces, cell, fresh = mesh.faces, mesh.cell, [mesh.positions]
    a, b, c = faces.T
    real = (a != b) & (b != c) & (a != c)
    faces, cell = faces[real], cell[real]
    active = np.arange(len(faces))
    for _ in range(ROUNDS):
        edges = _edges_to_split(fill, faces, cell, at, active)
        if not len(edges.positions):
            break
        faces, cell, active = split_edges(faces, cell, edges, len(at))
        at = np.concatenate((at, edges.positions))
        fresh.append(edges.positions)
    return StripMesh(np.concatenate(fresh), faces, cell)


def _edges_to_split(fill: SmoothFill, faces: Ints, cell: Ints, at: Floats, active: Longs) -> EdgesToSplit:
    """Edges over the tolerance that are the worst of both their triangles, with their middles on the true top."""
    loops, chosen = fill.loops, faces[active]
    start, end = chosen.ravel(), chosen[:, [1, 2, 0]].ravel()
    owner = np.repeat(active, 3)
    step = at[end, :2] - at[start, :2]
    along, across = (np.minimum.reduceat(each, fill.tiling.cell_start[:-1]) for each in (loops.along, loops.across))
    limit = LONG_EDGE * fill.limit / np.minimum(along, across)
    long = np.flatnonzero(np.hypot(step[:, 0], step[:, 1]) > limit[cell[owner]])
    one, other = (long[side] for side in paired_half_edges(start[long], end[long], len(at)))
    inside = cell[owner[one]]
    middle = 0.5 * (at[start[one]] + at[end[one]])
    true = loops.height[inside, -1] + loops.rise[inside] * fill.tops.height(middle[:, :2], inside)
    off = np.abs(true - middle[:, 2])
    middle[:, 2] = true
    over = np.flatnonzero(off > MAX_DEVIATION * fill.chord_mm)
    one, other = (3 * owner[side[over]] + side[over] % 3 for side in (one, other))
    return worst_edges(off[over], one, other, middle[over], len(faces))
