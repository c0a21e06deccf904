"""Seats against the volumes of cones and cylinders, and stones in their places."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh
from finished_rings import dome, shaped, thick_flat
from manifold3d import Manifold

from ringtex.checks.stones.stone_seating import measure_stones
from ringtex.solid.finishing.stone_options import Stone
from ringtex.solid.finishing.stone_seats import CLEAR_MM, SEGMENTS, StonePlace, seat_cutter, stone_body
from ringtex.solid.mesh.booleans import original_number, with_origins

UPRIGHT = StonePlace(np.zeros(3), np.array([0.0, 0.0, 1.0]), 5.0, True, 4.0)
FACETED = SEGMENTS * math.sin(2.0 * math.pi / SEGMENTS) / (2.0 * math.pi)
"""Area of a regular polygon over that of its circle (elementary geometry)."""


def frustum(first: float, second: float, height: float) -> float:
    """Volume of a cone cut off (elementary geometry)."""
    return math.pi * height * (first**2 + first * second + second**2) / 3.0


def test_a_seat_is_two_cylinders_and_a_cone() -> None:
    stone = Stone(0.5, 0.5, 3.0, hole=0.6, undersize_mm=0.1, bearing_deg=45.0)
    half, hole = 1.45, 0.9
    girdle = 3.0 * (stone.proportions.crown_height + stone.proportions.girdle)
    bearing = half - hole
    volume = (
        math.pi * half**2 * (CLEAR_MM + girdle)
        + frustum(half, hole, bearing)
        + math.pi * hole**2 * (5.0 - girdle - bearing)
    )
    assert seat_cutter(stone, UPRIGHT).volume() == pytest.approx(FACETED * volume, rel=1e-9)


def test_flat_faces_of_a_seat_are_cut_as_polygons() -> None:
    """A level cut through the hole leaves each side of its cylinder a quadrilateral: two triangles, and no third one
    where a diagonal was cut (elementary)."""
    seat = seat_cutter(Stone(0.5, 0.5, 3.0), UPRIGHT)
    block = Manifold.cube((10.0, 10.0, 10.0), True).translate((0.0, 0.0, -8.0))
    mesh, original, _ = with_origins(seat ^ block)
    sides = np.abs(mesh.face_normals[2]) < 1e-9
    assert np.count_nonzero(sides & (original == original_number("seat"))) == 2 * SEGMENTS


def test_a_stone_is_a_cone_a_cylinder_and_a_cut_off_cone() -> None:
    stone = Stone(0.5, 0.5, 4.0)
    shape = stone.proportions
    volume = (
        frustum(2.0, 2.0 * shape.table, 4.0 * shape.crown_height)
        + math.pi * 4.0 * 4.0 * shape.girdle
        + math.pi * 4.0 * 4.0 * shape.pavilion_depth / 3.0
    )
    assert stone_body(stone, UPRIGHT).volume == pytest.approx(FACETED * volume, rel=1e-7)
    # The usual weight estimate is within a tenth of the turned body's at the density of diamond (CRC: 3.513 g/cm3).
    assert stone.weight_g == pytest.approx(3.513e-3 * volume, rel=0.1)


def test_what_a_seat_takes_from_a_flat_band() -> None:
    """Collar added, seat and hole cut: the hole's cylinder ends at the bore, the seat starts at the table."""
    stone = {"u": 0.5, "v": 0.2, "diameter": 2.0, "collar": 0.3, "undersize": 0.0}
    ring = shaped(thick_flat(stones=[stone]))
    finished = ring.finished
    assert (finished.genus, finished.mesh.problems(2)) == (2, [])
    size = finished.stones[0].stone
    girdle = 2.0 * (size.proportions.crown_height + size.proportions.girdle)
    half, hole = 1.0, 0.6
    metal = finished.stones[0].place.metal_mm
    seat = math.pi * half**2 * girdle + frustum(half, hole, half - hole)
    through = math.pi * hole**2 * (metal - girdle - (half - hole))
    # The collar's plate over the outer face; the face and the bore are round, by less than 1 % of these volumes.
    added = math.pi * (half + 0.3) ** 2 * 0.1
    taken = ring.solid.mesh.volume - finished.mesh.volume
    assert taken == pytest.approx(FACETED * (seat + through - added), rel=0.02)


@pytest.mark.parametrize(("u", "v"), [(0.5, 0.5), (0.42, 0.4), (0.0, 0.5), (0.7, 0.6)])
def test_the_table_is_level_with_the_metal_and_the_hole_is_open(u: float, v: float) -> None:
    """Rays through the hole meet no metal, by trimesh; the collar's rim is as high as the table, less what the face
    falls away over the seat's radius (r^2 / 2R).
    """
    ring = shaped(dome(stones=[{"u": u, "v": v, "diameter": 1.5}]))
    finished = ring.finished
    place = finished.stones[0].place
    assert finished.mesh.problems(2) == []
    body = trimesh.Trimesh(finished.mesh.vertices, finished.mesh.faces)
    side = np.cross(place.axis, [1.0, 0.3, 0.2])
    side /= np.linalg.norm(side)
    angles = np.linspace(0.0, 2.0 * math.pi, 12, endpoint=False)[:, None]
    spokes = np.cos(angles) * side + np.sin(angles) * np.cross(place.axis, side)
    starts = place.table + 0.5 * place.axis + 0.43 * spokes
    along = np.linspace(0.0, place.metal_mm + 0.6, 60)
    inside = body.contains((starts[:, None, :] - along[:, None] * place.axis).reshape(-1, 3))
    assert not np.any(inside)
    collar = finished.mesh.vertices[np.unique(finished.mesh.faces[finished.original_id == 3])]
    height = (collar - place.table) @ place.axis
    u_at, v_at = np.array([u * ring.strip.length]), np.array([v * ring.strip.width])
    falls = 0.5 * (0.5 * 1.5) ** 2 * float(ring.strip.max_curvature(u_at, v_at)[0])
    assert -falls - 0.005 <= np.max(height) <= 0.002


def test_stones_may_be_tilted_so_far_that_they_miss_the_finger() -> None:
    ring = shaped(dome(stones=[{"u": 0.5, "v": 0.0, "diameter": 1.0}]))
    assert not ring.finished.stones[0].place.through


def test_metal_under_a_comfort_bore_is_measured_to_the_bore() -> None:
    straight = shaped(thick_flat(stones=[{"u": 0.5, "v": 0.85, "diameter": 1.2}]))
    comfort = shaped(
        thick_flat(bore={"shape": "comfort", "rise": 0.5}, stones=[{"u": 0.5, "v": 0.85, "diameter": 1.2}])
    )
    z = comfort.finished.stones[0].place.table[2]
    rise = comfort.strip.band.bore_radius_at(np.zeros(1), np.array([z]))[0] - comfort.strip.band.bore_radius_mm
    saved = straight.finished.stones[0].place.metal_mm - comfort.finished.stones[0].place.metal_mm
    assert saved == pytest.approx(rise, abs=1e-6)


@pytest.mark.parametrize("flush", ["table", "rim", "girdle"])
def test_what_is_flush_is_level_with_the_metal_beside_the_stone(flush: str) -> None:
    """On a flat band the face is a cylinder, which falls by R - sqrt(R^2 - r^2) at r round the finger and not at all
    across; the least height of the mesh over the girdle is measured apart from the seat's own figures."""
    ring = shaped(thick_flat(stones=[{"u": 0.5, "v": 0.5, "diameter": 4.0, "flush": flush}]))
    each = ring.finished.stones[0]
    assert ring.finished.mesh.problems(ring.finished.genus) == []
    middle = np.linalg.norm(each.place.table[:2]) + each.place.lowered_mm
    fall = middle - math.sqrt(middle**2 - 2.0**2)
    crown, girdle = 4.0 * each.stone.proportions.crown_height, 4.0 * each.stone.proportions.girdle
    lowered = {"table": 0.0, "rim": fall, "girdle": fall - crown}[flush]
    assert each.place.lowered_mm == pytest.approx(lowered, abs=1e-6)
    assert each.place.rim_mm == pytest.approx((lowered - fall, lowered), abs=1e-6)
    beside = measure_stones(ring.finished, ring.solid)[0].wall_mm
    assert beside == pytest.approx(crown + girdle + lowered - fall, abs=0.02)
