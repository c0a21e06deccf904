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

from ringtex.basics.arrays import Floats, Longs
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

AT_ONCE: Final = 2_000_000
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
    for count in np.unique(corners).tolist():
        few, many = _parts(FEW_POINTS / count, PARTS), _parts(MANY_POINTS / count, MANY_PARTS)
        cells = np.flatnonzero(corners == count)
        for chosen in _batches(cells, count * few):
            loop = _in_view(_on_ring(strip, tiling, loops, chosen, few))
            width[chosen] = least_widths(loop[:, :: few // 2])
            bent = chosen[_bends(loop, few // 2) > BENT_FRACTION * width[chosen]]
            for part in _batches(bent, count * many):
                width[part] = least_widths(_in_view(_on_ring(strip, tiling, loops, part, many)))
    return width


def _parts(wanted: float, limits: tuple[int, int]) -> int:
    """An even number of parts of each side."""
    return 2 * math.ceil(0.5 * min(max(wanted, limits[0]), limits[1]))


def _batches(cells: Longs, points: int) -> Iterator[Longs]:
    size = max(1, AT_ONCE // (3 * FIRST_DIRECTIONS * points))
    return (cells[first : first + size] for first in range(0, len(cells), size))


def _on_ring(strip: ShellView, tiling: Tiling, loops: OffsetLoops, cells: Longs, parts: int) -> Floats:
    """(c, n, 3) the edges of cells' level parts, each side in so many parts, mm."""
    at = tiling.cell_start[cells][:, None] + np.arange(tiling.cell_start[cells[0] + 1] - tiling.cell_start[cells[0]])
    start, end = loops.level_corner[at], loops.level_corner[tiling.next_corner[at]]
    place = start[:, :, None] + np.linspace(0.0, 1.0, parts, endpoint=False)[:, None] * (end - start)[:, :, None]
    place = place.reshape(len(cells), -1, 2)
    height = np.repeat(loops.height[cells, -1], place.shape[1])
    return strip.shell_map(place[..., 0].ravel(), place[..., 1].ravel(), height).reshape(*place.shape[:2], 3)


def _in_view(loop: Floats) -> Floats:
    """(c, n, 2) closed loops (c, n, 3) rolled flat and seen along their mean direction, mm."""
    flat = rolled_flat(loop)
    flat = flat - flat.mean(axis=1, keepdims=True)
    normal = np.sum(np.cross(flat, np.roll(flat, -1, axis=1)), axis=1)
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    helper = np.where(np.abs(normal[:, 2:]) < 0.9, [[0.0, 0.0, 1.0]], [[1.0, 0.0, 0.0]])
    right = np.cross(helper, normal)
    right /= np.linalg.norm(right, axis=1)[:, None]
    up = np.cross(normal, right)
    return np.stack((np.einsum("cni,ci->cn", flat, right), np.einsum("cni,ci->cn", flat, up)), axis=2)


def rolled_flat(loop: Floats) -> Floats:
    """Closed loops with the ring rolled out, each point at its own radius: long cells may go far round it.

    Parameters:
        loop: (c, n, 3) their points, mm; the ring's axis is z.
    Returns: (c, n, 3) mm round the ring, away from the axis and along it.
    """
    middle = np.sum(loop[..., :2], axis=1, keepdims=True)
    radius = np.linalg.norm(loop[..., :2], axis=2)
    x, y = (loop[..., axis] for axis in (0, 1))
    angle = np.arctan2(middle[..., 0] * y - middle[..., 1] * x, middle[..., 0] * x + middle[..., 1] * y)
    return np.stack((radius * angle, radius, loop[..., 2]), axis=2)


def _bends(loop: Floats, step: int) -> Floats:
    """(c,) how far points of loops (c, n, 2) are off the chords from each step-th point to the next at most, mm."""
    parts = loop.reshape(len(loop), -1, step, 2)
    chord = np.roll(parts[:, :, :1], -1, axis=1) - parts[:, :, :1]
    away = parts - parts[:, :, :1]
    off = np.abs(chord[..., 0] * away[..., 1] - chord[..., 1] * away[..., 0])
    return np.asarray(np.max(off / np.maximum(np.hypot(chord[..., 0], chord[..., 1]), 1e-9), axis=(1, 2)))


def least_widths(loop: Floats) -> Floats:
    """(c,) least width of each loop (c, n, 2), in its own unit.

    It lies along a side of the loop's hull (rotating calipers; Toussaint 1983). The points that touch lines in evenly
    spaced directions tell these sides, and so again about the best direction, closer and closer.
    """
    rows = np.arange(len(loop))
    even = np.tile(np.linspace(-0.5 * math.pi, 0.5 * math.pi, FIRST_DIRECTIONS), (len(loop), 1))
    angle, width = np.zeros((len(loop), 1)), np.full(len(loop), np.inf)
    for reach in (None, *REACHES_DEG):
        turned = even if reach is None else angle + np.radians(reach) * np.linspace(-1.0, 1.0, TURNED)
        tried = np.concatenate((turned, _along_sides(loop, turned)), axis=1)
        found = np.ptp(_across(loop, tried), axis=0)
        best = np.argmin(found, axis=1)
        angle, width = tried[rows, best][:, None], found[rows, best]
    return width


def _along_sides(loop: Floats, angle: Floats) -> Floats:
    """(c, 2 k - 2) directions square to the sides between points of loops (c, n, 2) that touch lines square to
    directions (c, k) one after the other, radians."""
    across = _across(loop, angle)
    found = []
    for ends in (np.argmin(across, axis=0), np.argmax(across, axis=0)):
        side = np.diff(np.take_along_axis(loop, ends[:, :, None], axis=1), axis=1)
        real = np.hypot(side[..., 0], side[..., 1]) > SAME_PLACE_MM
        found.append(np.where(real, np.arctan2(side[..., 1], side[..., 0]) + 0.5 * math.pi, angle[:, 1:]))
    return np.concatenate(found, axis=1)


def _across(loop: Floats, angle: Floats) -> Floats:
    """(n, c, k) how far points of loops (c, n, 2) lie in directions (c, k), radians.

    Points run along the first axis: few of them make short rows.
    """
    x, y = loop.T[..., None]
    return np.asarray(np.cos(angle) * x + np.sin(angle) * y)
