"""Cells cracked into smaller ones: every crack runs across a cell, square to its longer way, and ends on its walls.

So cracks of drying mud grow: later ones meet earlier ones in T-junctions (Bohn, Pauchard and Couder 2005, Hierarchical
crack pattern as formed by successive domain divisions; from memory).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Longs
from ringtex.pattern.clip import wrap
from ringtex.pattern.tiling import Tiling, twins_between

MAX_TILT_DEG: Final = 14.0
MAX_SHIFT: Final = 0.12
"""How far a crack turns from square to its cell's longer way, and how far it stands from the centroid, in roots of the
cell's area: so that no two cells crack alike."""

CORNER_CLEARANCE: Final = 0.2
"""A crack ends so far from the ends of a wall, in roots of the cell's area, or in its middle."""

LARGE: Final = 0.5
"""Cells over this fraction of the largest one's area crack in the same pass."""


class _Cracks(NamedTuple):
    """(k, 2) of each of k cracked cells: the half-edges where the crack ends, in order, and the points there."""

    half_edge: Longs
    point: Floats


def cracked(tiling: Tiling, count: int, random: np.random.Generator, whole: Bools | None = None) -> Tiling:
    """The tiling with its largest cells cracked in two, and those again, until there are `count` cells.

    Parameters:
        tiling: convex cells.
        count: cells wanted; a tiling that has more stays as it is.
        random: draws tilt and place of each crack.
        whole: (cells,) which cells never crack; None: none.
    Returns: convex cells, which meet in T-junctions.
    """
    first = np.zeros(tiling.cells, np.bool_) if whole is None else whole
    while tiling.cells < count:
        whole = np.concatenate([first, np.zeros(tiling.cells - len(first), np.bool_)])
        chosen = _apart(tiling, np.where(whole, 0.0, tiling.areas), count - tiling.cells)
        tiling = _split(tiling, _cracks(tiling, chosen, random))
    return tiling


def _apart(tiling: Tiling, areas: Floats, most: int) -> Longs:
    """The largest cells by these areas, no two of them neighbours."""
    order = np.argsort(-areas, kind="stable")
    rank = np.empty(tiling.cells, np.int64)
    rank[order] = np.arange(tiling.cells)
    best = np.full(tiling.cells, tiling.cells)
    inner = np.flatnonzero(tiling.twin >= 0)
    np.minimum.at(best, tiling.corner_cell[inner], rank[tiling.corner_cell[tiling.twin[inner]]])
    large = areas >= LARGE * np.max(areas)
    chosen = order[(rank < best)[order] & large[order]]
    return np.sort(chosen[:most])


def _cracks(tiling: Tiling, cells: Longs, random: np.random.Generator) -> _Cracks:
    size = np.sqrt(tiling.areas)
    tilt = np.radians(MAX_TILT_DEG) * random.uniform(-1.0, 1.0, len(cells))
    shift = MAX_SHIFT * random.uniform(-1.0, 1.0, len(cells))
    turn = _long_ways(tiling)[cells]
    middle = tiling.centroids[cells] + (shift * size[cells])[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])
    normal = np.zeros((tiling.cells, 2))
    level = np.zeros(tiling.cells)
    normal[cells] = np.column_stack([np.cos(turn + tilt), np.sin(turn + tilt)])
    level[cells] = np.sum(normal[cells] * middle, axis=1)
    off = np.sum(normal[tiling.corner_cell] * tiling.corners, axis=1) - level[tiling.corner_cell]
    ahead = off[tiling.next_corner]
    cracks = np.zeros(tiling.cells, np.bool_)
    cracks[cells] = True
    # In a convex cell exactly one half-edge goes out of each side.
    crossing = np.flatnonzero(cracks[tiling.corner_cell] & ((off < 0.0) != (ahead < 0.0)))
    start, end = tiling.corners[crossing], tiling.corners[tiling.next_corner[crossing]]
    length = np.hypot(*(end - start).T)
    clear = np.minimum(CORNER_CLEARANCE * size[tiling.corner_cell[crossing]] / length, 0.5)
    share = np.clip(off[crossing] / (off[crossing] - ahead[crossing]), clear, 1.0 - clear)
    point = start + share[:, None] * (end - start)
    return _Cracks(crossing.reshape(-1, 2), point.reshape(-1, 2, 2))


def _long_ways(tiling: Tiling) -> Floats:
    """(c,) direction of each cell's longer way, radians: the larger principal axis of its area's second moments."""
    start = tiling.corners - tiling.centroids[tiling.corner_cell]
    end = start[tiling.next_corner]
    cross = start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]
    (x, y), (p, q) = start.T, end.T
    parts = (x * x + x * p + p * p, y * y + y * q + q * q, x * y + p * q + 0.5 * (x * q + p * y))
    xx, yy, xy = (np.add.reduceat(cross * part, tiling.cell_start[:-1]) for part in parts)
    return np.asarray(0.5 * np.arctan2(2.0 * xy, xx - yy), dtype=np.float64)


def _split(tiling: Tiling, cracks: _Cracks) -> Tiling:
    """Both ends of every crack become vertices of the cells on both sides of their walls; each cracked cell keeps the
    part round its first corner, the other parts come after all cells."""
    ends = cracks.half_edge.ravel()
    u, turn = wrap(cracks.point[..., 0].ravel(), tiling.length)
    number = len(tiling.vertices) + np.arange(len(ends))
    inner = np.flatnonzero(tiling.twin[ends] >= 0)
    mate = tiling.twin[ends[inner]]
    between = tiling.corner_winding[tiling.next_corner[mate]] - tiling.corner_winding[ends[inner]]
    cell = tiling.corner_cell[cracks.half_edge[:, 0]]
    first, last = (np.full(tiling.cells, -1, np.int64) for _ in range(2))
    first[cell], last[cell] = cracks.half_edge.T
    part = np.full(tiling.cells, -1, np.int64)
    part[cell] = tiling.cells + np.arange(len(cell))
    here = np.arange(len(tiling.corner_cell))
    cut = (here > first[tiling.corner_cell]) & (here <= last[tiling.corner_cell])
    owner = np.where(cut, part[tiling.corner_cell], tiling.corner_cell)
    # No neighbour cracks in the same pass.
    beside = tiling.corner_cell[mate]
    cells = np.concatenate([owner, np.repeat(cell, 2), np.repeat(part[cell], 2), beside])
    order = np.concatenate([2 * here, 2 * ends + 1, 2 * ends + 1, 2 * mate + 1])
    vertex = np.concatenate([tiling.corner_vertex, number, number, number[inner]])
    winding = np.concatenate([tiling.corner_winding, turn, turn, turn[inner] + between])
    by_cell = np.lexsort((order, cells))
    sizes = np.bincount(cells, minlength=tiling.cells + len(cell))
    vertex, winding = vertex[by_cell].astype(np.int32), winding[by_cell].astype(np.int32)
    start = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int32)
    return replace(
        tiling,
        vertices=np.concatenate([tiling.vertices, np.column_stack([u, cracks.point[..., 1].ravel()])]),
        cell_start=start,
        corner_vertex=vertex,
        corner_winding=winding,
        twin=twins_between(vertex, winding, start),
    )
