"""Profiles of drawn shapes: their terraces."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringtex.relief.cell_profile import TERRACES
from ringtex.relief.distance_profile import TREAD, distance_profile
from ringtex.relief.relief_options import ReliefOptions


@pytest.mark.parametrize("wall_width_mm", [0.0, 0.4])
def test_terraces_of_drawn_shapes_are_level_and_twice_as_wide_as_high(wall_width_mm: float) -> None:
    """By elementary geometry: flanks of 60 degrees, three of 0.1 mm, with two terraces of 0.2 mm between them."""
    options = ReliefOptions("step", depth_mm=0.3, wall_width_mm=wall_width_mm, flank_deg=60.0, corner_mm=0.0)
    profile = distance_profile(options, 1.0, 0.005)
    flank, tread = 0.1 / math.tan(math.radians(60.0)), TREAD * 0.1
    for step in range(TERRACES):
        ends = (step + 1) * flank + step * tread + np.array([0.0, tread])
        ends += np.array([1e-9, -1e-9])
        assert profile.heights(ends) == pytest.approx(0.1 * (step + 1), abs=1e-6)
    assert profile.width_mm == pytest.approx(TERRACES * flank + (TERRACES - 1) * tread)
