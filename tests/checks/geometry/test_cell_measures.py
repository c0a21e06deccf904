"""Distortion per cell against the cylinder, Mercator and Lambert (Snyder, USGS PP 1395) and the strip's own."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.basics.progress import Progress
from ringtex.checks.geometry.cell_measures import measure_cell_distortion
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.strip.unwrap import unwrap


class Sphere:
    """The unit sphere's zone from -0.8 to 0.8 rad, laid on by Mercator's map (7-4) or by equal areas (10-1)."""

    length = 2.0 * math.pi

    def __init__(self, equal_area: bool) -> None:
        self.equal_area = equal_area
        self.middle = math.sin(0.8) if equal_area else math.asinh(math.tan(0.8))
        self.width = 2.0 * self.middle

    def point(self, u, v):
        sine = v - self.middle if self.equal_area else np.tanh(v - self.middle)
        cosine = np.sqrt(1.0 - sine**2)
        return np.column_stack([-cosine * np.sin(u), cosine * np.cos(u), sine])


def test_mercator_keeps_angles_and_stretches_by_the_secant() -> None:
    sphere = Sphere(equal_area=False)
    tiling = make_pattern(sphere, PatternOptions("diamond", 24, 9), RailOptions(), Progress()).tiling
    found = measure_cell_distortion(tiling, sphere, 8)
    assert found.worst_angle_error_deg < 1e-5
    np.testing.assert_allclose(found.area.sum(), 4.0 * math.pi * math.sin(0.8), rtol=3e-4)  # Archimedes
    # From the strip to the sphere: cos phi, 1 at the equator.
    assert found.stretch_max.max() == pytest.approx(1.0, abs=1e-3)
    assert found.stretch_min.min() == pytest.approx(math.cos(0.8), abs=0.02)


def test_equal_areas_stay_equal_and_angles_change_as_snyder_says() -> None:
    """(4-1) with h = cos phi, k = 1 / cos phi: sin(omega / 2) = (k - h) / (k + h), largest at the zone's edge."""
    sphere = Sphere(equal_area=True)
    tiling = make_pattern(sphere, PatternOptions("diamond", 24, 9), RailOptions(), Progress()).tiling
    found = measure_cell_distortion(tiling, sphere, 12)
    np.testing.assert_allclose(found.area, tiling.areas, rtol=2e-3)
    h = math.cos(0.8)
    omega = 2.0 * math.degrees(math.asin((1.0 / h - h) / (1.0 / h + h)))
    assert found.worst_angle_error_deg == pytest.approx(omega, rel=0.03)


def test_cylinder_has_none() -> None:
    cylinder = SimpleNamespace(length=60.0, width=8.0)
    radius = 60.0 / (2.0 * math.pi)
    cylinder.point = lambda u, v: np.column_stack([-radius * np.sin(u / radius), radius * np.cos(u / radius), v])
    tiling = make_pattern(cylinder, PatternOptions("hexagon", 30), RailOptions(), Progress()).tiling
    found = measure_cell_distortion(tiling, cylinder)
    assert found.worst_angle_error_deg < 1e-6
    np.testing.assert_allclose([found.stretch_max, found.stretch_min], 1.0, atol=1e-8)


@pytest.mark.parametrize("keep", ["length", "shape", "area"])
def test_agrees_with_the_strip(keep) -> None:
    stations = (Station(0, 12, 5, 1.2), Station(180, 5, 1.8, 1.2))
    strip = unwrap(Band(8.6, BoreOptions(), BandOptions("half_round", stations, True)), keep)
    tiling = make_pattern(strip, PatternOptions("hexagon", 60), RailOptions(0.5, 0.5), Progress()).tiling
    found = measure_cell_distortion(tiling, strip, 3)
    middle = strip.distortion(*tiling.kernel[0].T)
    assert np.all(found.stretch_max >= middle.stretch_max * 0.995)
    assert np.all(found.stretch_min <= middle.stretch_min * 1.005)
    assert np.all(found.angle_error_deg >= middle.angle_error_deg - 1.0)
