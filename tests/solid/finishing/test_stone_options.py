"""Stones: proportions, weight, rows."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from finished_rings import RADIUS_MM, dome, shaped, thick_flat

from ringtex.basics.errors import InputError
from ringtex.solid.finishing.stone_options import (
    CARAT_PER_MM3,
    GRAM_PER_CARAT,
    Proportions,
    Stone,
    StoneRow,
    diameter_of,
    placed_stones,
)


def test_weight_formula_by_the_worked_example() -> None:
    """carat = diameter^2 x depth x 0.0061; worked on a gem page: 6.5 mm across, 4.0 mm deep is 1.0309 ct."""
    assert pytest.approx(1.0309, abs=5e-5) == 6.5**2 * 4.0 * CARAT_PER_MM3
    depth = Stone(0.5, 0.5, 6.5).proportions.depth
    assert Stone(0.5, 0.5, 6.5).carat == pytest.approx(1.0309 * 6.5 * depth / 4.0, rel=1e-4)


def test_tolkowsky_proportions_give_his_heights() -> None:
    """Tolkowsky, Diamond Design, 1919, as education pages print it: crown 16.2 %, pavilion 43.1 %, depth 60 % with
    the girdle of 0.7 %.
    """
    shape = Proportions()
    assert shape.crown_height == pytest.approx(0.162, abs=6e-4)
    assert shape.pavilion_depth == pytest.approx(0.431, abs=5e-4)
    assert shape.depth == pytest.approx(0.600, abs=1e-3)


@pytest.mark.parametrize(("diameter", "carat"), [(2.0, 0.03), (3.0, 0.10), (4.1, 0.25), (5.2, 0.50), (6.4, 1.00)])
def test_weights_agree_with_a_trade_chart(diameter: float, carat: float) -> None:
    """A trade chart of round diamonds; charts differ among themselves, so to 20 % and from 2 mm up."""
    assert Stone(0.5, 0.5, diameter).carat == pytest.approx(carat, rel=0.2)


def test_a_metric_carat_is_a_fifth_of_a_gram() -> None:
    """Exactly, by the metric carat's definition (4th CGPM, 1907)."""
    assert GRAM_PER_CARAT == 0.2
    assert Stone(0.5, 0.5, 6.5).weight_g == pytest.approx(0.2 * Stone(0.5, 0.5, 6.5).carat)


@pytest.mark.parametrize("carat", [0.005, 0.03, 0.25, 1.0, 2.5])
def test_diameter_and_carat_are_each_other_s_inverse(carat: float) -> None:
    shape = Proportions(table=0.57, crown_deg=33.0)
    assert Stone(0.5, 0.5, diameter_of(carat, shape), proportions=shape).carat == pytest.approx(carat, rel=1e-12)


@pytest.mark.parametrize(
    ("make", "where"),
    [
        (lambda: Stone(1.5, 0.5, 2.0), "stones.u"),
        (lambda: Stone(0.5, float("nan"), 2.0), "stones.v"),
        (lambda: Stone(0.5, 0.5, 0.0), "stones.diameter"),
        (lambda: Stone(0.5, 0.5, 2.0, hole=0.95), "stones.hole"),
        (lambda: Stone(0.5, 0.5, 2.0, bearing_deg=90.0), "stones.bearing"),
        (lambda: Proportions(pavilion_deg=80.0), "stones.proportions.pavilion"),
        (lambda: StoneRow(0, Stone(0.5, 0.5, 2.0)), "stones.count"),
        (lambda: StoneRow(3, Stone(0.5, 0.5, 2.0), float("inf")), "stones.spacing"),
    ],
)
def test_what_cannot_be_set_is_refused_by_key(make: object, where: str) -> None:
    assert callable(make)
    with pytest.raises(InputError) as caught:
        make()
    assert caught.value.where == where
    assert caught.value.advice


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
    points = strip.jacobian(fine * strip.length, np.full(len(fine), 0.5 * strip.width)).point.reshape(4, 200, 3)
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
