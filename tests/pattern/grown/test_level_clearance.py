"""Fields moved clear of their levels: critical points against closed forms, and what is left between two levels."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from ringtex.pattern.grown.contour_lines import contour_lines
from ringtex.pattern.grown.level_clearance import CLEARANCE, Grid, clear_of_levels, critical_nodes

LENGTH, ROWS, COLUMNS = 24.0, 61, 120
U, V = np.arange(COLUMNS) * (LENGTH / COLUMNS), np.linspace(0.0, 12.0, ROWS)
GRID = Grid(U, V, LENGTH, np.ones((COLUMNS, ROWS)), 1.0, (2.0, 10.0))


def hills(mean: float) -> np.ndarray:
    """Tops 2 over and bottoms 2 under a height, in a row each, with passes between them at it (elementary)."""
    along, up = 2.0 * np.pi * U / 12.0, 2.0 * np.pi * V / 12.0
    return np.asarray(mean + np.cos(along)[:, None] - np.cos(up + 0.4))


def value_at(field: np.ndarray, kind: str) -> np.ndarray:
    return np.asarray(field[critical_nodes(field)[kind]])


def test_critical_points_are_those_of_a_sum_of_waves() -> None:
    """cos x - cos y has its tops, bottoms and passes where both sines are 0."""
    found = critical_nodes(hills(0.0))
    assert [int(np.count_nonzero(found[kind])) for kind in ("top", "bottom", "saddle")] == [2, 2, 4]
    column, row = np.nonzero(found["top"])
    assert np.allclose(U[column], [0.0, 12.0])
    assert np.allclose(V[row], 6.0 - 0.4 * 6.0 / np.pi, atol=0.1)


def pinch(field: np.ndarray, levels: np.ndarray) -> float:
    """The least distance between two lines of one level, mm."""
    found = np.inf
    for level in levels:
        lines: Any = contour_lines(field, U, V, np.array([level]))
        for number, line in enumerate(lines):
            found = min([found, *shapely.distance(line, lines[number + 1 :])])
    return float(found)


@pytest.mark.parametrize("off", [0.01, 0.02, -0.02])
def test_passes_near_a_level_are_moved_away_from_it(off: float) -> None:
    """Two lines of a level come together at a pass of nearly its value; afterwards they are a ring's width apart."""
    levels = np.arange(-3.0, 3.0)
    before = hills(off)
    after = clear_of_levels(before, GRID, levels)
    assert pinch(before, levels) < 1.0
    assert pinch(after, levels) > 1.2
    below, above = CLEARANCE["saddle"]
    rest = np.mod(value_at(after, "saddle"), 1.0)
    assert np.all((rest > below - 0.03) & (rest < 1.0 - above + 0.03))
    assert np.max(np.abs(after - before)) < 0.35


def test_what_is_clear_stays_as_it_is() -> None:
    """Passes at 0.5, tops and bottoms at 2.5 and -1.5, extremes along the rails included."""
    levels = np.arange(-3.0, 3.0)
    part = Grid(U, V, LENGTH, GRID.scale, 1.0, (1.0, 11.0))
    before = hills(0.5)
    assert np.max(np.abs(clear_of_levels(before, part, np.array([-30.0, 30.0])) - before)) == 0.0
    assert np.max(np.abs(clear_of_levels(before, part, levels) - before)) < 0.5


def test_the_field_goes_on_round_the_ring() -> None:
    """Rolled by some columns it changes the same way, whatever lies at the seam."""
    random, levels = np.random.default_rng(5), np.arange(-9.0, 9.0)
    turns, climb, phase = random.integers(-4, 5, 12), random.normal(size=12), random.random(12) * 6.0
    along = 2.0 * np.pi * turns[:, None, None] * U[:, None] / LENGTH
    before = np.sum(np.sin(along + climb[:, None, None] * V + phase[:, None, None]), axis=0)
    after, rolled = (clear_of_levels(field, GRID, levels) for field in (before, np.roll(before, 37, axis=0)))
    assert np.max(np.abs(after - before)) > 0.05
    assert np.allclose(np.roll(after, 37, axis=0), rolled, atol=1e-9)
