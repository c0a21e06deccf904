"""Lloyd's relaxation against what is known of centroidal Voronoi cells."""

from __future__ import annotations

import math

import numpy as np
import pytest
from cell_measures import second_moments

from ringtex.basics.errors import Cancelled
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.lloyd_relaxation import relax
from ringtex.pattern.cellular.moving_diagram import MovingDiagram
from ringtex.pattern.cellular.sites import random_sites
from ringtex.pattern.cellular.voronoi_cells import voronoi_tiling
from ringtex.pattern.patterned_part import PatternedPart

PART = PatternedPart(58.0, 0.0, 8.0)


def test_relaxed_cells_approach_the_hexagon() -> None:
    """Mean normalised second moment falls, to between the hexagon's 5 / (36 sqrt 3) (Newman 1982: none is lower on
    average) and the square's 1/12; the variation of areas falls from 0.53.
    """
    start = random_sites(PART, 400, seed=1)
    moments, spread = [], []
    for steps in (0, 2, 10, 60):
        sites = relax(MovingDiagram(PART, start), steps, Progress()).sites
        tiling = voronoi_tiling(PART, sites)
        energy = second_moments(tiling, sites) * tiling.areas**2
        moments.append(float(np.mean(energy)) / float(np.mean(tiling.areas)) ** 2)
        spread.append(float(np.std(tiling.areas) / np.mean(tiling.areas)))
    assert moments == sorted(moments, reverse=True)
    assert 5.0 / (36.0 * math.sqrt(3.0)) < moments[-1] < 1.0 / 12.0
    assert spread == sorted(spread, reverse=True)
    assert spread[0] > 0.4
    assert spread[-1] < 0.12


def test_a_fraction_of_a_step_is_between() -> None:
    start = random_sites(PART, 50, seed=1)
    diagram = MovingDiagram(PART, start)
    whole, half = relax(diagram, 1, Progress()).sites, relax(diagram, 0.5, Progress()).sites
    still = np.abs(whole[:, 0] - start[:, 0]) < 20.0
    np.testing.assert_allclose((half - start)[still], 0.5 * (whole - start)[still], atol=1e-9)


def test_cancel_stops_between_steps() -> None:
    progress = Progress()
    progress.cancel()
    with pytest.raises(Cancelled):
        relax(MovingDiagram(PART, random_sites(PART, 50, seed=1)), 5, progress)
