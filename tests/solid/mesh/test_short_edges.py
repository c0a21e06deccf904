"""Short edges are closed where that leaves the surface whole."""

from __future__ import annotations

import numpy as np

from ringtex.solid.mesh.ring_mesh import RingMesh
from ringtex.solid.mesh.short_edges import collapse_short_edges


def octahedron() -> tuple[np.ndarray, np.ndarray]:
    vertices = np.array([[1.0, 0, 0], [0, 1, 0], [-1, 0, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]])
    ring = [0, 1, 2, 3]
    faces = [[a, b, 4] for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]
    faces += [[b, a, 5] for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]
    return vertices, np.array(faces, dtype=np.int32)


def test_a_split_edge_with_a_hair_between_is_closed() -> None:
    """Two vertices 1e-9 apart in the middle of an edge: two slivers between them, gone afterwards."""
    vertices, faces = octahedron()
    middle = np.array([0.5, 0.5, 0.0])
    vertices = np.vstack((vertices, middle, middle + np.array([1e-9, 0.0, 0.0])))
    split = [[0, 7, 4], [7, 6, 4], [6, 1, 4], [7, 0, 5], [6, 7, 5], [1, 6, 5]]
    mesh = RingMesh(vertices, np.array([*faces[1:4], *faces[5:8], *split], dtype=np.int32))
    assert mesh.problems(0) == []
    part, source = np.zeros(12, np.int32), np.arange(12, dtype=np.int32)
    closed, part, source = collapse_short_edges(mesh, part, source)
    assert closed.problems(0) == []
    assert len(closed.faces) == len(part) == len(source) == 10
    assert abs(closed.volume - 4.0 / 3.0) < 1e-8
    assert set(source.tolist()) == set(range(12)) - {7, 10}


def test_a_neck_is_not_closed() -> None:
    """Three vertices round a thin neck, 1e-6 apart: closing any edge would pinch the surface."""
    angle = 2.0 * np.pi * np.arange(3) / 3
    circle = np.column_stack((np.cos(angle), np.sin(angle), np.zeros(3)))
    scale = [(1.0, -1.0), (1e-6, 0.0), (1.0, 1.0)]
    vertices = np.concatenate([circle * [r, r, 1] + [0, 0, z] for r, z in scale])
    faces = [[2, 1, 0], [6, 7, 8]]
    for low in (0, 3):
        for i in range(3):
            j = (i + 1) % 3
            faces += [[low + i, low + j, low + 3 + j], [low + i, low + 3 + j, low + 3 + i]]
    mesh = RingMesh(vertices, np.array(faces, dtype=np.int32))
    assert mesh.problems(0) == []
    kept, *_ = collapse_short_edges(mesh, np.zeros(14, np.int32), np.arange(14, dtype=np.int32))
    assert kept.problems(0) == []
    assert len(kept.faces) == 14
