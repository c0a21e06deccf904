"""The least distance between many points and many triangles, and where it is.

libigl's bounding-volume tree is 8 to 30 times as fast for many points, but its wheel holds GPL and AGPL modules, and
trimesh's search needs a further package; the least distance alone needs few exact measures.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Longs

SIZES: Final = 8
"""Triangles are sorted into so many classes, each twice as large as the one before, so that a few long ones do not make
every search wide."""

FIRST: Final = 1000
"""Pairs that are measured first, those whose planes are nearest: what they find puts most others aside."""

BOUND_SHARE: Final = 8
"""One point of so many is asked for its nearest corner, for a first bound."""

PAIRS_AT_ONCE: Final = 400_000
"""Pairs of point and triangle worked on at a time: some 200 MB would be ten times as many."""


def least_distance(points: Floats, triangles: Floats) -> tuple[float, Floats]:
    """The least distance from points (p, 3) to triangles (k, 3, 3), mm, and the point that is so near.

    Exact; at least one of each must be given. A triangle is near a point only where its centre is, within its own
    radius, and its plane. Source of the distance to one triangle: Ericson 2005, Real-Time Collision Detection, 5.1.5.
    """
    from scipy.spatial import cKDTree

    triangles = _within_reach(points, triangles)
    tree = cKDTree(points)
    centre = triangles.mean(axis=1)
    radius = _radius(triangles, centre)
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    level = np.einsum("ij,ij->i", normal, centre)
    away = cKDTree(triangles[:, 0]).query(points[::BOUND_SHARE])[0]
    nearest = int(np.argmin(away))
    least, at = float(away[nearest]), nearest * BOUND_SHARE
    # Triangles of about one size at a time, so that a few long ones do not make every search wide.
    size = np.minimum(np.log2(np.max(radius) / np.maximum(radius, 1e-12)).astype(np.int64), SIZES - 1)
    for each in np.unique(size)[::-1]:
        chosen = np.flatnonzero(size == each)
        near = tree.sparse_distance_matrix(
            cKDTree(centre[chosen]), least + float(np.max(radius[chosen])), output_type="ndarray"
        )
        point, triangle = near["i"], chosen[near["j"]]
        within = near["v"] <= least + radius[triangle]
        point, triangle = point[within], triangle[within]
        over = np.abs(np.einsum("ij,ij->i", normal[triangle], points[point]) - level[triangle])
        for pairs in _nearest_planes_first(over):
            pairs = pairs[over[pairs] < least]
            if len(pairs) == 0:
                continue
            squared = squared_distances(points[point[pairs]], triangles[triangle[pairs]])
            best = int(np.argmin(squared))
            if float(squared[best]) < least**2:
                least, at = float(np.sqrt(squared[best])), int(point[pairs[best]])
    return least, points[at]


def _within_reach(points: Floats, triangles: Floats) -> Floats:
    """The triangles that can be nearest to any of the points, by a sphere round all points."""
    middle = points.mean(axis=0)
    extent = float(np.max(np.linalg.norm(points - middle, axis=1)))
    centre = triangles.mean(axis=1)
    away = np.linalg.norm(centre - middle, axis=1)
    # No point is further than this from the triangle with the nearest centre.
    bound = extent + float(np.min(away))
    return np.asarray(triangles[away <= extent + bound + _radius(triangles, centre)])


def _radius(triangles: Floats, centre: Floats) -> Floats:
    """(k,) from each triangle's centre to its furthest corner."""
    return np.asarray(np.sqrt(np.max(np.sum((triangles - centre[:, None]) ** 2, axis=2), axis=1)))


def _nearest_planes_first(over: Floats) -> tuple[Longs, Longs]:
    """The numbers of the FIRST smallest, and of the others."""
    if len(over) <= FIRST:
        return np.arange(len(over)), np.zeros(0, np.int64)
    order = np.argpartition(over, FIRST)
    return order[:FIRST], order[FIRST:]


def squared_distances(p: Floats, corners: Floats) -> Floats:
    """(n,) squared distance of point i (n, 3) from triangle i (n, 3, 3), mm2."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    normal = np.cross(b - a, c - a)
    size = np.sum(normal * normal, axis=1)
    over = np.sum((p - a) * normal, axis=1)
    inside = size > 0.0
    edges = np.full(len(p), np.inf)
    for start, end in ((a, b), (b, c), (c, a)):
        run = end - start
        inside &= np.sum(np.cross(run, p - start) * normal, axis=1) >= 0.0
        share = np.sum((p - start) * run, axis=1) / np.maximum(np.sum(run * run, axis=1), 1e-300)
        foot = start + np.clip(share, 0.0, 1.0)[:, None] * run
        edges = np.minimum(edges, np.sum((p - foot) ** 2, axis=1))
    return np.where(inside, over * over / np.where(size > 0.0, size, 1.0), edges)
