"""Regular (weighted Delaunay) triangulations and their power centres."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Floats, Longs


def regular_triangulation(points: Floats, weights: Floats | None = None) -> Longs:
    """(t, 3) triangles, counter-clockwise, dual to the Voronoi cells of points (n, 2), or to their power cells.

    Source: weighted triangulations as the lower hull of the points lifted to |p|^2 - w (Aurenhammer 1987).
    """
    from scipy.spatial import ConvexHull, Delaunay

    middle = points - np.mean(points, axis=0)
    if weights is None:
        triangles = Delaunay(middle).simplices.astype(np.int64)
    else:
        hull = ConvexHull(np.column_stack([middle, np.sum(middle**2, axis=1) - weights]))
        triangles = hull.simplices[hull.equations[:, 2] < 0.0].astype(np.int64)
    a, b, c = (points[triangles[:, k]] for k in range(3))
    cross = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    triangles[cross < 0.0] = triangles[cross < 0.0][:, [0, 2, 1]]
    return np.asarray(triangles[cross != 0.0], dtype=np.int64)


def power_centres(corners: Floats, weights: Floats | None = None) -> Floats:
    """(t, 2) the point with equal power |x - p|^2 - w to the three corners (t, 3, 2); the circumcentre without
    weights."""
    first = corners[:, 0]
    b, c = corners[:, 1] - first, corners[:, 2] - first
    b_square, c_square = np.sum(b * b, axis=1), np.sum(c * c, axis=1)
    if weights is not None:
        b_square = b_square + weights[:, 0] - weights[:, 1]
        c_square = c_square + weights[:, 0] - weights[:, 2]
    double = 2.0 * (b[:, 0] * c[:, 1] - c[:, 0] * b[:, 1])
    u = (c[:, 1] * b_square - b[:, 1] * c_square) / double
    v = (b[:, 0] * c_square - c[:, 0] * b_square) / double
    return np.asarray(first + np.column_stack([u, v]), dtype=np.float64)
