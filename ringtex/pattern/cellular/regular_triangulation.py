"""Regular (weighted Delaunay) triangulations of the sites and their periodic, mirrored copies; side counts."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

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


MARGIN: Final = 3.5
"""Copies beyond the borders and the seam are made this many local distances of sites deep; more where a circumcircle
reaches further."""


class Copies(NamedTuple):
    """Sites first, then copies mirrored in the borders and shifted round the ring.

    points (p, 2) mm. home (p,): the site that each copies. real (p,): whether it is the site itself.
    """

    points: Floats
    home: Longs
    real: NDArray[np.bool_]


def mirrored_copies(part: PatternedPart, sites: Floats, margin: Floats) -> Copies:
    """Copies of the sites nearer to a border or to the seam than their margin.

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) positions on the strip, mm.
        margin: (n,) how far copies are made, mm; large where sites stand far apart.
    Returns: the sites and their copies.
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
    block_margin = margin[block_home]
    pieces, homes = [block], [block_home]
    for turn in range(1, math.ceil(float(np.max(margin)) / part.length) + 1):
        for shift in (turn * part.length, -turn * part.length):
            shifted = block[:, 0] + shift
            near = (shifted > -block_margin) & (shifted < part.length + block_margin)
            pieces.append(np.column_stack([shifted[near], block[near, 1]]))
            homes.append(block_home[near])
    points = np.concatenate(pieces)
    return Copies(points, np.concatenate(homes), np.arange(len(points)) < len(sites))


def periodic_triangulation(
    part: PatternedPart, sites: Floats, spacing: Floats, weights: Floats | None = None
) -> tuple[Copies, Longs, Floats]:
    """The regular triangulation round the ring, mirrored in the borders: every triangle that touches a site.

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) positions on the strip, mm.
        spacing: (n,) usual distance of sites there, mm.
        weights: (n,) mm2; None for a Delaunay triangulation.
    Returns: the copies; (t, 3) triangles of them, counter-clockwise; (t, 2) their power centres, mm.
    """
    margin = MARGIN * spacing
    while True:
        copies = mirrored_copies(part, sites, margin)
        triangles = regular_triangulation(copies.points, None if weights is None else weights[copies.home])
        triangles = triangles[np.any(copies.real[triangles], axis=1)]
        corner_weights = None if weights is None else weights[copies.home[triangles]]
        centres = power_centres(copies.points[triangles], corner_weights)
        if not np.any(_beyond(part, copies.points, triangles, centres, margin[copies.home])):
            return copies, triangles, centres
        if float(np.min(margin)) > 2.0 * (part.length + part.width):
            return copies, triangles, centres
        margin = 2.0 * margin


def _beyond(
    part: PatternedPart, points: Floats, triangles: Longs, centres: Floats, margin: Floats
) -> NDArray[np.bool_]:
    """(t,) whether a triangle's circle reaches beyond the copies, so that a copy left out could lie in it."""
    radius = np.hypot(*(centres - points[triangles[:, 0]]).T)
    most = np.max(margin[triangles], axis=1)
    across = np.maximum(part.lower - centres[:, 1], centres[:, 1] - part.upper) + radius
    round_the_ring = np.maximum(-centres[:, 0], centres[:, 0] - part.length) + radius
    return np.asarray(np.maximum(across, round_the_ring) > most, dtype=np.bool_)


def defects(part: PatternedPart, sites: Floats, spacing: Floats) -> tuple[NDArray[np.bool_], float]:
    """Which cells are defects (inner and not six-sided), without putting the cells together.

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) positions on the strip, mm.
        spacing: (n,) usual distance of sites there, mm.
    Returns: (n,) the defects; the fraction of six-sided cells among inner ones.
    """
    copies, triangles, _ = periodic_triangulation(part, sites, spacing)
    return count_sides(copies, triangles, len(sites))


def count_sides(copies: Copies, triangles: Longs, count: int) -> tuple[NDArray[np.bool_], float]:
    """The same from a triangulation at hand.

    Parameters:
        copies: of the sites.
        triangles: (t, 3) those that touch a site.
        count: how many sites.
    Returns: (n,) the defects; the fraction of six-sided cells among inner ones.
    """
    sides = np.bincount(triangles.ravel(), minlength=len(copies.points))[:count]
    border = np.zeros(count, np.bool_)
    for k in range(3):
        # A cell on a border meets its own mirror image there.
        a, b = copies.home[triangles[:, k]], copies.home[triangles[:, (k + 1) % 3]]
        border[a[a == b]] = True
    defective = ~border & (sides != 6)
    inner = int(np.sum(~border))
    return defective, 1.0 - float(np.sum(defective)) / inner if inner else 0.0
