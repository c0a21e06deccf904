"""The least distance between places and triangles against libigl's exact distances."""

from __future__ import annotations

import igl
import numpy as np
import pytest

from ringtex.solid.mesh.triangle_distance import least_distance, squared_distances


@pytest.mark.parametrize("size", [0.05, 0.6, 4.0])
@pytest.mark.parametrize("seed", range(4))
def test_least_distance_of_scattered_triangles(size: float, seed: int) -> None:
    """Triangles of one to twenty times a size, so that several classes of them are searched."""
    chance = np.random.default_rng(seed)
    middle = chance.uniform(-10.0, 10.0, (3000, 1, 3))
    triangles = middle + size * chance.uniform(0.05, 1.0, (3000, 1, 1)) * chance.normal(size=(3000, 3, 3))
    places = chance.uniform((-10.0, -10.0, 4.0), (10.0, 10.0, 24.0), (400, 3))
    exact = igl.point_mesh_squared_distance(
        places, triangles.reshape(-1, 3), np.arange(9000, dtype=np.int64).reshape(-1, 3)
    )[0]
    least, place = least_distance(places, triangles)
    assert least == pytest.approx(float(np.sqrt(exact.min())), abs=1e-9)
    assert np.array_equal(place, places[np.argmin(exact)])


def test_one_place_and_one_flat_triangle() -> None:
    """A triangle without area is the line that it is: elementary."""
    line = np.array([[[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [2.0, 0.0, 0.0]]])
    least, place = least_distance(np.array([[1.5, 3.0, 4.0]]), line)
    assert least == pytest.approx(5.0)
    assert place.tolist() == [1.5, 3.0, 4.0]


def soup(seed: int, sizes: list[float]) -> tuple[np.ndarray, np.ndarray]:
    """Triangles of very different sizes anywhere in a box of 10 mm."""
    random = np.random.default_rng(seed)
    corners = [random.uniform(0, 10, (60, 1, 3)) + random.normal(0, size, (60, 3, 3)) for size in sizes]
    vertices = np.concatenate(corners).reshape(-1, 3)
    return vertices, np.arange(len(vertices), dtype=np.int32).reshape(-1, 3)


@pytest.mark.parametrize("seed", range(4))
def test_few_points_among_triangles_of_very_different_sizes(seed: int) -> None:
    """The triangles that a sphere round the points rules out are none of the nearest."""
    vertices, faces = soup(seed, [0.02, 0.3, 4.0])
    chance = np.random.default_rng(seed + 100)
    for extent in (0.1, 1.0, 16.0):
        points = chance.uniform(-3, 13, 3) + extent * chance.uniform(-0.5, 0.5, (30, 3))
        exact = np.sqrt(igl.point_mesh_squared_distance(points, vertices, faces.astype(np.int64))[0])
        least, place = least_distance(points, vertices[faces])
        assert least == pytest.approx(np.min(exact), abs=1e-9)
        assert np.array_equal(place, points[np.argmin(exact)])


def test_triangles_without_area_are_lines() -> None:
    line = np.array([[[0.0, 0, 0], [1, 0, 0], [2, 0, 0]]] * 2)
    points = np.array([[1.5, 0.4, 0.0], [-3.0, 0, 4.0]])
    assert np.sqrt(squared_distances(points, line)) == pytest.approx([0.4, 5.0])
