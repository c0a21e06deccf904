"""The hollow's wall as the report measures it, against libigl, and its findings."""

from __future__ import annotations

import igl
import numpy as np
import pytest
import trimesh
from finished_reports import built, built_flat, kinds
from zoo import band, station

from ringtex.checks.finding import Kind, Level
from ringtex.checks.making.making_limits import MakingLimits
from ringtex.checks.making.thickness import HollowWall, check_hollow_wall, measure_hollow_wall
from ringtex.solid.finishing.finish import FinishedRing
from ringtex.solid.finishing.outer_cuts import cut_ring
from ringtex.solid.mesh.booleans import as_manifold
from ringtex.solid.mesh.ring_mesh import RingMesh

NARROW_LIP = {"band": band(None, station(0, 12, 6, 1.5), station(180, 4, 1.8, 1.2)), "rails": {"lower": 0, "upper": 0}}


@pytest.mark.parametrize(
    ("changes", "hollow"),
    [
        ({}, {}),
        ({}, {"wall": 1.4, "lip": 0.6}),
        ({}, {"wall": 0.7, "floor": 0.8, "reach": 70, "drains": [{"angle": 0}]}),
        (NARROW_LIP, {"lip": 0.3, "corner": 0.1}),
    ],
)
def test_wall_and_floor_agree_with_an_independent_distance(changes: dict, hollow: dict) -> None:
    """libigl's exact distances from 8,000 places all over the hollow's faces and all their corners, rims included."""
    ring = built(hollow=hollow, relief={"form": "sunk", "depth": 0.3}, **changes)
    finished, solid = ring.finished, ring.solid
    faces = finished.mesh.faces[finished.original_id == 1]
    inner = trimesh.Trimesh(finished.mesh.vertices, faces, process=False)
    places = np.concatenate((inner.triangles.reshape(-1, 3), trimesh.sample.sample_surface(inner, 8_000, seed=1)[0]))
    for name, measured in (
        ("sides", ring.report.readings.hollow_wall_mm),
        ("bore", ring.report.readings.hollow_floor_mm),
    ):
        if measured is None:
            assert "floor" not in hollow
            continue
        first = solid.face_ranges["cells"].start if name == "sides" else solid.face_ranges["bore"].start
        outer = solid.mesh.faces[first : solid.face_ranges[name].stop].astype(np.int64)
        exact = float(np.sqrt(igl.point_mesh_squared_distance(places, solid.mesh.vertices, outer)[0].min()))
        assert measured == pytest.approx(exact, abs=0.005)


def test_a_wall_that_is_thin_only_at_the_rim_is_measured_there() -> None:
    """A pocket under the head of a flat band 8 wide, its flanks slanting out towards the bore: every corner of it but
    those on the rim is 2 from the outside, or in the finger hole."""
    ring = built_flat(4.0)
    bore = 54.0 / (2.0 * np.pi)
    corners = [
        (x, y, z) for x in (-2.0, 2.0) for y, half in ((bore - 1.0, 4.2), (bore + 2.0, 2.0)) for z in (-half, half)
    ]
    pocket = trimesh.convex.convex_hull(np.array(corners))
    tool = RingMesh(np.array(pocket.vertices), np.array(pocket.faces, np.int32))
    mesh, part, source = cut_ring(ring.solid, [], [as_manifold(tool, "hollow")], None, True)
    cut = FinishedRing(mesh, part, source, hollow=tool)
    wall = measure_hollow_wall(cut, ring.solid)
    assert wall is not None
    # The flanks lean 2.2 in 3; the bore lies furthest in at the pocket's ends.
    inwards = bore - np.sqrt(bore**2 - 2.0**2)
    rim = 4.2 - 2.2 / 3.0 * (1.0 - inwards)
    assert wall.wall_mm == pytest.approx(4.0 - rim, abs=0.02)
    assert abs(wall.place[2]) == pytest.approx(rim, abs=0.02)
    assert [finding.level for finding in check_hollow_wall(wall, MakingLimits())] == [Level.ERROR]


def test_a_wall_that_is_thin_only_inside_a_face_is_measured_there() -> None:
    """The roof's long edge passes under a stud of the outside, its ends far away: the nearest place is on the edge."""
    roof = np.array([[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [5.0, -0.4, -4.0]])
    stud = np.array([[3.1, 0.0, 0.8], [2.9, 0.4, 3.0], [3.3, 0.4, 3.0]])
    mesh = RingMesh(np.concatenate((roof, stud)), np.array([[0, 1, 2], [3, 4, 5]], np.int32))
    finished = FinishedRing(mesh, np.array([1, 0], np.int32), np.zeros(2, np.int32), hollow=mesh)
    wall = measure_hollow_wall(finished, built().solid)
    assert wall is not None
    assert wall.wall_mm == pytest.approx(0.8, abs=0.04)


def test_thin_walls_are_found() -> None:
    limits = MakingLimits()
    place = np.array([0.0, 12.0, 1.0])
    assert check_hollow_wall(None, limits) == []
    assert check_hollow_wall(HollowWall(1.0, place), limits) == []
    near, thin = (check_hollow_wall(HollowWall(wall, place), limits)[0] for wall in (0.8, 0.5))
    assert (near.level, thin.level, thin.kind) == (Level.WARNING, Level.ERROR, Kind.THIN_METAL)
    assert thin.where.startswith("head, 0 degrees")
    floor = check_hollow_wall(HollowWall(1.0, place, 0.4, place), limits)[0]
    assert "finger" in floor.message
    assert "thin_metal" in kinds(built(hollow={"wall": 0.5}))
    assert "thin_metal" not in kinds(built(hollow={"wall": 0.9}))


def test_metal_saved_is_what_the_mesh_lost() -> None:
    full, hollowed = built(), built(hollow={})
    readings = hollowed.report.readings
    assert readings.hollow_saved_mm3 == pytest.approx(full.report.readings.volume_mm3 - readings.volume_mm3, rel=2e-3)
    assert readings.hollow_saved_g == pytest.approx(readings.hollow_saved_mm3 * readings.weight_g / readings.volume_mm3)
