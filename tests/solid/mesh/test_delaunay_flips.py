"""Flipped triangles against Qhull's Delaunay triangulation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import Delaunay

from ringtex.solid.mesh.delaunay_flips import flip_to_delaunay


def oriented(points: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """The faces counter-clockwise, as int32."""
    a, b, c = points[faces].transpose(1, 0, 2)
    (ux, uy), (vx, vy) = (b - a).T, (c - a).T
    clockwise = ux * vy - uy * vx < 0.0
    return np.where(clockwise[:, None], faces[:, ::-1], faces).astype(np.int32)


def named(faces: np.ndarray) -> set[tuple[int, ...]]:
    return {tuple(sorted(face)) for face in faces.tolist()}


@pytest.mark.parametrize("stretch", [2.0, 6.0])
def test_stretched_triangles_become_those_of_qhull(stretch: float) -> None:
    """Source: scipy's Qhull. Stretching keeps the hull, and little else of a Delaunay triangulation is left."""
    points = np.random.default_rng(4).uniform(size=(500, 2))
    stretched = points * (stretch, 1.0)
    faces = oriented(stretched, Delaunay(points).simplices)
    wanted = named(Delaunay(stretched).simplices)
    assert len(wanted - named(faces)) > 100
    flipped = flip_to_delaunay(stretched[faces], faces, np.zeros(len(faces), dtype=np.int32))
    assert named(flipped) == wanted


def test_edges_between_parts_stay() -> None:
    """Two triangles whose common edge a flip would better, in two parts and in one: elementary."""
    points = np.array([[0.0, 0.0], [2.0, -0.2], [4.0, 0.0], [2.0, 0.2]])
    faces = np.array([[0, 1, 2], [0, 2, 3]], dtype=np.int32)
    apart = flip_to_delaunay(points[faces], faces, np.array([0, 1], dtype=np.int32))
    assert named(apart) == named(faces)
    joined = flip_to_delaunay(points[faces], faces, np.array([0, 0], dtype=np.int32))
    assert named(joined) == {(0, 1, 3), (1, 2, 3)}
