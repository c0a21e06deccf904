"""Contour lines of a field on a grid: marching squares (Lorensen and Cline 1987, in the plane; from memory)."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import shapely

from ringtex.basics.arrays import Floats, Longs

# Sides of a square by number: 0 below, 1 right, 2 above, 3 left. For each pattern of corners over the level (bit 0
# lower left, then counter-clockwise) the sides that its one or two pieces join.
_PIECES: Final[dict[int, tuple[tuple[int, int], ...]]] = {
    1: ((3, 0),), 2: ((0, 1),), 3: ((3, 1),), 4: ((1, 2),), 6: ((0, 2),), 7: ((3, 2),), 8: ((2, 3),), 9: ((2, 0),),
    11: ((2, 1),), 12: ((1, 3),), 13: ((1, 0),), 14: ((0, 3),),
}  # fmt: skip
_SADDLES: Final[dict[tuple[int, bool], tuple[tuple[int, int], ...]]] = {
    (5, False): ((3, 0), (1, 2)), (5, True): ((3, 2), (1, 0)),
    (10, False): ((0, 1), (2, 3)), (10, True): ((0, 3), (2, 1)),
}  # fmt: skip
"""By pattern, and whether the middle lies over the level."""

MIN_SLOPE: Final = 0.3
MAX_CHANGE: Final = 0.3
"""Where the cubic is less steep than this fraction of the straight line between two nodes, or moves the crossing by
more than this fraction of a square, the straight line is taken."""


def contour_lines(field: Floats, u: Floats, v: Floats, levels: Floats) -> Any:
    """Lines along which a field has given values.

    Parameters:
        field: (columns, rows) values at the nodes; along the grid's lines it is smooth between them.
        u, v: (columns,) and (rows,) positions of the nodes.
        levels: (k,) values.
    Returns: (n,) shapely lines, closed or from side to side of the grid, in the order of the levels.
    """
    lines = []
    for level in levels.tolist():
        pieces = _pieces(field, u, v, level)
        if len(pieces):
            lines.append(shapely.get_parts(shapely.line_merge(shapely.multilinestrings(shapely.linestrings(pieces)))))
    return np.concatenate(lines) if lines else np.empty(0, dtype=object)


def _pieces(field: Floats, u: Floats, v: Floats, level: float) -> Floats:
    """(n, 2, 2) the pieces of one line in the squares that it crosses; neighbours share their ends exactly."""
    over = field > level
    pattern = over[:-1, :-1] + 2 * over[1:, :-1] + 4 * over[1:, 1:] + 8 * over[:-1, 1:]
    column, row = np.nonzero((pattern > 0) & (pattern < 15))
    code = pattern[column, row]
    middle = 0.25 * (field[column, row] + field[column + 1, row] + field[column + 1, row + 1] + field[column, row + 1])
    found = []
    for number, pairs in _PIECES.items():
        found.append((np.flatnonzero(code == number), pairs))
    for (number, above), pairs in _SADDLES.items():
        found.append((np.flatnonzero((code == number) & ((middle > level) == above)), pairs))
    made = []
    for chosen, pairs in found:
        for first, last in pairs:
            ends = [_crossing(field, u, v, level, column[chosen], row[chosen], side) for side in (first, last)]
            made.append(np.stack(ends, axis=1))
    return np.concatenate(made)


def _crossing(field: Floats, u: Floats, v: Floats, level: float, column: Longs, row: Longs, side: int) -> Floats:
    """(n, 2) where the line crosses a side of squares."""
    i, j = column + (side == 1), row + (side == 2)
    p, q = (1, 0) if side in (0, 2) else (0, 1)
    before, after = _at(field, i - p, j - q), _at(field, i + 2 * p, j + 2 * q)
    first, last = field[i, j], field[i + p, j + q]
    share = (level - first) / (last - first)
    # The cubic through both ends: it has the values there, and slopes as between the nodes beside them.
    slopes = 0.5 * (last - before), 0.5 * (after - first)
    bend = 3.0 * (last - first) - 2.0 * slopes[0] - slopes[1], slopes[0] + slopes[1] - 2.0 * (last - first)
    linear = share
    for _ in range(2):
        value = first + share * (slopes[0] + share * (bend[0] + share * bend[1]))
        slope = slopes[0] + share * (2.0 * bend[0] + 3.0 * share * bend[1])
        good = np.abs(slope) > MIN_SLOPE * np.abs(last - first)
        share = np.clip(share - (value - level) / np.where(good, slope, np.inf), 0.0, 1.0)
    share = np.where(np.abs(share - linear) < MAX_CHANGE, share, linear)
    return np.column_stack((u[i] + share * (u[i + p] - u[i]), v[j] + share * (v[j + q] - v[j])))


def _at(field: Floats, i: Longs, j: Longs) -> Floats:
    """(n,) values at nodes, beyond the grid as on its border."""
    return np.asarray(field[np.clip(i, 0, field.shape[0] - 1), np.clip(j, 0, field.shape[1] - 1)])
