"""Walls too short to carry a relief are closed: their two ends become one corner where four or more cells meet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Longs
from ringtex.pattern.clip import without_unused_vertices, wrap
from ringtex.pattern.tiling import Tiling

SHORT_WALL_FRACTION: Final = 0.07
"""Walls shorter than this fraction of a cell's size are closed: on a 2 mm cell 0.14 mm, under any ridge that casts."""

MAX_PASSES: Final = 30
"""Each pass closes walls without a common cell; a few passes close them all."""

MIN_CLEARANCE: Final = 0.04
"""A wall is closed only if its cells keep a point that is this fraction of their size clear of every wall's line."""


def close_short_walls(tiling: Tiling, fraction: float) -> Tiling:
    """Close walls shorter than a fraction of the size (root of the area) of the cells beside them, the shortest first.

    A wall stays where a cell would lose its third corner or its star shape. A wall along a border shrinks to a point
    of it; an inner end at a border gives way to the border's end.
    """
    refused: set[tuple[int, ...]] = set()
    for _ in range(MAX_PASSES):
        chosen = _chosen_walls(tiling, fraction, refused)
        if len(chosen) == 0:
            break
        closed = _close(tiling, chosen)
        wrong = _spoilt(tiling, chosen, closed)
        if np.any(wrong):
            refused |= {_name(tiling, wall) for wall in chosen[wrong]}
            chosen = chosen[~wrong]
            closed = _close(tiling, chosen) if len(chosen) else tiling
        tiling = closed
    return without_unused_vertices(tiling)


def _name(tiling: Tiling, wall: np.int64) -> tuple[int, ...]:
    """A wall's two vertices; vertices keep their numbers until the end."""
    return tuple(sorted((int(tiling.corner_vertex[wall]), int(tiling.corner_vertex[tiling.next_corner[wall]]))))


def _chosen_walls(tiling: Tiling, fraction: float, refused: set[tuple[int, ...]]) -> Longs:
    """Half-edges to close in one pass: each is the shortest among all that touch any of its cells."""
    ends = tiling.corners[tiling.next_corner] - tiling.corners
    area = tiling.areas[tiling.corner_cell]
    beside = np.where(tiling.twin >= 0, 0.5 * (area + area[tiling.twin]), area)
    length = np.hypot(ends[:, 0], ends[:, 1]) / np.sqrt(beside)
    own = (tiling.twin < 0) | (np.arange(len(length)) < tiling.twin)
    short = np.flatnonzero(own & (length < fraction))
    short = short[_may_close(tiling, short)]
    if refused:
        short = short[[_name(tiling, wall) not in refused for wall in short]]
    short = short[np.argsort(length[short], kind="stable")]
    rank = np.arange(len(short))
    a, b = tiling.corner_vertex[short], tiling.corner_vertex[tiling.next_corner[short]]
    at_vertex = np.full(len(tiling.vertices), len(short))
    np.minimum.at(at_vertex, a, rank)
    np.minimum.at(at_vertex, b, rank)
    at_cell = np.minimum.reduceat(at_vertex[tiling.corner_vertex], tiling.cell_start[:-1])
    nearby = np.full(len(tiling.vertices), len(short))
    np.minimum.at(nearby, tiling.corner_vertex, at_cell[tiling.corner_cell])
    alone = (nearby[a] == rank) & (nearby[b] == rank)
    return np.asarray(short[alone], dtype=np.int64)


def _may_close(tiling: Tiling, walls: Longs) -> NDArray[np.bool_]:
    size = np.diff(tiling.cell_start)
    mate = tiling.twin[walls]
    roomy = (size[tiling.corner_cell[walls]] > 3) & ((mate < 0) | (size[tiling.corner_cell[mate]] > 3))
    v, v_end = tiling.corners[walls, 1], tiling.corners[tiling.next_corner[walls], 1]
    on_border = (v == tiling.lower) | (v == tiling.upper)
    end_on_border = (v_end == tiling.lower) | (v_end == tiling.upper)
    # An inner wall between two border vertices would cut a cell in two when closed.
    return np.asarray(roomy & ((mate < 0) | ~(on_border & end_on_border)), dtype=np.bool_)


@dataclass(frozen=True)
class _Merge:
    """For each vertex: the vertex it becomes, and the turns to add to its corners."""

    vertex: Longs
    turn: Longs
    vertices: Floats


def _close(tiling: Tiling, walls: Longs) -> Tiling:
    merge = _merge(tiling, walls)
    keep = np.ones(len(tiling.twin), np.bool_)
    keep[walls] = False
    mates = tiling.twin[walls]
    keep[mates[mates >= 0]] = False
    index = np.where(keep, np.cumsum(keep) - 1, -1)
    twin = tiling.twin[keep]
    old = tiling.corner_vertex[keep]
    return replace(
        tiling,
        vertices=merge.vertices,
        cell_start=np.concatenate(
            [[0], np.cumsum(np.add.reduceat(keep, tiling.cell_start[:-1], dtype=np.int64))]
        ).astype(np.int32),
        corner_vertex=merge.vertex[old].astype(np.int32),
        corner_winding=(tiling.corner_winding[keep] + merge.turn[old]).astype(np.int32),
        twin=np.where(twin >= 0, index[twin], -1).astype(np.int32),
    )


def _merge(tiling: Tiling, walls: Longs) -> _Merge:
    start, end = walls, tiling.next_corner[walls]
    a, b = tiling.corner_vertex[start], tiling.corner_vertex[end]
    point, point_end = tiling.corners[start], tiling.corners[end]
    on_border = [np.isin(p[:, 1], (tiling.lower, tiling.upper)) for p in (point, point_end)]
    fraction = np.where(on_border[0] == on_border[1], 0.5, np.where(on_border[0], 0.0, 1.0))
    # Exactly the border's end where there is one: a weighted sum could miss the border by a rounding error.
    middle = np.where(fraction[:, None] == 1.0, point_end, point + fraction[:, None] * (point_end - point))
    u, turn = wrap(middle[:, 0], tiling.length)
    vertex = np.arange(len(tiling.vertices))
    vertex[b] = a
    turns = np.zeros(len(tiling.vertices), np.int64)
    turns[a], turns[b] = turn - tiling.corner_winding[start], turn - tiling.corner_winding[end]
    vertices = tiling.vertices.copy()
    vertices[a] = np.column_stack([u, middle[:, 1]])
    return _Merge(vertex, turns, vertices)


def _spoilt(tiling: Tiling, walls: Longs, closed: Tiling) -> NDArray[np.bool_]:
    """Which closings spoilt a cell; cells keep their numbers and each belongs to one closing only."""
    _, clearance = closed.kernel
    bad = ~(clearance > MIN_CLEARANCE * np.sqrt(np.maximum(closed.areas, 0.0)))
    bad &= ~_already_bad(tiling)
    name = np.sort(closed.corner_cell.astype(np.int64) * len(closed.vertices) + closed.corner_vertex)
    bad[name[1:][name[1:] == name[:-1]] // len(closed.vertices)] = True
    touched = np.zeros(len(tiling.vertices), np.bool_)
    np.logical_or.at(touched, tiling.corner_vertex, bad[tiling.corner_cell])
    ends = tiling.corner_vertex[walls], tiling.corner_vertex[tiling.next_corner[walls]]
    return np.asarray(touched[ends[0]] | touched[ends[1]])


def _already_bad(tiling: Tiling) -> NDArray[np.bool_]:
    _, clearance = tiling.kernel
    return np.asarray(~(clearance > MIN_CLEARANCE * np.sqrt(tiling.areas)))
