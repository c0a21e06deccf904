from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringtex.band.station_curve import StationCurve

TURN = 2.0 * np.pi


@st.composite
def station_sets(draw: st.DrawFn) -> tuple[list[float], np.ndarray]:
    """Angles at least a degree apart and positive values."""
    degrees = draw(st.lists(st.integers(0, 359), min_size=1, max_size=8, unique=True))
    values = draw(st.lists(st.floats(0.3, 40.0), min_size=len(degrees), max_size=len(degrees)))
    return [np.deg2rad(d) for d in degrees], np.array(values)[:, None]


@given(station_sets())
@settings(max_examples=200, deadline=None)
def test_it_meets_every_station(stations: tuple[list[float], np.ndarray]) -> None:
    theta, values = stations
    np.testing.assert_allclose(StationCurve(theta, values).at(np.array(theta)), values, rtol=1e-12)


@given(station_sets())
@settings(max_examples=200, deadline=None)
def test_never_two_per_cent_beyond_the_neighbouring_stations(stations: tuple[list[float], np.ndarray]) -> None:
    curve = StationCurve(*stations)
    share = np.linspace(0.0, 1.0, 101)
    values = curve.values[:, 0]
    for index, (start, span) in enumerate(zip(curve.start, curve.span, strict=True)):
        between = curve.at(start + span * share)[:, 0]
        pair = values[index], values[(index + 1) % len(values)]
        assert between.max() <= 1.02 * max(pair)
        assert between.min() >= 0.98 * min(pair)


@given(station_sets())
@settings(max_examples=100, deadline=None)
def test_value_slope_and_second_derivative_are_continuous(stations: tuple[list[float], np.ndarray]) -> None:
    curve = StationCurve(*stations)
    powers = np.arange(6)
    for index, span in enumerate(curve.span):
        here, ahead = curve.coefficients[index, :, 0], curve.coefficients[(index + 1) % len(curve.span), :, 0]
        scale = max(1.0, *np.abs(here), *np.abs(ahead))
        next_span = curve.span[(index + 1) % len(curve.span)]
        assert here.sum() == pytest.approx(ahead[0], abs=1e-9 * scale)
        assert here @ powers / span == pytest.approx(ahead[1] / next_span, abs=1e-9 * scale / span)
        bend = here @ (powers * (powers - 1)) / span**2
        assert bend == pytest.approx(2.0 * ahead[2] / next_span**2, abs=1e-8 * scale / min(span, next_span) ** 2)


@given(station_sets(), st.floats(-10.0, 10.0))
@settings(max_examples=50, deadline=None)
def test_it_closes_after_a_turn(stations: tuple[list[float], np.ndarray], theta: float) -> None:
    curve = StationCurve(*stations)
    np.testing.assert_allclose(curve.at(np.array([theta])), curve.at(np.array([theta + TURN])), rtol=1e-9)


def test_two_stations_are_a_cosine_to_a_thousandth_or_so() -> None:
    curve = StationCurve([0.0, np.pi], np.array([[9.0], [1.5]]))
    theta = np.linspace(-np.pi, np.pi, 721)
    cosine = 5.25 + 3.75 * np.cos(theta)
    assert np.max(np.abs(curve.at(theta)[:, 0] - cosine)) < 0.0015 * 7.5
    # No plateau: at the head it bends as a cosine does.
    bend = (curve.at(np.array([1e-3]))[0, 0] - 9.0) / (0.5 * 1e-6)
    assert bend == pytest.approx(-3.75, rel=0.05)


def test_samples_of_a_sine_give_the_sine_back() -> None:
    theta = TURN * np.arange(8) / 8
    curve = StationCurve(theta, (5.0 + np.sin(theta))[:, None])
    looked = np.linspace(0.0, TURN, 500)
    assert np.max(np.abs(curve.at(looked)[:, 0] - 5.0 - np.sin(looked))) < 2e-3


def test_stations_the_same_left_and_right_give_the_same_band_left_and_right() -> None:
    theta = np.deg2rad([0.0, 35.0, -35.0, 110.0, -110.0, 180.0])
    values = np.array([9.0, 8.0, 8.0, 2.0, 2.0, 1.5])[:, None]
    curve = StationCurve(theta, values)
    looked = np.linspace(0.0, np.pi, 300)
    np.testing.assert_allclose(curve.at(looked), curve.at(-looked), rtol=1e-12)


@given(st.integers(1, 178), st.floats(0.4, 10.0))
@settings(max_examples=60, deadline=None)
def test_nothing_jumps_while_a_station_is_dragged(degrees: int, value: float) -> None:
    theta = np.linspace(0.0, TURN, 200)

    def shape(angle: float, height: float) -> np.ndarray:
        return StationCurve([0.0, angle, np.pi], np.array([[9.0], [height], [1.5]])).at(theta)[:, 0]

    angle, hair = np.deg2rad(degrees), 1e-7
    before = shape(angle, value)
    assert np.max(np.abs(shape(angle + hair, value) - before)) < 1e-3
    assert np.max(np.abs(shape(angle, value + hair) - before)) < 1e-4


def test_two_near_stations_shape_the_band_like_one() -> None:
    theta = np.linspace(0.0, TURN, 400)
    one = StationCurve([0.0, np.pi], np.array([[9.0], [1.5]])).at(theta)[:, 0]
    near = np.deg2rad(0.01)
    two = StationCurve([-near, near, np.pi], np.array([[9.0], [9.0], [1.5]])).at(theta)[:, 0]
    assert np.max(np.abs(one - two)) < 0.01


def test_complex_steps_give_the_slope() -> None:
    curve = StationCurve([0.3, 2.0, 4.0], np.array([[3.0], [5.0], [2.0]]))
    theta = np.linspace(0.0, TURN, 50)
    exact = np.imag(curve.at(theta + 1e-30j)) / 1e-30
    step = 1e-6
    np.testing.assert_allclose(exact, (curve.at(theta + step) - curve.at(theta - step)) / (2 * step), atol=1e-7)
