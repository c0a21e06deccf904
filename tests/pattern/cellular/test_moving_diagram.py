"""Cells that follow moving sites against cells built anew from the same sites (scipy's Qhull)."""

from __future__ import annotations

import numpy as np
import pytest

from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.lloyd_relaxation import relax
from ringtex.pattern.cellular.moving_diagram import MovingDiagram
from ringtex.pattern.cellular.sites import random_sites, wrap_sites
from ringtex.pattern.cellular.voronoi_cells import voronoi_tiling
from ringtex.pattern.measure import on_border, sides
from ringtex.pattern.patterned_part import PatternedPart

PART = PatternedPart(58.0, 0.3, 5.3)
ONE_ROW = PatternedPart(58.0, 0.3, 1.3)


def assert_same_cells(diagram: MovingDiagram) -> None:
    """As many walls, the same areas, and a sound tiling."""
    tiling = diagram.tiling()
    anew = voronoi_tiling(diagram.part, diagram.sites, diagram.weights)
    assert tiling.problems() == []
    np.testing.assert_array_equal(sides(tiling), sides(anew))
    np.testing.assert_array_equal(diagram.sides, sides(anew))
    np.testing.assert_array_equal(diagram.on_border, on_border(anew))
    np.testing.assert_allclose(tiling.areas, anew.areas, rtol=1e-8)
    np.testing.assert_allclose(np.sum(tiling.vertices), np.sum(anew.vertices), rtol=1e-8)


def walked(part: PatternedPart, sites: Floats, steps: int, size: float) -> MovingDiagram:
    """After so many random steps of up to `size` usual distances, round the seam as well."""
    diagram, draw = MovingDiagram(part, sites), np.random.default_rng(3)
    for _ in range(steps):
        move = draw.uniform(-1.0, 1.0, sites.shape) * size * np.sqrt(part.area / len(sites))
        diagram = diagram.moved(wrap_sites(part, diagram.sites + move))
    return diagram


@pytest.mark.parametrize("part", [PART, ONE_ROW])
@pytest.mark.parametrize("count", [3, 7, 40, 400])
@pytest.mark.parametrize("size", [0.1, 1.0])
def test_cells_after_a_random_walk(part: PatternedPart, count: int, size: float) -> None:
    assert_same_cells(walked(part, random_sites(part, count, seed=count), 6, size))


def test_lloyd_steps_need_no_triangulation_from_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    diagram = MovingDiagram(PART, random_sites(PART, 400, seed=1))
    monkeypatch.setattr("ringtex.pattern.cellular.moving_diagram.voronoi_tiling", None)
    relax(diagram, 20, Progress())


def test_weights_and_a_cell_that_vanishes() -> None:
    diagram = MovingDiagram(PART, random_sites(PART, 200, seed=5))
    mean = PART.area / 200
    weighted = diagram.reweighted(np.random.default_rng(1).uniform(0.0, 0.1 * mean, 200))
    assert weighted is not None
    assert_same_cells(weighted)
    heavy = np.zeros(200)
    heavy[0] = 20.0 * mean
    assert diagram.reweighted(heavy) is None


def test_moved_there_and_back_is_the_same() -> None:
    """Sites that come back by whole turns have the same cells, bit for bit but for the numbers of triangles."""
    start = random_sites(PART, 60, seed=2)
    shifted = wrap_sites(PART, start + np.array([0.4 * PART.length, 0.0]))
    before = MovingDiagram(PART, start)
    np.testing.assert_allclose(before.moved(shifted).moved(start).tiling().areas, before.tiling().areas, rtol=1e-9)
