"""Points in the open parts of the strip, as close as the band's curvature asks."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Longs
from ringtex.solid.free_form.periodic_plane import PeriodicPlane
from ringtex.solid.mesh.chord_length import chord_length
from ringtex.strip.strip_map import StripMap

SAMPLES_AROUND, SAMPLES_ACROSS = 64, 96
ROW_FRACTION: Final = 0.87
"""Rows of equilateral triangles lie sin(60 degrees) of a side apart."""


def free_points(strip: StripMap, plane: PeriodicPlane, chord_mm: float) -> tuple[Longs, Longs]:
    """Staggered rows whose triangles stay within the chord tolerance of the band's face.

    Parameters:
        strip: the strip map.
        plane: one period of the strip.
        chord_mm: chord tolerance, mm.
    Returns: (n, 2) points off the period's ends, in steps, those on both borders with them; (e,) places across of the
        points at its ends.
    """
    v, spacing = _rows(strip, plane, chord_mm)
    points, ends = [], []
    for number, (at, step) in enumerate(zip(v.tolist(), spacing.tolist(), strict=True)):
        count = max(1, int(np.ceil(plane.period / step - 1e-9)))
        shift = 0.0 if number % 2 == 0 or number == len(v) - 1 else 0.5
        u = (np.arange(count) + shift) * (plane.period / count)
        row = plane.to_grid(np.column_stack((u, np.full(count, at))))
        on_end = row[:, 0] % plane.size[0] == 0
        points.append(row[~on_end])
        ends.append(row[on_end, 1])
    return np.concatenate(points), np.concatenate(ends)


def _rows(strip: StripMap, plane: PeriodicPlane, chord_mm: float) -> tuple[Floats, Floats]:
    """v of each row, mm, and how far its points may be apart on the strip."""
    around = 1 if strip.band.is_revolution else SAMPLES_AROUND
    u = np.arange(around) * (strip.length / around)
    v = np.linspace(plane.lower, plane.upper, SAMPLES_ACROSS)
    uu, vv = (grid.ravel() for grid in np.meshgrid(u, v, indexing="ij"))
    e, _, g = (part.reshape(around, -1) for part in strip.metric(uu, vv))
    longest = chord_length(strip, uu, vv, chord_mm).reshape(around, -1)
    density = np.max(np.sqrt(g) / longest, axis=0) / ROW_FRACTION
    total = np.concatenate(([0.0], np.cumsum(0.5 * (density[1:] + density[:-1]) * np.diff(v))))
    count = max(1, int(np.ceil(total[-1])))
    rows = np.interp(np.linspace(0.0, total[-1], count + 1), total, v)
    return rows, np.interp(rows, v, np.min(longest / np.sqrt(e), axis=0))
