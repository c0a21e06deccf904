"""Flips and splits of the edges of a smooth top that lie further from it than the tolerance.

Edges are planned by each cell's rise alone. The top is more curved where it is levelled towards a corner, and less
along a wall than across it. There single edges are flipped, or else split at their middles, instead of the whole cell
being finer.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints
from ringtex.solid.cells.smooth_fill import SmoothFill
from ringtex.solid.mesh.edge_splits import EdgesOff, flip_and_split
from ringtex.solid.mesh.strip_triangulation import StripMesh

LONG_EDGE: Final = 0.45
"""Only edges of more than this fraction of their cell's longest are measured."""

MAX_DEVIATION: Final = 0.8
"""Fraction of the tolerance that an edge may take, with what the surface under it rises: the middle of a triangle lies
up to a third deeper."""


def split_long_edges(fill: SmoothFill, mesh: StripMesh, at: Floats) -> StripMesh:
    """Flip inner edges of smooth tops, or split them at their middles, until they keep the tolerance.

    Parameters:
        fill: the fill that the mesh is from.
        mesh: its triangles.
        at: (vertices, 3) u, v, h of all that they number, those of the mesh last, in one piece within each cell.
    Returns: the mesh with more vertices at its end.
    """
    a, b, c = mesh.faces.T
    real = (a != b) & (b != c) & (a != c)
    whole = StripMesh(at, mesh.faces[real], mesh.cell[real])
    done = flip_and_split(_SmoothTop(fill), whole, fill.tiling.length, np.arange(len(whole.faces)))
    return StripMesh(done.positions[len(at) - len(mesh.positions) :], done.faces, done.cell)


@dataclass(frozen=True, eq=False)
class _SmoothTop:
    """Smooth tops, as `SurfaceUnderEdges`."""

    fill: SmoothFill

    @cached_property
    def _longest(self) -> Floats:
        """(cells,) longest edges on the strip that are not measured, mm."""
        fill, loops = self.fill, self.fill.loops
        along, across = (np.minimum.reduceat(each, fill.tiling.cell_start[:-1]) for each in (loops.along, loops.across))
        return np.asarray(LONG_EDGE * fill.limit / np.minimum(along, across))

    @property
    def limit_mm(self) -> float:
        """How far an edge may be off."""
        return MAX_DEVIATION * self.fill.chord_mm

    def likely(self, at: Floats, start: Ints, end: Ints, cell: Ints) -> Bools:
        """(k,) which lines are long enough to be measured."""
        step = at[end, :2] - at[start, :2]
        return np.asarray(np.hypot(step[:, 0], step[:, 1]) > self._longest[cell])

    def may_flip(self, mesh: StripMesh, edges: EdgesOff) -> Bools:
        """All: walls are no part of the mesh."""
        return np.ones(len(edges.one), dtype=bool)

    def over(self, at: Floats, start: Ints, end: Ints, cell: Ints) -> tuple[Floats, Floats]:
        """(k, 3) the top over the middles of lines between vertices, and (k,) how far these lie from it, with the rise
        of the surface under them, mm."""
        loops, step, middle = self.fill.loops, at[end, :2] - at[start, :2], 0.5 * (at[start] + at[end])
        true = loops.height[cell, -1] + loops.rise[cell] * self.fill.tops.height(middle[:, :2], cell)
        off = np.abs(true - middle[:, 2]) + loops.forms.sagitta(cell, step, true)
        middle[:, 2] = true
        return middle, off
