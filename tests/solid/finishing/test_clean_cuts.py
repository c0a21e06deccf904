"""Cuts leave no triangle that a file or a slicer would turn over, and hardly move the surface."""

from __future__ import annotations

from typing import Any
from unittest.mock import patch

import igl
import numpy as np
import pytest
from campaigns.ring_judge import crossing_pairs
from finished_rings import dome, shaped, thick_flat
from sample_rings import least_angles
from zoo import band, plain_design, station

from ringtex.basics.arrays import Floats, Ints
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.solid.finishing.outer_cuts import _at_cuts
from ringtex.solid.mesh.ring_mesh import RingMesh
from ringtex.solid.mesh.thin_triangles import FINAL_LIMITS
from ringtex.solid.mesh.triangle_patch import shapes_of

FILE_STEP_MM = 1e-4
"""Text formats and slicers round to this (common practice, no source)."""

MAX_SLIVERS = 0.01
MAX_MOVED_MM = 1e-3

SIGNET_BAND = band("half_round", station(0, 11, 2.4, 1.4), station(180, 7, 1.9, 1.4))
RINGS: dict[str, dict[str, Any]] = {
    "stones that meet": plain_design(
        stones=[{"u": 0.5, "v": 0.5, "diameter": 2}, {"u": 0.5, "v": 0.62, "diameter": 1.8}]
    ),
    "stones on the dome": dome(
        pattern={"around": 8, "across": "auto"},
        stones=[{"u": 0.5, "v": 0.5, "diameter": 3}, {"u": 0.62, "v": 0.55, "diameter": 2}],
    ),
    "letters": plain_design(inscription={"text": "Ring 24", "height": 1.2}),
    "hollow": thick_flat(hollow={"wall": 0.8, "lip": 0.5}),
    "recess over both edges": plain_design(plain=[{"u": 0, "v": 0.5, "width": 6, "height": 20}]),
    "pierced, with a place at head and palm": plain_design(
        band=SIGNET_BAND,
        pattern={"family": "hexagon", "around": 22, "across": "auto"},
        relief={"form": "pierced", "depth": 0.15, "wall_width": 0.95},
        rails={"lower": 1, "upper": 1},
        plain=[
            {"u": 0, "v": 0.5, "width": 9, "height": 10},
            {"u": 0.5, "v": 0.5, "width": 6, "height": 5, "level": "top"},
        ],
    ),
}


def _unchanged(mesh: RingMesh, original_id: Ints, face_id: Ints, *_: object) -> tuple[RingMesh, Ints, Ints]:
    return mesh, original_id, face_id


def uncleaned(design: dict[str, Any]) -> RingMesh:
    """The ring as the cuts leave it."""
    with patch("ringtex.solid.finishing.outer_cuts.remove_thin_triangles", _unchanged):
        return shaped({**design, "name": "uncleaned"}).finished.mesh


@pytest.mark.parametrize("name", RINGS)
def test_a_finished_ring_may_be_rounded(name: str) -> None:
    """No low triangle, few slivers, nothing that crosses after rounding, and the surface where it was."""
    finished, before = shaped(RINGS[name]).finished, uncleaned(RINGS[name])
    mesh = finished.mesh
    assert mesh.closed
    assert mesh.oriented
    assert (mesh.bodies, mesh.genus) == (before.bodies, before.genus)
    assert np.min(shapes_of(mesh.vertices.T, mesh.faces, FINAL_LIMITS).height) >= FILE_STEP_MM
    assert np.mean(least_angles(mesh) < 1.0) < MAX_SLIVERS
    rounded = RingMesh(np.rint(mesh.vertices / FILE_STEP_MM) * FILE_STEP_MM, mesh.faces)
    assert crossing_pairs(rounded) == 0
    for first, second in ((before, mesh), (mesh, before)):
        places = _places_of_its_own(first, second)
        squared = igl.point_mesh_squared_distance(places, second.vertices, second.faces.astype(np.int64))[0]
        assert np.sqrt(np.max(squared)) <= MAX_MOVED_MM


def _places_of_its_own(mesh: RingMesh, other: RingMesh) -> Floats:
    """Vertices and middles of the triangles that another mesh does not have, bit for bit: where the two may differ."""
    theirs = {face.tobytes() for face in other.vertices[other.faces]}
    own = mesh.faces[[face.tobytes() not in theirs for face in mesh.vertices[mesh.faces]]]
    return np.concatenate((mesh.vertices[np.unique(own)], mesh.vertices[own].mean(axis=1)))


def test_collars_in_wide_flutes_leave_three_holes() -> None:
    """Found by random designs: grounds of wide flutes lay up to a millimetre too low, under the collars' grounds."""
    collars = [
        {"u": 0.57, "v": 0.36, "diameter": 1.74, "collar": 0.53, "flush": "rim", "hole": 0.6},
        {"u": 0.494, "v": 0.39, "diameter": 1.99, "collar": 0.61, "flush": "rim", "hole": 0.82},
    ]
    high = station(0, 12.6, 4.9, 4.8), station(90, 5.5, 2.5, 1.65), station(180, 6.2, 2.6, 2.0)
    design = plain_design(
        size={"scale": "jp", "value": "20"},
        band=band("court", *high),
        pattern={"family": "flutes", "around": 5, "across": "auto", "scatter": 0.79},
        stones=collars,
    )
    assert shaped(design, 0.02).finished.mesh.problems(3) == []


def test_a_draft_is_cleaned_at_its_cuts_alone() -> None:
    """Relief that is far from every cut has the triangles that it has in a ring that nothing is cut from."""
    design = plain_design(
        band=band("flat", station(0, 6.0, 2.0, 2.0)),
        pattern={"family": "hexagon", "around": 24, "across": 4},
        stones=[{"u": 0.5, "v": 0.5, "diameter": 2.0}],
    )
    ring = shaped(design, DRAFT_CHORD_MM)
    finished, solid = ring.finished, ring.solid.mesh
    at = _at_cuts(solid, finished.mesh, finished.original_id, finished.face_id)
    places = finished.mesh.vertices[at]
    seat = finished.stones[0].place.table
    assert 0 < len(places) < 0.3 * len(at)
    assert np.max(np.linalg.norm(places - seat, axis=1)) < 8.0
