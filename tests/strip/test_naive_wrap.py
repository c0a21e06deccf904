"""The naive wrap: places by angle and width share, their inverse, and slopes against differences."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.strip.naive_wrap import NaiveWrap

DOME = (Station(0, 18, 9, 1.2), Station(180, 5, 1.5, 1.2))
KNIFE = (Station(0, 8, 3.5, 1.2), Station(180, 5, 2.5, 1.2))


def naive(section, stations) -> NaiveWrap:
    return NaiveWrap(Band(54.0 / (2.0 * math.pi), BoreOptions(), BandOptions(section, stations, True)))


@pytest.mark.parametrize(
    ("section", "stations"),
    [(None, DOME), ("half_round", DOME), ("knife_edge", KNIFE), ("court", KNIFE), ("flat", KNIFE)],
)
def test_places_have_the_angle_and_width_share_asked_for(section, stations) -> None:
    strip = naive(section, stations)
    places = np.random.default_rng(3).uniform((0.0, 0.0), (strip.length, strip.width), (400, 2))
    x, y, z = strip.point(*places.T).T
    theta = places[:, 0] / strip.length * 2.0 * np.pi - np.pi
    np.testing.assert_allclose(np.arctan2(-x, y), theta, atol=1e-9)
    share = 2.0 * places[:, 1] / strip.width - 1.0
    np.testing.assert_allclose(z, share * strip.band.half_width(theta), atol=1e-7)
    u, v = strip.from_band(*strip.to_band(*places.T))
    np.testing.assert_allclose(np.column_stack([u, v]), places, atol=1e-7)


def test_slopes_are_those_of_places() -> None:
    strip = naive(None, DOME)
    u, v = np.random.default_rng(3).uniform((0.0, 0.1 * strip.width), (strip.length, 0.9 * strip.width), (200, 2)).T
    _, d_u, d_v, _ = strip.jacobian(u, v)
    step = 1e-5
    np.testing.assert_allclose(d_u, (strip.point(u + step, v) - strip.point(u - step, v)) / (2 * step), atol=1e-6)
    np.testing.assert_allclose(d_v, (strip.point(u, v + step) - strip.point(u, v - step)) / (2 * step), atol=1e-6)
