"""How many segments every wall is split into, the same seen from both sides."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Longs
from ringtex.basics.tolerances import DRAFT_CHORD_MM, MAX_SPLITS
from ringtex.pattern.tiling import Tiling
from ringtex.solid.cells.offset_loops import OffsetLoops
from ringtex.solid.cells.smooth_fill import along_ratio, longest_edges, nearest_sides
from ringtex.solid.mesh.strip_triangulation import refuse_oversized

GRADING = 0.42
"""Segments at the ends of a smooth top's walls are so much shorter than even ones in final meshes."""

DIAGONAL_ROUNDS = 4
"""Times that a wall gets one segment more for its diagonals."""


def wall_splits(tiling: Tiling, loops: OffsetLoops, sagitta_mm: float, chord_mm: float) -> Longs:
    """Segments of each half-edge, the same seen from both sides.

    Segments are as long as the surface allows in their own direction, at every loop's own height. The diagonals
    between neighbouring loops are held to the chord tolerance.

    Parameters:
        tiling, loops: the cells and their offset loops.
        sagitta_mm: how far the surface may rise over a segment, mm.
        chord_mm: chord tolerance, mm.
    Returns: (half-edges,) counts.
    Raises: InputError for a mesh that no memory would hold.
    """
    cell = tiling.corner_cell
    edges, largest = _side_edges(tiling, loops)
    count = np.ceil(np.clip(np.sqrt(largest / sagitta_mm) - 1e-6, 1.0, MAX_SPLITS)).astype(np.int64)
    if loops.smooth:
        length = np.hypot(*edges[:, -1].T) * loops.along
        longest = along_ratio(chord_mm) * longest_edges(tiling, loops, chord_mm)
        needed = np.ceil(np.minimum(length / longest[cell] - 1e-9, MAX_SPLITS))
        count = np.maximum(count, needed.astype(np.int64))
    for _ in range(DIAGONAL_ROUNDS):
        longer = _long_diagonals(tiling, loops, edges, count, chord_mm)
        if not np.any(longer):
            break
        count = np.minimum(count + longer, MAX_SPLITS)
    inner = tiling.twin >= 0
    count[inner] = np.maximum(count[inner], count[tiling.twin[inner]])
    refuse_oversized(relief_triangles(tiling, loops, count, chord_mm), chord_mm)
    return count


def wall_grading(tiling: Tiling, loops: OffsetLoops, count: Longs, sagitta_mm: float, chord_mm: float) -> Floats | None:
    """How much shorter the segments at the ends of each half-edge are, see `graded`; the same seen from both sides.

    A smooth top is level at its corners and steep some way from them; its normals then turn less from one triangle to
    the next. Segments in the middle are longer by as much, if the surface under them allows it.

    Parameters:
        tiling, loops: the cells and their offset loops.
        count: (half-edges,) segments, from `wall_splits`.
        sagitta_mm, chord_mm: as there.
    Returns: (half-edges,) from 0 to GRADING, or None where no side is graded.
    """
    if not loops.smooth or chord_mm >= DRAFT_CHORD_MM:
        return None
    largest = _side_edges(tiling, loops)[1]
    grading = np.clip(count / np.sqrt(np.maximum(largest / sagitta_mm, 1e-12)) - 1.0, 0.0, GRADING)
    inner = tiling.twin >= 0
    grading[inner] = np.minimum(grading[inner], grading[tiling.twin[inner]])
    return grading


def _side_edges(tiling: Tiling, loops: OffsetLoops) -> tuple[Floats, Floats]:
    """(half-edges, loops, 2) every side of every loop, 0 where it has vanished, and (half-edges,) how far the surface
    rises over the longest of each, mm."""
    cell = tiling.corner_cell
    edges = loops.corner[tiling.next_corner] - loops.corner
    edges[~loops.alive] = 0.0
    largest = np.zeros(len(cell))
    for loop in range(edges.shape[1]):
        np.maximum(largest, loops.forms.line_sagitta(cell, edges[:, loop], loops.height[cell, loop]), out=largest)
    return edges, largest


def relief_triangles(tiling: Tiling, loops: OffsetLoops, count: Longs, chord_mm: float) -> int:
    """About how many triangles the relief will have, known before they are made.

    Parameters:
        tiling, loops: the cells and their offset loops.
        count: (half-edges,) segments of each.
        chord_mm: chord tolerance, mm.
    Returns: their number.
    """
    between: int = 2 * int(np.sum(count)) * (loops.corner.shape[1] - 1)
    if not loops.smooth:
        return between
    # Rows as far apart as segments are long, each with fewer segments than the one before: half as many on the whole.
    rows = np.minimum(nearest_sides(tiling, loops) / longest_edges(tiling, loops, chord_mm), MAX_SPLITS)
    return between + int(np.sum(count * rows[tiling.corner_cell]))


def _long_diagonals(tiling: Tiling, loops: OffsetLoops, edges: Floats, count: Longs, chord_mm: float) -> Bools:
    """(half-edges,) a diagonal between two loops is over the tolerance, and would not be with more segments."""
    cell, following, forms = tiling.corner_cell, tiling.next_corner, loops.forms
    long = np.zeros(len(cell), dtype=bool)
    for loop in range(1, edges.shape[1]):
        leg = loops.corner[:, loop] - loops.corner[:, loop - 1]
        height = np.maximum(loops.height[cell, loop], loops.height[cell, loop - 1])
        segment = edges[:, loop - 1] / count[:, None]
        for end, diagonal in ((leg[following], leg[following] + segment), (leg, leg - segment)):
            over = forms.sagitta(cell, diagonal, height) > chord_mm
            if end is leg:
                over &= count > 1
            long |= over & (forms.sagitta(cell, end, height) < 0.7 * chord_mm)
    return long
