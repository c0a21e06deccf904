"""Measures of cells that only tests look at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.pattern.tiling import Tiling


@dataclass(frozen=True)
class AreaSpread:
    """Cell areas on the ring, mm2, and their coefficient of variation (standard deviation / mean)."""

    min: float
    mean: float
    max: float
    cv: float


def area_spread(areas: Floats) -> AreaSpread:
    """Least, mean and greatest area and their coefficient of variation."""
    mean = float(np.mean(areas))
    return AreaSpread(float(np.min(areas)), mean, float(np.max(areas)), float(np.std(areas)) / mean)


def boundary_walls(tiling: Tiling) -> int:
    """Number of walls along the two borders."""
    return int(np.sum(tiling.twin < 0))


def perimeters(tiling: Tiling) -> Floats:
    """(c,) length of each cell's walls on the strip, mm."""
    ends = tiling.corners[tiling.next_corner] - tiling.corners
    return np.add.reduceat(np.hypot(ends[:, 0], ends[:, 1]), tiling.cell_start[:-1])


def roundness(tiling: Tiling) -> Floats:
    """(c,) 4 pi A / P^2 on the strip: 1 for a disc, 0.907 for a regular hexagon, 0.785 for a square."""
    return 4.0 * np.pi * tiling.areas / perimeters(tiling) ** 2


def second_moments(tiling: Tiling, sites: Floats | None = None) -> Floats:
    """(c,) normalised second moment of each cell on the strip about its centroid (or its site): the integral of |x -
    c|^2 over 2 A^2.

    5 / (36 sqrt 3) = 0.080188 for a regular hexagon, the least that equal cells of a tiling reach on average (Newman
    1982); 1/12 for a square.
    """

    about = tiling.centroids.copy() if sites is None else sites.copy()
    if sites is not None:
        inside = tiling.corners[tiling.cell_start[:-1], 0]
        about[:, 0] += tiling.length * np.round((inside - about[:, 0]) / tiling.length)
    start = tiling.corners - about[tiling.corner_cell]
    end = start[tiling.next_corner]
    cross = start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]
    square = np.sum(start * start + start * end + end * end, axis=1)
    inertia = np.add.reduceat(cross * square, tiling.cell_start[:-1]) / 12.0
    return np.asarray(inertia / (2.0 * tiling.areas**2), dtype=np.float64)
