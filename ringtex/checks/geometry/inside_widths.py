"""How wide the insides of cells are: level tops or floors, within their arcs, at their narrowest.

The width of an inside is the smallest distance between two parallel lines that its loop, rolled flat round the ring's
axis and seen along its mean direction, fits between. The mean is over the area, by the loop alone: Newell's formula
(Sutherland, Sproull and Schumacker 1974). A loop that bends in that view, as over a knife edge, has more points.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Longs, crosses, lengths
from ringtex.basics.tolerances import SAME_PLACE_MM
from ringtex.checks.strip_geometry import ShellView
from ringtex.pattern.tiling import Tiling
from ringtex.solid.cells.offset_loops import OffsetLoops

FEW_POINTS: Final = 48
MANY_POINTS: Final = 192
"""Points of a loop, about, and of one that is bent."""

PARTS: Final = (4, 8)
MANY_PARTS: Final = (4, 32)
"""Of a side: at least and at most so many. Even numbers."""

BENT_FRACTION: Final = 0.0025
"""Of its width: loops that are further off the chords from corners to middles of sides are bent."""

FIRST_DIRECTIONS: Final = 31
TURNED: Final = 5
REACHES_DEG: Final = (6.0, 1.5, 0.4)
"""Lines are turned by 6 degrees; then to both sides of the best direction, in steps of half of each of these."""

AT_ONCE: Final = 4_000_000
"""Products worked on at a time."""


def inside_widths(strip: ShellView, tiling: Tiling, loops: OffsetLoops) -> Floats:
    """Least widths of all cells' insides.

    Parameters:
        strip: the strip that the cells lie on.
        tiling: the cells, or their rounded outlines, whose half-edges the loops are those of.
        loops: with the edge of the level part and its height.
    Returns: (cells,) mm.
    """
    width = np.full(tiling.cells, np.inf)
    corners = np.diff(tiling.cell_start)
    for count in sorted(set(corners.tolist())):
        few, many = _parts(FEW_POINTS / count, PARTS), _parts(MANY_POINTS / count, MANY_PARTS)
        cells = np.flatnonzero(corners == count)
        for chosen in _batches(cells, count * few):
            loop = _in_view(_on_ring(strip, tiling, loops, chosen, few))
            width[chosen] = _least_widths(loop[:, :: few // 2])
            bent = chosen[_bends(loop, few // 2) > BENT_FRACTION * width[chosen]]
            for part in _batches(bent, count * many):
                width[part] = _least_widths(_in_view(_on_ring(strip, tiling, loops, part, many)))
    return width


def _parts(wanted: float, limits: tuple[int, int]) -> int:
    """An even number of parts of each side."""
    return 2 * math.ceil(0.5 * min(max(wanted, limits[0]), limits[1]))


def _batches(cells: Longs, points: int) -> Iterator[Longs]:
    size = max(1, AT_ONCE // (3 * FIRST_DIRECTIONS * points))
    return (cells[first : first + size] for first in range(0, len(cells), size))


def _on_ring(strip: ShellView, tiling: Tiling, loops: OffsetLoops, cells: Longs, parts: int) -> Floats:
    """(3, n, c) the edges of cells' level parts, each side in so many parts, mm.

    Points run along the axis before the last one, here and below: few of them would make short rows.
    """
    at = tiling.cell_start[cells] + np.arange(tiling.cell_start[cells[0] + 1] - tiling.cell_start[cells[0]])[:, None]
    start, end = loops.level_corner[at], loops.level_corner[tiling.next_corner[at]]
    place = start[:, None] + np.linspace(0.0, 1.0, parts, endpoint=False)[:, None, None] * (end - start)[:, None]
    u, v = (place[..., axis].reshape(-1) for axis in (0, 1))
    height = np.tile(loops.height[cells, -1], len(u) // len(cells))
    return np.ascontiguousarray(strip.shell_map(u, v, height).T).reshape(3, -1, len(cells))


def _in_view(loop: Floats) -> Floats:
    """(2, n, c) closed loops (3, n, c) rolled flat and seen along their mean direction, mm."""
    flat = _rolled(loop)
    flat -= flat.mean(axis=1, keepdims=True)
    x, y, z = flat
    x_next, y_next, z_next = np.roll(flat, -1, axis=1)
    normal = np.stack(
        [np.sum(each, axis=0) for each in (y * z_next - z * y_next, z * x_next - x * z_next, x * y_next - y * x_next)]
    )
    normal /= np.maximum(lengths(normal), 1e-300)
    helper = np.where(np.abs(normal[2]) < 0.9, [[0.0], [0.0], [1.0]], [[1.0], [0.0], [0.0]])
    right = crosses(helper, normal)
    right /= lengths(right)
    return np.stack([x * axis[0] + z * axis[2] + y * axis[1] for axis in (right, crosses(normal, right))])


def rolled_flat(loop: Floats) -> Floats:
    """Closed loops with the ring rolled out, each point at its own radius: long cells may go far round it.

    Parameters:
        loop: (c, n, 3) their points, mm; the ring's axis is z.
    Returns: (c, n, 3) mm round the ring, away from the axis and along it.
    """
    return _rolled(loop.T).T


def _rolled(loop: Floats) -> Floats:
    """(3, n, c) loops as of `rolled_flat`."""
    x, y, z = loop
    middle_x, middle_y = np.sum(x, axis=0), np.sum(y, axis=0)
    radius = np.sqrt(x * x + y * y)
    angle = np.arctan2(middle_x * y - middle_y * x, middle_x * x + middle_y * y)
    return np.stack((radius * angle, radius, z))


def _bends(loop: Floats, step: int) -> Floats:
    """(c,) how far points of loops (2, n, c) are off the chords from each step-th point to the next at most, mm."""
    parts = loop.reshape(2, -1, step, loop.shape[-1])
    chord = np.roll(parts[:, :, :1], -1, axis=1) - parts[:, :, :1]
    away = parts - parts[:, :, :1]
    off = np.abs(chord[0] * away[1] - chord[1] * away[0])
    return np.asarray(np.max(off / np.maximum(np.hypot(chord[0], chord[1]), 1e-9), axis=(0, 1)))


def least_widths(loop: Floats) -> Floats:
    """(c,) least width of each loop (c, n, 2), in its own unit.

    It lies along a side of the loop's hull (rotating calipers; Toussaint 1983). The points that touch lines in evenly
    spaced directions tell these sides, and so again about the best direction, closer and closer.
    """
    return _least_widths(np.ascontiguousarray(loop.T))


def _least_widths(loop: Floats) -> Floats:
    """(c,) least width of each loop (2, n, c)."""
    even = np.linspace(-0.5 * math.pi, 0.5 * math.pi, FIRST_DIRECTIONS)
    angle, width = _least_among(loop, even[:, None])
    for reach in REACHES_DEG:
        angle, width = _least_among(loop, angle + np.radians(reach) * np.linspace(-1.0, 1.0, TURNED)[:, None])
    return width


def _least_among(loop: Floats, angle: Floats) -> tuple[Floats, Floats]:
    """(c,) direction and (c,) width: the least of those in directions (k, c), radians, and square to the sides between
    points of loops (2, n, c) that touch lines square to these directions one after the other."""
    across = _across(loop, angle)
    widths = np.ptp(across, axis=0)
    best = np.argmin(widths, axis=0)
    cells = np.arange(len(best))
    found, width = np.broadcast_to(angle, widths.shape)[best, cells], widths[best, cells]
    ends = np.stack((np.argmin(across, axis=0), np.argmax(across, axis=0)))
    cell, which, number = np.nonzero((ends[:, 1:] != ends[:, :-1]).transpose(2, 0, 1))
    start, end = loop[:, ends[which, number, cell], cell], loop[:, ends[which, number + 1, cell], cell]
    side = end - start
    real = np.flatnonzero(np.hypot(side[0], side[1]) > SAME_PLACE_MM)
    if not len(real):
        return found, width
    cell, square = cell[real], np.arctan2(side[1, real], side[0, real]) + 0.5 * math.pi
    widths = np.ptp(_across(loop.take(cell, axis=2), square[None])[:, 0], axis=0)
    first = np.flatnonzero(np.diff(cell, prepend=-1))
    least = np.minimum.reduceat(widths, first)
    # Of directions as narrow the first.
    at_least = np.flatnonzero(widths == np.repeat(least, np.diff(first, append=len(cell))))[::-1]
    found_at = np.empty(len(best), dtype=np.int64)
    found_at[cell[at_least]] = at_least
    narrower = cell[first][least < width[cell[first]]]
    found[narrower], width[narrower] = square[found_at[narrower]], widths[found_at[narrower]]
    return found, width


def _across(loop: Floats, angle: Floats) -> Floats:
    """(n, k, c) how far points of loops (2, n, c) lie in directions (k, c) or (k, 1), radians."""
    return np.asarray(np.cos(angle) * loop[0, :, None] + np.sin(angle) * loop[1, :, None])
