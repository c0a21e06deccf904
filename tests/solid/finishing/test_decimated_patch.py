"""Keeping far cells out of the booleans changes nothing but the time."""

from __future__ import annotations

import numpy as np
import pytest
from finished_rings import dome, shaped

import ringtex.solid.finishing.outer_cuts as outer_cuts
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.solid.finishing.decimated_patch import Ball, decimate_far_cells, restore_far_cells
from ringtex.solid.finishing.finish import finish_ring

CASES = {
    "stones": {"stones": [{"u": 0.5, "v": 0.5, "diameter": 2.0}, {"u": 0, "v": 0.5, "diameter": 1.2}]},
    "hollow": {"hollow": {}},
    "all": {
        "hollow": {},
        "stones": [{"u": 0.62, "v": 0.5, "diameter": 2.0}],
        "plain": [{"u": 0, "v": 0.5, "width": 4, "height": 9}],
        "relief": {"form": "sunk"},
    },
}


@pytest.mark.parametrize("name", CASES)
def test_the_ring_is_the_same_as_cut_whole(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    from ringtex.design.design_file import design_from_json

    design = dome(**CASES[name])
    ring = shaped(design, DRAFT_CHORD_MM)
    monkeypatch.setattr(outer_cuts, "decimate_far_cells", lambda solid, cuts: None)
    whole = finish_ring(ring.strip, ring.solid, design_from_json(design).finish, DRAFT_CHORD_MM)
    small = ring.finished
    assert small.mesh.problems(small.genus) == whole.mesh.problems(whole.genus) == []
    assert small.mesh.volume == pytest.approx(whole.mesh.volume, abs=1e-6)
    assert small.mesh.area == pytest.approx(whole.mesh.area, abs=1e-5)
    corners = [np.sort(mesh.vertices.round(7).view("f8,f8,f8").ravel()) for mesh in (small.mesh, whole.mesh)]
    assert np.mean(np.isin(corners[0], corners[1])) > 0.999


def test_parts_and_sources_of_cells_put_back_are_their_own() -> None:
    ring = shaped(dome(**CASES["all"]), DRAFT_CHORD_MM)
    finished, solid = ring.finished, ring.solid
    own = np.flatnonzero(finished.original_id == 0)
    old, new = solid.mesh.faces[finished.face_id[own]], finished.mesh.faces[own]
    before, after = solid.mesh.vertices[old], finished.mesh.vertices[new]
    # Every piece lies in the plane of the triangle that it came from.
    normal = np.cross(before[:, 1] - before[:, 0], before[:, 2] - before[:, 0])
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    off = np.abs(np.einsum("ijk,ik->ij", after - before[:, :1], normal))
    assert np.max(off) < 2e-5
    assert np.all(finished.original_id >= 0)


def test_a_fan_that_was_touched_is_noticed() -> None:
    solid = shaped(dome(), DRAFT_CHORD_MM).solid
    small = decimate_far_cells(solid, [Ball(np.array([0.0, 17.0, 0.0]), 1.0)])
    assert small is not None
    assert small.mesh.problems(1) == []
    assert len(small.mesh.faces) < 0.6 * len(solid.mesh.faces)
    part, source = np.zeros(len(small.mesh.faces), np.int32), np.arange(len(small.mesh.faces), dtype=np.int32)
    back = restore_far_cells(solid, small, small.mesh, part, source)
    assert back is not None
    assert back[0].problems(1) == []
    assert len(back[0].faces) == len(solid.mesh.faces)
    fan = int(np.flatnonzero(small.face < 0)[0])
    missing = np.where(np.arange(len(part)) == fan, 3, part).astype(np.int32)
    assert restore_far_cells(solid, small, small.mesh, missing, source) is None
