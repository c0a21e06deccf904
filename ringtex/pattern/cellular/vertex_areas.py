"""Moves a tiling's vertices a little, so that its cells have the areas asked for although walls were closed."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.pattern.cellular.area_density import AreaDensity
from ringtex.pattern.measure import areas_on_ring
from ringtex.pattern.quantisation import with_vertices
from ringtex.pattern.tiling import Tiling

STEPS: Final = 3
GOOD_ENOUGH: Final = 2e-4
"""Steps at most of Newton's method, and the largest relative error of an area at which it stops."""

MIN_CLEARANCE: Final = 0.02
"""Vertices stay where they were if a cell no longer kept a point clear of its walls by this fraction of its size."""


def with_areas(tiling: Tiling, density: AreaDensity, wanted: Floats) -> Tiling:
    """The tiling with vertices moved so that the cells' areas by the density come to those wanted.

    Each of Newton's steps is the smallest move, in the sense of least squares, that makes up for what the areas lack to
    first order; border vertices move along the border.

    Parameters:
        tiling: of the part.
        density: area per area of strip.
        wanted: (c,) areas, near those that the cells have.
    Returns: the moved tiling; the same where cells would be spoilt.
    """
    moved = tiling
    for _ in range(STEPS):
        areas = areas_on_ring(moved, density)
        # Vertices cannot change the sum.
        lack = wanted * (np.sum(areas) / np.sum(wanted)) - areas
        if float(np.max(np.abs(lack))) <= GOOD_ENOUGH * float(np.mean(areas)):
            break
        moved = _step(moved, density, lack)
    _, clearance = moved.kernel
    return moved if np.all(clearance > MIN_CLEARANCE * np.sqrt(np.maximum(moved.areas, 0.0))) else tiling


def _step(tiling: Tiling, density: AreaDensity, lack: Floats) -> Tiling:
    from scipy.sparse import coo_matrix
    from scipy.sparse.linalg import spsolve

    # Of a polygon's area: half the way from the corner before to the corner after, turned clockwise.
    across = tiling.corners[tiling.next_corner] - tiling.corners[tiling.previous_corner]
    scale = 0.5 * density(tiling.vertices)[tiling.corner_vertex]
    v = tiling.vertices[tiling.corner_vertex, 1]
    inner = (v != tiling.lower) & (v != tiling.upper)
    entries = np.concatenate([scale * across[:, 1], -scale * across[:, 0] * inner])
    rows = np.tile(tiling.corner_cell, 2)
    columns = np.concatenate([2 * tiling.corner_vertex, 2 * tiling.corner_vertex + 1])
    jacobian = coo_matrix((entries, (rows, columns)), shape=(tiling.cells, 2 * len(tiling.vertices))).tocsr()
    # The areas' sum stays, so one of them follows from the others.
    factor = np.zeros(tiling.cells)
    factor[1:] = spsolve((jacobian @ jacobian.T).tocsc()[1:, 1:], lack[1:])
    vertices = tiling.vertices + (jacobian.T @ factor).reshape(-1, 2)
    vertices[:, 1] = np.clip(vertices[:, 1], tiling.lower, tiling.upper)
    return with_vertices(tiling, vertices)
