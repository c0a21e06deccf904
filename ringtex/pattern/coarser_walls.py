"""Curved walls in fewer steps, for drafts: cells, their numbers and middles stay, and every corner of three cells."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Longs, nearest_ratio, next_in_loops
from ringtex.basics.caches import cached
from ringtex.pattern.clip import without_unused_vertices
from ringtex.pattern.quantisation import with_vertices
from ringtex.pattern.tiling import Tiling

FEWEST: Final = 2
"""Steps of a wall that is drawn in fewer: two walls between the same corners would become one without a bend."""


@cached(2)
def with_coarser_walls(tiling: Tiling, within_mm: float) -> Tiling:
    """The tiling with steps of walls joined where the wall moves by no more than a distance.

    Parameters:
        tiling: the cells.
        within_mm: how far a wall may move, mm on the strip.
    Returns: the tiling, its kernel points as they were, the same one for a repeated request; itself where no wall is so
        finely drawn, or where one of the points would not see all of its cell.
    """
    bends = _bends(tiling)
    if not np.any(bends):
        return tiling
    walls = _walls_of_steps(tiling, bends)
    steps = walls.steps.copy()
    for fewer in range(int(steps.max(initial=0)) - 1, FEWEST - 1, -1):
        wanted = np.minimum(steps, fewer)
        steps = np.where(walls.moved_by(wanted) <= within_mm, wanted, steps)
    if np.all(steps == walls.steps):
        return tiling
    coarser = _drawn_anew(tiling, walls, steps).seen_from(tiling.kernel[0])
    return coarser if np.all(coarser.kernel[1] > 0.0) else tiling


def _bends(tiling: Tiling) -> Bools:
    """(vertices,) those within the wall between two cells."""
    inner = (tiling.twin >= 0) & (tiling.twin[tiling.previous_corner] >= 0)
    count = len(tiling.vertices)
    cells, of_walls = (np.bincount(tiling.corner_vertex, each, minlength=count) for each in (None, inner))
    return np.asarray((cells == 2) & (of_walls == 2))


@dataclass(frozen=True, eq=False)
class _Walls:
    """Walls of several steps, each from one of its sides.

    half_edge (k,) their steps, wall by wall and in order; number, rank (k,) the wall of each, and its place there.
    first (w,) the first step of each wall in half_edge; steps (w,) how many it has.
    ends (k + w, 2) where their steps begin, and, after the last of each wall, where it ends, mm.
    """

    half_edge: Longs
    number: Longs
    rank: Longs
    first: Longs
    steps: Longs
    ends: Floats

    def at(self, place: Floats, number: Longs) -> Floats:
        """(n, 2) points on walls, by their number (n,), so many steps and fractions (n,) from their beginning, mm."""
        low = np.minimum(place.astype(np.int64), self.steps[number] - 1)
        at = self.first[number] + number + low
        return np.asarray(self.ends[at] + (place - low)[:, None] * (self.ends[at + 1] - self.ends[at]))

    def moved_by(self, steps: Longs) -> Floats:
        """(w,) how far the walls in so many even steps (w,) lie off their own, mm."""
        length = (self.steps / steps)[self.number]
        begin = np.floor(self.rank / length + 1e-9) * length
        start, end = self.at(begin, self.number), self.at(begin + length, self.number)
        point = self.ends[self.first[self.number] + self.number + self.rank]
        way = end - start
        away = point - start
        off = np.linalg.norm(away - nearest_ratio(away, way)[:, None] * way, axis=1)
        return np.asarray(np.maximum.reduceat(off, self.first))


def _walls_of_steps(tiling: Tiling, bends: Bools) -> _Walls:
    """The walls that have bends (vertices,)."""
    number = np.arange(len(tiling.corner_vertex))
    starts = ~bends[tiling.corner_vertex]
    begun = np.where(starts, number, -1)
    # The corner of three cells where the wall of each half-edge begins, which may lie before the cell's first.
    last = np.maximum.reduceat(begun, tiling.cell_start[:-1])[tiling.corner_cell]
    head = np.maximum.accumulate(begun)
    first = tiling.cell_start[tiling.corner_cell]
    wraps = head < first
    rank = np.where(wraps, number - first + tiling.cell_start[tiling.corner_cell + 1] - last, number - head)
    head = np.where(wraps, last, head)
    steps = np.bincount(head[head >= 0], minlength=len(number))
    # One of both sides, and no wall without corners (a cell within another).
    one = (head >= 0) & (tiling.corner_cell < tiling.corner_cell[tiling.twin]) & (tiling.twin >= 0)
    one &= steps[np.maximum(head, 0)] > 1
    order = np.flatnonzero(one)
    order = order[np.lexsort((rank[order], head[order]))]
    begin = np.flatnonzero(rank[order] == 0)
    count = steps[head[order[begin]]]
    end = begin + count
    ends = np.insert(tiling.corners[order], end, tiling.corners[tiling.next_corner[order[end - 1]]], axis=0)
    return _Walls(order, np.repeat(np.arange(len(begin)), count), rank[order], begin, count, ends)


def _drawn_anew(tiling: Tiling, walls: _Walls, steps: Longs) -> Tiling:
    """The tiling with its walls in so many even steps (w,): the first bends of each are moved, the others go."""
    bend = (walls.rank > 0) & (steps < walls.steps)[walls.number]
    stays = bend & (walls.rank < steps[walls.number])
    number, rank = walls.number[stays], walls.rank[stays]
    vertices = tiling.vertices.copy()
    moved = walls.at(rank * (walls.steps / steps)[number], number) - tiling.corners[walls.half_edge[stays]]
    vertices[tiling.corner_vertex[walls.half_edge[stays]]] += moved
    gone = np.zeros(len(vertices), dtype=bool)
    gone[tiling.corner_vertex[walls.half_edge[bend & ~stays]]] = True
    return _without(with_vertices(tiling, vertices), gone)


def _without(tiling: Tiling, gone: Bools) -> Tiling:
    """The tiling without bends (vertices,), whose steps become one with those before."""
    stays = np.flatnonzero(~gone[tiling.corner_vertex])
    renumbered = np.full(len(tiling.corner_vertex), -1)
    renumbered[stays] = np.arange(len(stays))
    start = np.searchsorted(stays, tiling.cell_start)
    # The other side of the last of the joined steps begins where they end.
    twin = tiling.twin[tiling.previous_corner[stays[next_in_loops(start)]]]
    return without_unused_vertices(
        replace(
            tiling, cell_start=start.astype(np.int32), corner_vertex=tiling.corner_vertex[stays],
            corner_winding=tiling.corner_winding[stays],
            twin=np.where(twin < 0, -1, renumbered[twin]).astype(np.int32),
        )
    )  # fmt: skip
