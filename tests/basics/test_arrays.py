"""Sets of whole numbers by sorting, against numpy, and points on segments, against shapely."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from ringtex.basics.arrays import contained, nearest_ratio, sorted_unique


@pytest.mark.parametrize("count", [0, 1, 2, 1000])
def test_sets_are_those_of_numpy(count: int) -> None:
    random = np.random.default_rng(count)
    values, among = random.integers(0, 700, (2, count))
    np.testing.assert_array_equal(sorted_unique(values), np.unique(values))
    np.testing.assert_array_equal(contained(values, np.sort(among)), np.isin(values, among))


def test_where_on_a_segment_the_nearest_point_lies() -> None:
    """Against shapely; on a segment without length at its start."""
    random = np.random.default_rng(3)
    point, start, end = random.normal(size=(3, 500, 2))
    lines = shapely.linestrings(np.stack((start, end), axis=1))
    expected = shapely.line_locate_point(lines, shapely.points(point), normalized=True)
    assert nearest_ratio(point - start, end - start) == pytest.approx(expected, abs=1e-9)
    assert nearest_ratio(np.ones((1, 3)), np.zeros((1, 3))) == [0.0]
