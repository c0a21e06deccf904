"""Sets of whole numbers by sorting, against numpy's own."""

from __future__ import annotations

import numpy as np
import pytest

from ringtex.basics.arrays import contained, sorted_unique


@pytest.mark.parametrize("count", [0, 1, 2, 1000])
def test_sets_are_those_of_numpy(count: int) -> None:
    random = np.random.default_rng(count)
    values, among = random.integers(0, 700, (2, count))
    np.testing.assert_array_equal(sorted_unique(values), np.unique(values))
    np.testing.assert_array_equal(contained(values, np.sort(among)), np.isin(values, among))
