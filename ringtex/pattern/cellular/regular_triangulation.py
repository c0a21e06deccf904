"""Regular (weighted Delaunay) triangulations of the sites and their periodic, mirrored copies; side counts."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Longs
from ringtex.pattern.patterned_part import PatternedPart


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


def mirrored_copies(
    part: PatternedPart, sites: Floats, margin: float
) -> tuple[Floats, NDArray[np.int64], NDArray[np.bool_]]:
    """Sites first, then copies nearer than margin: mirrored in the borders and shifted round the ring.

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) positions on the strip, mm.
        margin: how far from the borders and the seam copies are made, mm.
    Returns: points (p, 2); home (p,), the site that each copies; real (p,), whether it is the site itself.
    """
    u, v = sites[:, 0], sites[:, 1]
    low, high = np.flatnonzero(v < part.lower + margin), np.flatnonzero(v > part.upper - margin)
    block = np.concatenate(
        [
            sites,
            np.column_stack([u[low], 2.0 * part.lower - v[low]]),
            np.column_stack([u[high], 2.0 * part.upper - v[high]]),
        ]
    )
    block_home = np.concatenate([np.arange(len(sites)), low, high])
    pieces, homes = [block], [block_home]
    for turn in range(1, math.ceil(margin / part.length) + 1):
        for shift in (turn * part.length, -turn * part.length):
            shifted = block[:, 0] + shift
            near = (shifted > -margin) & (shifted < part.length + margin)
            pieces.append(np.column_stack([shifted[near], block[near, 1]]))
            homes.append(block_home[near])
    points = np.concatenate(pieces)
    return points, np.concatenate(homes), np.arange(len(points)) < len(sites)


EXTENT: Final = 4.0
"""Copies beyond the borders and the seam are made this many usual distances deep: more than relaxed cells span."""


def defects(part: PatternedPart, sites: Floats) -> tuple[NDArray[np.bool_], float]:
    """(n,) whether a site's cell is an inner one and not six-sided; the fraction of six-sided among inner ones."""
    points, home, real = mirrored_copies(part, sites, EXTENT * math.sqrt(part.area / len(sites)))
    triangles = regular_triangulation(points)
    own = triangles[np.any(real[triangles], axis=1)]
    sides = np.bincount(own.ravel(), minlength=len(points))[: len(sites)]
    border = np.zeros(len(sites), np.bool_)
    for k in range(3):
        # A cell on a border meets its own mirror image there.
        a, b = own[:, k], own[:, (k + 1) % 3]
        border[home[a][home[a] == home[b]]] = True
    defective = ~border & (sides != 6)
    inner = int(np.sum(~border))
    return defective, 1.0 - float(np.sum(defective)) / inner if inner else 0.0
