"""Open shares against cases with known answers."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from export_sample_rings import bumpy_ring

from ringtex.export.picture.ambient_occlusion import bilateral_filtered, ground_visibility, sample_rotations, visibility
from ringtex.export.picture.camera import named_view
from ringtex.export.picture.ray_scene import RayScene
from ringtex.solid.mesh.ring_mesh import RingMesh


def _scene(theirs: trimesh.Trimesh) -> RayScene:
    return RayScene(RingMesh(np.array(theirs.vertices, dtype=np.float64), np.array(theirs.faces, dtype=np.int32)))


def _share(scene: RayScene, place: list[float], normal: list[float], reach: float) -> float:
    rows = [np.array([vector], dtype=np.float32) for vector in (place, normal)]
    return float(visibility(scene, rows[0], rows[1], np.zeros(1, dtype=np.int32), reach, 400)[0])


BOX = _scene(trimesh.creation.box((2.0, 2.0, 2.0)))


def test_a_flat_face_is_open() -> None:
    assert _share(BOX, [0.3, 0.2, 1.0], [0, 0, 1], 5.0) == 1.0


def test_inside_a_hollow_ball() -> None:
    """All directions meet the wall at distance r, so the share is the square root of r / reach for every sample."""
    ball = _scene(trimesh.creation.icosphere(subdivisions=5, radius=1.0))
    assert _share(ball, [0, 0, 0], [0, 0, 1], 4.0) == pytest.approx(0.5, abs=0.003)


def test_at_the_foot_of_a_wall() -> None:
    """Half of the cosine-weighted half sphere lies on the wall's side; metal at the foot itself counts in full."""
    assert _share(BOX, [1.0001, 0, 0], [0, 0, 1], 1e4) == pytest.approx(0.5, abs=0.02)


def test_metal_beyond_reach_is_not_seen() -> None:
    assert _share(BOX, [3.0, 0, 0], [-1, 0, 0], 1.9) == 1.0
    assert _share(BOX, [3.0, 0, 0], [-1, 0, 0], 4.0) < 0.95


def test_pixels_that_are_sampled() -> None:
    block = sample_rotations(900, 700)[8:12, 4:8]
    assert sorted(block[block >= 0].tolist()) == list(range(8))
    assert sample_rotations(5, 3).shape == (3, 5)


def test_evening_stays_on_the_face() -> None:
    """A step between two faces stays sharp; unsampled pixels are filled; lone ones are open."""
    values = np.where(np.arange(16) < 8, 0.2, 0.8).astype(np.float32) * np.ones((12, 1), dtype=np.float32)
    values[sample_rotations(16, 12) < 0] = np.nan
    normals = np.zeros((12, 16, 3), dtype=np.float32)
    normals[:, :8, 0] = 1.0
    normals[:, 8:, 1] = 1.0
    depth = np.full((12, 16), 50.0, dtype=np.float32)
    result = bilateral_filtered(values, normals, depth)
    assert result[:, :8] == pytest.approx(0.2, abs=1e-6)
    assert result[:, 8:] == pytest.approx(0.8, abs=1e-6)
    normals[5, 5] = [0, 0, 1]
    values[5, 5] = np.nan
    assert bilateral_filtered(values, normals, depth)[5, 5] == 1.0


def test_the_shadow_lies_under_the_ring() -> None:
    mesh = bumpy_ring()
    camera = named_view("three_quarter", mesh.vertices, 300, 240)
    shadow = ground_visibility(RayScene(mesh), camera, (300, 240), float(mesh.vertices[:, 1].min())).reshape(240, 300)
    assert shadow.shape == (240, 300)
    assert shadow[:40].min() > 0.9
    assert shadow.min() < 0.6
    assert abs(int(np.argmin(shadow.min(axis=0))) - 150) < 60
    below = named_view("palm", mesh.vertices, 300, 240)
    assert ground_visibility(RayScene(mesh), below, (300, 240), float(mesh.vertices[:, 1].min())).min() == 1.0
