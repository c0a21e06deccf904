from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.special import ellipe
from strip_bands import BORE_54, dome_band, places, plain_band

from ringtex.strip.unwrap import unwrap


def test_a_flat_band_is_unrolled_true() -> None:
    strip = unwrap(plain_band("flat"), "length")
    assert strip.length == pytest.approx(2.0 * np.pi * (BORE_54 + 1.6), rel=1e-14)
    assert strip.width == pytest.approx(8.0, rel=1e-14)
    distortion = strip.distortion(*places(strip))
    assert_allclose(distortion.stretch_max, 1.0, rtol=1e-12)
    assert_allclose(distortion.stretch_min, 1.0, rtol=1e-12)
    assert_allclose(distortion.angle_error_deg, 0.0, atol=1e-6)


def test_the_width_of_a_half_round_band_is_half_an_ellipse() -> None:
    """Half an ellipse is 2 a E(m) long, m = 1 - b^2 / a^2 (complete elliptic integral, scipy)."""
    strip = unwrap(plain_band("half_round"), "length")
    assert strip.width == pytest.approx(2.0 * 4.0 * ellipe(1.0 - 0.6**2 / 4.0**2), rel=1e-12)


def test_v_is_arc_length_across() -> None:
    strip = unwrap(plain_band("half_round"), "length")
    v = np.linspace(0.0, strip.width, 2001)
    polygon = strip.jacobian(np.zeros(2001), v).point
    # Chords are shorter than their arcs by (curvature x length)^2 / 24: 1e-4 at the edges, far less between.
    assert_allclose(np.linalg.norm(np.diff(polygon, axis=0), axis=1), strip.width / 2000, rtol=1e-4)


def test_on_a_dome_u_is_the_angle_and_v_the_share_of_the_arc() -> None:
    strip = unwrap(dome_band(), "length")
    u, v = places(strip)
    theta, _ = strip.to_band(u, v)
    assert_allclose(theta, 2.0 * np.pi * u / strip.length - np.pi, atol=1e-12)
    for place in (0.0, 0.3 * strip.length, 0.5 * strip.length):
        line = strip.jacobian(np.full(4001, place), np.linspace(0.0, strip.width, 4001)).point
        steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
        assert_allclose(steps[5:-5], np.mean(steps), rtol=2e-3)
