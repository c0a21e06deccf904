"""Fairness: jumps of curvature are found with their size and place, smooth bands have none."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringtex.band.band import Band
from ringtex.band.bore import BoreOptions
from ringtex.band.presets import PRESETS
from ringtex.checks.geometry.fairness import FAIR_JUMP, measure_fairness


class Kinked:
    """A crown of radius 10 whose curvature rises smoothly by 0.5 and jumps by `jump` at 37 degrees and back at -20."""

    def __init__(self, jump: float) -> None:
        self.jump = jump

    def curvatures(self, theta, across):
        turned = np.mod(theta + math.pi, 2.0 * math.pi) - math.pi
        inside = (turned > math.radians(-20.0)) & (turned < math.radians(37.0))
        return 0.1 + 0.25 * np.sin(turned) + self.jump * inside, np.full(theta.shape, 0.02)

    def profile(self, theta, across):
        return np.full(theta.shape, 10.0), np.zeros(theta.shape)


@pytest.mark.parametrize("jump", [0.002, 0.05, 1.0])
def test_a_jump_is_found_with_its_size_and_place(jump: float) -> None:
    """Radii that meet tangentially, as arcs drawn with compasses do, differ by such a jump."""
    worst = measure_fairness(Kinked(jump)).worst
    assert worst.jump == pytest.approx(jump, rel=0.01, abs=1e-4)
    assert min(abs(worst.jump_deg - 37.0), abs(worst.jump_deg + 20.0)) < 0.2
    assert not measure_fairness(Kinked(jump)).fair


def test_smooth_change_is_no_jump() -> None:
    found = measure_fairness(Kinked(0.0))
    assert found.fair
    assert found.worst.jump < 1e-6
    # The sine changes fastest, by 0.25 / 10 a millimetre, at the head and the palm.
    assert found.lines[0].change == pytest.approx(0.025, rel=1e-3)


@pytest.mark.parametrize("preset", PRESETS, ids=lambda preset: preset.name)
def test_every_preset_is_fair(preset) -> None:
    found = measure_fairness(Band(54.0 / (2.0 * math.pi), BoreOptions(), preset.options))
    assert found.fair
    assert found.worst.jump < 0.01 * FAIR_JUMP
    assert [line.line for line in found.lines] == ["crown", "lower edge", "upper edge"]
