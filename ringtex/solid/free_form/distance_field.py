"""Distance of many points to the outlines of polygons."""

from __future__ import annotations

import copy
from typing import Any, Final

import numpy as np
import shapely
from scipy.spatial import cKDTree

from ringtex.basics.arrays import Bools, Floats, Longs, nearest_ratio

MIN_PIECE_MM, MAX_PIECE_MM = 0.01, 0.06
"""Longest piece of an outline that one sample stands for: about as long as the outline's own sides are."""

NEAREST: Final = 8
"""Samples that are looked at for a point; where they cannot decide a search tree of the sides does."""

DOUBT_MM: Final = 3e-4
"""Error of a distance that is let pass: a sixteenth of the final chord tolerance."""


class DistanceField:
    """Distance of points on the strip to the nearest outline, mm on the strip: positive inside, negative outside.

    The sides of the nearest samples are measured. The least of these distances is the true one where it is smaller than
    that to the furthest of the samples by half a piece: sides of other samples lie beyond. The few other points ask a
    search tree of all sides. Distances over `limit_mm` may be too large.
    """

    def __init__(self, shapes: Any, limit_mm: float = np.inf, sides: tuple[Floats, Floats] | None = None) -> None:
        """Prepare the search.

        Parameters:
            shapes: polygons.
            limit_mm: distances over it may be too large.
            sides: (n, 2), (n, 2) both ends of every side of the outlines; None: those of the polygons.
        """
        self.shapes, self._limit = shapes, limit_mm
        self._start, self._end = segments_of(shapes) if sides is None else sides
        length = np.hypot(*(self._end - self._start).T)
        piece = float(np.clip(np.median(length), MIN_PIECE_MM, MAX_PIECE_MM)) if len(length) else MAX_PIECE_MM
        pieces = np.maximum(np.ceil(length / piece), 1).astype(np.int64)
        self._side = np.repeat(np.arange(len(length)), pieces)
        number = np.arange(len(self._side)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
        share = ((number + 0.5) / pieces[self._side])[:, None]
        start = self._start[self._side]
        self._samples = cKDTree(start + share * (self._end[self._side] - start)) if len(start) else None
        self._half = 0.5 * float(np.max(length / pieces, initial=0.0))
        self._tree: Any = None
        shapely.prepare(shapes)

    def within(self, limit_mm: float) -> DistanceField:
        """The same field, whose distances over another limit may be too large."""
        found = copy.copy(self)
        found._limit = limit_mm
        return found

    def inside(self, places: Floats) -> Bools:
        """(n,) strictly inside a shape."""
        return np.asarray(shapely.contains_xy(self.shapes, places[:, 0], places[:, 1]))

    def signed(self, places: Floats) -> Floats:
        """(n,) mm."""
        found = self.unsigned(places)
        return np.where(self.inside(places), found, -found)

    def unsigned(self, places: Floats) -> Floats:
        """(n,) mm, positive on both sides; infinite without any outline."""
        if not len(places) or self._samples is None:
            return np.full(len(places), np.inf)
        count = min(NEAREST, self._samples.n)
        away, near = self._samples.query(places, k=np.arange(1, count + 1))
        found = np.min([self._to_side(places, self._side[near[:, i]]) for i in range(count)], axis=0)
        if count < self._samples.n:
            least = away[:, -1] - self._half
            unsure = np.flatnonzero((found - DOUBT_MM > least) & (least < self._limit))
            found[unsure] = self._by_tree(places[unsure])
        return np.asarray(found)

    def feet(self, places: Floats) -> Floats:
        """(n, 2) the nearest place of the outlines to each, as far as the nearest samples tell, mm."""
        if not len(places) or self._samples is None:
            return places.copy()
        _, near = self._samples.query(places, k=np.arange(1, min(NEAREST, self._samples.n) + 1))
        found, least = places.copy(), np.full(len(places), np.inf)
        for side in self._side[near].T:
            foot = self._on_side(places, side)
            away = np.hypot(*(places - foot).T)
            found = np.where((away < least)[:, None], foot, found)
            least = np.minimum(away, least)
        return found

    def _on_side(self, places: Floats, side: Longs) -> Floats:
        start, edge = self._start[side], self._end[side] - self._start[side]
        return np.asarray(start + nearest_ratio(places - start, edge)[:, None] * edge)

    def _to_side(self, places: Floats, side: Longs) -> Floats:
        edge = self._end[side] - self._start[side]
        away = places - self._start[side]
        return np.asarray(np.hypot(*(away - nearest_ratio(away, edge)[:, None] * edge).T))

    def _by_tree(self, places: Floats) -> Floats:
        if not len(places):
            return np.zeros(0)
        if self._tree is None:
            self._tree = shapely.STRtree(shapely.linestrings(np.stack((self._start, self._end), axis=1)))
        _, distance = self._tree.query_nearest(shapely.points(places), return_distance=True, all_matches=False)
        return np.asarray(distance)


def segments_of(shapes: Any) -> tuple[Floats, Floats]:
    """(n, 2), (n, 2) both ends of every side of polygons."""
    return line_segments(shapely.get_rings(shapely.get_parts(np.atleast_1d(shapes))))


def line_segments(lines: Any) -> tuple[Floats, Floats]:
    """(n, 2), (n, 2) both ends of every segment of lines."""
    points, ring = shapely.get_coordinates(lines, return_index=True)
    same = ring[1:] == ring[:-1]
    return points[:-1][same], points[1:][same]
