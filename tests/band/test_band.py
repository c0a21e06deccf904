from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.basics.errors import InputError

RADIUS = 54.0 / (2.0 * np.pi)
STRAIGHT = BoreOptions()


def plain(section: str | None, width: float = 8.0, height: float = 1.6, edge: float = 1.0, full: float = 2.0) -> Band:
    return Band(RADIUS, STRAIGHT, BandOptions(section, (Station(0.0, width, height, edge, full),)))


def dome(section: str | None = "half_round", full: float = 2.0) -> Band:
    stations = (Station(0.0, 18.0, 9.0, 1.2, full), Station(180.0, 5.0, 1.5, 1.2, full))
    return Band(RADIUS, STRAIGHT, BandOptions(section, stations))


def scattered(seed: int, count: int = 300) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    return rng.uniform(-np.pi, np.pi, count), rng.uniform(-0.97, 0.97, count)


def revolved_volume(band: Band) -> float:
    """Volume between a plain band's outer face and its bore, by Gauss points along the section."""
    nodes, weights = np.polynomial.legendre.leggauss(60)
    slopes = band.profile_slopes(np.zeros(60), nodes)
    return float(np.pi * np.sum(weights * (slopes[0] ** 2 - band.bore_radius_mm**2) * slopes[5]))


def test_pappus_flat() -> None:
    """Pappus: volume = area of the section x path of its centroid."""
    pappus = 8.0 * 1.6 * 2.0 * np.pi * (RADIUS + 0.8)
    assert revolved_volume(plain("flat")) == pytest.approx(pappus, rel=1e-13)


def test_pappus_half_round() -> None:
    """A rectangle under a half-ellipse, whose area is pi a b / 2 and whose centroid lies 4 b / 3 pi above its base."""
    a, e, b = 4.0, 1.0, 0.6
    rectangle = 2.0 * a * e * (RADIUS + e / 2.0)
    ellipse = np.pi * a * b / 2.0 * (RADIUS + e + 4.0 * b / (3.0 * np.pi))
    assert revolved_volume(plain("half_round")) == pytest.approx(2.0 * np.pi * (rectangle + ellipse), rel=1e-12)


@pytest.mark.parametrize("section", ["half_round", "flat", "court", "knife_edge", None])
@pytest.mark.parametrize("full", [1.2, 2.0, 5.0])
def test_tangents_and_normals_agree_with_differences(section: str | None, full: float) -> None:
    band, (theta, across), step = dome(section, full), scattered(1), 1e-6
    frame = band.outer(theta, across)
    by_theta = (band.outer(theta + step, across).point - band.outer(theta - step, across).point) / (2.0 * step)
    by_across = (band.outer(theta, across + step).point - band.outer(theta, across - step).point) / (2.0 * step)
    assert_allclose(frame.d_theta, by_theta, atol=2e-7)
    assert_allclose(frame.d_xi, by_across, atol=2e-7)
    assert_allclose(np.linalg.norm(frame.normal, axis=1), 1.0, atol=1e-14)
    assert_allclose(np.sum(frame.normal * frame.d_theta, axis=1), 0.0, atol=1e-12)
    assert_allclose(np.sum(frame.normal * frame.d_xi, axis=1), 0.0, atol=1e-12)
    # Outwards: away from the axis.
    assert np.all(np.sum(frame.normal * frame.point * [1.0, 1.0, 0.0], axis=1) > 0.0)


def test_the_head_points_up_and_angles_run_counter_clockwise() -> None:
    frame = plain("flat").outer(np.deg2rad([0.0, 90.0, 180.0]), np.zeros(3))
    r = RADIUS + 1.6
    assert_allclose(frame.point, [[0.0, r, 0.0], [-r, 0.0, 0.0], [0.0, -r, 0.0]], atol=1e-12)


def test_a_cylinder_bends_one_way_only() -> None:
    larger, smaller = plain("flat").curvatures(*scattered(2))
    assert_allclose(larger, 1.0 / (RADIUS + 1.6), rtol=1e-9)
    assert_allclose(smaller, 0.0, atol=1e-9)


def test_a_torus_bends_by_the_handbook() -> None:
    """Principal curvatures of a torus: 1 / tube radius, cos(angle) / distance from the axis (any handbook)."""
    band, (theta, across) = plain("court", 8.0, 1.6, 0.8), scattered(3)
    a, b = 4.0, 0.8
    tube = (a * a + b * b) / (2.0 * b)
    point = band.outer(theta, across).point
    other = np.sqrt(1.0 - (point[:, 2] / tube) ** 2) / np.hypot(point[:, 0], point[:, 1])
    larger, smaller = band.curvatures(theta, across)
    assert_allclose(larger, np.maximum(1.0 / tube, other), rtol=1e-7)
    assert_allclose(smaller, np.minimum(1.0 / tube, other), rtol=1e-7)


@pytest.mark.parametrize("section", ["half_round", "court", None])
def test_curvatures_agree_with_turning_normals(section: str | None) -> None:
    """Weingarten: the normal's derivative is the shape operator; by differences of normals."""
    band, (theta, across), step = dome(section, 2.6), scattered(4), 1e-5
    frame = band.outer(theta, across)
    turn_t = (band.outer(theta + step, across).normal - band.outer(theta - step, across).normal) / (2.0 * step)
    turn_a = (band.outer(theta, across + step).normal - band.outer(theta, across - step).normal) / (2.0 * step)
    for row in range(len(theta)):
        tangents = np.stack((frame.d_theta[row], frame.d_xi[row]), axis=1)
        turns = np.stack((turn_t[row], turn_a[row]), axis=1)
        shape = np.linalg.lstsq(tangents, turns, rcond=None)[0]
        expected = np.sort(np.linalg.eigvals(shape).real)[::-1]
        found = [k[0] for k in band.curvatures(theta[row : row + 1], across[row : row + 1])]
        assert_allclose(found, expected, atol=1e-5)


@pytest.mark.parametrize("section", ["half_round", "flat", "court", "knife_edge", None])
def test_edges_and_crown_are_where_they_are_said_to_be(section: str | None) -> None:
    band, theta = dome(section), np.linspace(-3.0, 3.0, 40)
    for side in (-1.0, 1.0):
        point = band.outer(theta, np.full(40, side)).point
        assert_allclose(point[:, 2], side * band.half_width(theta), atol=1e-12)
        assert_allclose(np.hypot(point[:, 0], point[:, 1]), band.edge_radius(theta), atol=1e-9)
    crown = band.outer(theta, np.zeros(40)).point
    assert_allclose(np.hypot(crown[:, 0], crown[:, 1]), band.crown_radius(theta), atol=1e-12)


def test_crown_length() -> None:
    assert plain("half_round").crown_length == pytest.approx(2.0 * np.pi * (RADIUS + 1.6), rel=1e-15)
    band, theta = dome(), np.linspace(-np.pi, np.pi, 20001)
    polygon = band.outer(theta, np.zeros(1)).point
    assert band.crown_length == pytest.approx(np.sum(np.linalg.norm(np.diff(polygon, axis=0), axis=1)), rel=1e-7)


def test_equal_options_make_equal_bands() -> None:
    assert dome() == dome()
    assert hash(dome()) == hash(dome())
    assert dome() != dome("court")


def test_plain_and_level_bands_are_known() -> None:
    assert plain("half_round").is_revolution
    assert not plain("half_round").is_flat
    assert plain("flat").is_flat
    assert plain("half_round", edge=1.6).is_flat
    assert not dome().is_revolution
    assert plain("flat").edge_radius(np.zeros(1))[0] == pytest.approx(RADIUS + 1.6)


def test_a_round_section_that_levels_out_stays_smooth() -> None:
    stations = (Station(0.0, 12.0, 5.0, 1.5), Station(180.0, 5.0, 1.5, 1.5))
    band = Band(RADIUS, STRAIGHT, BandOptions("half_round", stations))
    theta, across = np.linspace(-np.pi, np.pi, 200), np.ones(200)
    normal = band.outer(theta, across).normal
    assert_allclose(normal[:, 2], 1.0, atol=0.2)
    assert band.crown_radius(np.array([np.pi]))[0] == pytest.approx(RADIUS + 1.5)
    assert band.edge_radius(np.array([np.pi]))[0] == pytest.approx(RADIUS + 1.5, abs=0.054)  # 0.05, and 0.007 of 2.5


def test_comfort_bore() -> None:
    options = BandOptions("half_round", (Station(0.0, 8.0, 2.0, 1.2),))
    band = Band(RADIUS, BoreOptions("comfort", 0.4), options)
    radius = band.bore_radius_at(np.zeros(3), np.array([-4.0, 0.0, 2.0]))
    assert_allclose(radius, [RADIUS + 0.4, RADIUS, RADIUS + 0.1], atol=1e-12)


@pytest.mark.parametrize("bore", [np.nan, np.inf, -8.0, 0.0, 1e9])
def test_impossible_bores_are_refused(bore: float) -> None:
    with pytest.raises(InputError):
        Band(bore, STRAIGHT, BandOptions("flat", (Station(0.0, 8.0, 1.6, 1.0),)))


def test_a_comfort_bore_must_leave_metal_at_the_edges() -> None:
    options = BandOptions("half_round", (Station(0.0, 8.0, 1.6, 0.5),))
    with pytest.raises(InputError, match="leaves") as caught:
        Band(RADIUS, BoreOptions("comfort", 0.4), options)
    assert caught.value.where == "bore.rise"


def test_too_steep_stations_are_refused_with_the_place() -> None:
    stations = (Station(0.0, 30.0, 5.0, 1.2), Station(10.0, 5.0, 5.0, 1.2))
    with pytest.raises(InputError, match="width changes") as caught:
        Band(RADIUS, STRAIGHT, BandOptions("half_round", stations, mirror=False))
    assert caught.value.where == "band.stations"


def test_a_knife_edge_needs_room_for_its_crown() -> None:
    with pytest.raises(InputError, match="crown's radius"):
        plain("knife_edge", 1.5, 3.0, 0.5)
