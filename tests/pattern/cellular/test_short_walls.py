"""Closing short walls keeps the tiling sound and its borders exact."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringtex.pattern.cellular.short_walls import close_short_walls
from ringtex.pattern.cellular.sites import random_sites
from ringtex.pattern.cellular.voronoi_cells import voronoi_tiling
from ringtex.pattern.measure import sides
from ringtex.pattern.patterned_part import PatternedPart

PART = PatternedPart(58.0, 1.0 / 3.0, 7.1)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("share", [0.07, 0.4])
def test_sound_for_random_cells(seed: int, share: float) -> None:
    tiling = voronoi_tiling(PART, random_sites(PART, 200, seed))
    closed = close_short_walls(tiling, share)
    assert closed.problems() == []
    assert closed.cells == tiling.cells
    assert len(closed.twin) < len(tiling.twin)
    assert int(np.min(sides(closed))) >= 3
    assert np.min(closed.kernel[1] / np.sqrt(closed.areas)) > 0.0


def test_nothing_to_close_changes_nothing() -> None:
    tiling = voronoi_tiling(PART, random_sites(PART, 50, 1))
    closed = close_short_walls(tiling, 1e-9)
    assert closed.vertices.tobytes() == tiling.vertices.tobytes()


def test_square_sites_give_four_cells_a_corner() -> None:
    """Squares a hair off their places: every pair of three-cell corners closes into one of four cells."""
    part = PatternedPart(12.0, 0.0, 4.0)
    u, v = np.meshgrid(np.arange(12) + 0.5, np.arange(4) + 0.5)
    sites = np.column_stack([u.ravel(), v.ravel()])
    sites += 1e-4 * np.random.default_rng(0).uniform(-1.0, 1.0, sites.shape)
    closed = close_short_walls(voronoi_tiling(part, sites), 0.07)
    assert closed.problems() == []
    assert np.all(sides(closed) == 4)
    assert len(closed.vertices) == 12 * 5
    np.testing.assert_allclose(closed.areas, 1.0, atol=2e-3)
    assert math.isclose(float(np.sum(closed.areas)), part.area, rel_tol=1e-12)
