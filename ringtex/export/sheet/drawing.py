"""A flat drawing in millimetres on paper, made of lines and words: what a page or a screen then shows.

x runs to the right, y upwards, (0, 0) is the drawing's lower left corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from ringtex.basics.arrays import Floats

Stroke = Literal["outline", "thin", "axis", "none"]
Anchor = Literal["start", "middle", "end"]

STROKE_MM: dict[str, float] = {"outline": 0.35, "thin": 0.13, "axis": 0.13}
"""Widths of lines: wide and narrow in steps of about 2, as technical drawings have them (ISO 128, from memory)."""

AXIS_DASH_MM = (3.0, 0.8, 0.6, 0.8)
"""Long dash, gap, dot, gap of a centre line."""

METAL_GREY = 0.86
"""How light cut metal is filled, 0 black to 1 white."""


@dataclass(frozen=True, eq=False)
class Path:
    """One or more rows of places (n, 2); closed: back to each first place; filled: metal (even-odd)."""

    rows: tuple[Floats, ...]
    stroke: Stroke = "outline"
    closed: bool = False
    filled: bool = False
    black: bool = False
    """Filled black, as arrow heads are."""


@dataclass(frozen=True)
class Words:
    """A line of text, its foot at (x, y), turned counter-clockwise by angle_deg; size_mm is the font's size."""

    text: str
    x: float
    y: float
    size_mm: float = 2.8
    anchor: Anchor = "middle"
    angle_deg: float = 0.0
    bold: bool = False


@dataclass(frozen=True, eq=False)
class Drawing:
    """A rectangle of paper with marks on it, drawn in order."""

    width_mm: float
    height_mm: float
    marks: tuple[Path | Words, ...]


def moved(marks: list[Path | Words], x: float, y: float) -> list[Path | Words]:
    """The marks shifted on the paper.

    Parameters:
        marks: lines and text.
        x: to the right, mm.
        y: upwards, mm.
    Returns: the shifted marks.
    """
    shift = np.array([x, y])
    return [
        Path(tuple(row + shift for row in mark.rows), mark.stroke, mark.closed, mark.filled, mark.black)
        if isinstance(mark, Path)
        else Words(mark.text, mark.x + x, mark.y + y, mark.size_mm, mark.anchor, mark.angle_deg, mark.bold)
        for mark in marks
    ]
