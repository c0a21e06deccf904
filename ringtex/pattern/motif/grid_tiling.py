"""Rectangles in straight or staggered rows or in staggered columns, one for each repeat of an own motif or picture."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Longs
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.tiling import Tiling, twins_between


def grid_tiling(part: PatternedPart, around: int, across: int, slide_mm: float, is_brick: bool) -> Tiling:
    """around x across rectangles, cell row * around + column.

    Parameters:
        part: the patterned part of the strip.
        around, across: how many.
        slide_mm: where column 0 begins, mm.
        is_brick: every other row is moved by half a rectangle, which gives every long side a corner of 180 degrees.
    Returns: the tiling.
    """
    # Places along u are counted in halves of a rectangle; lines between staggered rows have a vertex at each half.
    shift = (np.arange(across) % 2) * is_brick
    every = np.full(across + 1, 1 if is_brick else 2)
    every[[0, -1]] = 2
    first = np.concatenate((shift[:1], np.where(every[1:-1] == 1, 0, shift[:-1]), shift[-1:]))
    count = 2 * around // every
    base = np.cumsum(count) - count
    line = np.repeat(np.arange(across + 1), count)
    half = first[line] + (np.arange(len(line)) - base[line]) * every[line]
    u = slide_mm + half * (part.length / (2 * around))
    turn = np.floor(u / part.length).astype(np.int64)
    v = part.lower + np.arange(across + 1) * (part.width / across)
    v[-1] = part.upper
    vertices = np.column_stack((np.clip(u - turn * part.length, 0.0, np.nextafter(part.length, 0.0)), v[line]))
    row, column = np.divmod(np.arange(across * around), around)
    left = 2 * column + shift[row]

    corners = [_corner(row, left, first, every, base, around), _corner(row, left + 2, first, every, base, around)]
    corners += [
        _corner(row + 1, left + 2, first, every, base, around),
        _corner(row + 1, left, first, every, base, around),
    ]
    below, above = every[row] == 1, every[row + 1] == 1
    ids = np.column_stack([corners[0][0], corners[1][0], corners[2][0], corners[3][0]])
    turns = np.column_stack([corners[0][1], corners[1][1], corners[2][1], corners[3][1]])
    low, high = (_corner(row + step, left + 1, first, every, base, around) for step in (0, 1))
    ids = np.column_stack((ids[:, 0], low[0], ids[:, 1:3], high[0], ids[:, 3]))
    turns = np.column_stack((turns[:, 0], low[1], turns[:, 1:3], high[1], turns[:, 3]))
    kept = np.column_stack((np.ones_like(below), below, np.ones((len(row), 2), bool), above, np.ones_like(below)))
    vertex = ids[kept]
    # Vertices were reduced to one turn, the cells are in one piece.
    winding = turns[kept] + turn[vertex]
    start = np.concatenate(([0], np.cumsum(kept.sum(axis=1))))
    return Tiling(
        part.length, part.lower, part.upper, vertices, start.astype(np.int32), vertex.astype(np.int32),
        winding.astype(np.int32), twins_between(vertex, winding, start),
    )  # fmt: skip


def half_drop_tiling(part: PatternedPart, around: int, across: int, slide_mm: float) -> Tiling:
    """Columns of rectangles, every other one moved up by half a rectangle, which leaves halves at its two ends.

    Parameters:
        part: the patterned part of the strip.
        around: columns, an even number.
        across: whole rectangles in a column.
        slide_mm: where column 0 begins, mm.
    Returns: the tiling, cells as `repeats.dropped_cell` numbers them.
    """
    # Every line between columns has a vertex at each half of a rectangle.
    levels = 2 * across + 1
    u = slide_mm + np.arange(around) * (part.length / around)
    turn = np.floor(u / part.length).astype(np.int64)
    v = part.lower + np.arange(levels) * (part.width / (2 * across))
    v[-1] = part.upper
    at = np.clip(u - turn * part.length, 0.0, np.nextafter(part.length, 0.0))
    vertices = np.column_stack((np.repeat(at, levels), np.tile(v, around)))
    pair = np.concatenate((np.zeros(across, np.int64), np.ones(across + 1, np.int64)))
    column = (2 * np.arange(around // 2)[:, None] + pair).ravel()
    low = np.concatenate((2 * np.arange(across), [0], 2 * np.arange(across) + 1))
    high = np.concatenate((low[:across] + 2, [1], np.minimum(low[across + 1 :] + 2, levels - 1)))
    low, high = np.tile(low, around // 2), np.tile(high, around // 2)
    whole = high - low == 2
    after = (column + 1) % around
    ids = np.column_stack(
        [line * levels + level for line, level in (
            (column, low), (after, low), (after, low + 1), (after, high), (column, high), (column, low + 1)
        )]
    )  # fmt: skip
    over = (column + 1) // around
    winding = np.column_stack((np.zeros_like(over), over, over, over, np.zeros_like(over), np.zeros_like(over)))
    always = np.ones_like(whole)
    kept = np.column_stack((always, always, whole, always, always, whole))
    vertex = ids[kept]
    winding = winding[kept] + turn[vertex // levels]
    start = np.concatenate(([0], np.cumsum(kept.sum(axis=1))))
    return Tiling(
        part.length, part.lower, part.upper, vertices, start.astype(np.int32), vertex.astype(np.int32),
        winding.astype(np.int32), twins_between(vertex, winding, start),
    )  # fmt: skip


def _corner(line: Longs, half: Longs, first: Longs, every: Longs, base: Longs, around: int) -> tuple[Longs, Longs]:
    """The vertex at a half on a line, and how many turns on it lies."""
    turn, inside = np.divmod(half - first[line], 2 * around)
    return base[line] + np.minimum(inside // every[line], 2 * around // every[line] - 1), turn
