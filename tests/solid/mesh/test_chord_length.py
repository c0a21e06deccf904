import math

import numpy as np
import pytest
from sample_rings import BANDS

from ringtex.solid.mesh.chord_length import chord_length, longest_side
from ringtex.strip.strip_map import unwrap


@pytest.mark.parametrize("chord_mm", [0.005, 0.02])
@pytest.mark.parametrize("radius", [0.5, 10.0])
def test_two_sides_of_a_square_lie_within_the_tolerance_on_a_sphere(chord_mm: float, radius: float) -> None:
    """The diagonal d of a square subtends a sagitta r - sqrt(r^2 - d^2 / 4) (elementary geometry)."""
    side = float(longest_side(np.array([1.0 / radius]), chord_mm)[0])
    diagonal = side * math.sqrt(2.0)
    sagitta = radius - math.sqrt(radius**2 - diagonal**2 / 4.0)
    assert sagitta == pytest.approx(chord_mm, rel=0.03)


@pytest.mark.parametrize("height", [0.1, 0.3, 1.0])
def test_raised_relief_is_longer_by_its_offset(height: float) -> None:
    """A parallel curve at height h over radius r has radius r + h and is (r + h) / r times as long."""
    chord_mm, radius = 0.005, 0.2
    side = float(longest_side(np.array([1.0 / radius]), chord_mm, height)[0])
    above = float(longest_side(np.array([1.0 / (radius + height)]), chord_mm)[0])
    assert side * (radius + height) / radius == pytest.approx(above)


def test_sunk_relief_and_level_faces_are_not_refined() -> None:
    assert longest_side(np.array([0.1]), 0.005, -0.3) == longest_side(np.array([0.1]), 0.005)
    assert np.isfinite(longest_side(np.zeros(1), 0.005)[0])


def test_a_cylinder_bends_as_its_radius() -> None:
    strip = unwrap(BANDS["flat"], "length")
    radius = strip.length / (2.0 * math.pi)
    at = chord_length(strip, np.array([1.0, 20.0]), np.array([0.5, 7.0]), 0.005)
    assert at == pytest.approx(math.sqrt(4.0 * 0.005 * radius))
