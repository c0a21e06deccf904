"""How many segments every wall is split into, the same seen from both sides."""

from __future__ import annotations

import math

import numpy as np

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import FINAL_CHORD_MM, LONGEST_TO_SHORTEST, MAX_SPLITS, MAX_TRIANGLES, MIN_SPLIT_CHORDS
from ringtex.pattern.tiling import Tiling
from ringtex.solid.cells.offset_loops import OffsetLoops
from ringtex.solid.mesh.chord_length import cell_curvature, longest_edge
from ringtex.strip.strip_map import StripMap


def wall_splits(strip: StripMap, tiling: Tiling, loops: OffsetLoops, chord_mm: float) -> tuple[Longs, Floats]:
    """Segments of each half-edge, the same seen from both sides, and the longest triangle edge of each cell.

    A wall's segments are short enough for the surface, and not so long beside the thinnest loop next to them that the
    triangles between become slivers.

    Parameters:
        strip, tiling, loops: the ring's strip, cells and offset loops.
        chord_mm: chord tolerance, mm.
    Returns: (half-edges,) counts, and (cells,) lengths, mm.
    Raises: InputError for a mesh that no memory would hold.
    """
    top_mm = np.maximum(np.max(loops.height, axis=1), loops.height[:, -1] + loops.rise)
    cell_limit = longest_edge(cell_curvature(strip, tiling, loops.centre), chord_mm, top_mm)
    spacing = loop_spacing(tiling, loops, chord_mm)
    cell_limit = np.minimum(cell_limit, spacing * _longest_side(loops, chord_mm))
    thinnest = np.minimum(loops.gap, spacing)[tiling.corner_cell]
    well_shaped = np.maximum(LONGEST_TO_SHORTEST * thinnest, MIN_SPLIT_CHORDS * chord_mm)
    side = np.minimum(cell_limit[tiling.corner_cell], well_shaped)
    ends = tiling.corners[tiling.next_corner] - tiling.corners
    needed = np.hypot(ends[:, 0], ends[:, 1]) * loops.along / side
    count = np.ceil(np.clip(needed - 1e-9, 1.0, MAX_SPLITS)).astype(np.int64)
    inner = tiling.twin >= 0
    count[inner] = np.maximum(count[inner], count[tiling.twin[inner]])
    _refuse_oversized(relief_triangles(count, loops), chord_mm)
    return count, cell_limit


def relief_triangles(count: Longs, loops: OffsetLoops) -> int:
    """About how many triangles the relief will have, known before they are made."""
    return int(2 * np.sum(count) * (loops.corner.shape[1] - 1))


def _longest_side(loops: OffsetLoops, chord_mm: float) -> float:
    """Longest segment of a wall over the distance of the loops beside it.

    A smooth top is curved both ways, and at its corners the height goes by a power of the distance under two: segments
    there must shrink faster than the root of the tolerance.
    """
    if loops.smooth:
        return 0.9 * min(1.0, math.pow(chord_mm / FINAL_CHORD_MM, 0.2))
    return 0.5 * LONGEST_TO_SHORTEST


def _refuse_oversized(triangles: int, chord_mm: float) -> None:
    if triangles > MAX_TRIANGLES:
        message = f"at a tolerance of {chord_mm:g} mm this relief would take {triangles / 1e6:.0f} million triangles"
        advice = "Take fewer or lower cells, a band without sharp turns, or a coarser tolerance"
        raise InputError(message, advice, "pattern.around")


def loop_spacing(tiling: Tiling, loops: OffsetLoops, chord_mm: float) -> Floats:
    """(cells,) largest distance, mm, of loops inside the last one that follows a curved top; infinite for level tops.

    A parabola of height d in n steps is followed within d / (4 n^2).

    Parameters:
        tiling, loops: the cells and their offset loops.
        chord_mm: chord tolerance, mm.
    Returns: (cells,) mm.
    """
    nearest = np.minimum.reduceat(np.where(loops.alive[:, -1], loops.inner_distance, np.inf), tiling.cell_start[:-1])
    rise = np.abs(loops.rise)
    steps = np.ceil(np.sqrt(rise / (2.0 * chord_mm)))
    return np.where(rise > 0.0, nearest / np.maximum(steps, 1.0), np.inf)
