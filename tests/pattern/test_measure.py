"""Measures of cells against known figures."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
from cell_measures import area_spread, boundary_walls, perimeters, roundness, second_moments

from ringtex.basics.progress import Progress
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.measure import areas_on_ring, on_border, percent_words, sides, six_sided_share
from ringtex.pattern.pattern_options import PatternOptions, RailOptions


class SphereStrip:
    """Mercator strip of a sphere's zone: scale sec(latitude) = cosh(v) on the unit sphere (Snyder, USGS PP 1395,
    7-3)."""

    length = 2.0 * math.pi
    width = 1.6

    def metric(self, u, v):
        square = np.cosh(v - 0.8) ** -2
        return square, np.zeros_like(u), square


def hexagons(width: float | None = None, **options):
    pitch = 58.0 / 24
    strip = SimpleNamespace(length=58.0, width=width or 6 * pitch * math.sqrt(3.0) / 2.0)
    return make_pattern(strip, PatternOptions(around=24, **options), RailOptions(), Progress()).tiling


def test_regular_hexagons() -> None:
    """4 pi A / P^2 = pi sqrt 3 / 6 = 0.9069; normalised second moment 5 / (36 sqrt 3), as in tables of lattice
    quantisers."""
    tiling = hexagons(across=6)
    inner = ~on_border(tiling)
    np.testing.assert_allclose(roundness(tiling)[inner], math.pi * math.sqrt(3.0) / 6.0, rtol=1e-12)
    np.testing.assert_allclose(second_moments(tiling)[inner], 0.0801875374, rtol=1e-9)
    np.testing.assert_allclose(perimeters(tiling)[inner], 6.0 * (58.0 / 24) / math.sqrt(3.0), rtol=1e-12)
    assert six_sided_share(tiling) == 1.0
    # Straightened border cells have five sides.
    assert np.all(sides(tiling)[~inner] == 5)
    assert boundary_walls(tiling) == 48


def test_one_row_has_no_inner_cells_to_count() -> None:
    assert six_sided_share(hexagons(across=1)) is None
    assert (percent_words(None), percent_words(0.925)) == ("–", "92 %")


def test_square_second_moment() -> None:
    """1/12 for a square."""
    tiling = make_pattern(
        SimpleNamespace(length=58.0, width=6 * 29.0 / 24), PatternOptions("diamond", 24, 5), RailOptions(), Progress()
    ).tiling
    squares = np.diff(tiling.cell_start) == 4
    np.testing.assert_allclose(second_moments(tiling)[squares], 1.0 / 12.0, rtol=1e-12)
    np.testing.assert_allclose(roundness(tiling)[squares], math.pi / 4.0, rtol=1e-12)


@pytest.mark.parametrize("family", ["hexagon", "cellular"])
def test_areas_on_a_sphere_add_up(family: str) -> None:
    """Archimedes: a zone of the unit sphere has the area 2 pi times its height, here 2 tanh(0.8)."""
    strip = SphereStrip()
    pattern = make_pattern(strip, PatternOptions(family, around=24), RailOptions(), Progress())
    areas = areas_on_ring(pattern.tiling, strip)
    assert float(np.sum(areas)) == pytest.approx(2.0 * math.pi * 2.0 * math.tanh(0.8), rel=1e-7)
    spread = area_spread(areas)
    assert spread.min < spread.mean < spread.max
    assert spread.cv == pytest.approx(np.std(areas) / np.mean(areas))


def test_second_moment_about_sites_is_larger() -> None:
    """Steiner: about any other point the second moment exceeds that about the centroid."""
    strip = SimpleNamespace(length=58.0, width=8.0)
    pattern = make_pattern(strip, PatternOptions("cellular", 20, 6, scatter=1.0), RailOptions(), Progress())
    if len(pattern.sites) == pattern.tiling.cells:
        assert np.all(second_moments(pattern.tiling, pattern.sites) >= second_moments(pattern.tiling) - 1e-12)
