"""Even cells: equal area on the ring, measured by another quadrature than the one that made them."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from cell_measures import area_spread, roundness

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.basics.errors import Cancelled, InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.area_density import area_density
from ringtex.pattern.cellular.equal_area_cells import kept_measures
from ringtex.pattern.cellular.moving_diagram import MovingDiagram
from ringtex.pattern.cellular.power_diagram import CellMeasures, fitted_weights
from ringtex.pattern.cellular.sites import ColumnLayout, column_sites, random_sites
from ringtex.pattern.cellular.voronoi_cells import voronoi_tiling
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.measure import areas_on_ring, six_sided_share
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.strip.strip_map import StripMap
from ringtex.strip.unwrap import unwrap


@pytest.fixture(scope="module")
def dome() -> StripMap:
    """18 wide and 9 high at the head, 5 and 1.5 at the palm: the area scale varies more than 30 times."""
    stations = (Station(0, 18, 9, 1.2), Station(180, 5, 1.5, 1.2))
    return unwrap(Band(54.0 / (2.0 * math.pi), BoreOptions(), BandOptions("half_round", stations, True)), "shape")


class Mercator:
    """Mercator strip of a zone of the unit sphere: scale 1 / cosh(v) (Snyder, USGS PP 1395, 7-3)."""

    length = 2.0 * math.pi
    width = 1.6

    def metric(self, u, v):
        square = np.cosh(v - 0.8) ** -2
        return square, np.zeros_like(u), square


@pytest.mark.parametrize(("around", "across"), [(27, 10), (107, 11)])
def test_dome_cells_have_equal_area_and_are_round(dome, around: int, across: int) -> None:
    """Variation at most 0.5 %, six-sided share at least 0.88, every 4 pi A / P^2 at least 0.68."""
    rails = RailOptions(0.3, 0.3)
    options = {"family": "cellular", "around": around, "across": across}
    even = make_pattern(dome, PatternOptions(**options, evenness=1.0), rails, Progress()).tiling
    assert even.problems() == []
    assert even.cells == around * across
    spread = area_spread(areas_on_ring(even, dome))
    assert spread.cv <= 0.005
    assert six_sided_share(even) >= 0.88
    assert float(np.min(roundness(even))) >= 0.68
    uneven = make_pattern(dome, PatternOptions(**options), rails, Progress()).tiling
    half = make_pattern(dome, PatternOptions(**options, evenness=0.5), rails, Progress()).tiling
    assert spread.cv < area_spread(areas_on_ring(half, dome)).cv < area_spread(areas_on_ring(uneven, dome)).cv


def test_scattered_even_cells_stay_even(dome) -> None:
    options = PatternOptions("cellular", 40, 8, scatter=1.0, evenness=1.0)
    tiling = make_pattern(dome, options, RailOptions(), Progress()).tiling
    assert tiling.problems() == []
    # Only walls closed after equalising shift area between cells.
    assert area_spread(areas_on_ring(tiling, dome)).cv < 0.012
    assert six_sided_share(tiling) < 0.6


def test_even_cells_cannot_slide(dome) -> None:
    with pytest.raises(InputError, match="cannot slide"):
        make_pattern(dome, PatternOptions("cellular", evenness=1.0, slide_mm=(1.0, 0.0)), RailOptions(), Progress())


def test_more_new_cells_than_there_were(dome) -> None:
    """Found by random designs: numbers of new cells, which are negative, counted from the end of the old ones."""
    part = PatternedPart(dome.length, 0.0, dome.width)
    density = area_density(dome, part, 1.0)
    before = voronoi_tiling(part, np.array([[1.0, 2.0], [20.0, 5.0], [40.0, 8.0]]))
    kept = kept_measures(density, before, np.array([0, -1, 2, -2, -4]))
    areas = areas_on_ring(before, density)
    assert kept[[0, 2]] / kept[1] == pytest.approx(areas[[0, 2]] / np.mean(areas))
    assert kept[1] == kept[3] == kept[4]


def test_cancel(dome) -> None:
    progress = Progress()
    progress.cancel()
    with pytest.raises(Cancelled):
        make_pattern(dome, PatternOptions("cellular", 31, 7, evenness=1.0), RailOptions(), progress)


def test_density_is_the_area_of_the_zone() -> None:
    """Archimedes: the zone's area is 2 pi times its height, here 2 tanh(0.8)."""
    strip = Mercator()
    part = PatternedPart(strip.length, 0.0, strip.width)
    density = area_density(strip, part, 1.0)
    assert density.total == pytest.approx(4.0 * math.pi * math.tanh(0.8), rel=1e-4)
    places = np.random.default_rng(0).uniform((-3.0, 0.0), (9.0, 1.6), (500, 2))
    np.testing.assert_allclose(density(places), np.cosh(places[:, 1] - 0.8) ** -2, rtol=1e-4)


@pytest.mark.parametrize("layout", [ColumnLayout(24), ColumnLayout(27, 0.3), ColumnLayout(30, -0.4)])
@pytest.mark.parametrize("count", [3, 17, 200])
def test_columns_hold_the_count_at_different_places(layout, count: int) -> None:
    strip = Mercator()
    part = PatternedPart(strip.length, 0.1, strip.width)
    layout = layout._replace(columns=min(layout.columns, count))
    sites = column_sites(part, area_density(strip, part, 1.0), count, layout, seed=3)
    assert sites.shape == (count, 2)
    assert np.all((sites[:, 1] > part.lower) & (sites[:, 1] < part.upper))
    assert np.all((sites[:, 0] >= 0.0) & (sites[:, 0] < part.length))
    gaps = shapely.distance(*np.meshgrid(shapely.points(sites), shapely.points(sites)))
    assert np.min(gaps[~np.eye(count, dtype=bool)]) > 0.2 * math.sqrt(part.area / count)


def test_weights_equalise_cells_of_random_sites() -> None:
    """With a constant density the measures are plain areas, which the built cells confirm."""
    flat = Mercator()
    part = PatternedPart(flat.length, 0.0, flat.width)
    density = area_density(flat, part, 0.0)
    sites = random_sites(part, 80, seed=3)
    diagram, error = fitted_weights(MovingDiagram(part, sites), density, Progress(), np.ones(80))
    assert error < 2e-3
    areas = voronoi_tiling(part, sites, diagram.weights).areas
    np.testing.assert_allclose(areas, part.area / 80, rtol=2.1e-3)
    np.testing.assert_allclose(CellMeasures(diagram, density).measures, areas, rtol=1e-9)


def test_newton_flow_is_the_derivative_of_the_measures() -> None:
    """d measure_i / d weight_j = -integral of the density over their wall / (2 |p_i - p_j|), by central differences."""
    strip = Mercator()
    part = PatternedPart(strip.length, 0.0, strip.width)
    density = area_density(strip, part, 1.0)
    sites, nudge = random_sites(part, 60, seed=3), np.zeros(60)
    state = CellMeasures(MovingDiagram(part, sites), density).flow
    nudge[7] = 1e-5
    up, down = (CellMeasures(MovingDiagram(part, sites, s * nudge), density).measures for s in (1.0, -1.0))
    slope = (up - down) / 2e-5
    expected = -np.bincount(state.i, np.where(state.j == 7, state.flow, 0.0), 60)
    expected[7] = -np.sum(expected)
    np.testing.assert_allclose(slope, expected, atol=2e-3 * np.max(np.abs(expected)))
