"""Outlines moved by a distance that varies along them."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, Final

import numpy as np
import shapely

from ringtex.basics.arrays import Floats, Longs, inverse_permutation, next_in_loops
from ringtex.basics.polygon_rings import ring_points

Distance = Callable[[Floats], Floats]
"""From (n, 2) positions on the strip to (n,) distances there, mm on the strip."""

MITRE: Final = 2.0
"""Longest mitre, in distances: corners sharper than 60 degrees become round."""

SAME_MM: Final = 1e-6
"""Neighbouring points nearer than this are one."""


class VariedOutlines:
    """The outlines of areas, ready to be moved.

    Each side sweeps a quadrilateral, each corner that opens a sector; what is swept is added to the areas or taken from
    them by their winding numbers in one sweep (Clipper2, in manifold3d), so that no pieces are joined one by one.
    """

    def __init__(self, areas: Any) -> None:
        """Prepare the outlines.

        Parameters:
            areas: (k,) shapely polygons that do not overlap.
        """
        rings = shapely.get_rings(shapely.orient_polygons(shapely.remove_repeated_points(areas, SAME_MM)))
        self.points, self._start = ring_points(rings)
        self._before, self._outward = np.zeros(0, dtype=np.int64), np.zeros((0, 2))
        if not len(self.points):
            return
        following = next_in_loops(self._start)
        self._before = inverse_permutation(following)
        along = self.points[following] - self.points
        length = np.hypot(*along.T)
        along /= np.maximum(length, 1e-300)[:, None]
        self._shorter = np.minimum(length, length[self._before])
        self._outward = np.column_stack((along[:, 1], -along[:, 0]))
        arriving = along[self._before]
        self._turn = np.arctan2(
            arriving[:, 0] * along[:, 1] - arriving[:, 1] * along[:, 0], np.sum(arriving * along, axis=1)
        )

    @property
    def outward(self) -> tuple[Floats, Floats]:
        """(points, 2) unit directions out of the areas from the sides that end at each point, and that begin there."""
        return self._outward[self._before], self._outward

    def moved(self, away: Floats, quadrant: int, mitred: bool = False) -> Any:
        """The areas with their outlines moved.

        Parameters:
            away: (points,) how far outwards at each of `points`, below 0 inwards; of one sign, mm.
            quadrant: pieces of a quarter circle round corners that open.
            mitred: such corners stay sharp.
        Returns: (n,) polygons.
        """
        import manifold3d

        if not len(self.points):
            return np.zeros(0, dtype=object)
        curve, start = self._swept(away, quadrant, mitred)
        contours = np.split(curve, start[1:-1])
        return _polygons(manifold3d.CrossSection(contours, manifold3d.FillRule.Positive))

    def _swept(self, away: Floats, quadrant: int, mitred: bool) -> tuple[Floats, Longs]:
        """The moved sides in order, with what joins them: round a corner that opens an arc, at one that closes
        the corner itself, which makes the winding numbers right whatever the lengths; where it turns little, where it
        closes between sides that are long enough, and where it stays sharp, the mitre's tip."""
        turn = np.abs(self._turn)
        step = 0.5 * math.pi / quadrant
        opens = self._turn * away > 0.0
        tip = np.where(
            opens,
            turn < (2.0 * math.acos(1.0 / MITRE) if mitred else 0.5 * step),
            (np.abs(away) * np.tan(0.5 * np.minimum(turn, 3.0)) < 0.5 * self._shorter),
        )
        pieces = np.where(tip, 0, np.where(opens, np.ceil(turn / step - 1e-9), 2.0)).astype(np.int64)
        begin = np.cumsum(pieces + 1) - (pieces + 1)
        corner = np.repeat(np.arange(len(pieces)), pieces + 1)
        number = np.arange(len(corner)) - begin[corner]
        ratio = np.where(tip[corner], 0.5, number / np.maximum(pieces[corner], 1))
        angle, first = self._turn[corner] * ratio, self._outward[self._before][corner]
        cosine, sine = np.cos(angle), np.sin(angle)
        length = np.where(tip, away / np.cos(0.5 * self._turn * tip), away)[corner]
        length[~opens[corner] & ~tip[corner] & (number == 1)] = 0.0
        curve = self.points[corner] + length[:, None] * np.column_stack(
            (cosine * first[:, 0] - sine * first[:, 1], sine * first[:, 0] + cosine * first[:, 1])
        )
        return curve, np.append(begin, len(corner))[self._start]


def offset_areas(areas: Any, distance: Distance, quadrant: int, mitred: bool = False) -> Any:
    """Areas grown, or shrunk, by a distance that varies along their outlines.

    Parameters:
        areas: (k,) polygons that do not overlap.
        distance: outwards at positions on the outlines, below 0 inwards; of one sign.
        quadrant: pieces of a quarter circle round corners that open.
        mitred: such corners stay sharp.
    Returns: (n,) polygons.
    """
    outlines = VariedOutlines(areas)
    return outlines.moved(distance(outlines.points), quadrant, mitred)


def _polygons(section: Any) -> Any:
    """(n,) shapely polygons of a section of disjoint pieces."""
    made = []
    for piece in section.decompose():
        rings = [shapely.linearrings(ring) for ring in piece.to_polygons()]
        is_shell = [bool(shapely.is_ccw(ring)) for ring in rings]
        if any(is_shell):
            holes = [ring for ring, shell in zip(rings, is_shell, strict=True) if not shell]
            made.append(shapely.polygons(rings[is_shell.index(True)], holes or None))
    return np.array(made, dtype=object)
