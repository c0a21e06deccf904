"""Rows of stones by true distances on the ring."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from finished_rings import RADIUS_MM, dome, shaped, thick_flat

from ringtex.basics.errors import InputError
from ringtex.solid.finishing.stone_options import Stone, StoneRow
from ringtex.solid.finishing.stone_rows import placed_stones


def places(row: StoneRow, design: dict) -> np.ndarray:
    strip = shaped(design).strip
    stones = placed_stones(strip, (row,))
    u, v = (np.array([getattr(each, key) for each in stones]) for key in ("u", "v"))
    return strip.point(u * strip.length, v * strip.width)


def test_a_row_all_round_a_flat_band_is_a_regular_polygon() -> None:
    found = places(StoneRow(12, Stone(0.5, 0.5, 1.5)), thick_flat())
    sides = np.linalg.norm(found - np.roll(found, 1, axis=0), axis=1)
    assert sides == pytest.approx(2.0 * (RADIUS_MM + 4.0) * math.sin(math.pi / 12), abs=1e-3)


@pytest.mark.parametrize("u", [0.0, 0.3, 0.5])
def test_spacing_is_along_the_ring_even_where_the_strip_is_stretched(u: float) -> None:
    """On the dome's crown circle arcs are as long as asked, by the angle between neighbours and the local radius."""
    row = StoneRow(5, Stone(u, 0.5, 1.0), 2.0)
    strip = shaped(dome()).strip
    stones = placed_stones(strip, (row,))
    fine = np.concatenate([np.linspace(a.u, a.u + ((b.u - a.u) + 0.5) % 1.0 - 0.5, 200) for a, b in pairwise(stones)])
    points = strip.frame(fine * strip.length, np.full(len(fine), 0.5 * strip.width)).point.reshape(4, 200, 3)
    arcs = np.sum(np.linalg.norm(np.diff(points, axis=1), axis=2), axis=1)
    assert arcs == pytest.approx(2.0, abs=2e-3)
    assert (stones[2].u - u + 0.5) % 1.0 - 0.5 == pytest.approx(0.0, abs=1e-6)


def test_the_opposite_row_lies_half_a_turn_away() -> None:
    found = places(StoneRow(3, Stone(0.5, 0.5, 1.0), 2.0, also_opposite=True), thick_flat())
    assert found[3:, :2] == pytest.approx(-found[:3, :2], abs=1e-6)
    assert found[:3, 1].min() > 0.0 > found[3:, 1].max()


def test_a_row_across_has_its_spacing() -> None:
    found = places(StoneRow(3, Stone(0.5, 0.5, 1.0), 2.5, "across"), thick_flat())
    assert np.diff(found[:, 2]) == pytest.approx(2.5, abs=1e-3)


@pytest.mark.parametrize(
    ("row", "where"),
    [
        (StoneRow(60, Stone(0.5, 0.5, 1.0), 2.0), "stones[1].spacing"),
        (StoneRow(9, Stone(0.5, 0.5, 1.0), 2.0, "across"), "stones[1].spacing"),
    ],
)
def test_rows_that_do_not_fit_are_refused_by_number(row: StoneRow, where: str) -> None:
    with pytest.raises(InputError) as caught:
        placed_stones(shaped(thick_flat()).strip, (Stone(0.5, 0.5, 1.0), row))
    assert caught.value.where == where
