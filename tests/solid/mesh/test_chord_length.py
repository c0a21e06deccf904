"""The second form of the outer face and sagittas by it."""

import math
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from sample_rings import BANDS, sample_ring

from ringtex.solid.mesh.chord_length import (
    SMALL_BEND,
    CellForms,
    _RunMaxima,
    cell_forms,
    longest_edge,
    second_form,
)
from ringtex.strip.unwrap import unwrap


def forms(uu: float, vv: float, curvature: float) -> CellForms:
    zero = np.zeros(1)
    return CellForms(np.array([uu]), zero, np.array([vv]), zero, zero, np.array([curvature]))


@pytest.mark.parametrize("radius", [0.5, 10.0])
def test_the_sagitta_of_a_chord_is_that_of_its_circle(radius: float) -> None:
    """A chord c subtends a sagitta r - sqrt(r^2 - c^2 / 4) (elementary geometry)."""
    chord = 0.2 * radius
    exact = radius - math.sqrt(radius**2 - chord**2 / 4.0)
    sphere = forms(1.0 / radius, 1.0 / radius, 1.0 / radius)
    for edge in ((chord, 0.0), (0.0, chord), (0.6 * chord, 0.8 * chord)):
        assert sphere.sagitta(np.array([0]), np.array([edge]))[0] == pytest.approx(exact, rel=0.01)


@pytest.mark.parametrize("height", [0.1, 0.3, 1.0])
def test_raised_relief_is_longer_by_its_offset(height: float) -> None:
    """A parallel curve at height h over radius r has radius r + h and is (r + h) / r times as long."""
    radius, edge = 8.6, np.array([[0.4, 0.0]])
    sagitta = forms(1.0 / radius, 0.0, 1.0 / radius).sagitta(np.array([0]), edge, height)[0]
    longer = 0.4 * (radius + height) / radius
    assert sagitta == pytest.approx(longer**2 / (8.0 * (radius + height)))


def test_sunk_relief_is_not_refined_less() -> None:
    form, edge = forms(0.1, 0.0, 0.1), np.array([[0.4, 0.0]])
    assert form.sagitta(np.array([0]), edge, -0.3) == form.sagitta(np.array([0]), edge)


def test_a_cylinder_is_curved_round_its_axis_alone() -> None:
    strip = unwrap(BANDS["flat"], "length")
    radius = strip.length / (2.0 * math.pi)
    uu, uv, vv, side_u, side_v, curvature = second_form(strip, np.array([1.0, 20.0]), np.array([0.5, 7.0]))
    assert uu == pytest.approx(1.0 / radius, rel=1e-4)
    assert curvature == pytest.approx(1.0 / radius, rel=1e-4)
    assert np.abs([uv, vv, side_u, side_v]).max() < 1e-5


def densest(name: str, family: str) -> tuple[np.ndarray, np.ndarray]:
    """(cells,) the largest curvature in each cell's middle column by many samples, and what cell_forms found."""
    ring = sample_ring(name, family)
    tiling, centre = ring.tiling, ring.tiling.kernel[0]
    first = tiling.cell_start[:-1]
    low = np.minimum.reduceat(tiling.corners[:, 1], first)
    high = np.maximum.reduceat(tiling.corners[:, 1], first)
    v = low[:, None] + np.linspace(0.0, 1.0, 400) * (high - low)[:, None]
    u = np.repeat(centre[:, :1], 400, axis=1)
    sampled = ring.strip.max_curvature(u.ravel(), v.ravel()).reshape(v.shape).max(axis=1)
    return sampled, cell_forms(ring.strip, tiling, centre).curvature


@pytest.mark.parametrize("name", BANDS)
@pytest.mark.parametrize("family", ["hexagon", "cellular"])
def test_no_curvature_in_a_cell_is_missed(name: str, family: str) -> None:
    sampled, found = densest(name, family)
    assert np.all(found >= 0.93 * sampled)


def test_the_crown_of_a_knife_edge_is_seen_between_corners() -> None:
    """The crown has a radius of 0.2 mm (a usual breaking of edges, common practice, no source), so a curvature of 5;
    two rows of hexagons have no corner on it."""
    ring = sample_ring("knife_edge", "hexagon")
    at_corners = ring.strip.max_curvature(*ring.tiling.vertices.T)
    curvature = cell_forms(ring.strip, ring.tiling, ring.tiling.kernel[0]).curvature
    assert at_corners.max() < 1.0
    assert curvature.max() == pytest.approx(5.0, rel=0.05)


@pytest.mark.parametrize("chord_mm", [0.1, 0.02, 0.005])
def test_bends_within_the_tolerance_need_no_shorter_edges(chord_mm: float) -> None:
    """A right angle rounded with a radius r lies r (1 - cos 45 degrees) off its chord (elementary geometry): with the
    largest radius that counts as small that is within the tolerance. Edges of sharper bends are as long."""
    radius = SMALL_BEND * chord_mm
    assert radius * (1.0 - math.cos(math.radians(45.0))) < chord_mm
    small, sharper = (float(longest_edge(np.array([1.0 / r]), chord_mm)[0]) for r in (radius, 0.01 * radius))
    assert sharper == small
    assert small == pytest.approx(2.0 * math.sqrt(chord_mm * radius))


def test_threads_that_ask_at_once_find_the_same_maxima() -> None:
    """The window builds in several threads from one strip; the maximum of each run is numpy's own."""
    values = np.random.default_rng(2).random((6, 96, 257))
    bottom = np.random.default_rng(3).integers(0, 100, 40)
    top = bottom + np.random.default_rng(4).integers(0, 150, 40)
    turn = np.linspace(0.0, 1.0, 40, endpoint=False)
    column = np.rint(turn * 96).astype(int) % 96
    wanted = [values[:, at, low : high + 1].max(axis=1) for at, low, high in zip(column, bottom, top, strict=True)]
    with ThreadPoolExecutor(4) as pool:
        for _ in range(20):
            maxima = _RunMaxima(values)
            for found in pool.map(lambda _, each=maxima: each.largest(turn, bottom, top), range(4)):
                assert np.array_equal(found, wanted)
