"""Longest triangle sides and the curvature behind them."""

import math

import numpy as np
import pytest
from sample_rings import BANDS, sample_ring

from ringtex.solid.mesh.chord_length import cell_curvature, chord_length, longest_edge
from ringtex.strip.unwrap import unwrap


@pytest.mark.parametrize("chord_mm", [0.005, 0.02])
@pytest.mark.parametrize("radius", [0.5, 10.0])
def test_two_sides_of_a_square_lie_within_the_tolerance_on_a_sphere(chord_mm: float, radius: float) -> None:
    """The diagonal d of a square subtends a sagitta r - sqrt(r^2 - d^2 / 4) (elementary geometry)."""
    side = float(longest_edge(np.array([1.0 / radius]), chord_mm)[0])
    diagonal = side * math.sqrt(2.0)
    sagitta = radius - math.sqrt(radius**2 - diagonal**2 / 4.0)
    assert sagitta == pytest.approx(chord_mm, rel=0.03)


@pytest.mark.parametrize("height", [0.1, 0.3, 1.0])
def test_raised_relief_is_longer_by_its_offset(height: float) -> None:
    """A parallel curve at height h over radius r has radius r + h and is (r + h) / r times as long."""
    chord_mm, radius = 0.005, 0.2
    side = float(longest_edge(np.array([1.0 / radius]), chord_mm, height)[0])
    above = float(longest_edge(np.array([1.0 / (radius + height)]), chord_mm)[0])
    assert side * (radius + height) / radius == pytest.approx(above)


def test_sunk_relief_and_level_faces_are_not_refined() -> None:
    assert longest_edge(np.array([0.1]), 0.005, -0.3) == longest_edge(np.array([0.1]), 0.005)
    assert np.isfinite(longest_edge(np.zeros(1), 0.005)[0])


def test_a_cylinder_bends_as_its_radius() -> None:
    strip = unwrap(BANDS["flat"], "length")
    radius = strip.length / (2.0 * math.pi)
    at = chord_length(strip, np.array([1.0, 20.0]), np.array([0.5, 7.0]), 0.005)
    assert at == pytest.approx(math.sqrt(4.0 * 0.005 * radius))


def densest(name: str, family: str) -> tuple[np.ndarray, np.ndarray]:
    """(cells,) the largest curvature in each cell's middle column by many samples, and what cell_bends found."""
    ring = sample_ring(name, family)
    tiling, centre = ring.tiling, ring.tiling.kernel[0]
    first = tiling.cell_start[:-1]
    low = np.minimum.reduceat(tiling.corners[:, 1], first)
    high = np.maximum.reduceat(tiling.corners[:, 1], first)
    v = low[:, None] + np.linspace(0.0, 1.0, 400) * (high - low)[:, None]
    u = np.repeat(centre[:, :1], 400, axis=1)
    sampled = ring.strip.max_curvature(u.ravel(), v.ravel()).reshape(v.shape).max(axis=1)
    return sampled, cell_curvature(ring.strip, tiling, centre)


@pytest.mark.parametrize("name", BANDS)
@pytest.mark.parametrize("family", ["hexagon", "cellular"])
def test_no_bend_in_a_cell_is_missed(name: str, family: str) -> None:
    sampled, found = densest(name, family)
    assert np.all(found >= 0.93 * sampled)


def test_the_crown_of_a_knife_edge_is_seen_between_corners() -> None:
    """The crown has a radius of 0.2 mm (a usual breaking of edges, common practice, no source), so a curvature of 5;
    two rows of hexagons have no corner on it."""
    ring = sample_ring("knife_edge", "hexagon")
    at_corners = ring.strip.max_curvature(*ring.tiling.vertices.T)
    bends = cell_curvature(ring.strip, ring.tiling, ring.tiling.kernel[0])
    assert at_corners.max() < 1.0
    assert bends.max() == pytest.approx(5.0, rel=0.05)


def test_a_flat_band_bends_the_same_everywhere() -> None:
    ring = sample_ring("flat")
    radius = ring.strip.length / (2.0 * np.pi)
    assert cell_curvature(ring.strip, ring.tiling, ring.tiling.kernel[0]) == pytest.approx(1.0 / radius)
