"""The hollow's wall as the report measures it, against libigl, and its findings."""

from __future__ import annotations

import igl
import numpy as np
import pytest
from finished_reports import built, kinds

from ringtex.checks.finding import Kind, Level
from ringtex.checks.hollow_wall import HollowWall, check_hollow_wall
from ringtex.checks.limits import MakingLimits


@pytest.mark.parametrize(
    "hollow", [{}, {"wall": 1.4, "lip": 0.6}, {"wall": 0.7, "floor": 0.8, "reach": 70, "drains": [{"angle": 0}]}]
)
def test_wall_and_floor_agree_with_an_independent_distance(hollow: dict) -> None:
    ring = built(hollow=hollow, relief={"form": "sunk", "depth": 0.3})
    finished, solid = ring.finished, ring.solid
    own = finished.part == 1
    inner = np.setdiff1d(finished.mesh.faces[own], finished.mesh.faces[~own])
    for name, measured in (
        ("sides", ring.report.readings.hollow_wall_mm),
        ("bore", ring.report.readings.hollow_floor_mm),
    ):
        if measured is None:
            assert "floor" not in hollow
            continue
        first = solid.parts["cells"].start if name == "sides" else solid.parts["bore"].start
        faces = solid.mesh.faces[first : solid.parts[name].stop].astype(np.int64)
        exact = igl.point_mesh_squared_distance(finished.mesh.vertices[inner], solid.mesh.vertices, faces)[0]
        assert measured == pytest.approx(float(np.sqrt(exact.min())), abs=1e-6)


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
