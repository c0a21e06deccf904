"""Exact distances against libigl's."""

from __future__ import annotations

import igl
import numpy as np
import pytest

from ringtex.checks.geometry.least_distance import least_distance
from ringtex.checks.geometry.nearest_triangle import nearest_distances


def soup(seed: int, sizes: list[float]) -> tuple[np.ndarray, np.ndarray]:
    """Triangles of very different sizes anywhere in a box of 10 mm."""
    random = np.random.default_rng(seed)
    corners = [random.uniform(0, 10, (60, 1, 3)) + random.normal(0, size, (60, 3, 3)) for size in sizes]
    vertices = np.concatenate(corners).reshape(-1, 3)
    return vertices, np.arange(len(vertices), dtype=np.int32).reshape(-1, 3)


@pytest.mark.parametrize("seed", range(4))
def test_distances_are_libigl_s(seed: int) -> None:
    vertices, faces = soup(seed, [0.02, 0.3, 4.0])
    points = np.random.default_rng(seed + 100).uniform(-3, 13, (300, 3))
    exact = np.sqrt(igl.point_mesh_squared_distance(points, vertices, faces.astype(np.int64))[0])
    assert nearest_distances(points, vertices, faces) == pytest.approx(exact, abs=1e-9)
    least, place = least_distance(points, vertices[faces])
    assert least == pytest.approx(np.min(exact), abs=1e-9)
    assert np.array_equal(place, points[np.argmin(exact)])


def test_nothing_is_infinitely_far() -> None:
    assert nearest_distances(np.zeros((2, 3)), np.zeros((3, 3)), np.zeros((0, 3), np.int32)).tolist() == [np.inf] * 2
    assert len(nearest_distances(np.zeros((0, 3)), *soup(1, [1.0]))) == 0


def test_triangles_without_area_are_lines() -> None:
    vertices = np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0]])
    faces = np.array([[0, 1, 2]], dtype=np.int32)
    points = np.array([[1.5, 0.4, 0.0], [-3.0, 0, 4.0]])
    assert nearest_distances(points, vertices, faces) == pytest.approx([0.4, 5.0])
