"""The least distance between many points and many triangles, and where it is.

libigl's bounding-volume tree is 8 to 30 times as fast for many points, but its wheel holds GPL and AGPL modules, and
trimesh's search needs a further package; the least distance alone needs few exact measures.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

import numpy as np

from ringtex.basics.arrays import Floats, Longs, crosses, dots

SIZES: Final = 8
"""Triangles are sorted into so many classes, each twice as large as the one before, so that a few long ones do not make
every search wide."""

PIECE_MM: Final = 0.5
"""A longer triangle is held by several spheres along its longest side, so long or twice as long as it is high: one
round a needle of 16 mm is near every second point of a ring (a flat band with ribs: 19 s for 6,480 triangles and 38,000
points, now 0.4)."""

MAX_PIECES: Final = 64
"""Spheres of one triangle: as long as the widest band."""

FIRST: Final = 1000
"""Pairs that are measured first, those whose bounds are least: what they find puts most others aside."""

BOUND_SHARE, BOUND_POINTS = 32, 4
"""One triangle of so many is measured to so many points near its sphere's middle, for a first bound: with that of its
corner alone, 0.7 mm of even metal began at 1.0, and 4 million pairs were measured."""

ROUNDING_MM: Final = 1e-12
"""Bounds that lie so little over the least distance are rounding's."""

PAIRS_AT_ONCE: Final = 400_000
"""Pairs of point and triangle worked on at a time: some 200 MB would be ten times as many."""


@dataclass(frozen=True, eq=False)
class TriangleSpheres:
    """Triangles (k, 3, 3), mm, each with a sphere (k, 3), (k,) that holds it: about the middle of its longest side or
    of its corners. Long ones stand there several times, each time with a sphere that holds a piece of it. For several
    searches among the same triangles."""

    corners: Floats
    centre: Floats
    radius: Floats

    @classmethod
    def of(cls, corners: Floats) -> TriangleSpheres:
        """Spheres round triangles (k, 3, 3)."""
        sides = corners[:, [1, 2, 0]] - corners
        longest = np.argmax(np.einsum("kci,kci->kc", sides, sides), axis=1)
        row = np.arange(len(corners))
        choices = np.stack((corners.mean(axis=1), corners[row, longest] + 0.5 * sides[row, longest]))
        off = corners - choices[:, :, None]
        squared = np.max(np.einsum("skci,skci->skc", off, off), axis=2)
        smaller = np.argmin(squared, axis=0)
        return cls(*_in_pieces(corners, longest, choices[smaller, row], np.sqrt(squared[smaller, row])))

    @cached_property
    def _planes(self) -> tuple[Floats, Floats]:
        """(k, 3) unit normals and (k,) distances from the origin along them."""
        normal = np.cross(self.corners[:, 1] - self.corners[:, 0], self.corners[:, 2] - self.corners[:, 0])
        normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
        return normal, np.einsum("ij,ij->i", normal, self.centre)

    def within_reach(self, points: Floats) -> TriangleSpheres:
        """Those that can be nearest to any of the points (p, 3), by a sphere round all points."""
        middle = points.mean(axis=0)
        extent = float(np.max(np.linalg.norm(points - middle, axis=1)))
        away = np.linalg.norm(self.centre - middle, axis=1)
        # No point is further than this from the triangle with the nearest centre.
        bound = extent + float(np.min(away))
        near = away <= extent + bound + self.radius
        if np.all(near):
            return self
        return TriangleSpheres(self.corners[near], self.centre[near], self.radius[near])

    def bounds(self, points: Floats, triangles: Longs, away: Floats, least_mm: float) -> tuple[Longs, Floats]:
        """Pairs that may be nearer than a distance, and lower bounds of theirs.

        A triangle lies on a disc in its plane, and beyond the plane square to the line from the point to its centre
        through its nearest corner along that line.

        Parameters:
            points: (n, 3) one of each pair, mm.
            triangles: (n,) its triangle.
            away: (n,) distance of the point from the centre, mm.
            least_mm: the distance.
        Returns: (m,) indices of the pairs, and (m,) bounds, mm.
        """
        normal, level = self._planes
        over = np.einsum("ij,ij->i", normal[triangles], points) - level[triangles]
        beside = np.sqrt(np.maximum(away * away - over * over, 0.0)) - self.radius[triangles]
        limit = least_mm + ROUNDING_MM
        pairs = np.flatnonzero(over * over + np.square(np.maximum(beside, 0.0)) < limit * limit)
        towards = (self.centre[triangles[pairs]] - points[pairs]) / np.maximum(away[pairs], 1e-300)[:, None]
        along = np.einsum("nci,ni->nc", self.corners[triangles[pairs]], towards)
        bound = np.min(along, axis=1) - np.einsum("ni,ni->n", points[pairs], towards)
        near = bound < limit
        return pairs[near], bound[near]


def _in_pieces(corners: Floats, longest: Longs, centre: Floats, radius: Floats) -> tuple[Floats, Floats, Floats]:
    """Triangles with their spheres, the long ones several times, each time with a sphere round a piece.

    Every point of a triangle lies over its longest side, and no further from it than its height.

    Parameters:
        corners: (k, 3, 3) of the triangles.
        longest: (k,) the corner where the longest side starts.
        centre, radius: (k, 3), (k,) one sphere round each.
    Returns: the same of all pieces.
    """
    row = np.arange(len(corners))
    start = corners[row, longest]
    side = corners[row, (longest + 1) % 3] - start
    length = np.linalg.norm(side, axis=1)
    away = corners[row, (longest + 2) % 3] - start
    height = np.linalg.norm(np.cross(side, away), axis=1) / np.maximum(length, 1e-300)
    count = np.clip(np.ceil(length / np.maximum(PIECE_MM, 2.0 * height)), 1, MAX_PIECES).astype(np.int64)
    long = np.flatnonzero(count > 1)
    if not len(long):
        return corners, centre, radius
    owner = np.repeat(long, count[long])
    number = np.arange(len(owner)) - np.repeat(np.cumsum(count[long]) - count[long], count[long])
    share = (number + 0.5) / count[owner]
    middle = start[owner] + share[:, None] * side[owner]
    extent = np.hypot(0.5 * length[owner] / count[owner], height[owner])
    kept = np.flatnonzero(count == 1)
    return (
        np.concatenate((corners[kept], corners[owner])),
        np.concatenate((centre[kept], middle)),
        np.concatenate((radius[kept], extent)),
    )


def least_distance(points: Floats, triangles: Floats | TriangleSpheres) -> tuple[float, Floats]:
    """The least distance from points (p, 3) to triangles (k, 3, 3), mm, and the point that is so near.

    Exact; at least one of each must be given. A triangle is near a point only where its sphere is. Source of the
    distance to one triangle: Ericson 2005, Real-Time Collision Detection, 5.1.5.
    """
    from scipy.spatial import cKDTree

    spheres = triangles if isinstance(triangles, TriangleSpheres) else TriangleSpheres.of(triangles)
    spheres = spheres.within_reach(points)
    centre, radius = spheres.centre, spheres.radius
    tree = cKDTree(points)
    least, at = _first_bound(points, tree, spheres)
    # Triangles of about one size at a time, so that a few long ones do not make every search wide.
    size = np.minimum(np.log2(np.max(radius) / np.maximum(radius, 1e-12)).astype(np.int64), SIZES - 1)
    for each in np.unique(size)[::-1]:
        chosen = np.flatnonzero(size == each)
        near = tree.sparse_distance_matrix(
            cKDTree(centre[chosen]), least + float(np.max(radius[chosen])), output_type="ndarray"
        )
        near = near[near["v"] <= least + radius[chosen[near["j"]]]]
        point, triangle = near["i"], chosen[near["j"]]
        pairs, bound = spheres.bounds(points[point], triangle, near["v"], least)
        for part in _smallest_first(bound):
            some = pairs[part[bound[part] < least]]
            if len(some) == 0:
                continue
            squared = squared_distances(points[point[some]], spheres.corners[triangle[some]])
            best = int(np.argmin(squared))
            if float(squared[best]) < least**2:
                least, at = float(np.sqrt(squared[best])), int(point[some[best]])
    return least, points[at]


def _first_bound(points: Floats, tree: Any, spheres: TriangleSpheres) -> tuple[float, int]:
    """A distance that is not under the least, and the point that is so near to some triangle; tree is of the points."""
    corners = spheres.corners[::BOUND_SHARE]
    nearest = np.reshape(
        tree.query(spheres.centre[::BOUND_SHARE], min(BOUND_POINTS, len(points)))[1], (len(corners), -1)
    )
    squared = squared_distances(points[nearest.ravel()], np.repeat(corners, nearest.shape[1], axis=0))
    best = int(np.argmin(squared))
    return float(np.sqrt(squared[best])), int(nearest.ravel()[best])


def _smallest_first(bound: Floats) -> tuple[Longs, Longs]:
    """The numbers of the FIRST smallest, and of the others."""
    if len(bound) <= FIRST:
        return np.arange(len(bound)), np.zeros(0, np.int64)
    order = np.argpartition(bound, FIRST)
    return order[:FIRST], order[FIRST:]


def squared_distances(p: Floats, corners: Floats) -> Floats:
    """(n,) squared distance of point i (n, 3) from triangle i (n, 3, 3), mm2."""
    p, (a, b, c) = np.ascontiguousarray(p.T), np.ascontiguousarray(np.moveaxis(corners, 0, 2))
    normal = crosses(b - a, c - a)
    size = dots(normal, normal)
    over = dots(p - a, normal)
    inside = size > 0.0
    edges = np.full(len(size), np.inf)
    for start, end in ((a, b), (b, c), (c, a)):
        run, away = end - start, p - start
        inside &= dots(crosses(run, away), normal) >= 0.0
        away -= np.clip(dots(away, run) / np.maximum(dots(run, run), 1e-300), 0.0, 1.0) * run
        edges = np.minimum(edges, dots(away, away))
    return np.where(inside, over * over / np.where(size > 0.0, size, 1.0), edges)
