"""Blue noise: points scattered at random, none nearer to another than a least distance, with no room left for one more.

Maximal Poisson-disc sampling (Ebeida, Mitchell, Patney, Davidson and Owens 2012, A simple algorithm for maximal
Poisson-disk sampling in high dimensions; from memory): darts first, then points in the holes that are left, which the
Voronoi diagram shows.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from scipy.spatial import cKDTree

from ringtex.basics.arrays import Bools, Floats, Longs
from ringtex.pattern.cellular.regular_triangulation import power_centres, regular_triangulation
from ringtex.pattern.patterned_part import PatternedPart

COVERAGE: Final = 0.54
"""Fraction of the part that discs of this diameter cover, measured. Discs that all fall at random cover 0.547 when
there is room for no more (random sequential adsorption; Feder 1980; from memory); the last ones here stand in the
middle of holes and take more room."""

BORDER: Final = 0.35
"""Points keep this fraction of the least distance from the borders, so that no cell there is much smaller."""

DART_ROUNDS: Final = 4
DARTS: Final = 2
"""Rounds of darts, and darts a round for each wanted point; what they miss is left to the holes."""

MAX_FILLS: Final = 50


def least_distance(part: PatternedPart, count: int) -> float:
    """The least distance, mm, with which about `count` points fit on the part."""
    distance = 0.0
    for _ in range(8):
        # Half a disc may stand over the border, less what points keep from it.
        area = part.length * (part.width + (1.0 - 2.0 * BORDER) * distance)
        distance = math.sqrt(4.0 * COVERAGE * area / (math.pi * count))
    return distance


def blue_noise_sites(part: PatternedPart, distance: float, seed: int) -> Floats:
    """Points no two of which are nearer than a distance, with no room for another one; periodic round the ring.

    Parameters:
        part: the rectangle between the rails.
        distance: the least distance, mm.
        seed: of the darts.
    Returns: (n, 2) positions, mm; n is near, but not exactly, the count that `least_distance` was given.
    """
    border = min(BORDER * distance, 0.45 * part.width)
    inner = PatternedPart(part.length, part.lower + border, part.upper - border)
    random = np.random.Generator(np.random.PCG64(seed))
    darts = DARTS * max(8, math.ceil(part.area / distance**2))
    points = np.empty((0, 2))
    for _ in range(DART_ROUNDS):
        thrown = random.random((darts, 2)) * (inner.length, inner.width) + (0.0, inner.lower)
        points = _with_those_that_fit(inner, points, thrown, distance)
    for _ in range(MAX_FILLS):
        holes = _holes(inner, points, distance)
        if len(holes) == 0:
            break
        points = _with_those_that_fit(inner, points, random.permutation(holes), distance)
    return points


def _with_those_that_fit(part: PatternedPart, points: Floats, more: Floats, distance: float) -> Floats:
    """The points and, in their order, those of `more` that are far enough from all before them."""
    if len(points):
        away, _ = _tree(part, points).query(more)
        more = more[away >= distance]
    if len(more) == 0:
        return points
    pairs = np.asarray(_tree(part, more).query_pairs(distance, output_type="ndarray"), dtype=np.int64)
    return np.concatenate([points, more[_first_come(len(more), pairs)]])


def _first_come(count: int, pairs: Longs) -> Bools:
    """Which of the numbers stay if each, in turn, keeps those paired with it from staying."""
    stays, left = np.zeros(count, np.bool_), np.ones(count, np.bool_)
    low, high = np.sort(pairs, axis=1).T
    while np.any(left):
        both = left[low] & left[high]
        first = left.copy()
        first[high[both]] = False
        stays |= first
        left &= ~first
        left[high[first[low]]] = False
    return stays


def _tree(part: PatternedPart, points: Floats) -> cKDTree:
    return cKDTree(points, boxsize=(part.length, 0.0))


def _holes(part: PatternedPart, points: Floats, distance: float) -> Floats:
    """The corners of Voronoi cells that are farther than the distance from all points; mirrored copies stand in for
    what lies beyond a border, so that holes on it are found."""
    around = [points + np.array([turn * part.length, 0.0]) for turn in (-1, 0, 1)]
    copies = np.concatenate(around)
    near = np.abs(copies[:, 0] - 0.5 * part.length) < 0.5 * part.length + 4.0 * distance
    copies = copies[near]
    mirrored = [
        copies[np.abs(copies[:, 1] - border) < 4.0 * distance] * (1.0, -1.0) + (0.0, 2.0 * border)
        for border in (part.lower, part.upper)
    ]
    every = np.concatenate([copies, *mirrored])
    corners = power_centres(every[regular_triangulation(every)])
    inside = (corners[:, 0] >= 0.0) & (corners[:, 0] < part.length)
    corners = corners[inside & (corners[:, 1] > part.lower - 1e-9) & (corners[:, 1] < part.upper + 1e-9)]
    corners[:, 1] = np.clip(corners[:, 1], part.lower, part.upper)
    away, _ = _tree(part, points).query(corners)
    return np.asarray(corners[away > distance], dtype=np.float64)
