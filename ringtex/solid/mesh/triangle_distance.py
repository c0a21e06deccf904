"""The least distance between many points and many triangles, and where it is.

libigl's bounding-volume tree is 8 to 30 times as fast for many points, but its wheel holds GPL and AGPL modules, and
trimesh's search needs a further package; the least distance alone needs few exact measures.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs, crosses, dots, lengths

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

SIZES: Final = 8
"""Samples are sorted into so many classes, each with twice the reach of the one before, so that those of a few large
triangles do not make every search wide."""

PIECE_MM: Final = 0.5
"""A longer side has samples on it, so far apart: the ends of a needle of 16 mm say little about its middle (a flat band
with ribs: 19 s for 6,480 triangles and 38,000 points, now 0.4)."""

MAX_PIECES: Final = 64
"""Pieces of one side: as long as the widest band."""

FIRST: Final = 1000
"""Pairs that are measured first, those whose bounds are least: what they find puts most others aside."""

BOUND_SHARE: Final = 16
"""One sample of so many is looked at for a first bound."""

LEAF_POINTS: Final = 32
"""Points in a leaf of a tree."""

ROUNDING_MM: Final = 1e-12
"""Bounds that lie so little over the least distance are rounding's."""

PAIRS_AT_ONCE: Final = 400_000
"""Pairs of point and triangle worked on at a time: some 200 MB would be ten times as many."""


class _Samples(NamedTuple):
    """Places (s, 3) on triangles, mm; reach (s,), the largest of the triangles round each; owner (s,), the vertex that
    it is, or ~ the number of the one triangle on whose side it lies."""

    place: Floats
    reach: Floats
    owner: Longs

    def chosen(self, which: Longs | Bools) -> _Samples:
        return _Samples(self.place[which], self.reach[which], self.owner[which])


@dataclass(frozen=True, eq=False)
class SampledTriangles:
    """Triangles (k, 3) of vertices (n, 3), mm, with samples on them: corners, and places along long sides. For several
    searches among the same triangles.

    A place lies square to the side of a triangle that its nearest point is on, or square to the triangle. So, by
    Pythagoras, a sample on the same side (anywhere in the triangle if the nearest point is inside it) is at most
    hypot(distance, reach) from the place, where reach is how far that point can be from the sample: hardly more than
    the distance, where a sphere round the triangle would have to be looked for within distance + radius.
    """

    vertices: Floats
    faces: Ints | Longs

    @classmethod
    def of(cls, corners: Floats) -> SampledTriangles:
        """Triangles (k, 3, 3) that share no vertices."""
        return cls(corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3))

    @cached_property
    def _sides(self) -> tuple[Longs, Floats]:
        """(3, k) pieces of the sides that start at the three corners, and (k,) the reach: how far a point of a triangle
        may be from the nearest sample on its side, or in the triangle."""
        rows = np.ascontiguousarray(self.vertices.T)
        a, b, c = (rows[:, self.faces[:, corner]] for corner in range(3))
        first, second, third = b - a, c - b, a - c
        length = np.sqrt(np.stack([dots(each, each) for each in (first, second, third)]))
        normal = crosses(first, second)
        longest = np.max(length, axis=0)
        height = lengths(normal) / np.maximum(longest, 1e-300)
        pieces = np.clip(np.ceil(length / PIECE_MM), 1, MAX_PIECES).astype(np.int64)
        half = 0.5 * np.max(length / pieces, axis=0)
        # A point inside is within the height from the longest side. None is further than this from all corners (Jung).
        return pieces, np.maximum(half, np.minimum(longest / np.sqrt(3.0), np.hypot(half, height)))

    @cached_property
    def samples(self) -> _Samples:
        """Corners, and the places that divide long sides."""
        pieces, reach = self._sides
        of_vertex = np.full(len(self.vertices), -1.0)
        for corner in range(3):
            np.maximum.at(of_vertex, self.faces[:, corner], reach)
        used = np.flatnonzero(of_vertex >= 0.0)
        parts = [_Samples(self.vertices[used], of_vertex[used], used)]
        for corner in range(3):
            long = np.flatnonzero(pieces[corner] > 1)
            inner = pieces[corner, long] - 1
            face = np.repeat(long, inner)
            number = 1 + np.arange(len(face)) - np.repeat(np.cumsum(inner) - inner, inner)
            start, end = (self.vertices[self.faces[face, (corner + step) % 3]] for step in (0, 1))
            place = start + (number / pieces[corner, face])[:, None] * (end - start)
            parts.append(_Samples(place, reach[face], ~face))
        return _Samples(*(np.concatenate(column) for column in zip(*parts, strict=True)))

    def pairs(self, owner: Longs, squared: Floats, limit_mm: float) -> tuple[Longs, Longs, Floats]:
        """The triangles round samples, as far as they may be nearer to a place than a limit.

        Parameters:
            owner: (n,) of the samples.
            squared: (n,) squared distance of each from its place, mm2.
            limit_mm: the limit.
        Returns: (m,) numbers of samples, (m,) a triangle for each, and (m,) lower bounds of its squared distance, mm2.
        """
        at_vertex = np.flatnonzero(owner >= 0)
        on_side = np.flatnonzero(owner < 0)
        asked = np.zeros(len(self.vertices), dtype=bool)
        asked[owner[at_vertex]] = True
        # Few triangles are round samples that were found: only those are sorted by their vertices.
        near = np.flatnonzero(np.any([asked[self.faces[:, corner]] for corner in range(3)], axis=0))
        vertex = self.faces[near].ravel().astype(np.int64)
        order = np.argsort(vertex, kind="stable")
        vertex, face = vertex[order], near[order // 3]
        first, last = (np.searchsorted(vertex, owner[at_vertex], side) for side in ("left", "right"))
        count = last - first
        sample = np.repeat(at_vertex, count)
        around = face[np.arange(len(sample)) - np.repeat(np.cumsum(count) - count - first, count)]
        sample, triangle = np.concatenate((sample, on_side)), np.concatenate((around, ~owner[on_side]))
        bound = squared[sample] - np.square(self._sides[1][triangle])
        close = bound < limit_mm * limit_mm
        return sample[close], triangle[close], bound[close]


def least_distance(points: Floats, triangles: Floats | SampledTriangles) -> tuple[float, Floats]:
    """The least distance from points (p, 3) to triangles (k, 3, 3), mm, and the point that is so near.

    Exact; at least one of each must be given. Only triangles with a sample near a point are measured. Source of the
    distance to one triangle: Ericson 2005, Real-Time Collision Detection, 5.1.5.
    """
    searched = triangles if isinstance(triangles, SampledTriangles) else SampledTriangles.of(triangles)
    samples = searched.samples
    tree = _tree(points)
    # No triangle is as near as this but for those with a sample within a reach of it.
    limit = float(np.min(tree.query(samples.place[::BOUND_SHARE])[0])) + ROUNDING_MM
    samples = samples.chosen(_within(samples, points, limit))
    # Samples of about one reach at a time, so that a few far-reaching ones do not make every search wide.
    size = np.minimum(np.log2(np.max(samples.reach) / np.maximum(samples.reach, 1e-12)).astype(np.int64), SIZES - 1)
    least, at = np.inf, 0
    for each in np.unique(size)[::-1]:
        some = samples.chosen(size == each)
        point, sample, squared = _close_pairs(tree, some, limit)
        if not len(point):
            continue
        limit = min(limit, float(np.sqrt(np.min(squared))) + ROUNDING_MM)
        pair, triangle, bound = searched.pairs(some.owner[sample], squared, limit)
        for part in _smallest_first(bound):
            part = part[bound[part] < limit * limit]
            if len(part) == 0:
                continue
            places = point[pair[part]]
            exact = squared_distances(points[places], searched.vertices[searched.faces[triangle[part]]])
            best = int(np.argmin(exact))
            if float(exact[best]) < least**2:
                least, at = float(np.sqrt(exact[best])), int(places[best])
                limit = min(limit, least + ROUNDING_MM)
    return least, points[at]


def _tree(points: Floats) -> cKDTree:
    from scipy.spatial import cKDTree

    return cKDTree(points, leafsize=LEAF_POINTS, compact_nodes=False, balanced_tree=False)


def _within(samples: _Samples, points: Floats, limit_mm: float) -> Bools:
    """(s,) samples of triangles that may be nearer to any of the points (p, 3) than a limit, by a sphere round them."""
    middle = points.mean(axis=0)
    extent = float(np.max(np.linalg.norm(points - middle, axis=1)))
    away = np.ascontiguousarray((samples.place - middle).T)
    return np.asarray(lengths(away) <= extent + np.hypot(limit_mm, samples.reach) + ROUNDING_MM)


def _close_pairs(tree: cKDTree, samples: _Samples, limit_mm: float) -> tuple[Longs, Longs, Floats]:
    """Pairs of a tree's points and samples whose triangles may be nearer than a limit: (n,) each, and their squared
    distances."""
    largest = float(np.hypot(limit_mm, np.max(samples.reach)))
    found = tree.sparse_distance_matrix(_tree(samples.place), largest, output_type="ndarray")
    squared = np.square(found["v"])
    close = squared - np.square(samples.reach[found["j"]]) < limit_mm * limit_mm
    return found["i"][close], found["j"][close], squared[close]


def _smallest_first(bound: Floats) -> tuple[Longs, Longs]:
    """The numbers of the FIRST smallest, and of the others."""
    if len(bound) <= FIRST:
        return np.arange(len(bound)), np.zeros(0, np.int64)
    order = np.argpartition(bound, FIRST)
    return order[:FIRST], order[FIRST:]


def squared_distances(p: Floats, corners: Floats) -> Floats:
    """(n,) squared distance of point i (n, 3) from triangle i (n, 3, 3), mm2."""
    return squared_by_rows(np.ascontiguousarray(p.T), *np.ascontiguousarray(np.moveaxis(corners, 0, 2)))


def squared_by_rows(p: Floats, a: Floats, b: Floats, c: Floats) -> Floats:
    """As `squared_distances`, of points and corners (3, n), one row a coordinate.

    Parameters:
        p: the points, mm.
        a, b, c: the corners, mm.
    Returns: (n,) mm2.
    """
    normal = crosses(b - a, c - a)
    size = dots(normal, normal)
    over = dots(p - a, normal)
    # The three sides one behind the other.
    start = np.concatenate((a, b, c), axis=1)
    run = np.concatenate((b, c, a), axis=1) - start
    away = np.concatenate((p, p, p), axis=1) - start
    left_of = dots(crosses(run, away), np.concatenate((normal, normal, normal), axis=1)).reshape(3, -1) >= 0.0
    ratio = dots(away, run) / np.maximum(dots(run, run), 1e-300)
    away -= np.minimum(np.maximum(ratio, 0.0), 1.0) * run
    edges = np.min(dots(away, away).reshape(3, -1), axis=0)
    inside = (size > 0.0) & np.all(left_of, axis=0)
    return np.where(inside, over * over / np.where(size > 0.0, size, 1.0), edges)
