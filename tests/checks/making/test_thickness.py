import numpy as np
import pytest
from plain_rings import BORE_MM, PlainBand, PlainStrip, level, on_circle, plain_ring

from ringtex.band.bore import BoreOptions
from ringtex.checks.finding import Kind, Level
from ringtex.checks.making.making_limits import MakingLimits
from ringtex.checks.making.thickness import check_thickness, measure_thinnest_metal

LIMITS = MakingLimits()


def pit(depth: float, at_u: float, at_v: float, reach: float):  # type: ignore[no-untyped-def]
    """A cone-shaped pit in the face."""

    def height(u, v):  # type: ignore[no-untyped-def]
        return -depth * np.maximum(0.0, 1.0 - np.hypot(u - at_u, v - at_v) / reach)

    return height


def test_plain_band_is_as_thick_as_it_is() -> None:
    strip = PlainStrip()
    thin = measure_thinnest_metal(plain_ring(strip, level), strip.band)
    assert thin.metal_mm == pytest.approx(1.6, abs=1e-12)
    assert thin.edge_mm == pytest.approx(1.6, abs=1e-12)
    assert check_thickness(thin, LIMITS) == []


@pytest.mark.parametrize(("depth", "level_found"), [(0.5, None), (0.7, Level.WARNING), (1.0, Level.ERROR)])
def test_pit_is_found_where_it_is(depth: float, level_found: Level | None) -> None:
    strip = PlainStrip()
    u = strip.length * 100 / 144
    thin = measure_thinnest_metal(plain_ring(strip, pit(depth, u, 3.0, 0.5)), strip.band)
    assert thin.metal_mm == pytest.approx(1.6 - depth, abs=1e-12)
    theta = 2.0 * np.pi * 100 / 144 - np.pi
    wanted = on_circle(np.array([theta]), np.array([BORE_MM + 1.6 - depth]), np.zeros(1))[0]
    assert thin.place == pytest.approx(wanted, abs=1e-9)
    found = check_thickness(thin, LIMITS)
    assert [finding.level for finding in found] == ([] if level_found is None else [level_found])
    for finding in found:
        assert finding.kind is Kind.THIN_METAL
        assert "70 degrees" in finding.where


def test_relief_through_the_bore_has_no_metal() -> None:
    strip = PlainStrip()
    thin = measure_thinnest_metal(plain_ring(strip, pit(2.0, strip.length / 2, 3.0, 0.5)), strip.band)
    assert thin.metal_mm == pytest.approx(-0.4, abs=1e-12)
    assert "No metal is left" in check_thickness(thin, LIMITS)[0].message


def test_edge_is_judged_by_its_own_limit() -> None:
    strip = PlainStrip()

    def sloping(u, v):  # type: ignore[no-untyped-def]
        return -1.1 * np.maximum(0.0, 1.0 - np.minimum(v, 6.0 - v))

    thin = measure_thinnest_metal(plain_ring(strip, sloping, rows=61), strip.band)
    assert thin.edge_mm == pytest.approx(0.5, abs=1e-12)
    # Just inside the zone where the side is nearer than the bore the wedge is 1.6 - 1.1 (1 - s) = s high: s > 1.
    assert thin.metal_mm == pytest.approx(1.6, abs=1e-12)
    (finding,) = check_thickness(thin, LIMITS)
    assert finding.level is Level.WARNING
    assert "edge" in finding.message


@pytest.mark.parametrize("rise", [0.3, 0.6, 2.0])
def test_comfort_bore_against_a_dense_search(rise: float) -> None:
    band = PlainBand(bore=BoreOptions("comfort", rise), wall_mm=2.4)
    strip = PlainStrip(band)
    ring = plain_ring(strip, pit(0.3, strip.length / 2, 1.5, 0.4), rows=25)
    thin = measure_thinnest_metal(ring, band)
    outer = ring.mesh.vertices[: len(ring.strip_positions)]
    share = np.linspace(-1.0, 1.0, 200001)
    profile = np.column_stack((band.bore_radius_mm + rise * share**2, 3.0 * share))

    def searched(point):  # type: ignore[no-untyped-def]
        return np.min(np.hypot(profile[:, 0] - np.hypot(point[0], point[1]), profile[:, 1] - point[2]))

    assert thin.metal_mm == pytest.approx(searched(thin.place), abs=1e-8)
    assert thin.edge_mm == pytest.approx(searched(thin.edge_place), abs=1e-8)
    some = outer[outer[:, 1] > band.outer_mm * 0.99]
    inner = [point for point in some if 3.0 - abs(point[2]) >= searched(point)]
    assert thin.metal_mm <= min(searched(point) for point in inner) + 1e-9


def test_comfort_bore_thins_the_edge_by_its_rise() -> None:
    band = PlainBand(bore=BoreOptions("comfort", 0.5))
    strip = PlainStrip(band)
    thin = measure_thinnest_metal(plain_ring(strip, level), band)
    # Nearest to the edge's outer corner: just under the bore's end, 1.6 - 0.5 high, less by the bore's slope there.
    slope = 2.0 * 0.5 / 3.0
    assert 1.1 * np.cos(np.arctan(slope)) - 0.01 < thin.edge_mm <= 1.1
