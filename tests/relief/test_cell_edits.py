"""Depths of single cells set by hand."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.locate import cells_at
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_edits import CellEdit, edited_depths
from ringtex.relief.make_relief import make_relief
from ringtex.relief.relief_options import ReliefOptions

STRIP = SimpleNamespace(length=60.0, width=8.0)


def tiling(around: int = 24) -> Tiling:
    return make_pattern(STRIP, PatternOptions("hexagon", around, 6), RailOptions(0.5, 0.5), Progress()).tiling


def test_the_cell_that_contains_the_place_gets_the_depth_and_no_other() -> None:
    cells = tiling()
    depths = edited_depths((CellEdit(0.5, 0.5, -1.0),), cells, STRIP.width)
    assert depths is not None
    named = cells_at(cells, np.array([[30.0, 4.0]]))[0]
    assert depths[named] == -1.0
    assert np.sum(~np.isnan(depths)) == 1


def test_the_last_edit_of_a_cell_counts() -> None:
    edits = (CellEdit(0.5, 0.5, 0.0), CellEdit(0.5001, 0.5, 1.5), CellEdit(0.1, 0.5, 0.5))
    depths = edited_depths(edits, tiling(), STRIP.width)
    assert depths is not None
    assert sorted(depths[~np.isnan(depths)]) == [0.5, 1.5]


def test_an_edit_in_a_rail_rests() -> None:
    depths = edited_depths((CellEdit(0.5, 0.01, 0.0),), tiling(), STRIP.width)
    assert depths is not None
    assert np.all(np.isnan(depths))


def test_both_ends_of_the_strip_are_one_place() -> None:
    one, two = (edited_depths((CellEdit(u, 0.43, 2.0),), tiling(), STRIP.width) for u in (0.0, 1.0))
    assert np.array_equal(one, two, equal_nan=True)


def test_an_edit_survives_a_small_change_of_the_pattern() -> None:
    for around in (23, 24, 25):
        depths = edited_depths((CellEdit(0.3, 0.5, 0.0),), tiling(around), STRIP.width)
        assert depths is not None
        assert np.sum(depths == 0.0) == 1


def test_a_given_depth_takes_the_place_of_the_drawn_one() -> None:
    options = ReliefOptions(depth_scatter=0.8, seed=3)
    given_depths = np.full(50, np.nan)
    given_depths[[3, 7]] = [-1.0, 1.5]
    drawn, edited = make_relief(50, options, 0.005), make_relief(50, options, 0.005, given_depths)
    assert edited.depth_share[[3, 7]].tolist() == [-1.0, 1.5]
    others = np.delete(np.arange(50), [3, 7])
    assert np.array_equal(edited.depth_share[others], drawn.depth_share[others])


def test_corners_of_deeper_cells_keep_the_chord() -> None:
    """An arc stretched to 1.5 times its height departs from its chord 1.5 times as far: more points make up for it."""
    deep = make_relief(2, ReliefOptions(corner_mm=0.1), 0.005, np.array([2.0, 1.0]))
    assert len(deep.profile.height_mm) > len(make_relief(2, ReliefOptions(corner_mm=0.1), 0.005).profile.height_mm)


@pytest.mark.parametrize(
    ("values", "key"),
    [((1.1, 0.5, 1.0), "u"), ((0.5, -0.1, 1.0), "v"), ((0.5, 0.5, 2.5), "depth"), ((0.5, 0.5, float("nan")), "depth")],
)
def test_refused_with_the_key(values: tuple[float, float, float], key: str) -> None:
    with pytest.raises(InputError) as caught:
        CellEdit(*values)
    assert caught.value.where == key


@given(st.lists(st.builds(CellEdit, st.floats(0, 1), st.floats(0, 1), st.floats(-2, 2)), max_size=40))
def test_any_edits_name_cells_or_rest(edits: list[CellEdit]) -> None:
    depths = edited_depths(edits, tiling(), STRIP.width)
    given_depths = set() if depths is None else set(depths[~np.isnan(depths)].tolist())
    assert given_depths <= {edit.depth for edit in edits}
