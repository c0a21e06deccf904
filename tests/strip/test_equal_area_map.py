"""Keep area against the cylindrical equal-area projection, and by adding areas up."""

from __future__ import annotations

import numpy as np
import pyproj
import pytest
from numpy.testing import assert_allclose
from strip_bands import dome_band, places, plain_band, sphere_band

from ringtex.strip.unwrap import unwrap

RADIUS = 13.0


def test_snyders_equal_area_example() -> None:
    """Snyder, USGS PP 1395, App. A: radius 1, phi_s 30, lam0 75 W, phi 35 N, lam 80 E: x 2.3428242, y 0.6623090.

    The strip is as long as the equator, which is phi_s = 0; by Snyder (10-1) and (10-2) another phi_s scales x by its
    cosine and y by the inverse.
    """
    strip = unwrap(sphere_band(RADIUS), "area")
    u, v = strip.from_band(np.deg2rad([155.0]), np.array([35.0 / 40.0]))
    standard = np.cos(np.deg2rad(30.0))
    assert (u[0] - strip.length / 2.0) / RADIUS * standard == pytest.approx(2.3428242, abs=5e-8)
    assert (v[0] - strip.width / 2.0) / RADIUS / standard == pytest.approx(0.6623090, abs=5e-8)


def test_proj_equal_area() -> None:
    """PROJ's `cea` on the sphere: places and distortion factors."""
    strip, proj = unwrap(sphere_band(RADIUS), "area"), pyproj.Proj(f"+proj=cea +R={RADIUS}")
    rng = np.random.default_rng(0)
    longitude, latitude = rng.uniform(-179.0, 179.0, 300), rng.uniform(-39.9, 39.9, 300)
    u, v = strip.from_band(np.deg2rad(longitude), latitude / 40.0)
    x, y = proj(longitude, latitude)
    assert_allclose(u - strip.length / 2.0, x, atol=1e-8)
    assert_allclose(v - strip.width / 2.0, y, atol=1e-8)
    factors, ours = proj.get_factors(longitude, latitude), strip.distortion(u, v)
    assert_allclose(ours.area, 1.0, rtol=1e-6)
    assert_allclose(1.0 / ours.stretch_min, factors.parallel_scale, rtol=1e-6)
    assert_allclose(1.0 / ours.stretch_max, factors.meridional_scale, rtol=1e-6)
    assert_allclose(ours.angle_error_deg, factors.angular_distortion, atol=2e-5)


@pytest.mark.parametrize("make", [plain_band, dome_band])
@pytest.mark.parametrize("section", ["half_round", "flat", "court"])
def test_area_is_kept_everywhere(make, section: str) -> None:
    strip = unwrap(make(section), "area")
    area = strip.distortion(*places(strip)).area
    assert_allclose(area, 1.0, atol=3e-3)
    assert np.mean(np.abs(area - 1.0)) < 1e-4


def test_patches_of_equal_size_measured_as_triangles() -> None:
    """Independent of the map's own metric: flat triangles between mapped places."""
    strip = unwrap(dome_band(), "area")
    n = 400
    sums = []
    for left, low in ((0.02, 0.1), (0.45, 0.5), (0.7, 0.75)):
        u = strip.length * (left + 0.1 * np.arange(n + 1) / n)
        v = strip.width * (low + 0.2 * np.arange(n + 1) / n)
        points = strip.point(*(grid.ravel() for grid in np.meshgrid(u, v, indexing="ij"))).reshape(n + 1, n + 1, 3)
        across, along = points[1:, 1:] - points[:-1, :-1], points[1:, :-1] - points[:-1, 1:]
        sums.append(0.5 * np.sum(np.linalg.norm(np.cross(across, along), axis=-1)))
    assert_allclose(sums, 0.02 * strip.length * strip.width, rtol=2e-4)
