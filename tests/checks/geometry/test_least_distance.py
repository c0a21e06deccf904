"""The least distance between places and triangles against libigl's exact distances."""

from __future__ import annotations

import igl
import numpy as np
import pytest

from ringtex.checks.geometry.least_distance import least_distance


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
