"""The pattern laid flat, as the ring would be cut open at the palm: walls, rails, stones and plain places, to scale.

It is drawn in true size: along the crown line and along every line across, lengths are the ring's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.export.sheet.dimension_lines import dimension, measure_text
from ringtex.export.sheet.drawing import Anchor, Drawing, Path, Words
from ringtex.export.sheet.relief_contour import cut_at_seam
from ringtex.export.sheet.ring_drawing import WIDTH_MM, fitting_scale, scale_words
from ringtex.pattern.tiling import Tiling

_MOST_TALL_MM = 36.0
_TITLE_MM = 3.2
_SMALL_MM = 2.5
_HEAD_MM = 11.0
_FOOT_MM = 9.0
_RIGHT_MM = 10.0
_WALL_PIECES: Final = 4
"""A straight wall of the strip is drawn in so many pieces, as it may be curved in true size."""
_EDGE_PIECES: Final = 256


class Plane(Protocol):
    """Where the strip's positions lie in the drawing, mm, such as `TrueSize`."""

    length: float
    height: float

    def to_plane(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """(n,) x and y of (n,) u and v."""


@dataclass(frozen=True)
class FlatMark:
    """A stone or a plain place: its middle (u, v), mm on the strip; its half sizes, mm on the ring; whether it is
    round, and a word."""

    u: float
    v: float
    half: tuple[float, float]
    round: bool
    word: str = ""


def flat_drawing(
    tiling: Tiling,
    width_mm: float,
    plane: Plane,
    angles: Sequence[tuple[float, str]] = (),
    marks: Sequence[FlatMark] = (),
    lines: Sequence[Floats] | None = None,
) -> Drawing:
    """The whole strip once, the seam at the palm at both ends.

    Parameters:
        tiling: the cells.
        width_mm: the strip's, rails included.
        plane: the strip in true size.
        angles: positions u (mm) along the strip and what they are called, such as "head".
        marks: stones and plain places.
        lines: what is drawn in place of the cells' walls: (n, 2) on the strip, mm.
    Returns: the drawing, as wide as the sheet.
    """
    length = tiling.length
    scale = fitting_scale(plane.length, plane.height, WIDTH_MM - _RIGHT_MM, _MOST_TALL_MM)
    tall = scale * plane.height
    height = tall + _HEAD_MM + _FOOT_MM
    left, foot = (WIDTH_MM - _RIGHT_MM - scale * plane.length) / 2.0, _FOOT_MM
    title = f"Pattern laid flat, {scale_words(scale)}: true along the crown line and across"
    drawn: list[Path | Words] = [Words(title, 0.0, height - _TITLE_MM, _TITLE_MM, "start", bold=True)]
    place = np.array([left, foot])
    walls = _on_plane(plane, _walls(tiling)) if lines is None else [_placed(plane, line) for line in lines]
    drawn.append(Path(tuple(wall * scale + place for wall in walls), "thin"))
    edges = _edges(plane, length, width_mm)
    outline = np.concatenate((edges[0], edges[1][::-1]))
    drawn.append(Path((outline * scale + place,), "outline", closed=True))
    for mark in marks:
        drawn += _marked(mark, plane, edges, scale, place)
    ends_named: tuple[tuple[float, str, Anchor], ...] = ((0.0, "palm", "start"), (length, "palm", "end"))
    for u, name, anchor in (*ends_named, *((u, name, "middle") for u, name in angles)):
        x = left + scale * float(plane.to_plane(np.array([u]), np.array([0.5 * width_mm]))[0][0])
        drawn.append(Path((np.array([[x, foot + tall + 0.6], [x, foot + tall + 2.2]]),), "thin"))
        drawn.append(Words(name, x, foot + tall + 2.8, _SMALL_MM, anchor))
    right = left + plane.length * scale
    drawn += dimension((right, foot), (left, foot), 5.0, measure_text(plane.length))
    drawn += dimension((right, foot + tall), (right, foot), 5.0, measure_text(plane.height))
    return Drawing(WIDTH_MM, height, tuple(drawn))


def _edges(plane: Plane, length: float, width_mm: float) -> tuple[Floats, Floats]:
    """(n, 2) the lower and the upper edge of the strip on the drawing, from end to end, mm."""
    u = np.linspace(0.0, length, _EDGE_PIECES + 1)
    low, high = (np.column_stack(plane.to_plane(u, np.full(len(u), v))) for v in (0.0, width_mm))
    return low, high


def _placed(plane: Plane, line: Floats) -> Floats:
    """A line (n, 2) of the strip on the drawing, mm."""
    return np.column_stack(plane.to_plane(*line.T))


def _on_plane(plane: Plane, walls: Floats) -> list[Floats]:
    """Walls (k, 2, 2) of the strip as lines (n, 2) of the drawing, mm."""
    part = np.linspace(0.0, 1.0, _WALL_PIECES + 1)[:, None]
    lines = walls[:, None, 0] + part * (walls[:, None, 1] - walls[:, None, 0])
    x, y = plane.to_plane(lines[..., 0].ravel(), lines[..., 1].ravel())
    return list(np.column_stack((x, y)).reshape(lines.shape))


def _walls(tiling: Tiling) -> Floats:
    """Every wall once, cut in two where it crosses the seam, as rows of two places."""
    once = (tiling.twin < 0) | (np.arange(len(tiling.twin)) < tiling.twin)
    ends = np.stack((tiling.corners[once], tiling.corners[tiling.next_corner[once]]), axis=1)
    return cut_at_seam(ends, tiling.length)


def _marked(
    mark: FlatMark, plane: Plane, edges: tuple[Floats, Floats], scale: float, place: Floats
) -> list[Path | Words]:
    """A filled shape with its word, as far as it is on the strip; again at the other end where it crosses the seam."""
    x_middle, y_middle = (float(part[0]) for part in plane.to_plane(np.array([mark.u]), np.array([mark.v])))
    length = plane.length
    wide, tall = mark.half
    if mark.round:
        turn = np.linspace(0.0, 2.0 * np.pi, 49)[:-1]
        shape = np.column_stack((wide * np.cos(turn), tall * np.sin(turn)))
    else:
        shape = np.array([[-wide, -tall], [wide, -tall], [wide, tall], [-wide, tall]])
    drawn: list[Path | Words] = []
    for shift in (-length, 0.0, length):
        middle = x_middle % length + shift
        if middle + wide <= 0.0 or middle - wide >= length:
            continue
        kept = shape + np.array([middle, y_middle])
        kept[:, 0] = np.clip(kept[:, 0], 0.0, length)
        low_edge, high_edge = (np.interp(kept[:, 0], edge[:, 0], edge[:, 1]) for edge in edges)
        kept[:, 1] = np.clip(kept[:, 1], low_edge, high_edge)
        drawn.append(Path((kept * scale + place,), "outline", closed=True, filled=True))
        if mark.word:
            low, high = kept.min(axis=0) * scale + place, kept.max(axis=0) * scale + place
            x, y = ((low + high) / 2.0).tolist()
            # What is too small for its word has it below.
            fits = float(np.min(high - low)) > 1.6 * _SMALL_MM
            drawn.append(Words(mark.word, x, y - 0.35 * _SMALL_MM if fits else float(low[1]) - _SMALL_MM, _SMALL_MM))
    return drawn
