"""The pattern laid flat, as the ring would be cut open at the palm: walls, rails, stones and plain places, to scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.export.sheet.dimension_lines import dimension, measure_text
from ringtex.export.sheet.drawing import Anchor, Drawing, Path, Words
from ringtex.export.sheet.ring_drawing import WIDTH_MM, fitting_scale, scale_words
from ringtex.pattern.tiling import Tiling

_MOST_TALL_MM = 50.0
_TITLE_MM = 3.2
_SMALL_MM = 2.5
_HEAD_MM = 11.0
_FOOT_MM = 9.0
_RIGHT_MM = 10.0


@dataclass(frozen=True)
class FlatMark:
    """A stone or a plain place: its middle (u, v), its half sizes, mm on the strip, whether it is round, and a word."""

    u: float
    v: float
    half: tuple[float, float]
    round: bool
    word: str = ""


def flat_drawing(
    tiling: Tiling, width_mm: float, angles: Sequence[tuple[float, str]] = (), marks: Sequence[FlatMark] = ()
) -> Drawing:
    """The whole strip once, the seam at the palm at both ends.

    Parameters:
        tiling: the cells.
        width_mm: the strip's, rails included.
        angles: positions u (mm) along the strip and what they are called, such as "head".
        marks: stones and plain places.
    Returns: the drawing, as wide as the sheet.
    """
    length = tiling.length
    scale = fitting_scale(length, width_mm, WIDTH_MM - _RIGHT_MM, _MOST_TALL_MM)
    tall = scale * width_mm
    height = tall + _HEAD_MM + _FOOT_MM
    left, foot = (WIDTH_MM - _RIGHT_MM - scale * length) / 2.0, _FOOT_MM
    drawn: list[Path | Words] = [
        Words(f"Pattern laid flat, {scale_words(scale)}", 0.0, height - _TITLE_MM, _TITLE_MM, "start", bold=True)
    ]
    place = np.array([left, foot])
    rows = tuple(wall * scale + place for wall in _walls(tiling))
    drawn.append(Path(rows, "thin"))
    ends = np.array([[0.0, 0.0], [length, 0.0], [length, width_mm], [0.0, width_mm]]) * scale + place
    drawn.append(Path((ends,), "outline", closed=True))
    for mark in marks:
        drawn += _marked(mark, (length, width_mm), scale, place)
    ends_named: tuple[tuple[float, str, Anchor], ...] = ((0.0, "palm", "start"), (length, "palm", "end"))
    for u, name, anchor in (*ends_named, *((u, name, "middle") for u, name in angles)):
        x = left + u * scale
        drawn.append(Path((np.array([[x, foot + tall + 0.6], [x, foot + tall + 2.2]]),), "thin"))
        drawn.append(Words(name, x, foot + tall + 2.8, _SMALL_MM, anchor))
    right = left + length * scale
    drawn += dimension((right, foot), (left, foot), 5.0, measure_text(length))
    drawn += dimension((right, foot + tall), (right, foot), 5.0, measure_text(width_mm))
    return Drawing(WIDTH_MM, height, tuple(drawn))


def _walls(tiling: Tiling) -> list[Floats]:
    """Every wall once, cut in two where it crosses the seam, as rows of two places."""
    once = (tiling.twin < 0) | (np.arange(len(tiling.twin)) < tiling.twin)
    start, end = tiling.corners[once].copy(), tiling.corners[tiling.next_corner[once]].copy()
    turns = np.floor(np.minimum(start[:, 0], end[:, 0]) / tiling.length) * tiling.length
    start[:, 0] -= turns
    end[:, 0] -= turns
    forward = (start[:, 0] <= end[:, 0])[:, None]
    low, high = np.where(forward, start, end), np.where(forward, end, start)
    over = high[:, 0] > tiling.length + 1e-9
    share = (tiling.length - low[over, 0]) / (high[over, 0] - low[over, 0])
    cut = low[over] + share[:, None] * (high[over] - low[over])
    back = np.array([tiling.length, 0.0])
    rest = np.stack((cut - back, high[over] - back), axis=1)
    high[over] = cut
    return [*np.stack((low, high), axis=1), *rest]


def _marked(mark: FlatMark, strip: tuple[float, float], scale: float, place: Floats) -> list[Path | Words]:
    """A filled shape with its word, as far as it is on the strip; again at the other end where it crosses the seam."""
    length, width = strip
    wide, tall = mark.half
    if mark.round:
        turn = np.linspace(0.0, 2.0 * np.pi, 49)[:-1]
        shape = np.column_stack((wide * np.cos(turn), tall * np.sin(turn)))
    else:
        shape = np.array([[-wide, -tall], [wide, -tall], [wide, tall], [-wide, tall]])
    drawn: list[Path | Words] = []
    for shift in (-length, 0.0, length):
        middle = mark.u % length + shift
        if middle + wide <= 0.0 or middle - wide >= length:
            continue
        kept = np.clip(shape + np.array([middle, mark.v]), 0.0, (length, width))
        drawn.append(Path((kept * scale + place,), "outline", closed=True, filled=True))
        if mark.word:
            low, high = kept.min(axis=0) * scale + place, kept.max(axis=0) * scale + place
            x, y = ((low + high) / 2.0).tolist()
            # What is too small for its word has it below.
            fits = float(np.min(high - low)) > 1.6 * _SMALL_MM
            drawn.append(Words(mark.word, x, y - 0.35 * _SMALL_MM if fits else float(low[1]) - _SMALL_MM, _SMALL_MM))
    return drawn
