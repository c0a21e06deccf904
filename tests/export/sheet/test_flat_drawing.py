"""The pattern laid flat: every wall once, nothing beyond the strip, marks where they are."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from zoo import DOME, plain_design

from ringtex.basics.arrays import Floats
from ringtex.design.design_file import design_from_json
from ringtex.export.sheet.drawing import Path, Words
from ringtex.export.sheet.flat_drawing import FlatMark, flat_drawing
from ringtex.export.sheet.ring_drawing import WIDTH_MM
from ringtex.pattern.tiling import Tiling
from ringtex.strip.true_size import true_size
from ringtex.strip.unwrap import unwrap


def squares(length: float = 4.0, across: int = 2) -> Tiling:
    """4 x 2 squares of 1 mm: 4 x 3 level walls and 4 x 2 upright ones."""
    around = round(length)
    u, v = np.meshgrid(np.arange(around), np.arange(across + 1), indexing="ij")
    vertices = np.column_stack((u.ravel(), v.ravel())).astype(float)
    corner, turn, twin = [], [], []
    for i in range(around):
        for j in range(across):
            following = (i + 1) % around
            over = 1 if following == 0 else 0
            rows = across + 1
            corner += [i * rows + j, following * rows + j, following * rows + j + 1, i * rows + j + 1]
            turn += [0, over, over, 0]
            cell = lambda a, b: 4 * ((a % around) * across + b)  # noqa: E731
            twin += [
                cell(i, j - 1) + 2 if j else -1,
                cell(i + 1, j) + 3,
                cell(i, j + 1) if j + 1 < across else -1,
                cell(i - 1, j) + 1,
            ]
    start = np.arange(0, len(corner) + 1, 4, dtype=np.int32)
    ints = (np.array(each, dtype=np.int32) for each in (corner, turn, twin))
    return Tiling(length, 0.0, float(across), vertices, start, *ints)


class Straight:
    """A plane on which the strip lies as it is."""

    def __init__(self, length: float, height: float) -> None:
        self.length, self.height = length, height

    def to_plane(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        return u, v


def test_every_wall_is_drawn_once() -> None:
    """Total length of the walls of a grid by counting: 4 x 3 level and 4 x 2 upright, 1 mm each."""
    tiling = squares()
    assert tiling.problems() == []
    drawing = flat_drawing(tiling, 2.0, Straight(4.0, 2.0))
    walls = next(mark for mark in drawing.marks if isinstance(mark, Path) and mark.stroke == "thin")
    lengths = [float(np.sum(np.linalg.norm(np.diff(row, axis=0), axis=1))) for row in walls.rows]
    assert sum(lengths) == pytest.approx(10.0 * (4 * 3 + 4 * 2))


@pytest.mark.parametrize("family", ["hexagon", "cellular"])
def test_nothing_leaves_the_strip_and_measures_are_said(family: str) -> None:
    from ringtex.make_ring import make_ring

    built = make_ring(design_from_json(plain_design(band=DOME, pattern={"family": family, "around": 20})), 0.05)
    stone = FlatMark(0.0, built.strip.width / 2.0, (1.0, 1.0), True, "7")
    plane = true_size(built.strip)
    drawing = flat_drawing(built.pattern.tiling, built.strip.width, plane, [(20.0, "head")], [stone])
    shapes = [mark for mark in drawing.marks if isinstance(mark, Path)]
    frame = next(mark for mark in shapes if mark.closed and not mark.filled and not mark.black).rows[0]
    low, high = frame.min(axis=0), frame.max(axis=0)
    scale = round(float(high[0] - low[0]) / plane.length, 6)
    assert scale in (1.0, 1.5, 2.0, 2.5, 3.0)
    for shape in (shapes[0], *(mark for mark in shapes if mark.filled)):
        for row in shape.rows:
            assert np.all((row >= low - 1e-6) & (row <= high + 1e-6))
    assert low[0] >= 0.0
    assert high[0] <= WIDTH_MM
    words = [mark.text for mark in drawing.marks if isinstance(mark, Words)]
    # On the seam, so once at either end.
    assert words.count("7") == 2
    assert f"{plane.length:.2f}".rstrip("0") in [word.rstrip("0") for word in words]


def test_lengths_are_those_of_the_ring() -> None:
    """The crown line and the edge-to-edge width at the head and at the palm, by chords of the band's own outer face."""
    strip = unwrap(design_from_json(plain_design(band=DOME)).make_band(), "shape")
    plane = true_size(strip)
    tiling = squares()
    tiling = replace(tiling, length=strip.length)
    drawing = flat_drawing(tiling, strip.width, plane)
    frame = next(mark for mark in drawing.marks if isinstance(mark, Path) and mark.closed).rows[0]
    words = [mark.text for mark in drawing.marks if isinstance(mark, Words)]
    theta = np.linspace(-np.pi, np.pi, 20001)
    crown = strip.band.outer(theta, np.zeros_like(theta)).point
    length = float(np.sum(np.linalg.norm(np.diff(crown, axis=0), axis=1)))
    assert f"{length:.2f}" in words
    scale = np.ptp(frame[:, 0]) / length
    assert scale == pytest.approx(round(scale, 1), rel=1e-4)
    across = -np.cos(np.linspace(0.0, np.pi, 20001))
    half = len(frame) // 2
    for at, angle in ((half // 2, 0.0), (0, -np.pi)):
        profile = strip.band.outer(np.full_like(across, angle), across).point
        width = float(np.sum(np.linalg.norm(np.diff(profile, axis=0), axis=1)))
        assert frame[len(frame) - 1 - at, 1] - frame[at, 1] == pytest.approx(scale * width, rel=1e-3)


def test_a_round_mark_has_its_size() -> None:
    drawing = flat_drawing(squares(), 2.0, Straight(4.0, 2.0), (), [FlatMark(2.0, 1.0, (0.5, 0.5), True)])
    (circle,) = (mark for mark in drawing.marks if isinstance(mark, Path) and mark.filled)
    row = circle.rows[0]
    area = 0.5 * abs(float(np.sum(row[:, 0] * np.roll(row[:, 1], -1) - row[:, 1] * np.roll(row[:, 0], -1))))
    assert area == pytest.approx(math.pi * 5.0**2, rel=0.005)
