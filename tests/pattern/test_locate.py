"""Which cell contains a place: against shapely's polygons, which know nothing of the ring."""

from __future__ import annotations

from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress
from ringtex.pattern.locate import cells_at
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.tiling import Tiling

STRIP = SimpleNamespace(length=60.0, width=8.0)


def tiling_of(**options: object) -> Tiling:
    return make_pattern(STRIP, PatternOptions(**options), RailOptions(0.5, 0.7), Progress()).tiling


def by_shapely(tiling: Tiling, places: Floats) -> Floats:
    """The cells whose polygons, on three turns of the strip, contain the places."""
    ends = tiling.cell_start
    polygons = np.array([shapely.Polygon(tiling.corners[a:b]) for a, b in pairwise(ends)])
    copies = np.concatenate(
        [shapely.transform(polygons, lambda p, t=turn: p + np.array([t * tiling.length, 0.0])) for turn in (-1, 0, 1)]
    )
    place, found = shapely.STRtree(copies).query(shapely.points(places), predicate="within")
    cell = np.full(len(places), -1)
    cell[place] = found % len(polygons)
    return cell


@pytest.mark.parametrize(
    "options",
    [
        {"family": "hexagon", "around": 24, "twist": 2, "slide_mm": (3.3, 0.4)},
        {"family": "brick", "around": 20},
        {"family": "diamond", "around": 3},
        {"family": "cellular", "around": 24, "across": 6, "scatter": 1.0},
        {"family": "cellular", "around": 3, "across": 2, "scatter": 0.5},
    ],
    ids=str,
)
def test_agrees_with_shapely(options: dict[str, object]) -> None:
    tiling = tiling_of(**options)
    places = np.random.default_rng(5).uniform([0.0, 0.0], [60.0, 8.0], (3000, 2))
    assert np.array_equal(cells_at(tiling, places), by_shapely(tiling, places))


def test_u_is_periodic_and_rails_have_no_cell() -> None:
    tiling = tiling_of(family="cellular", around=24)
    places = np.random.default_rng(6).uniform([0.0, 0.6], [60.0, 7.2], (200, 2))
    turned = places + np.array([60.0 * 7, 0.0])
    assert np.array_equal(cells_at(tiling, places), cells_at(tiling, turned))
    assert cells_at(tiling, np.array([[5.0, 0.2], [5.0, 7.9]])).tolist() == [-1, -1]


@given(st.integers(0, 23), st.sampled_from([0.5, 7.3]))
def test_places_on_the_borders_belong_to_cells(step: int, v: float) -> None:
    tiling = tiling_of(family="hexagon", around=24)
    assert cells_at(tiling, np.array([[2.5 * step, v]]))[0] >= 0


def test_no_places() -> None:
    assert len(cells_at(tiling_of(), np.zeros((0, 2)))) == 0
