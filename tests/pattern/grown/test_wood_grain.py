"""Fibres that flow: long round the ring, bent, and still sound."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np

from ringtex.basics.progress import Progress
from ringtex.pattern.grown.wood_grain import with_flow
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.tiling import Tiling


def bricks() -> Tiling:
    strip = SimpleNamespace(length=58.0, width=10.0)
    return make_pattern(strip, PatternOptions("brick", 12, 12), RailOptions(), Progress()).tiling


def test_fibres_lie_round_the_ring() -> None:
    strip = SimpleNamespace(length=58.0, width=10.0)
    tiling = make_pattern(strip, PatternOptions("wood_grain", 40, seed=2), RailOptions(), Progress()).tiling
    bounds = zip(tiling.cell_start[:-1], tiling.cell_start[1:], strict=True)
    spans = np.array([np.ptp(tiling.corners[low:high], axis=0) for low, high in bounds])
    assert np.median(spans[:, 0] / spans[:, 1]) > 2.5


def test_the_flow_bends_rows_alike_on_both_sides_of_the_seam_and_keeps_borders() -> None:
    start = bricks()
    made = with_flow(start, (5.0, 0.8), 4)
    assert made.problems() == []
    move = made.vertices[:, 1] - start.vertices[:, 1]
    assert np.max(np.abs(move)) > 0.2
    assert np.all(move[np.isin(start.vertices[:, 1], (start.lower, start.upper))] == 0.0)
    np.testing.assert_array_equal(made.vertices[:, 0], start.vertices[:, 0])
    # Turned by half a brick, the seam lies elsewhere in the same flow: every row bends as smoothly there as anywhere.
    row = np.abs(start.vertices[:, 1] - np.median(start.vertices[:, 1])) < 1e-6
    order = np.argsort(start.vertices[row, 0])
    u, bend = start.vertices[row, 0][order], move[row][order]
    slope = np.diff(np.append(bend, bend[0])) / np.diff(np.append(u, u[0] + 58.0))
    assert abs(slope[-1]) <= np.max(np.abs(slope[:-1])) * 1.2


def test_what_would_be_bent_too_far_is_bent_less() -> None:
    start = bricks()
    made = with_flow(start, (0.5, 3.0), 4)
    assert made.problems() == []
    assert np.any(made.vertices[:, 1] != start.vertices[:, 1])
    assert replace(made, vertices=start.vertices).problems() == []
