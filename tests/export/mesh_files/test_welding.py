"""Welding against numpy's own unique rows."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from ringtex.export.mesh_files import welding
from ringtex.export.mesh_files.welding import weld

few_numbers = st.sampled_from([0.0, -0.0, 1.0, -1.0, 0.1, 1e-300, np.nextafter(1.0, 2.0)])


@given(arrays(np.float64, st.tuples(st.integers(0, 40), st.just(3)), elements=few_numbers))
def test_the_same_as_unique_rows(points: np.ndarray) -> None:
    places, index = weld(points)
    assert np.array_equal(places[index] if len(points) else places, points)
    assert len(places) == len(np.unique(points + 0.0, axis=0))
    first = [int(np.flatnonzero(index == place)[0]) for place in range(len(places))]
    assert first == sorted(first)


def test_points_without_repeats_come_back_as_they_are() -> None:
    points = np.random.default_rng(1).normal(size=(5000, 3))
    places, index = weld(points)
    assert np.array_equal(places, points)
    assert np.array_equal(index, np.arange(5000))


@pytest.mark.parametrize("bits", [0, 3])
def test_collisions_are_resolved(monkeypatch: pytest.MonkeyPatch, bits: int) -> None:
    """With a hash that is nearly or quite constant the answer is still exact."""
    honest = welding._hash

    def poor(columns: np.ndarray, multipliers: tuple[int, int, int]) -> np.ndarray:
        return honest(columns, multipliers) & np.uint64((1 << bits) - 1) << np.uint64(60)

    monkeypatch.setattr(welding, "_hash", poor)
    points = np.random.default_rng(2).integers(0, 4, (200, 3)).astype(np.float64)
    places, index = weld(points)
    assert np.array_equal(places[index], points)
    assert len(places) == len(np.unique(points, axis=0))
