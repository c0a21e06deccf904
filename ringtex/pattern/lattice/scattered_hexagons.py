"""Hexagons with scatter: Voronoi cells of the lattice's sites, each moved at random.

The cells are grown in a plane where the lattice is regular, so that stretched hexagons go over into scattered ones
without a jump. The map to it keeps the borders and the turn: (u, v) -> (a u + b v, c v).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.pattern.cellular.short_walls import SHORT_WALL_FRACTION, close_short_walls
from ringtex.pattern.cellular.sites import random_disc, wrap_sites
from ringtex.pattern.cellular.voronoi_cells import voronoi_tiling
from ringtex.pattern.lattice.lattice import Lattice, lattice_tiling
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.quantisation import rounded, with_vertices
from ringtex.pattern.tiling import Tiling

MAX_MOVE: Final = 0.5
"""Farthest move at scatter 1, in pitches: neighbours can just meet, and the rows are no longer to be seen."""


def scattered_hexagons(part: PatternedPart, lattice: Lattice, scatter: float, seed: int) -> tuple[Tiling, Floats]:
    """Voronoi cells of the lattice's centroids, each moved at random by at most scatter x 0.5 pitches.

    Parameters:
        part: the rectangle between the rails.
        lattice: of hexagons.
        scatter: 0 to 1.
        seed: of the random moves.
    Returns: the tiling, and the (c, 2) sites on the strip, mm.
    """
    plane = RegularPlane(part, lattice)
    sites = plane.scattered_sites(scatter, seed)
    return plane.cells(sites), plane.on_strip(sites)


class RegularPlane:
    """The plane in which a lattice of hexagons is regular, and the way there and back."""

    def __init__(self, part: PatternedPart, lattice: Lattice) -> None:
        upright = _to_regular(lattice)
        self.strip_part, self.lattice = part, lattice
        self._ahead = Shear(float(upright[0, 0]), float(upright[0, 1]), float(upright[1, 1]))
        self.part = PatternedPart(self._ahead.a * part.length, self._ahead.c * part.lower, self._ahead.c * part.upper)

    def scattered_sites(self, scatter: float, seed: int) -> Floats:
        """(c, 2) centroids of the lattice's cells, moved at random; in this plane."""
        sites = self._ahead.apply(lattice_tiling(self.strip_part, self.lattice).centroids)
        sites = sites + scatter * MAX_MOVE * self.lattice.pitch * random_disc(len(sites), seed)
        return _inside(self.part, sites, 0.1 * self.lattice.pitch)

    def cells(self, sites: Floats) -> Tiling:
        """The strip's tiling by the cells of sites in this plane."""
        tiling = close_short_walls(voronoi_tiling(self.part, sites), SHORT_WALL_FRACTION)
        return rounded(self._ahead.undo(tiling, self.strip_part))

    def on_strip(self, sites: Floats) -> Floats:
        """Places of this plane on the strip."""
        return wrap_sites(self.strip_part, self._ahead.undo_places(sites))

    def from_strip(self, sites: Floats) -> Floats:
        """Places of the strip in this plane."""
        return wrap_sites(self.part, self._ahead.apply(sites))


def _inside(part: PatternedPart, sites: Floats, border: float) -> Floats:
    sites[:, 1] = np.clip(sites[:, 1], part.lower + border, part.upper - border)
    return wrap_sites(part, sites)


def _to_regular(lattice: Lattice) -> Floats:
    """Upper triangular (2, 2): makes the lattice regular, keeping the pitch and the direction of the strip."""
    along = np.array(lattice.along) / lattice.pitch
    square = np.array(lattice.square) / lattice.row_pitch
    assert lattice.form.regular is not None
    taller = lattice.form.regular * lattice.pitch / lattice.row_pitch
    stretch = np.outer(along, along) + taller**2 * np.outer(square, square)
    return np.asarray(np.linalg.cholesky(stretch).T, dtype=np.float64)


class Shear:
    """(u, v) -> (a u + b v, c v)."""

    def __init__(self, a: float, b: float, c: float) -> None:
        self.a, self.b, self.c = a, b, c

    def apply(self, places: Floats) -> Floats:
        """Places (n, 2) sheared."""
        return np.column_stack([self.a * places[:, 0] + self.b * places[:, 1], self.c * places[:, 1]])

    def undo_places(self, places: Floats) -> Floats:
        """Sheared places (n, 2) as they were."""
        v = places[:, 1] / self.c
        return np.column_stack([(places[:, 0] - self.b * v) / self.a, v])

    def undo(self, tiling: Tiling, part: PatternedPart) -> Tiling:
        """The tiling on the part, its border vertices exactly on the part's borders."""
        u, v = self.undo_places(tiling.vertices).T
        v = np.clip(v, part.lower, part.upper)
        v[tiling.vertices[:, 1] == tiling.lower] = part.lower
        v[tiling.vertices[:, 1] == tiling.upper] = part.upper
        moved = replace(tiling, length=part.length, lower=part.lower, upper=part.upper)
        return with_vertices(moved, np.column_stack([u, v]))
