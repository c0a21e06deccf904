"""How many segments every wall is split into, the same seen from both sides."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.tolerances import LONGEST_TO_SHORTEST, MOST_SPLITS
from ringtex.pattern.tiling import Tiling
from ringtex.solid.cell_insets import CellInsets
from ringtex.strip.strip_map import StripMap

Floats = NDArray[np.float64]
Longs = NDArray[np.int64]


def chord_length(strip: StripMap, u: Floats, v: Floats, chord_mm: float) -> Floats:
    """Longest triangle side, mm, that keeps within the chord tolerance of the surface at a place.

    A square of side s on a surface of curvature k lies s^2 k / 4 under it along its diagonal.
    """
    return np.sqrt(4.0 * chord_mm / np.maximum(strip.max_curvature(u, v), 1e-3))


def wall_splits(strip: StripMap, tiling: Tiling, insets: CellInsets, chord_mm: float) -> tuple[Longs, Floats]:
    """(half walls,) number of segments of each, and (cells,) the longest triangle side in each cell, mm.

    A wall's segments are short enough for the surface and not so long beside the thinnest ring next to them that the
    triangles between become slivers.
    """
    limit = chord_length(strip, tiling.vertices[:, 0], tiling.vertices[:, 1], chord_mm)[tiling.corner_vertex]
    limit = np.minimum(limit, limit[tiling.next_corner])
    cell_limit = np.minimum.reduceat(limit, tiling.cell_start[:-1])
    side = np.minimum(limit, LONGEST_TO_SHORTEST * insets.gap[tiling.corner_cell])
    ends = tiling.corners[tiling.next_corner] - tiling.corners
    wanted = np.hypot(ends[:, 0], ends[:, 1]) * insets.along / side
    count = np.ceil(np.clip(wanted - 1e-9, 1.0, MOST_SPLITS)).astype(np.int64)
    inner = tiling.twin >= 0
    count[inner] = np.maximum(count[inner], count[tiling.twin[inner]])
    return count, cell_limit
