"""Rails, sides and bore."""

import numpy as np
import pytest
from sample_rings import BANDS, BORE_MM, SampleRing, sample_ring

from ringtex.solid.cells.cell_faces import wall_points
from ringtex.solid.plain_faces import border_rows, make_rail


@pytest.mark.parametrize("upper", [False, True])
@pytest.mark.parametrize("family", ["hexagon", "brick", "cellular"])
def test_the_border_row_walks_once_round_the_ring_in_the_order_of_u(family: str, upper: bool) -> None:
    tiling = sample_ring("flat", family).tiling
    count = np.full(len(tiling.twin), 3)
    places, ids = wall_points(tiling, count)
    row = border_rows(tiling, ids, count)[-1 if upper else 0]
    assert np.all(np.diff(row.u) > 0.0)
    assert row.width.sum() == pytest.approx(tiling.length)
    assert np.all(places[row.ids, 1] == (tiling.upper if upper else tiling.lower))
    away = places[row.ids, 0] - row.point_u(row.count)
    assert np.abs(away - tiling.length * np.rint(away / tiling.length)).max() < 1e-9


@pytest.mark.parametrize("band", BANDS)
def test_rails_are_level_cover_the_border_and_end_on_the_edge(band: str) -> None:
    ring = sample_ring(band)
    faces = ring.mesh.faces[ring.solid.face_ranges["rails"]]
    places = ring.solid.strip_positions[faces]
    assert np.all(places[..., 2] == 0.0)
    u = places[..., 0] - ring.strip.length * np.rint((places[..., 0] - places[:, :1, 0]) / ring.strip.length)
    v = places[..., 1]
    area = 0.5 * ((u[:, 1] - u[:, 0]) * (v[:, 2] - v[:, 0]) - (u[:, 2] - u[:, 0]) * (v[:, 1] - v[:, 0]))
    assert np.all(area > 0.0)
    assert area.sum() == pytest.approx(ring.strip.length * 1.0, rel=1e-9)
    assert v.min() == 0.0
    assert v.max() == ring.strip.width


def test_without_a_rail_the_pattern_itself_ends_on_the_edge() -> None:
    ring = sample_ring(rail_mm=0.0)
    assert ring.solid.face_ranges["rails"].start == ring.solid.face_ranges["rails"].stop
    tiling = ring.tiling
    count = np.full(len(tiling.twin), 2)
    _, ids = wall_points(tiling, count)
    row = border_rows(tiling, ids, count)[0]
    rail = make_rail(ring.strip, row, 0.0, 0.005, 1000)
    assert len(rail.faces) == len(rail.positions) == 0
    assert np.array_equal(rail.edge_ids, row.ids)
    assert ring.mesh.problems() == []


def test_a_wide_rail_is_followed_across_its_bend() -> None:
    """Rows lie closer where the surface bends: a half-round edge needs more of them than a flat one."""
    flat, rounded = (sample_ring(band, rail_mm=1.5) for band in ("flat", "half_round"))
    rows = [
        len(np.unique(ring.solid.strip_positions[ring.mesh.faces[ring.solid.face_ranges["rails"]]][..., 1].round(9)))
        for ring in (flat, rounded)
    ]
    assert rows[1] > rows[0]


def part_vertices(ring: SampleRing, part: str) -> np.ndarray:
    return ring.mesh.vertices[np.unique(ring.mesh.faces[ring.solid.face_ranges[part]])]


@pytest.mark.parametrize("band", [name for name in BANDS if name != "comfort"])
def test_a_straight_bore_is_a_cylinder_of_the_finger_size(band: str) -> None:
    """Size 54 is an inner circumference of 54 mm (ISO 8653:1986)."""
    bore = part_vertices(sample_ring(band), "bore")
    assert np.hypot(bore[:, 0], bore[:, 1]) == pytest.approx(BORE_MM, abs=1e-12)


def test_a_comfort_bore_rises_to_the_edges_and_keeps_the_size_at_mid_width() -> None:
    """A rounded inside touches the finger at mid-width (EN ISO 8653)."""
    bore = part_vertices(sample_ring("comfort"), "bore")
    radius, z = np.hypot(bore[:, 0], bore[:, 1]), bore[:, 2]
    assert radius.max() == pytest.approx(BORE_MM + 0.4, abs=1e-9)
    assert np.abs(z[radius == radius.max()]) == pytest.approx(3.0, abs=1e-9)
    assert radius.min() - BORE_MM < 0.005


@pytest.mark.parametrize("chord_mm", [0.005, 0.02])
def test_a_comfort_bore_is_followed_within_the_tolerance(chord_mm: float) -> None:
    ring = sample_ring("comfort", chord_mm=chord_mm)
    corners = ring.mesh.vertices[ring.mesh.faces[ring.solid.face_ranges["bore"]]]
    band = BANDS["comfort"]
    for weights in ([1 / 3, 1 / 3, 1 / 3], [0.5, 0.5, 0.0], [0.0, 0.5, 0.5], [0.5, 0.0, 0.5]):
        x, y, z = np.einsum("fci,c->if", corners, np.array(weights))
        wanted = band.bore_radius_at(np.arctan2(-x, y), z)
        assert np.abs(np.hypot(x, y) - wanted).max() <= chord_mm


@pytest.mark.parametrize("chord_mm", [0.005, 0.02])
@pytest.mark.parametrize("band", ["flat", "dome"])
def test_a_straight_bore_is_followed_within_the_tolerance(band: str, chord_mm: float) -> None:
    ring = sample_ring(band, chord_mm=chord_mm)
    corners = ring.mesh.vertices[ring.mesh.faces[ring.solid.face_ranges["bore"]]]
    for start in range(3):
        middle = 0.5 * (corners[:, start] + corners[:, (start + 1) % 3])
        assert BORE_MM - np.hypot(middle[:, 0], middle[:, 1]).min() <= chord_mm


@pytest.mark.parametrize("band", ["flat", "half_round", "knife_edge"])
def test_sides_of_a_plain_band_are_flat_rings(band: str) -> None:
    """Between bore and edge radius, at half the width."""
    ring = sample_ring(band)
    sides = part_vertices(ring, "sides")
    half = float(BANDS[band].half_width(np.zeros(1))[0])
    assert np.abs(sides[:, 2]) == pytest.approx(half, abs=1e-9)
    edge = float(BANDS[band].edge_radius(np.zeros(1))[0])
    radius = np.hypot(sides[:, 0], sides[:, 1])
    assert radius.min() == pytest.approx(BORE_MM, abs=1e-9)
    assert radius.max() == pytest.approx(edge, abs=1e-5)
    area = ring.mesh.triangle_areas[ring.solid.face_ranges["sides"]].sum()
    assert area == pytest.approx(2.0 * np.pi * (edge**2 - BORE_MM**2), rel=1e-3)


@pytest.mark.parametrize("band", ["flat", "comfort", "dome"])
def test_where_the_band_has_more_columns_the_bore_has_its_own(band: str) -> None:
    """The edges of the bore need few; sides go straight down to them, at half the width of each angle."""
    ring = sample_ring(band, around=260, across=2, chord_mm=0.005)
    assert ring.mesh.problems(1) == []
    sides, bore = part_vertices(ring, "sides"), part_vertices(ring, "bore")
    radius = np.hypot(sides[:, 0], sides[:, 1])
    theta = np.arctan2(-sides[:, 0], sides[:, 1])
    inner = np.abs(radius - BANDS[band].bore_radius_at(theta, sides[:, 2])) < 1e-9
    assert 90 < np.sum(inner) / 2 < 200 < 260 <= np.sum(~inner) / 2
    corners = ring.mesh.vertices[ring.mesh.faces[ring.solid.face_ranges["sides"]]]
    for weights in ([1 / 3, 1 / 3, 1 / 3], [0.5, 0.5, 0.0], [0.0, 0.5, 0.5], [0.5, 0.0, 0.5]):
        x, y, z = np.einsum("fci,c->if", corners, np.array(weights))
        assert np.abs(np.abs(z) - BANDS[band].half_width(np.arctan2(-x, y))).max() <= 0.005
    if band != "comfort":
        edges = ring.mesh.vertices[ring.mesh.faces[ring.solid.face_ranges["bore"]]]
        middle = 0.5 * (edges + np.roll(edges, -1, axis=1))
        assert BORE_MM - np.hypot(middle[..., 0], middle[..., 1]).min() <= 0.0013
    assert len(bore) >= np.sum(inner)


@pytest.mark.parametrize("band", BANDS)
def test_all_parts_look_out_of_the_metal(band: str) -> None:
    """Bore triangles look at the axis, sides along it."""
    ring = sample_ring(band)
    normals = ring.mesh.face_normals.T
    middle = ring.mesh.vertices[ring.mesh.faces].mean(axis=1)
    bore, sides = ring.solid.face_ranges["bore"], ring.solid.face_ranges["sides"]
    towards_axis = np.einsum("fi,fi->f", normals[bore][:, :2], -middle[bore][:, :2])
    assert np.all(towards_axis > 0.0)
    assert np.all(normals[sides][:, 2] * np.sign(middle[sides][:, 2]) > 0.0)
