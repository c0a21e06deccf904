"""Exact distances from points to the nearest of many triangles."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints

SIZES: Final = 8
"""Triangles are sorted into so many classes, each twice as large as the one before, so that a few long ones do not make
every search wide."""

AT_ONCE: Final = 400_000
"""Pairs of point and triangle worked on at a time: some 200 MB would be ten times as many."""


def nearest_distances(points: Floats, vertices: Floats, faces: Ints) -> Floats:
    """(n,) distance of each point from the nearest of the triangles, mm; infinity where there are none.

    Where only the smallest is wanted, `least_distance` finds it with far less work.
    A point's nearest vertex bounds its distance from above; a triangle can only be nearer where its middle is within
    that bound and its own reach, so only those are measured. Source of the distance to one triangle: Ericson 2005,
    Real-Time Collision Detection, 5.1.5.
    """
    from scipy.spatial import cKDTree

    if len(points) == 0 or len(faces) == 0:
        return np.full(len(points), np.inf)
    used = np.unique(faces)
    best = cKDTree(vertices[used]).query(points)[0]
    corners = vertices[faces]
    middle = corners.mean(axis=1)
    reach = np.sqrt(np.max(np.sum((corners - middle[:, None]) ** 2, axis=2), axis=1))
    rank = np.minimum(np.log2(np.max(reach) / np.maximum(reach, 1e-12)).astype(np.int64), SIZES - 1)
    for size in np.unique(rank):
        chosen = np.flatnonzero(rank == size)
        furthest = float(np.max(reach[chosen]))
        near = cKDTree(middle[chosen]).query_ball_point(points, best + furthest + 1e-9)
        count = np.array([len(found) for found in near])
        if not count.any():
            continue
        point = np.repeat(np.arange(len(points)), count)
        triangle = chosen[np.concatenate([found for found in near if found]).astype(np.int64)]
        for start in range(0, len(point), AT_ONCE):
            part = slice(start, start + AT_ONCE)
            squared = squared_distances(points[point[part]], corners[triangle[part]])
            np.minimum.at(best, point[part], np.sqrt(squared))
    return np.asarray(best)


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
