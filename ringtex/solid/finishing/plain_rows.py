"""Where the rows and columns of a plain place must lie to keep the tolerance."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.relief.plain_options import PlainPlace
from ringtex.relief.plain_outline import PlaceMap
from ringtex.strip.strip_map import StripMap

MAX_MM: Final = 1.0
"""Longest step where the face is flat."""

SAMPLES: Final = 400
"""Places along a line at which its bend is measured."""

LINES: Final = (-0.9, 0.0, 0.9)
"""Lines that are measured, as shares of the half width or height."""

ROOM: Final = 0.5
"""Share of the tolerance that each direction may take: a quad takes both."""


def rows_and_columns(
    strip: StripMap, place: PlainPlace, lengths: PlaceMap, chord_mm: float, ends: tuple[float, float]
) -> tuple[Floats, int]:
    """The rows' y (n,), dense where the face bends across the band, and the number of columns in each row.

    ends: where the place is cut off, mm.
    """
    half_x, half_y = place.half_mm
    low, high = max(-half_y, ends[0]), min(half_y, ends[1])
    y = np.linspace(low, high, SAMPLES)
    bends = [_bend(strip, lengths, np.full(SAMPLES, share * half_x), y) for share in LINES]
    rows = _even(y, np.sqrt(np.max(bends, axis=0) / (8.0 * ROOM * chord_mm)))
    x = np.linspace(-half_x, half_x, SAMPLES)
    middle, reach = 0.5 * (low + high), 0.5 * (high - low)
    around = max(float(np.max(_bend(strip, lengths, x, np.full(SAMPLES, middle + s * reach)))) for s in LINES)
    step = min(MAX_MM, float(np.sqrt(8.0 * ROOM * chord_mm / max(around, 1e-6))))
    corners = _corner_rows(place, chord_mm)
    corners = corners[(corners > low) & (corners < high)]
    return _without_near(rows, corners), max(2, int(np.ceil(2.0 * half_x / step)) + 1)


def _bend(strip: StripMap, lengths: PlaceMap, x: Floats, y: Floats) -> Floats:
    """(n,) how fast the normal turns along a line of places, 1/mm; 0 beyond the edges, where the face runs straight."""
    u, v = lengths.to_strip(x, y)
    frame = strip.frame(u, np.clip(v, 0.0, strip.width))
    turn = np.linalg.norm(np.diff(frame.normal, axis=0), axis=1)
    way = np.linalg.norm(np.diff(frame.point, axis=0), axis=1)
    bend = np.where(way > 1e-9, turn / np.maximum(way, 1e-9), 0.0)
    # A sample counts on both of its sides.
    return np.asarray(np.maximum(np.append(bend, 0.0), np.insert(bend, 0, 0.0)))


def _even(y: Floats, density: Floats) -> Floats:
    """Places along y, so many to the millimetre, and never sparser than MAX_MM."""
    dense = np.maximum(density, 1.0 / MAX_MM)
    count = np.concatenate(([0.0], np.cumsum(0.5 * (dense[1:] + dense[:-1]) * np.diff(y))))
    pieces = max(2, int(np.ceil(count[-1])))
    return np.asarray(np.interp(np.linspace(0.0, count[-1], pieces + 1), count, y))


def _corner_rows(place: PlainPlace, chord_mm: float) -> Floats:
    """Rows that rounded corners need, or a whole round border, their ends included."""
    radius, half_y = place.rounding_mm, place.half_mm[1]
    if place.shape == "round":
        bends = max(8, int(np.ceil(0.5 * np.pi / np.sqrt(8.0 * chord_mm / max(place.half_mm)))))
        return half_y * np.sin(0.5 * np.pi * np.arange(-bends + 1, bends) / bends)
    bends = max(4, int(np.ceil(0.5 * np.pi / np.sqrt(8.0 * chord_mm / radius))))
    arc = half_y - radius + radius * np.sin(0.5 * np.pi * np.arange(bends) / bends)
    return np.concatenate((-arc, arc))


def _without_near(rows: Floats, corners: Floats) -> Floats:
    """All rows together, less those of `rows` that lie much nearer to a corner's than they do to each other."""
    if len(corners) == 0:
        return rows
    inner = rows[1:-1]
    apart = np.min(np.abs(inner[:, None] - corners), axis=1)
    step = np.minimum(np.diff(rows)[1:], np.diff(rows)[:-1])
    corners = corners[np.minimum(corners - rows[0], rows[-1] - corners) > 1e-3]
    return np.unique(np.concatenate((rows[[0, -1]], inner[apart > 0.3 * step], corners)))
