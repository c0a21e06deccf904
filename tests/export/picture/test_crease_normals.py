"""Smooth normals against analytic ones and trimesh's; creases against face normals."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from export_sample_rings import bumpy_ring
from numpy.typing import NDArray
from sphere_mesh import sphere

from ringtex.export.picture.crease_normals import CREASE_DEG, face_normals, split_at_creases, vertex_normals
from ringtex.solid.mesh.ring_mesh import RingMesh


def _mesh(theirs: trimesh.Trimesh) -> RingMesh:
    return RingMesh(np.array(theirs.vertices, dtype=np.float64), np.array(theirs.faces, dtype=np.int32))


def _corner_normals(mesh: RingMesh) -> np.ndarray:
    """(m, 3, 3) as they are drawn."""
    drawn = split_at_creases(mesh.vertices, mesh.faces)
    return drawn.normals[drawn.triangles]


def test_face_normals_are_trimeshs() -> None:
    mesh = bumpy_ring()
    theirs = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False).face_normals
    assert np.abs(face_normals(mesh.vertices, mesh.faces) - theirs).max() < 1e-4


def test_a_sphere_is_smooth() -> None:
    mesh = _mesh(trimesh.creation.icosphere(subdivisions=4, radius=9.0))
    normals = _corner_normals(mesh)
    exact = mesh.vertices[mesh.faces] / 9.0
    assert np.degrees(np.arccos(np.clip(np.sum(normals * exact, axis=2), -1, 1))).max() < 0.2


def test_a_box_keeps_its_edges() -> None:
    mesh = _mesh(trimesh.creation.box((4.0, 5.0, 6.0)))
    flat = face_normals(mesh.vertices, mesh.faces)
    assert _corner_normals(mesh) == pytest.approx(np.repeat(flat[:, None], 3, axis=1), abs=1e-6)


@pytest.mark.parametrize(("turn", "shared"), [(CREASE_DEG - 2, True), (CREASE_DEG + 2, False)])
def test_the_crease_angle(turn: float, shared: bool) -> None:
    """Two triangles hinged along x: their corners on the hinge look half way between, or each its own way."""
    tilt = np.radians(turn)
    vertices = np.array([[0.0, 0, 0], [1, 0, 0], [0.5, 1, 0], [0.5, -np.cos(tilt), -np.sin(tilt)]])
    normals = _corner_normals(RingMesh(vertices, np.array([[0, 1, 2], [1, 0, 3]], dtype=np.int32)))
    expected = [0.0, -np.sin(tilt / 2), np.cos(tilt / 2)] if shared else [0, 0, 1]
    assert normals[0, 0] == pytest.approx(expected, abs=1e-5)
    assert normals[0, 2] == pytest.approx([0, 0, 1], abs=1e-6)


def test_a_flat_ground_is_not_stained_by_a_shallow_slope() -> None:
    """A level grid that goes over, by less than the crease angle, into a slope: every level triangle stays level."""
    x, y = np.meshgrid(np.arange(7.0), np.arange(7.0), indexing="ij")
    z = np.tan(np.radians(CREASE_DEG - 8.0)) * np.maximum(x - 3.0, 0.0)
    at = np.arange(49).reshape(7, 7)
    a, b, c, d = (part.ravel() for part in (at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]))
    faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])]).astype(np.int32)
    mesh = RingMesh(np.column_stack([x.ravel(), y.ravel(), z.ravel()]), faces)
    flat = face_normals(mesh.vertices, mesh.faces)
    # Vertices on the rim have too few triangles to tell a crease.
    inside = np.all(np.abs(mesh.vertices[mesh.faces][:, :, 1] - 3.0) < 1.5, axis=1)
    inside &= np.max(mesh.vertices[mesh.faces][:, :, 0], axis=1) > 1.0
    expected = np.repeat(flat[:, None], 3, axis=1)[inside]
    assert _corner_normals(mesh)[inside] == pytest.approx(expected, abs=1e-6)


def test_a_flat_ground_is_parted_from_its_slopes_also_where_only_some_triangles_show_it() -> None:
    """The floor of a groove, a fan in its middle: vertices of the fan lie on creases for all their triangles."""
    x, y = np.meshgrid(np.arange(8.0), np.arange(8.0), indexing="ij")
    z = np.tan(np.radians(CREASE_DEG - 6.0)) * np.maximum(np.abs(x - 3.5) - 0.5, 0.0)
    at = np.arange(64).reshape(8, 8)
    a, b, c, d = (part.ravel() for part in (at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]))
    kept = a != at[3, 3]
    fan = [(at[3, 3], at[4, 3], 64), (at[4, 3], at[4, 4], 64), (at[4, 4], at[3, 4], 64), (at[3, 4], at[3, 3], 64)]
    faces = np.concatenate([np.column_stack([a, b, c])[kept], np.column_stack([a, c, d])[kept], fan]).astype(np.int32)
    mesh = RingMesh(np.vstack([np.column_stack([x.ravel(), y.ravel(), z.ravel()]), [3.5, 3.5, 0.0]]), faces)
    at_fan = np.isin(faces, at[3:5, 3:5])
    flat = np.repeat(face_normals(mesh.vertices, mesh.faces)[:, None], 3, axis=1)
    assert _corner_normals(mesh)[at_fan] == pytest.approx(flat[at_fan], abs=1e-6)


def test_a_top_stays_level_beside_its_rounded_edges() -> None:
    """A long level top between edges of radius 0.1 in steps of 17 degrees: reflections must not run in from them."""
    lean = np.radians([17.0, 34.0, 51.0, 68.0])
    steps = np.cumsum(np.column_stack((0.03 * np.cos(lean), -0.03 * np.sin(lean))), axis=0)
    half = np.concatenate(([[1.5, 0.0]], steps + np.array([1.5, 0.0])))
    profile = np.concatenate((half[::-1] * np.array([-1.0, 1.0]), half))
    y = 0.12 * np.arange(9)
    vertices = np.concatenate([np.column_stack((profile[:, 0], np.full(len(profile), at), profile[:, 1])) for at in y])
    at = np.arange(len(vertices)).reshape(len(y), len(profile))
    a, b, c, d = (part.ravel() for part in (at[:-1, :-1], at[:-1, 1:], at[1:, 1:], at[1:, :-1]))
    faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])]).astype(np.int32)
    mesh = RingMesh(vertices, faces)
    level = np.all(np.abs(vertices[faces][:, :, 2]) < 1e-9, axis=1)
    assert np.count_nonzero(level) == 16
    assert np.degrees(np.arccos(_corner_normals(mesh)[level][:, :, 2].min())) < 1.0


def test_a_triangle_without_area_does_no_harm() -> None:
    vertices = np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0], [0, 1, 0]])
    mesh = RingMesh(vertices, np.array([[0, 1, 2], [0, 2, 3]], dtype=np.int32))
    normals = _corner_normals(mesh)
    assert np.all(np.isfinite(normals))
    assert normals[1] == pytest.approx(np.tile([0, 0, 1], (3, 1)))


def cube() -> tuple[NDArray[np.float64], NDArray[np.int32]]:
    """A cube of side 2 about the origin, 12 triangles that look outwards."""
    vertices = np.array([[x, y, z] for z in (-1.0, 1.0) for y in (-1.0, 1.0) for x in (-1.0, 1.0)])
    sides = [(0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5)]
    return vertices, np.array([[(a, b, c), (a, c, d)] for a, b, c, d in sides], dtype=np.int32).reshape(-1, 3)


def test_a_sphere_has_its_own_radii_for_normals() -> None:
    vertices, faces = sphere(60, 90)
    normals = vertex_normals(vertices, faces)  # exact there: Max 1999
    assert normals.dtype == np.float32
    assert np.einsum("ij,ij->i", normals, vertices / 5.0).min() > 1.0 - 1e-6
    assert len(split_at_creases(vertices, faces).positions) == len(vertices)


def test_a_cube_keeps_its_faces_and_its_triangles() -> None:
    vertices, faces = cube()
    assert RingMesh(vertices, faces).volume == pytest.approx(8.0)
    drawn = split_at_creases(vertices, faces)
    corners = vertices[faces]
    true = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    true /= np.linalg.norm(true, axis=1)[:, None]
    assert np.allclose(drawn.normals[drawn.triangles], true[:, None, :], atol=1e-6)
    assert drawn.vertex is not None
    assert np.array_equal(drawn.vertex[drawn.triangles], faces)
    assert np.array_equal(drawn.positions[: len(vertices)], vertices.astype(np.float32))


def test_a_can_is_smooth_round_its_wall_and_crisp_at_its_rims() -> None:
    count = 48
    phi = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    rim = np.stack((np.cos(phi), np.sin(phi)), axis=1)
    vertices = np.concatenate(
        [np.column_stack((rim, np.full(count, z))) for z in (-1.0, 1.0)] + [np.array([[0, 0, -1.0], [0, 0, 1.0]])]
    )
    i, j = np.arange(count), (np.arange(count) + 1) % count
    wall = np.concatenate((np.stack((i, j, j + count), 1), np.stack((i, j + count, i + count), 1)))
    caps = np.concatenate(
        (np.stack((j, i, 0 * i + 2 * count), 1), np.stack((i + count, j + count, 0 * i + 2 * count + 1), 1))
    )
    drawn = split_at_creases(vertices, np.concatenate((wall, caps)).astype(np.int32))
    normals = drawn.normals[drawn.triangles]
    places = drawn.positions[drawn.triangles]
    radial = places[: 2 * count] * [1.0, 1.0, 0.0]
    # The wall's normals lie within a quarter of a step of the true radius: smooth, where a flat facet has half a step.
    assert np.einsum("ijk,ijk->ij", normals[: 2 * count], radial).min() > np.cos(np.radians(0.26 * 360 / count))
    assert np.allclose(np.abs(normals[2 * count :, :, 2]), 1.0, atol=1e-6)


def test_empty_and_flat_triangles_do_no_harm() -> None:
    nothing = split_at_creases(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32))
    assert len(nothing.triangles) == 0
    normals = vertex_normals(np.zeros((3, 3)), np.array([[0, 1, 2]], dtype=np.int32))
    assert np.isfinite(normals).all()
