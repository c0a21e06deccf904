"""Flips and splits of the edges of a smooth top that lie further from it than the tolerance.

Edges are planned by each cell's rise alone. The top is more curved where it is levelled towards a corner, and less
along a wall than across it. There single edges are turned to the other diagonal of their two triangles where that is
nearer to the top (data-dependent triangulation; Dyn, Levin and Rippa 1990), or else split at their middles, instead of
the whole cell being finer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs, sorted_unique
from ringtex.solid.cells.smooth_fill import SmoothFill
from ringtex.solid.mesh.edge_splits import MAX_ROUNDS, EdgesToSplit, split_edges, worst_edges
from ringtex.solid.mesh.half_edges import paired_half_edges
from ringtex.solid.mesh.strip_triangulation import StripMesh
from ringtex.solid.mesh.triangle_patch import best_apart

LONG_EDGE: Final = 0.45
"""Only edges of more than this fraction of their cell's longest are measured."""

MAX_DEVIATION: Final = 0.8
"""Fraction of the tolerance that an edge may take, with what the surface under it rises: the middle of a triangle lies
up to a third deeper."""

NEARER: Final = 0.7
"""An edge is flipped where the other diagonal takes less than this fraction of what it does."""

MIN_ROUNDNESS: Final = 0.2
"""Height over longest side of triangles that a flip may leave."""

FLIP_ROUNDS: Final = 3
"""Rounds of flips, each with at most one edge of every triangle."""


def split_long_edges(fill: SmoothFill, mesh: StripMesh, at: Floats) -> StripMesh:
    """Flip inner edges of smooth tops, then split them at their middles, until they keep the tolerance.

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
    over = _edges_over(fill, faces, cell, at, np.arange(len(faces)))
    active = sorted_unique(np.concatenate((over.one, over.other)) // 3)
    for _ in range(FLIP_ROUNDS):
        again = _flip_to_nearer(fill, faces, cell, at, over)
        if not len(again):
            break
        over = _edges_over(fill, faces, cell, at, again)
    for _ in range(MAX_ROUNDS):
        over = _edges_over(fill, faces, cell, at, active)
        edges: EdgesToSplit = worst_edges(over.off, over.one, over.other, over.middle, len(faces))
        if not len(edges.positions):
            break
        faces, cell, active = split_edges(faces, cell, edges, len(at))
        at = np.concatenate((at, edges.positions))
        fresh.append(edges.positions)
    return StripMesh(np.concatenate(fresh), faces, cell)


@dataclass(frozen=True, eq=False)
class _EdgesOver:
    """Edges over the tolerance. one, other (k,): their half-edges 3 f + i; middle (k, 3): on the true top; off (k,),
    mm."""

    one: Longs
    other: Longs
    middle: Floats
    off: Floats


def _edges_over(fill: SmoothFill, faces: Ints, cell: Ints, at: Floats, active: Longs) -> _EdgesOver:
    """The edges between some triangles that are over the tolerance."""
    loops, chosen = fill.loops, faces[active]
    start, end = chosen.ravel(), chosen[:, [1, 2, 0]].ravel()
    owner = np.repeat(active, 3)
    step = at[end, :2] - at[start, :2]
    along, across = (np.minimum.reduceat(each, fill.tiling.cell_start[:-1]) for each in (loops.along, loops.across))
    limit = LONG_EDGE * fill.limit / np.minimum(along, across)
    long = np.flatnonzero(np.hypot(step[:, 0], step[:, 1]) > limit[cell[owner]])
    one, other = (long[side] for side in paired_half_edges(start[long], end[long], len(at)))
    middle, off = _middles(fill, at[start[one]], at[end[one]], cell[owner[one]])
    over = np.flatnonzero(off > MAX_DEVIATION * fill.chord_mm)
    one, other = (3 * owner[side[over]] + side[over] % 3 for side in (one, other))
    return _EdgesOver(one, other, middle[over], off[over])


def _middles(fill: SmoothFill, start: Floats, end: Floats, cell: Ints) -> tuple[Floats, Floats]:
    """Of edges from start to end, (k, 3) u, v, h: the top over their middles (k, 3), and how far they lie from it, with
    the rise of the surface under them (k,), mm."""
    loops, middle = fill.loops, 0.5 * (start + end)
    true = loops.height[cell, -1] + loops.rise[cell] * fill.tops.height(middle[:, :2], cell)
    off = np.abs(true - middle[:, 2]) + loops.forms.sagitta(cell, (end - start)[:, :2], true)
    middle[:, 2] = true
    return middle, off


def _flip_to_nearer(fill: SmoothFill, faces: Ints, cell: Ints, at: Floats, over: _EdgesOver) -> Longs:
    """Flip edges, in place, to the other diagonal of their triangles where that is nearer to the top.

    Returns: the triangles to look at again.
    """
    f, g = over.one // 3, over.other // 3
    a, b = faces[f, over.one % 3], faces[f, (over.one + 1) % 3]
    c, d = faces[f, (over.one + 2) % 3], faces[g, (over.other + 2) % 3]
    off = _middles(fill, at[c], at[d], cell[f])[1]
    roundness = np.minimum(_roundness(at, a, d, c), _roundness(at, d, b, c))
    good = np.flatnonzero((off < NEARER * over.off) & (roundness > MIN_ROUNDNESS))
    touched = np.concatenate((f[good], g[good]))
    chosen = best_apart((over.off - off)[good], touched, np.tile(np.arange(len(good)), 2), len(faces))
    flip = good[chosen]
    faces[f[flip]] = np.stack((a, d, c), axis=1)[flip]
    faces[g[flip]] = np.stack((d, b, c), axis=1)[flip]
    return sorted_unique(touched)


def _roundness(at: Floats, a: Ints, b: Ints, c: Ints) -> Floats:
    """Height over longest side of triangles on the strip, negative where they run clockwise."""
    p, q, r = at[a, :2], at[b, :2], at[c, :2]
    first, second = q - p, r - p
    doubled = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    longest = np.max([np.sum(each * each, axis=1) for each in (first, second, r - q)], axis=0)
    return np.asarray(doubled / np.maximum(longest, 1e-300))
