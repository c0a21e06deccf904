"""Ends cells cleanly on the two borders of the patterned part.

Vertices close to a border are first moved onto it, so that no sliver is left; what still crosses is cut. Both keep the
order of heights round a cell, so every cell meets a border in at most one piece and the cut is one expression for all
cells.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bools, Floats, Ints
from ringtex.pattern.tiling import Tiling


def snap_to_borders(tiling: Tiling, reach_mm: float) -> Tiling:
    """Move every vertex within reach of a border onto it, exactly; nothing moves along u."""
    vertices = tiling.vertices.copy()
    v = vertices[:, 1]
    v[np.abs(v - tiling.lower) <= reach_mm] = tiling.lower
    v[np.abs(v - tiling.upper) <= reach_mm] = tiling.upper
    return replace(tiling, vertices=vertices)


def clip_to_borders(tiling: Tiling) -> Tiling:
    """Cut the cells at both borders and drop what has no area.

    Parameters: cells that together cover the patterned part and may stick out of it; going round a cell, v must rise
    once and fall once (convex cells do). Half walls outside the patterned part may lack a twin.
    Returns: a tiling whose border vertices lie exactly at lower or upper; new vertices are shared by index, and each
    border vertex separates two cells.
    """
    return _clip(_clip(tiling, tiling.lower, +1.0), tiling.upper, -1.0)


class _Crossing(NamedTuple):
    """Half walls that pass from inside to the border or back, with the vertex there and its turn."""

    wall: NDArray[np.int64]
    vertex: Ints
    turn: Ints


@dataclass(frozen=True)
class _Cut:
    """New corners in order: old half wall h gives slot 2h (its own corner) and slot 2h + 1 (its place on the
    border)."""

    used: Bools
    vertex: Ints
    turn: Ints


def _clip(tiling: Tiling, border: float, sign: float) -> Tiling:
    height = sign * (tiling.vertices[tiling.corner_vertex, 1] - border)
    if np.all(height >= 0.0):
        return tiling
    inside = height > 0.0
    # A corner that only touches the border between two inside corners is an ordinary corner.
    inside |= (height == 0.0) & inside[tiling.next_corner] & inside[tiling.previous_corner]
    crossing = np.flatnonzero(inside != inside[tiling.next_corner])
    places, added = _border_vertices(tiling, crossing, height, border)
    cut = _cut(tiling, inside, places)
    return _assemble(tiling, inside, cut, added)


def _border_vertices(
    tiling: Tiling, crossing: NDArray[np.int64], height: Floats, border: float
) -> tuple[_Crossing, Floats]:
    """Where the crossing half walls meet the border: an old vertex lying on it, or a new one shared with the twin."""
    end = tiling.next_corner[crossing]
    vertex = np.empty(len(crossing), np.int32)
    turn = np.empty(len(crossing), np.int32)
    for corner in (crossing, end):
        on = (height[corner] == 0.0) & (height[end] * height[crossing] == 0.0)
        vertex[on], turn[on] = tiling.corner_vertex[corner[on]], tiling.corner_winding[corner[on]]
    cut = np.flatnonzero(height[end] * height[crossing] < 0.0)
    wall, mate = crossing[cut], tiling.twin[crossing[cut]]
    owner = np.where((mate >= 0) & (mate < wall), mate, wall)
    owners, which = np.unique(owner, return_inverse=True)
    places, owner_turn = _cut_places(tiling, owners, height, border)
    vertex[cut] = len(tiling.vertices) + which
    # The twin may see the same wall one turn away: compare the turns of the vertex that both share.
    shared = np.where(owner == wall, wall, tiling.next_corner[wall])
    turn[cut] = owner_turn[which] + tiling.corner_winding[shared] - tiling.corner_winding[owner]
    return _Crossing(crossing, vertex, turn), places


def _cut_places(tiling: Tiling, walls: NDArray[np.int64], height: Floats, border: float) -> tuple[Floats, Ints]:
    ends = tiling.next_corner[walls]
    share = height[walls] / (height[walls] - height[ends])
    start = tiling.corners[walls, 0]
    u = start + share * (tiling.corners[ends, 0] - start)
    u, turn = wrap(u, tiling.length)
    return np.column_stack([u, np.full(len(u), border)]), turn


def wrap(u: Floats, length: float) -> tuple[Floats, Ints]:
    """Bring u into [0, length); also the whole turns taken off."""
    turn = np.floor(u / length)
    wrapped = u - turn * length
    over = wrapped >= length
    wrapped[over] = 0.0
    low = wrapped < 0.0
    wrapped[low] = 0.0
    return wrapped, (turn + over).astype(np.int32)


def _cut(tiling: Tiling, inside: Bools, places: _Crossing) -> _Cut:
    count = len(tiling.corner_vertex)
    used = np.zeros(2 * count, np.bool_)
    vertex = np.zeros(2 * count, np.int32)
    turn = np.zeros(2 * count, np.int32)
    used[0::2] = inside
    vertex[0::2], turn[0::2] = tiling.corner_vertex, tiling.corner_winding
    slot = 2 * places.wall + 1
    used[slot], vertex[slot], turn[slot] = True, places.vertex, places.turn
    return _Cut(used, vertex, turn)


def _assemble(tiling: Tiling, inside: Bools, cut: _Cut, added: Floats) -> Tiling:
    count = len(tiling.corner_vertex)
    index = np.cumsum(cut.used, dtype=np.int32) - 1
    # Old half walls live on from their own corner, or from the border when they come in from outside.
    entering = ~inside & cut.used[1::2]
    now = np.where(inside, index[0::2], np.where(entering, index[1::2], -1)).astype(np.int32)
    new_twin = np.full(int(index[-1]) + 1, -1, np.int32)
    alive = np.flatnonzero((now >= 0) & (tiling.twin >= 0))
    new_twin[now[alive]] = now[tiling.twin[alive]]
    sizes = np.add.reduceat(cut.used.reshape(count, 2).sum(axis=1), tiling.cell_start[:-1])
    cell_start = np.concatenate([[0], np.cumsum(sizes[sizes > 0])]).astype(np.int32)
    whole = replace(
        tiling,
        vertices=np.concatenate([tiling.vertices, added]),
        cell_start=cell_start,
        corner_vertex=cut.vertex[cut.used],
        corner_winding=cut.turn[cut.used],
        twin=new_twin,
    )
    return without_unused_vertices(whole)


def without_unused_vertices(tiling: Tiling) -> Tiling:
    """The same tiling with vertices that no corner uses left out; the others keep their order."""
    used = np.zeros(len(tiling.vertices), np.bool_)
    used[tiling.corner_vertex] = True
    index = np.cumsum(used, dtype=np.int32) - 1
    corner_vertex = index[tiling.corner_vertex].astype(np.int32)
    return replace(tiling, vertices=tiling.vertices[used], corner_vertex=corner_vertex)
