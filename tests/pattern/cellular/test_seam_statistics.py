"""No angle of the ring is privileged: the rotation test of `seam_statistics.py` on few seeds, and on a planted seam."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from ringtex.pattern.pattern_options import PatternOptions

sys.path.append(str(Path(__file__).parents[2] / "benchmarks"))
from seam_statistics import MEASURES, SECTORS, rotation_test, sector_means, strip_of

SEEDS = 12
TURNS = 10000
CASES = [
    ("cellular", "plain", 1.0, 0.0),
    ("cellular", "plain", 0.8, 0.5),
    ("hexagon", "plain", 1.0, 0.5),
    ("cellular", "tapered", 0.5, 0.0),
    ("hexagon", "dome", 0.5, 0.5),
]


@pytest.mark.parametrize(("family", "band", "evenness", "scatter"), CASES)
def test_no_privileged_angle(family: str, band: str, evenness: float, scatter: float) -> None:
    """Columns read at their middles but set up a quarter column before them gave p = 0.0001 and 0.0002 but for plain
    bands."""
    strip = strip_of(band)
    asked = [PatternOptions(family, 24, 6, seed=k, scatter=scatter, evenness=evenness) for k in range(1, SEEDS + 1)]
    means = np.array([sector_means(strip, options) for options in asked])
    p = rotation_test(means, symmetric=band != "plain", turns=TURNS)
    # Bonferroni's correction for all measures and cases.
    assert len(MEASURES) * len(CASES) * np.min(p) > 0.01


@pytest.mark.parametrize("symmetric", [False, True])
def test_a_planted_seam_is_found(symmetric: bool) -> None:
    means = np.random.default_rng(5).normal(size=(SEEDS, 2, SECTORS))
    means[:, 1, :4] += 3.0
    p = rotation_test(means, symmetric, turns=2000)
    assert p[0] > 0.01
    assert p[1] < 0.002
