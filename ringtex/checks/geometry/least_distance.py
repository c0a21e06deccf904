"""The least distance between many places and many triangles, and where it is."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Longs
from ringtex.checks.geometry.nearest_triangle import SIZES, squared_distances

FIRST: Final = 1000
"""Pairs that are measured first, those whose planes are nearest: what they find puts most others aside."""

BOUND_SHARE: Final = 8
"""One place of so many is asked for its nearest corner, for a first bound."""


def least_distance(places: Floats, triangles: Floats) -> tuple[float, Floats]:
    """The least distance from places (p, 3) to triangles (k, 3, 3), mm, and the place that is so near.

    Exact; at least one of each must be given. A triangle is near a place only where its middle is, within its own
    reach, and its plane. Source of the distance to one triangle: Ericson 2005, Real-Time Collision Detection, 5.1.5.
    """
    from scipy.spatial import cKDTree

    tree = cKDTree(places)
    middle = triangles.mean(axis=1)
    reach = np.sqrt(np.max(np.sum((triangles - middle[:, None]) ** 2, axis=2), axis=1))
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    level = np.einsum("ij,ij->i", normal, middle)
    away = cKDTree(triangles[:, 0]).query(places[::BOUND_SHARE])[0]
    nearest = int(np.argmin(away))
    least, at = float(away[nearest]), nearest * BOUND_SHARE
    # Triangles of about one size at a time, so that a few long ones do not make every search wide.
    size = np.minimum(np.log2(np.max(reach) / np.maximum(reach, 1e-12)).astype(np.int64), SIZES - 1)
    for each in np.unique(size)[::-1]:
        chosen = np.flatnonzero(size == each)
        near = tree.sparse_distance_matrix(
            cKDTree(middle[chosen]), least + float(np.max(reach[chosen])), output_type="ndarray"
        )
        place, triangle = near["i"], chosen[near["j"]]
        within = near["v"] <= least + reach[triangle]
        place, triangle = place[within], triangle[within]
        over = np.abs(np.einsum("ij,ij->i", normal[triangle], places[place]) - level[triangle])
        for pairs in _nearest_planes_first(over):
            pairs = pairs[over[pairs] < least]
            if len(pairs) == 0:
                continue
            squared = squared_distances(places[place[pairs]], triangles[triangle[pairs]])
            best = int(np.argmin(squared))
            if float(squared[best]) < least**2:
                least, at = float(np.sqrt(squared[best])), int(place[pairs[best]])
    return least, places[at]


def _nearest_planes_first(over: Floats) -> tuple[Longs, Longs]:
    """The numbers of the FIRST smallest, and of the others."""
    if len(over) <= FIRST:
        return np.arange(len(over)), np.zeros(0, np.int64)
    order = np.argpartition(over, FIRST)
    return order[:FIRST], order[FIRST:]
