"""Voronoi cells against shapely, counting theorems and published statistics."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from cell_measures import boundary_walls

from ringtex.pattern.cellular.sites import random_sites
from ringtex.pattern.cellular.voronoi_cells import voronoi_tiling
from ringtex.pattern.measure import sides
from ringtex.pattern.patterned_part import PatternedPart

PART = PatternedPart(58.0, 0.5, 7.5)


@pytest.mark.parametrize("count", [3, 4, 7, 40, 300])
def test_same_cells_as_shapely(count: int) -> None:
    """shapely (GEOS) builds the same cells from the sites, copied by hand: mirrored at the borders, shifted round."""
    sites = random_sites(PART, count, seed=5)
    tiling = voronoi_tiling(PART, sites)
    assert tiling.problems() == []
    flip = np.array([1.0, -1.0])
    mirrored = [sites, *(sites * flip + np.array([0.0, 2.0 * border]) for border in (PART.lower, PART.upper))]
    everywhere = np.concatenate([m + np.array([turn * PART.length, 0.0]) for m in mirrored for turn in range(-2, 3)])
    cells = shapely.voronoi_polygons(shapely.MultiPoint(everywhere)).geoms
    tree = shapely.STRtree(list(cells))
    found = tree.query(shapely.points(sites), predicate="within")
    theirs = np.array([cells[k] for k in found[1][np.argsort(found[0])]])
    np.testing.assert_allclose(shapely.area(theirs), tiling.areas, rtol=1e-8)
    rings = np.split(tiling.corners, tiling.cell_start[1:-1])
    for site, ring, polygon in zip(sites, rings, theirs, strict=True):
        ours = shapely.Polygon(ring)
        # The cell may be drawn one turn away from its site.
        turn = round((polygon.centroid.x - ours.centroid.x) / PART.length)
        ours = shapely.affinity.translate(ours, turn * PART.length)
        assert ours.covers(shapely.Point(site))
        assert ours.symmetric_difference(polygon).area < 1e-8


def test_mean_sides_follow_from_counting() -> None:
    """On a band whose inner corners join three cells: mean sides = 6 - border walls / cells, exactly (Euler)."""
    for seed in range(4):
        tiling = voronoi_tiling(PART, random_sites(PART, 700, seed))
        assert int(np.sum(sides(tiling))) == 6 * tiling.cells - boundary_walls(tiling)


def test_poisson_statistics() -> None:
    """Areas of Poisson-Voronoi cells vary by 0.529 (Gilbert 1962, Brakke 1986; from memory, confirmed by simulation);
    sides have the variance 1.78; the mean perimeter is 4 root(mean area). Border cells are left out.
    """
    part = PatternedPart(200.0, 0.0, 100.0)
    tiling = voronoi_tiling(part, random_sites(part, 20000, seed=11))
    middle = np.minimum.reduceat(tiling.corners[:, 1], tiling.cell_start[:-1])
    inner = (middle > 10.0) & (np.maximum.reduceat(tiling.corners[:, 1], tiling.cell_start[:-1]) < 90.0)
    areas = tiling.areas[inner]
    assert np.std(areas) / np.mean(areas) == pytest.approx(0.529, abs=0.02)
    assert float(np.var(sides(tiling)[inner])) == pytest.approx(1.78, abs=0.08)
    ends = tiling.corners[tiling.next_corner] - tiling.corners
    around = np.add.reduceat(np.hypot(ends[:, 0], ends[:, 1]), tiling.cell_start[:-1])[inner]
    assert float(np.mean(around)) == pytest.approx(4.0 * math.sqrt(float(np.mean(areas))), rel=0.02)


def test_power_cells_move_walls_by_the_weights() -> None:
    """The wall between two power cells lies at |x - p|^2 - w equal on both sides (Aurenhammer 1987)."""
    sites = random_sites(PART, 60, seed=4)
    weights = np.random.default_rng(1).uniform(0.0, 0.4, 60)
    tiling = voronoi_tiling(PART, sites, weights)
    assert tiling.problems() == []
    inner = np.flatnonzero(tiling.twin >= 0)
    here, there = tiling.corner_cell[inner], tiling.corner_cell[tiling.twin[inner]]
    place = tiling.vertices[tiling.corner_vertex[inner]]

    def power(cell):
        du = np.abs(place[:, 0] - sites[cell, 0])
        du = np.minimum(du, PART.length - du)
        return du**2 + (place[:, 1] - sites[cell, 1]) ** 2 - weights[cell]

    np.testing.assert_allclose(power(here), power(there), atol=1e-9)
