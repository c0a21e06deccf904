"""Dimension lines as a workshop reads them: witness lines, arrows, the measure in millimetres over the line."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.export.sheet.drawing import Path, Words

ARROW_MM: Final = 1.8
HALF_ARROW_MM: Final = 0.3
BEYOND_MM: Final = 1.0
"""How far a witness line goes beyond the dimension line, and how far it keeps off the outline."""
TEXT_MM: Final = 2.8
TEXT_OFF_MM: Final = 0.7
CHARACTER_MM: Final = 0.56
"""Width of a digit as a share of the text's size, with a little to spare."""


def measure_text(value_mm: float, sign: str = "") -> str:
    """Such as "5.0", "1.25" or "Ø 17.19": at most two decimals, at least one."""
    text = f"{value_mm:.2f}"
    return sign + (text[:-1] if text.endswith("0") else text)


def dimension(
    start: tuple[float, float], end: tuple[float, float], off_mm: float, text: str, name: str = ""
) -> list[Path | Words]:
    """A dimension line with its arrows, witness lines and measure.

    Short measures get their arrows from outside, and text that does not fit stands beyond the end.

    Parameters:
        start: (x, y) on paper, mm.
        end: (x, y) on paper, mm.
        off_mm: how far the line stands off, to the left of the direction from start to end.
        text: the measure.
        name: written before the measure ("Head width 18.0").
    Returns: the marks.
    """
    first, last = np.array(start), np.array(end)
    length = float(np.linalg.norm(last - first))
    along = (last - first) / length
    left = np.array([-along[1], along[0]])
    inside = length >= 3.0 * ARROW_MM
    reach = 0.0 if inside else 2.0 * ARROW_MM
    a, b = first + off_mm * left, last + off_mm * left
    marks: list[Path | Words] = [_witness(place, off_mm, left) for place in (first, last)]
    marks.append(Path((np.stack((a - reach * along, b + reach * along)),), "thin"))
    marks += [_arrow(a, along if inside else -along), _arrow(b, -along if inside else along)]
    words = f"{name} {text}".strip()
    wide = CHARACTER_MM * TEXT_MM * len(words)
    at = (a + b) / 2.0
    forward = along if _reads_forward(along) else -along
    if wide > length - 2.0 * ARROW_MM:
        after = (b if forward is along else a) + reach * forward
        at = after + (0.8 + wide / 2.0) * forward
        marks.append(Path((np.stack((after, after + (wide + 0.8) * forward)),), "thin"))
    foot = at + TEXT_OFF_MM * np.array([-forward[1], forward[0]])
    angle = math.degrees(math.atan2(forward[1], forward[0]))
    marks.append(Words(words, float(foot[0]), float(foot[1]), TEXT_MM, "middle", angle))
    return marks


def _reads_forward(along: Floats) -> bool:
    """Words run to the right or, on an upright line, upwards."""
    return bool(along[0] > 1e-9 or (abs(along[0]) <= 1e-9 and along[1] > 0.0))


def _witness(place: Floats, off_mm: float, left: Floats) -> Path:
    """From just off the outline to just beyond the dimension line."""
    side = math.copysign(1.0, off_mm)
    gap = min(BEYOND_MM, abs(off_mm) / 2.0)
    return Path((np.stack((place + side * gap * left, place + (off_mm + side * BEYOND_MM) * left)),), "thin")


def _arrow(tip: Floats, back: Floats) -> Path:
    """An arrow head whose point is at tip; back is the unit direction from the point to its foot."""
    across = np.array([-back[1], back[0]])
    foot = tip + ARROW_MM * back
    return Path(
        (np.stack((tip, foot + HALF_ARROW_MM * across, foot - HALF_ARROW_MM * across)),), "none", True, False, True
    )
