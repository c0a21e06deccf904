"""Longest triangle side within the chord tolerance, from the curvature of the outer face."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.basics.caches import cached
from ringtex.pattern.tiling import Tiling
from ringtex.strip.strip_map import StripMap


def chord_length(strip: StripMap, u: Floats, v: Floats, chord_mm: float) -> Floats:
    """Longest triangle edge that stays within the chord tolerance of the outer face.

    Parameters:
        strip: the strip map.
        u, v: (n,) positions on the strip, mm.
        chord_mm: chord tolerance, mm.
    Returns: (n,) mm on the ring.
    """
    return longest_edge(strip.max_curvature(u, v), chord_mm)


def longest_edge(curvature: Floats, chord_mm: float, height_mm: Floats | float = 0.0) -> Floats:
    """Longest triangle edge, mm at height 0, on a surface of a curvature, for what lies up to a height over it.

    A square of side s on a surface of curvature k lies s^2 k / 4 under it along its diagonal. At height h it is 1 + h k
    times as long, and the surface that much less curved.

    Parameters:
        curvature: (n,) largest normal curvature, 1/mm.
        chord_mm: chord tolerance, mm.
        height_mm: height over the surface, mm.
    Returns: (n,) mm.
    """
    clamped = np.maximum(curvature, 1e-3)
    return np.asarray(np.sqrt(4.0 * chord_mm / (clamped * (1.0 + np.maximum(height_mm, 0.0) * clamped))))


COLUMNS = 96
"""Places round the ring at which a band that varies is looked at."""

ROW_MM = 0.03
"""Distance of the samples across the strip: creases have a radius of 0.2 mm."""

MAX_ROWS = 1024

EDGE_ROLL_MM = 0.15
"""A rounded section may roll over at the very edge with a radius of some hundredths. Cells that reach into the last
0.15 mm are not meshed for that radius all over: the edge itself is then followed to about 0.01 mm. A rail follows it
fully."""


def cell_curvature(strip: StripMap, tiling: Tiling, centre: Floats) -> Floats:
    """Largest curvature of the outer face over each cell's height, also along a crease that no corner touches.

    Parameters:
        strip, tiling: the strip map and its cells.
        centre: (cells, 2) a position inside each; columns are looked at there, at the corners and half-way between.
    Returns: (cells,) 1/mm.
    """
    table = _curvature_table(strip)
    columns, rows = table.shape[1:]
    first, cell = tiling.cell_start[:-1], tiling.corner_cell
    low, high = (kind.reduceat(tiling.corners[:, 1], first) for kind in (np.minimum, np.maximum))
    scale = (rows - 1) / strip.width
    bottom = np.clip(np.floor(low * scale).astype(np.int64), 0, rows - 1)
    top = np.clip(np.ceil(high * scale).astype(np.int64), bottom, rows - 1)
    # Two overlapping runs of 2^level rows cover the range.
    level = np.log2(top - bottom + 1).astype(np.int64)
    second = top + 1 - (1 << level)

    def row_maximum(u: Floats, at: NDArray[np.integer]) -> Floats:
        column = np.rint(u * (columns / strip.length)).astype(np.int64) % columns
        largest: Floats = np.maximum(table[level[at], column, bottom[at]], table[level[at], column, second[at]])
        return largest

    at_corner = row_maximum(tiling.corners[:, 0], cell)
    at_half = row_maximum(0.5 * (tiling.corners[:, 0] + centre[cell, 0]), cell)
    maximum = np.maximum.reduceat(np.maximum(at_corner, at_half), first)
    return np.maximum(maximum, row_maximum(centre[:, 0], np.arange(tiling.cells)))


@cached(8)
def _curvature_table(strip: StripMap) -> Floats:
    """(levels, columns, rows) largest curvature in the 2^level rows from each row upwards."""
    rows = int(np.clip(strip.width / ROW_MM, 64, MAX_ROWS)) + 1
    columns = 1 if strip.band.is_revolution else COLUMNS
    u: Floats = np.arange(columns, dtype=np.float64) * (strip.length / columns)
    uu, vv = np.meshgrid(u, np.linspace(0.0, strip.width, rows), indexing="ij")
    # An edge's own roll counts as far as its inner end.
    roll = EDGE_ROLL_MM / np.sqrt(strip.metric(u, np.full(columns, 0.02 * strip.width))[2])[:, None]
    vv = np.clip(vv, np.minimum(roll, 0.25 * strip.width), strip.width - np.minimum(roll, 0.25 * strip.width))
    levels = [strip.max_curvature(uu.ravel(), vv.ravel()).reshape(columns, rows)]
    while 1 << len(levels) <= rows:
        half = 1 << (len(levels) - 1)
        wider = levels[-1].copy()
        wider[:, :-half] = np.maximum(levels[-1][:, :-half], levels[-1][:, half:])
        levels.append(wider)
    return np.stack(levels)
