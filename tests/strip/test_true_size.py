"""The true-size drawing: its map, its inverse and its lengths, on a sphere and by chords on the band itself."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose
from strip_bands import SECTIONS, dome_band, places, plain_band, sphere_band

from ringtex.band.band import Band
from ringtex.strip.strip_map import StripMap
from ringtex.strip.true_size import CrownLine, TrueSize, length_on_ring
from ringtex.strip.unwrap import unwrap

BANDS = [(make, section) for make in (plain_band, dome_band) for section in SECTIONS]
CHORDS = 40_001


@pytest.fixture(scope="module", params=BANDS, ids=lambda case: f"{case[0].__name__}-{case[1]}")
def strip(request: pytest.FixtureRequest) -> StripMap:
    make, section = request.param
    return unwrap(make(section), "shape")


def arc(band: Band, theta: np.ndarray, across: np.ndarray) -> float:
    """Length of a line on the outer face, mm, as the sum of chords."""
    points = band.outer(np.broadcast_to(theta, (CHORDS,)), np.broadcast_to(across, (CHORDS,))).point
    return float(np.sum(np.linalg.norm(np.diff(points, axis=0), axis=1)))


def test_there_and_back(strip: StripMap) -> None:
    plane = TrueSize(strip)
    u, v = places(strip)
    for turn in (-1.0, 0.0, 2.0):
        x, y = plane.to_plane(u + turn * strip.length, v)
        back_u, back_v = plane.to_strip(x, y)
        assert_allclose(back_u, u + turn * strip.length, atol=1e-9)
        assert_allclose(back_v, v, atol=1e-9)


def test_a_turn_moves_the_drawing_along_by_its_length(strip: StripMap) -> None:
    plane = TrueSize(strip)
    u, v = places(strip, 500)
    x, y = plane.to_plane(u, v)
    next_x, next_y = plane.to_plane(u + strip.length, v)
    assert_allclose(next_x, x + plane.length, atol=1e-9)
    assert_allclose(next_y, y, atol=1e-9)


def test_lengths_along_the_crown_and_across_are_the_rings(strip: StripMap) -> None:
    plane, band = TrueSize(strip), strip.band
    turn = np.linspace(-np.pi, np.pi, CHORDS)
    assert plane.length == pytest.approx(arc(band, turn, np.zeros(1)), rel=1e-6)
    for theta in (-3.0, -1.234, 0.0, 0.7):
        line = np.linspace(-1.0, 1.0, CHORDS)
        u, v = strip.from_band(np.full(2, theta), np.array([-1.0, 1.0]))
        _, y = plane.to_plane(u, v)
        assert y[1] - y[0] == pytest.approx(arc(band, np.full(1, theta), line), abs=3e-3)
        half = np.linspace(0.0, 0.6, CHORDS)
        _, (low, high) = plane.to_plane(*strip.from_band(np.full(2, theta), half[[0, -1]]))
        assert low == pytest.approx(plane.crown_y, abs=1e-9)
        assert high - low == pytest.approx(arc(band, np.full(1, theta), half), abs=3e-3)


def test_the_map_is_one_to_one(strip: StripMap) -> None:
    plane = TrueSize(strip)
    u, v = np.meshgrid(np.linspace(0.0, strip.length, 97), np.linspace(0.0, strip.width, 33)[1:-1], indexing="ij")
    step = 1e-4
    at, right, up = (
        np.stack(plane.to_plane(u.ravel() + a * step, v.ravel() + b * step)) for a, b in ((0, 0), (1, 0), (0, 1))
    )
    jacobian = (right - at)[0] * (up - at)[1] - (right - at)[1] * (up - at)[0]
    assert np.all(jacobian > 0.0)


def test_beyond_an_edge_the_drawing_goes_on_as_the_strip_does(strip: StripMap) -> None:
    plane = TrueSize(strip)
    u = np.full(2, 0.3 * strip.length)
    x, y = plane.to_plane(u, np.array([-2.0, strip.width + 3.0]))
    _, edge = plane.to_plane(u, np.array([0.0, strip.width]))
    assert_allclose(y - edge, (-2.0, 3.0), atol=1e-9)
    assert_allclose(plane.to_strip(x, y)[1], (-2.0, strip.width + 3.0), atol=1e-9)


def test_a_zone_of_a_sphere_is_as_high_as_its_meridian_is_long() -> None:
    # On a sphere of radius R lines across are meridians: R times the latitude; the crown line is the equator.
    radius, latitude = 13.0, np.radians(40.0)
    strip = unwrap(sphere_band(radius, 40.0), "shape")
    plane = TrueSize(strip)
    assert plane.length == pytest.approx(2.0 * np.pi * radius, rel=1e-6)
    assert plane.height == pytest.approx(2.0 * radius * latitude, rel=1e-5)
    u, v = places(strip, 500)
    _, y = plane.to_plane(u, v)
    z = strip.point(u, v)[:, 2]
    assert_allclose(y - plane.crown_y, radius * np.arcsin(np.clip(z / radius, -1.0, 1.0)), atol=2e-3)


def test_the_crown_line_knows_its_angles_and_its_lengths(strip: StripMap) -> None:
    crown = CrownLine(strip)
    along = np.linspace(-crown.length, 2.0 * crown.length, 301)
    assert_allclose(crown.length_at(crown.angle_at(along)), along, atol=1e-9)
    u = crown.u_at(along)
    on_crown, _ = strip.from_band(crown.angle_at(along), np.zeros(len(along)))
    assert_allclose(u, on_crown, atol=2e-3)


def test_a_length_on_the_ring_is_the_sum_of_its_chords() -> None:
    # Round a flat band of 8 mm: the strip's millimetres are the ring's.
    strip = unwrap(plain_band("flat"), "shape")
    assert length_on_ring(strip, (1.0, 0.5 * strip.width), (4.0, 0.5 * strip.width)) == pytest.approx(3.0, abs=1e-3)
    radius = strip.length / (2.0 * np.pi)
    # A quarter of a turn in 32 chords (the length of a chord: 2 R sin(angle / 2)).
    chords = 32 * 2.0 * radius * np.sin(np.pi / 128.0)
    assert length_on_ring(strip, (0.0, 4.0), (0.25 * strip.length, 4.0)) == pytest.approx(chords, rel=1e-6)
