"""What a pattern's cells measure, on the strip and on the ring."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Ints
from ringtex.pattern.tiling import Tiling


class Metric(Protocol):
    """What measuring on the ring needs of the strip."""

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """First fundamental form (E, F, G) of the band's outer face at strip places (n,), (n,)."""


@dataclass(frozen=True)
class AreaSpread:
    """Cell areas on the ring, mm2, and their coefficient of variation (standard deviation / mean)."""

    min: float
    mean: float
    max: float
    cv: float


# Degree 5 on a triangle, 7 points (Radon 1948): exact for quintics, so cells are split only where the scale varies
# fast.
_ROOT: Final = 15.0**0.5
_NEAR: Final = ((6.0 - _ROOT) / 21.0, (6.0 + _ROOT) / 21.0)
_WEIGHT: Final = ((155.0 - _ROOT) / 1200.0, (155.0 + _ROOT) / 1200.0)


def _rule() -> tuple[Floats, Floats]:
    """Barycentric places (7, 3) and weights (7,) that add up to 1."""
    places, weights = [(1 / 3, 1 / 3, 1 / 3)], [9.0 / 40.0]
    for near, weight in zip(_NEAR, _WEIGHT, strict=True):
        far = 1.0 - 2.0 * near
        places += [(far, near, near), (near, far, near), (near, near, far)]
        weights += [weight] * 3
    return np.array(places), np.array(weights)


def areas_on_ring(tiling: Tiling, strip: Metric) -> Floats:
    """(c,) true area of each cell on the band's outer face, mm2: the strip's area scale sqrt(EG - F^2) integrated
    over fans of triangles from a point inside, 7 places each.
    """
    middle = tiling.kernel[0][tiling.corner_cell]
    start, end = tiling.corners, tiling.corners[tiling.next_corner]
    first, second = start - middle, end - middle
    size = 0.5 * (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
    places, weights = _rule()
    triangles = np.stack([middle, start, end], axis=1)
    points = np.einsum("qk,mkd->mqd", places, triangles)
    e, f, g = strip.metric(points[:, :, 0].ravel(), points[:, :, 1].ravel())
    scale = np.sqrt(np.maximum(e * g - f * f, 0.0)).reshape(points.shape[:2])
    return np.asarray(np.add.reduceat(size * (scale @ weights), tiling.cell_start[:-1]), dtype=np.float64)


def area_spread(areas: Floats) -> AreaSpread:
    """Least, mean and greatest area and their coefficient of variation."""
    mean = float(np.mean(areas))
    return AreaSpread(float(np.min(areas)), mean, float(np.max(areas)), float(np.std(areas)) / mean)


def sides(tiling: Tiling) -> Ints:
    """(c,) number of walls of each cell, border walls included; a straight T-junction counts as a corner."""
    return np.diff(tiling.cell_start).astype(np.int32)


def boundary_walls(tiling: Tiling) -> int:
    """Number of walls along the two borders."""
    return int(np.sum(tiling.twin < 0))


def on_border(tiling: Tiling) -> NDArray[np.bool_]:
    """(c,) whether a cell has a wall along a border."""
    found = np.zeros(tiling.cells, np.bool_)
    found[tiling.corner_cell[tiling.twin < 0]] = True
    return found


def perimeters(tiling: Tiling) -> Floats:
    """(c,) length of each cell's walls on the strip, mm."""
    ends = tiling.corners[tiling.next_corner] - tiling.corners
    return np.add.reduceat(np.hypot(ends[:, 0], ends[:, 1]), tiling.cell_start[:-1])


def roundness(tiling: Tiling) -> Floats:
    """(c,) 4 pi A / P^2 on the strip: 1 for a disc, 0.907 for a regular hexagon, 0.785 for a square."""
    return 4.0 * np.pi * tiling.areas / perimeters(tiling) ** 2


def six_sided_share(tiling: Tiling) -> float:
    """Share of six-sided cells among those that no border cuts; 0 where every cell is on a border."""
    inner = ~on_border(tiling)
    return float(np.mean(sides(tiling)[inner] == 6)) if np.any(inner) else 0.0


def second_moments(tiling: Tiling, sites: Floats | None = None) -> Floats:
    """(c,) normalised second moment of each cell on the strip about its centroid (or its site): the integral of |x -
    c|^2 over 2 A^2.

    5 / (36 sqrt 3) = 0.080188 for a regular hexagon, the least that equal cells of a tiling reach on average (Newman
    1982); 1/12 for a square.
    """
    from ringtex.pattern.cell_kernel import centroids

    about = centroids(tiling) if sites is None else sites.copy()
    if sites is not None:
        inside = tiling.corners[tiling.cell_start[:-1], 0]
        about[:, 0] += tiling.length * np.round((inside - about[:, 0]) / tiling.length)
    start = tiling.corners - about[tiling.corner_cell]
    end = start[tiling.next_corner]
    cross = start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]
    square = np.sum(start * start + start * end + end * end, axis=1)
    inertia = np.add.reduceat(cross * square, tiling.cell_start[:-1]) / 12.0
    return np.asarray(inertia / (2.0 * tiling.areas**2), dtype=np.float64)
