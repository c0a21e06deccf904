"""A point in each cell that sees all of it (the kernel of a star-shaped polygon)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from ringtex.basics.arrays import Floats
    from ringtex.pattern.tiling import Tiling

MAX_STEPS: Final = 60
"""Projections before a cell counts as not star-shaped; cells as they come from tilings need none or a few."""

WANTED_SHARE: Final = 0.02
"""A point is good when it keeps this share of the cell's size from every wall's line: far over rounding, far under the
clearance of any cell fit to carry a relief."""


def kernel_points(tiling: Tiling) -> tuple[Floats, Floats]:
    """Points that see their whole cell.

    Returns: (c, 2) points, unwrapped like the cell's corners, and (c,) each point's least distance to the line of a
    wall, mm, on the inner side. The point is the centroid where that is good enough, else found by relaxation
    (Motzkin and Schoenberg 1954: step through the wall most violated). A distance of zero or less: the cell is not
    star-shaped.
    """
    start, normal = tiling.corners, _inner_normals(tiling)
    size = np.sqrt(np.maximum(tiling.areas, 0.0))
    points = centroids(tiling)
    clearance = np.minimum.reduceat(_distances(points[tiling.corner_cell], start, normal), tiling.cell_start[:-1])
    wrong = np.flatnonzero(~(clearance >= WANTED_SHARE * size))
    if len(wrong):
        points[wrong], clearance[wrong] = _relax(tiling, wrong, points[wrong], normal, WANTED_SHARE * size[wrong])
    return points, clearance


def centroids(tiling: Tiling) -> Floats:
    """(c, 2) centroid of each cell's area, unwrapped like its corners."""
    first = tiling.cell_start[:-1]
    base = tiling.corners[first]
    start = tiling.corners - base[tiling.corner_cell]
    end = start[tiling.next_corner]
    cross = start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]
    total = np.add.reduceat(cross, first)
    moment = np.add.reduceat((start + end) * cross[:, None], first, axis=0)
    return np.asarray(base + moment / (3.0 * np.where(total == 0.0, 1.0, total))[:, None], dtype=np.float64)


def _inner_normals(tiling: Tiling) -> Floats:
    along = tiling.corners[tiling.next_corner] - tiling.corners
    length = np.hypot(along[:, 0], along[:, 1])
    return np.column_stack([-along[:, 1], along[:, 0]]) / np.where(length == 0.0, 1.0, length)[:, None]


def _distances(points: Floats, start: Floats, normal: Floats) -> Floats:
    return np.asarray(np.sum((points - start) * normal, axis=1), dtype=np.float64)


def _relax(
    tiling: Tiling, cells: NDArray[np.int64], points: Floats, normal: Floats, wanted: Floats
) -> tuple[Floats, Floats]:
    """Step each point through its most violated wall until it keeps the wanted distance; the best place seen is
    kept."""
    sizes = np.diff(tiling.cell_start)[cells]
    first = np.cumsum(sizes) - sizes
    corner = np.arange(int(np.sum(sizes))) - np.repeat(first - tiling.cell_start[cells], sizes)
    owner = np.repeat(np.arange(len(cells)), sizes)
    best, best_clearance = points.copy(), np.full(len(cells), -np.inf)
    for _ in range(MAX_STEPS):
        distance = _distances(points[owner], tiling.corners[corner], normal[corner])
        clearance = np.minimum.reduceat(distance, first)
        better = clearance > best_clearance
        best[better], best_clearance[better] = points[better], clearance[better]
        if np.all(best_clearance >= wanted):
            break
        worst = np.lexsort((distance, owner))[first]
        step = np.maximum(1.5 * wanted - clearance, 0.0)
        points = points + step[:, None] * normal[corner[worst]]
    return best, best_clearance
