"""Vertices moved so that cells have given areas, against shapely's."""

from __future__ import annotations

import math

import numpy as np
import shapely

from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.area_density import area_density
from ringtex.pattern.cellular.lloyd_relaxation import relax
from ringtex.pattern.cellular.moving_diagram import MovingDiagram
from ringtex.pattern.cellular.short_walls import close_short_walls
from ringtex.pattern.cellular.sites import random_sites
from ringtex.pattern.cellular.vertex_areas import with_areas
from ringtex.pattern.patterned_part import PatternedPart


class Flat:
    length, width = 58.0, 8.0

    def metric(self, u, v):
        return np.ones_like(u), np.zeros_like(u), np.ones_like(u)


def test_closed_walls_take_nothing_off_the_areas() -> None:
    part = PatternedPart(58.0, 0.0, 8.0)
    before = relax(MovingDiagram(part, random_sites(part, 200, seed=2)), 20, Progress()).tiling()
    closed = close_short_walls(before, 0.1)
    assert len(closed.vertices) < len(before.vertices)
    moved = with_areas(closed, area_density(Flat(), part, 0.0), before.areas)
    assert moved.problems() == []
    areas = [shapely.Polygon(ring).area for ring in np.split(moved.corners, moved.cell_start[1:-1])]
    np.testing.assert_allclose(areas, before.areas, atol=2.1e-4 * np.mean(before.areas))
    way = np.mod(moved.vertices[:, 0] - closed.vertices[:, 0] + 29.0, 58.0) - 29.0
    assert np.max(np.hypot(way, moved.vertices[:, 1] - closed.vertices[:, 1])) < 0.05 * math.sqrt(part.area / 200)


def test_what_would_spoil_a_cell_is_left_alone() -> None:
    part = PatternedPart(58.0, 0.0, 8.0)
    tiling = MovingDiagram(part, random_sites(part, 60, seed=2)).tiling()
    wanted = np.where(np.arange(60) == 5, 10.0, 1.0) * np.mean(tiling.areas)
    assert with_areas(tiling, area_density(Flat(), part, 0.0), wanted) is tiling
