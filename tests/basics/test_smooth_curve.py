"""Smooth curves against scipy's PCHIP interpolation (the same slopes inside), and what they promise."""

from __future__ import annotations

import numpy as np
import pytest

from ringtex.basics.smooth_curve import SmoothCurve

X = np.array([0.0, 0.7, 1.0, 2.5, 4.0, 4.2])
Y = np.array([1.0, 2.0, 1.5, 1.5, 3.0, 7.0])


def test_between_inner_places_it_is_pchip() -> None:
    from scipy.interpolate import PchipInterpolator  # here, because it takes most of a second to import

    at = np.linspace(X[1], X[-2], 200)
    np.testing.assert_allclose(SmoothCurve(X, Y)(at), PchipInterpolator(X, Y)(at), rtol=1e-12)


def test_closed_curves_repeat_and_are_pchip_of_three_turns() -> None:
    from scipy.interpolate import PchipInterpolator

    closed = SmoothCurve(X, Y, 5.0)
    at = np.linspace(-12.0, 17.0, 400)
    np.testing.assert_allclose(closed(at), closed(at + 5.0), atol=1e-9)
    turns = np.concatenate([X - 5.0, X, X + 5.0])
    inside = np.linspace(0.0, 4.999, 300)
    np.testing.assert_allclose(closed(inside), PchipInterpolator(turns, np.tile(Y, 3))(inside), rtol=1e-12)
    step = 1e-7
    slopes = [(closed(a + step) - closed(a)) / step for a in (-step, 0.0)]
    assert slopes[0] == pytest.approx(slopes[1], abs=1e-4)


def test_never_beyond_its_neighbours() -> None:
    rng = np.random.default_rng(1)
    for _ in range(50):
        x, y = np.sort(rng.uniform(0.0, 360.0, 7)), rng.uniform(0.1, 8.0, 7)
        curve = SmoothCurve(x, y, 360.0)
        assert np.max(curve(np.linspace(0.0, 360.0, 2000))) <= y.max() + 1e-9
        assert np.min(curve(np.linspace(0.0, 360.0, 2000))) >= y.min() - 1e-9
        np.testing.assert_allclose(curve(x), y, rtol=1e-9)


def test_one_place_is_level_and_order_does_not_matter() -> None:
    np.testing.assert_array_equal(SmoothCurve([20.0], [3.0], 360.0)([-500.0, 20.0, 7.0]), 3.0)
    np.testing.assert_array_equal(SmoothCurve([0.5], [3.0])([-5.0, 2.0]), 3.0)
    at = np.linspace(-1.0, 6.0, 50)
    np.testing.assert_array_equal(SmoothCurve(X[::-1], Y[::-1])(at), SmoothCurve(X, Y)(at))
    assert SmoothCurve(X, Y)(-9.0) == 1.0
    assert SmoothCurve(X, Y)(99.0) == 7.0
