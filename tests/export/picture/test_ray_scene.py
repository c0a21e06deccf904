"""Rays against a sphere, where the answer is known."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from ringtex.export.picture.ray_scene import RayScene
from ringtex.solid.mesh.ring_mesh import RingMesh

BALL = trimesh.creation.icosphere(subdivisions=6, radius=10.0)
SCENE = RayScene(RingMesh(np.array(BALL.vertices), np.array(BALL.faces, dtype=np.int32)))


def _rays(offset: float) -> tuple[np.ndarray, np.ndarray]:
    angle = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    origins = np.stack((offset * np.cos(angle), offset * np.sin(angle), np.full(200, 50.0)), axis=1)
    return origins.astype(np.float32), np.tile(np.float32([0, 0, -1]), (200, 1))


def test_distance_to_a_sphere() -> None:
    hits = SCENE.hits(*_rays(6.0))
    assert len(hits.rays) == 200
    assert hits.distance == pytest.approx(50 - 8, abs=0.01)
    corners = BALL.vertices[BALL.faces[hits.triangle]]
    places = (1 - hits.u - hits.v)[:, None] * corners[:, 0] + hits.u[:, None] * corners[:, 1]
    places += hits.v[:, None] * corners[:, 2]
    assert places[:, 2] == pytest.approx(50 - hits.distance, abs=1e-4)


def test_rays_that_miss() -> None:
    hits = SCENE.hits(*_rays(10.1))
    assert len(hits.rays) == 0
    assert np.all(hits.triangle == -1)


def test_distances_stop_at_the_farthest() -> None:
    assert SCENE.distances(*_rays(6.0), 100.0) == pytest.approx(42.0, abs=0.01)
    assert np.all(SCENE.distances(*_rays(6.0), 41.0) == 41.0)
    assert SCENE.distances(np.zeros((0, 3)), np.zeros((0, 3)), 5.0).shape == (0,)
