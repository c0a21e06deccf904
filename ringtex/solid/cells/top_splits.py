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
from ringtex.solid.mesh.edge_splits import MIDDLE, EdgesOff, flip_and_split
from ringtex.solid.mesh.strip_triangulation import StripMesh

LONG_EDGE: Final = 0.45
"""Only edges of more than this fraction of their cell's longest are measured."""

MAX_DEVIATION: Final = 0.75
"""Fraction of the tolerance that an edge or the middle of a triangle may take, with what the surface under it rises."""


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

    def deep(self, at: Floats, faces: Ints, cell: Ints, over_edges: Floats, known: Bools) -> Bools:
        """(k,) which triangles lie too deep at their middles. Along its outline a top is bent unevenly, and the outline
        itself is not measured: there the top is looked at."""
        off = over_edges.copy()
        outer = np.flatnonzero(~known)
        corners, cell = at[faces[outer]], cell[outer]
        middle = corners.mean(axis=1)
        true = self._top(middle, cell)
        sides = (corners - np.roll(corners, 1, axis=1))[..., :2]
        rise = sum(self.fill.loops.forms.sagitta(cell, side, true) for side in np.moveaxis(sides, 1, 0))
        off[outer] = np.abs(true - middle[:, 2]) + MIDDLE * rise
        return np.asarray(off > self.limit_mm)

    def over(self, at: Floats, start: Ints, end: Ints, cell: Ints) -> tuple[Floats, Floats]:
        """(k, 3) the top over the middles of lines between vertices, and (k,) how far these lie from it, with the rise
        of the surface under them, mm."""
        step, middle = at[end, :2] - at[start, :2], 0.5 * (at[start] + at[end])
        true = self._top(middle, cell)
        off = np.abs(true - middle[:, 2]) + self.fill.loops.forms.sagitta(cell, step, true)
        middle[:, 2] = true
        return middle, off

    def _top(self, places: Floats, cell: Ints) -> Floats:
        """(k,) heights of the tops at places (k, 2 or 3) on the strip, mm."""
        loops = self.fill.loops
        return np.asarray(loops.height[cell, -1] + loops.rise[cell] * self.fill.tops.height(places[:, :2], cell))
