"""Tilings one over the other as one: joined along shared border lines, or with plain strips between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.pattern.clip import shortest_way, without_unused_vertices
from ringtex.pattern.quantisation import in_first_turn
from ringtex.pattern.star_shaped import MIN_CLEARANCE
from ringtex.pattern.tiling import Tiling

SNAP = 0.2
"""Corners on a shared line that are nearer than this share of the shortest wall beside them become one: walls between
them would be too short to see, and too short for any relief."""


def mirrored_across(tiling: Tiling) -> Tiling:
    """The tiling turned over, lower border up; cells and walls keep their order, corners run the other way."""
    vertices = tiling.vertices.copy()
    v = vertices[:, 1]
    vertices[:, 1] = np.where(
        v == tiling.lower, tiling.upper, np.where(v == tiling.upper, tiling.lower, tiling.lower + tiling.upper - v)
    )
    sizes = np.diff(tiling.cell_start)
    count = len(tiling.corner_vertex)
    # Corner k of a cell of n becomes corner n - 1 - k; the half-edge from it then ends where the one before it began.
    back = np.repeat(tiling.cell_start[:-1] + tiling.cell_start[1:] - 1, sizes) - np.arange(count)
    place = np.empty(count, np.int32)
    place[back] = np.arange(count, dtype=np.int32)
    moved = place[tiling.next_corner]
    twin = np.full(count, -1, np.int32)
    inner = np.flatnonzero(tiling.twin >= 0)
    twin[moved[inner]] = moved[tiling.twin[inner]]
    return replace(
        tiling,
        vertices=vertices,
        corner_vertex=tiling.corner_vertex[back],
        corner_winding=tiling.corner_winding[back],
        twin=twin,
    )


def joined(tilings: Sequence[Tiling]) -> Tiling:
    """Tilings from the lowest up as one, whose cells follow each other in that order.

    Where one ends at the very v at which the next begins, they share a line: each corner on it is a corner of the cells
    on both sides (in some a straight one), nearly equal ones are made equal, and walls are twins. Otherwise a gap is
    left, which the joined tiling names.
    """
    whole = tilings[0]
    for above in tilings[1:]:
        whole = _stacked(whole, above) if whole.upper < above.lower else _welded(whole, above)
    return whole


def _stacked(below: Tiling, above: Tiling) -> Tiling:
    """Both as one tiling, nothing shared between them."""
    corners, vertices = len(below.corner_vertex), len(below.vertices)
    gap = ((below.upper, above.lower),) if below.upper < above.lower else ()
    return Tiling(
        length=below.length,
        lower=below.lower,
        upper=above.upper,
        vertices=np.concatenate((below.vertices, above.vertices)),
        cell_start=np.concatenate((below.cell_start, above.cell_start[1:] + corners)).astype(np.int32),
        corner_vertex=np.concatenate((below.corner_vertex, above.corner_vertex + vertices)).astype(np.int32),
        corner_winding=np.concatenate((below.corner_winding, above.corner_winding)).astype(np.int32),
        twin=np.concatenate((below.twin, np.where(above.twin < 0, -1, above.twin + corners))).astype(np.int32),
        gaps=(*below.gaps, *gap, *above.gaps),
    )


class _Line(NamedTuple):
    """The walls of one tiling on the shared line, in the order of u of their left ends: half-edge (k,), vertex of the
    left end (k,), its u (k,) in one turn, and length (k,)."""

    wall: Longs
    vertex: Ints
    u: Floats
    length: Floats


def _line(tiling: Tiling, upper: bool) -> _Line:
    level = tiling.upper if upper else tiling.lower
    wall = np.flatnonzero((tiling.twin < 0) & (tiling.corners[:, 1] == level))
    ahead = tiling.next_corner[wall]
    # Walls below the line run backwards, so that their left end is their last.
    wall = wall[tiling.corners[ahead, 1] == level]
    ahead = tiling.next_corner[wall]
    vertex = tiling.corner_vertex[ahead if upper else wall]
    order = np.argsort(tiling.vertices[vertex, 0], kind="stable")
    length = np.abs(tiling.corners[ahead, 0] - tiling.corners[wall, 0])
    return _Line(wall[order], vertex[order], tiling.vertices[vertex[order], 0], length[order])


def _welded(below: Tiling, above: Tiling) -> Tiling:
    low, high = _line(below, True), _line(above, False)
    first, base = len(below.corner_vertex), len(below.vertices)
    both, same_low, same_high = _snapped(_stacked(below, above), low, high, base)
    loose_low = np.setdiff1d(np.arange(len(low.vertex)), same_low)
    loose_high = np.setdiff1d(np.arange(len(high.vertex)), same_high)
    both = _with_corners(
        both,
        np.concatenate((low.wall, high.wall + first)),
        (np.concatenate((high.vertex[loose_high] + base, low.vertex[loose_low])), len(loose_high), len(low.wall)),
    )
    return in_first_turn(without_unused_vertices(_with_twins(both, below.upper)))


def _snapped(apart: Tiling, low: _Line, high: _Line, base: int) -> tuple[Tiling, Longs, Longs]:
    """Make nearly equal corners on the line one, but for those of cells that would then not be star-shaped: a strand of
    a rope is hardly so.

    Parameters:
        apart: both tilings, with nothing shared.
        low, high: their walls on the line.
        base: number of the first vertex of the upper one.
    Returns: the tilings, and the places in both lines that are one.
    """
    same_low, same_high = _same_places(low, high, apart.length)
    away = np.abs(shortest_way(high.u[same_high] - low.u[same_low], apart.length))
    least = 0.5 * MIN_CLEARANCE * np.sqrt(np.maximum(apart.areas, 0.0))
    while True:
        kept, gone = low.vertex[same_low], high.vertex[same_high] + base
        both = _with_one_vertex(apart, kept, gone)
        if not len(gone):
            return both, same_low, same_high
        spoilt = (both.kernel[1] <= least) & (apart.kernel[1] > least)
        corners = apart.corner_vertex[spoilt[apart.corner_cell]]
        doubtful = np.isin(kept, corners) | np.isin(gone, corners)
        if not np.any(doubtful):
            return both, same_low, same_high
        # The largest moves first: corners that all but touch stay one.
        stays = ~doubtful | (away < 0.5 * np.max(away[doubtful]))
        same_low, same_high, away = same_low[stays], same_high[stays], away[stays]


def _same_places(low: _Line, high: _Line, length: float) -> tuple[Longs, Longs]:
    """Places in both lines that are nearer to each other than SNAP of the shortest wall beside them."""
    reach_low = SNAP * np.minimum(low.length, np.roll(low.length, 1))
    reach_high = SNAP * np.minimum(high.length, np.roll(high.length, 1))
    after = np.searchsorted(high.u, low.u)
    found_low, found_high = [], []
    for step in (-1, 0):
        other = (after + step) % len(high.u)
        away = np.abs(shortest_way(high.u[other] - low.u, length))
        near = np.flatnonzero(away <= np.minimum(reach_low, reach_high[other]))
        found_low.append(near)
        found_high.append(other[near])
    one, two = np.concatenate(found_low), np.concatenate(found_high)
    _, kept = np.unique(one, return_index=True)
    return one[kept], two[kept]


def _with_one_vertex(both: Tiling, kept: Ints, gone: Ints) -> Tiling:
    """The vertices `gone` taken by those `kept` beside them; their corners move there."""
    number = np.arange(len(both.vertices), dtype=np.int32)
    turn = np.zeros(len(both.vertices), dtype=np.int32)
    number[gone] = kept
    turn[gone] = np.rint((both.vertices[gone, 0] - both.vertices[kept, 0]) / both.length).astype(np.int32)
    winding = both.corner_winding + turn[both.corner_vertex]
    return replace(both, corner_vertex=number[both.corner_vertex], corner_winding=winding.astype(np.int32))


def _with_corners(both: Tiling, walls: Longs, added: tuple[Ints, int, int]) -> Tiling:
    """Straight corners put into walls on one line.

    Parameters:
        both: the tilings, still without twins on the line.
        walls: half-edges on the line, those below it first.
        added: vertices to be put in: those for the walls below the line first, how many those are, and how many of the
            walls lie below it.
    Returns: the tiling with the longer cells.
    """
    vertices, for_low, low_walls = added
    wall_of, turn = [], []
    for mine, those in ((walls[:low_walls], vertices[:for_low]), (walls[low_walls:], vertices[for_low:])):
        at, round_ = _walls_at(both, mine, both.vertices[those, 0])
        wall_of.append(at)
        turn.append(round_)
    wall, winding = np.concatenate(wall_of), np.concatenate(turn)
    count = len(both.corner_vertex)
    along = np.abs(both.vertices[vertices, 0] + both.length * winding - both.corners[wall, 0])
    owner = np.concatenate((np.arange(count), wall))
    order = np.lexsort((np.concatenate((np.full(count, -1.0), along)), owner))
    index = np.empty(len(order), np.int32)
    index[order] = np.arange(len(order), dtype=np.int32)
    sizes = np.bincount(both.corner_cell[owner], minlength=both.cells)
    twin = np.full(len(order), -1, np.int32)
    inner = np.flatnonzero(both.twin >= 0)
    twin[index[inner]] = index[both.twin[inner]]
    return replace(
        both,
        cell_start=np.concatenate(([0], np.cumsum(sizes))).astype(np.int32),
        corner_vertex=np.concatenate((both.corner_vertex, vertices))[order].astype(np.int32),
        corner_winding=np.concatenate((both.corner_winding, winding))[order].astype(np.int32),
        twin=twin,
    )


def _walls_at(both: Tiling, walls: Longs, u: Floats) -> tuple[Longs, Ints]:
    """The wall over or under each place u of one line, and the turn in which that wall passes it."""
    ends = np.stack((both.corners[walls, 0], both.corners[both.next_corner[walls], 0]))
    left = ends.min(axis=0)
    folded = left % both.length
    order = np.argsort(folded, kind="stable")
    at = order[np.searchsorted(folded[order], u, side="right") - 1]
    return walls[at], np.floor((left[at] + both.length - u) / both.length).astype(np.int32)


def _with_twins(both: Tiling, level: float) -> Tiling:
    """Walls on both sides of a line, which have the same ends, made twins."""
    wall = np.flatnonzero((both.twin < 0) & (both.corners[:, 1] == level))
    ahead = both.next_corner[wall]
    flat = both.corners[ahead, 1] == level
    wall, ahead = wall[flat], ahead[flat]
    forward = both.corners[ahead, 0] > both.corners[wall, 0]
    above = wall[forward]
    below = wall[~forward]
    above = above[np.argsort(both.corner_vertex[above])]
    below = below[np.argsort(both.corner_vertex[both.next_corner[below]])]
    twin = both.twin.copy()
    twin[above], twin[below] = below, above
    return replace(both, twin=twin)
