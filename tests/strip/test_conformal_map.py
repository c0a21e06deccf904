"""Keep shape against Mercator: Snyder's worked example, PROJ, and the order of convergence of the general solver."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pyproj
import pytest
from numpy.testing import assert_allclose
from strip_bands import BORE_54, SECTIONS, dome_band, places, sphere_band

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.strip.unwrap import unwrap
from ringtex.strip.varied_strip import VariedStrip

RADIUS = 13.0


def across_at(latitude: np.ndarray) -> np.ndarray:
    """A court section's parameter is proportional to its angle; the zone's edges are at 40 degrees."""
    return latitude / np.deg2rad(40.0)


def test_snyders_mercator_example() -> None:
    """Snyder, USGS PP 1395, App. A: sphere of radius 1, lam0 180 W, phi 35 N, lam 75 W: x 1.8325957, y 0.6528366."""
    strip = unwrap(sphere_band(RADIUS), "shape")
    theta, latitude = np.deg2rad([105.0]), np.deg2rad([35.0])
    u, v = strip.from_band(theta, across_at(latitude))
    assert (u[0] - strip.length / 2.0) / RADIUS == pytest.approx(1.8325957, abs=5e-8)
    assert (v[0] - strip.width / 2.0) / RADIUS == pytest.approx(0.6528366, abs=5e-8)
    # h = k = 1.2207746 there, sphere to map; ours runs the other way.
    distortion = strip.distortion(u, v)
    assert 1.0 / distortion.stretch_max[0] == pytest.approx(1.2207746, abs=5e-8)
    assert 1.0 / distortion.stretch_min[0] == pytest.approx(1.2207746, abs=5e-8)
    assert distortion.angle_error_deg[0] == pytest.approx(0.0, abs=1e-5)


def test_proj_mercator() -> None:
    """PROJ's `merc` on the sphere: places and distortion factors."""
    strip, proj = unwrap(sphere_band(RADIUS), "shape"), pyproj.Proj(f"+proj=merc +R={RADIUS}")
    rng = np.random.default_rng(0)
    longitude, latitude = rng.uniform(-179.0, 179.0, 300), rng.uniform(-39.9, 39.9, 300)
    u, v = strip.from_band(np.deg2rad(longitude), across_at(np.deg2rad(latitude)))
    x, y = proj(longitude, latitude)
    assert_allclose(u - strip.length / 2.0, x, atol=1e-8)
    assert_allclose(v - strip.width / 2.0, y, atol=1e-8)
    factors, ours = proj.get_factors(longitude, latitude), strip.distortion(u, v)
    assert_allclose(1.0 / ours.stretch_max, factors.parallel_scale, rtol=1e-6)
    assert_allclose(1.0 / ours.stretch_min, factors.meridional_scale, rtol=1e-6)
    assert_allclose(1.0 / ours.area, factors.areal_scale, rtol=1e-6)


def test_the_general_solver_is_second_order_against_mercator() -> None:
    band = sphere_band(RADIUS)
    exact_width = 2.0 * RADIUS * np.arctanh(np.sin(np.deg2rad(40.0)))  # Snyder (7-2)
    rng = np.random.default_rng(1)
    longitude, latitude = rng.uniform(-np.pi, np.pi, 400), np.deg2rad(rng.uniform(-39.9, 39.9, 400))
    x, y = RADIUS * longitude, RADIUS * np.arctanh(np.sin(latitude))
    misses, widths = [], []
    for around, across in ((32, 8), (64, 16), (128, 32)):
        strip = VariedStrip(band, "shape", (around, across))
        u, v = strip.from_band(longitude, across_at(latitude))
        misses.append(max(np.max(np.abs(u - strip.length / 2.0 - x)), np.max(np.abs(v - strip.width / 2.0 - y))))
        widths.append(abs(strip.width - exact_width))
    for coarse, fine in pairwise(misses):
        assert coarse / fine == pytest.approx(4.0, rel=0.2)
    assert widths[0] > widths[1] > widths[2]
    assert widths[-1] < 2e-4 * exact_width


def test_a_dome_keeps_its_shapes() -> None:
    strip = unwrap(dome_band(), "shape")
    dilatation = strip.distortion(*places(strip, 20000)).dilatation
    assert dilatation.max() <= 1.003
    assert dilatation.mean() <= 1.0002


def test_a_domes_proportion_settles() -> None:
    """The annulus's modulus, at twice and half the grid: differences fall by about four."""
    widths = [VariedStrip(dome_band(), "shape", grid).width for grid in ((64, 32), (128, 64), (256, 128))]
    assert abs(widths[2] - widths[1]) < abs(widths[1] - widths[0]) / 3.0
    assert abs(widths[2] - widths[1]) < 1e-3 * widths[2]


@pytest.mark.parametrize("section", SECTIONS)
@pytest.mark.parametrize("field", ["width_mm", "height_mm", "edge_height_mm", "fullness"])
def test_stations_that_hardly_differ_are_flattened_as_equal_ones(section: str | None, field: str) -> None:
    """What is to be solved beside the even turn is then rounding alone; Mercator's rule is the reference."""
    even = {"width_mm": 6.0, "height_mm": 2.0, "edge_height_mm": 1.2, "fullness": 2.0}
    width = unwrap(Band(BORE_54, BoreOptions(), BandOptions(section, (Station(0.0, **even),))), "shape").width
    for power in (*range(-14, -4), 0 if field == "fullness" and section else -4):
        other = {**even, field: even[field] + 10.0**power}
        band = Band(BORE_54, BoreOptions(), BandOptions(section, (Station(0.0, **even), Station(180.0, **other))))
        assert unwrap(band, "shape").width == pytest.approx(width, rel=1e-3)


def test_graded_columns_leave_no_kink() -> None:
    """A band whose density reaches its limit on both sides: 1.0002 where a limit cuts the rate off, 1.00002 here."""
    stations = (Station(0.0, 14.0, 2.0, 2.0), Station(180.0, 4.0, 2.0, 2.0))
    strip = unwrap(Band(BORE_54, BoreOptions(), BandOptions("flat", stations)), "shape")
    assert strip.distortion(*places(strip, 20000)).dilatation.max() <= 1.00005
