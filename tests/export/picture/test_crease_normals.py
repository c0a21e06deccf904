"""Smooth normals against analytic ones and trimesh's; creases against face normals."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from export_sample_rings import bumpy_ring

from ringtex.export.picture.crease_normals import CREASE_DEG, CreaseNormals
from ringtex.solid.mesh.ring_mesh import RingMesh


def _mesh(theirs: trimesh.Trimesh) -> RingMesh:
    return RingMesh(np.array(theirs.vertices, dtype=np.float64), np.array(theirs.faces, dtype=np.int32))


def test_face_normals_are_trimeshs() -> None:
    mesh = bumpy_ring()
    theirs = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False).face_normals
    assert np.abs(CreaseNormals(mesh).faces - theirs).max() < 1e-4


def test_a_sphere_is_smooth() -> None:
    mesh = _mesh(trimesh.creation.icosphere(subdivisions=4, radius=9.0))
    normals = CreaseNormals(mesh).corners(np.arange(len(mesh.faces)))
    exact = mesh.vertices[mesh.faces] / 9.0
    assert np.degrees(np.arccos(np.clip(np.sum(normals * exact, axis=2), -1, 1))).max() < 0.2


def test_a_box_keeps_its_edges() -> None:
    mesh = _mesh(trimesh.creation.box((4.0, 5.0, 6.0)))
    normals = CreaseNormals(mesh)
    some = np.array([0, 3, 7])
    assert normals.corners(some) == pytest.approx(np.repeat(normals.faces[some][:, None], 3, axis=1), abs=1e-6)


@pytest.mark.parametrize(("turn", "shared"), [(CREASE_DEG - 2, True), (CREASE_DEG + 2, False)])
def test_the_crease_angle(turn: float, shared: bool) -> None:
    """Two triangles hinged along x: their corners on the hinge look half way between, or each its own way."""
    tilt = np.radians(turn)
    vertices = np.array([[0.0, 0, 0], [1, 0, 0], [0.5, 1, 0], [0.5, -np.cos(tilt), -np.sin(tilt)]])
    normals = CreaseNormals(RingMesh(vertices, np.array([[0, 1, 2], [1, 0, 3]], dtype=np.int32))).corners(np.array([0]))
    expected = [0.0, -np.sin(tilt / 2), np.cos(tilt / 2)] if shared else [0, 0, 1]
    assert normals[0, 0] == pytest.approx(expected, abs=1e-5)
    assert normals[0, 2] == pytest.approx([0, 0, 1], abs=1e-6)


def test_weights_are_angles_so_that_splitting_a_triangle_changes_nothing() -> None:
    """The property that Thuermer and Wuethrich (1998) require: a fan in one plane counts as one triangle."""
    tilt = np.radians(20)
    hinge = [[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [0, -np.cos(tilt), -np.sin(tilt)]]
    one = RingMesh(np.array(hinge), np.array([[0, 1, 2], [0, 3, 1]], dtype=np.int32))
    fan = np.array([*hinge, [0.9, 0.1, 0], [0.5, 0.5, 0], [0.1, 0.9, 0]])
    many = RingMesh(fan, np.array([[0, 3, 1], [0, 1, 4], [0, 4, 5], [0, 5, 6], [0, 6, 2]], dtype=np.int32))
    first = CreaseNormals(one).corners(np.array([1]))[0, 0]
    assert CreaseNormals(many).corners(np.array([0]))[0, 0] == pytest.approx(first, abs=1e-6)


def test_a_triangle_without_area_does_no_harm() -> None:
    vertices = np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0], [0, 1, 0]])
    mesh = RingMesh(vertices, np.array([[0, 1, 2], [0, 2, 3]], dtype=np.int32))
    normals = CreaseNormals(mesh).corners(np.array([0, 1]))
    assert np.all(np.isfinite(normals))
    assert normals[1] == pytest.approx(np.tile([0, 0, 1], (3, 1)))


def test_asking_twice_gives_the_same() -> None:
    normals = CreaseNormals(bumpy_ring())
    first = normals.corners(np.array([5, 9])).copy()
    normals.corners(np.arange(20))
    assert np.array_equal(normals.corners(np.array([5, 9])), first)
