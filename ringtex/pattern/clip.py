"""Ends cells cleanly on the two borders of the patterned part.

Vertices close to a border are first moved onto it, so that no sliver is left; what still crosses is cut. Both keep the
order of heights round a cell, so a convex cell meets a border in at most one piece and the cut is one expression for
all of them; cells that a border cuts into several pieces (stars, crosses) become several cells.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bools, Floats, Ints
from ringtex.basics.errors import SelfCheckError
from ringtex.pattern.tiling import Tiling, orientation


class TangledError(SelfCheckError):
    """A cell crosses itself at a border: vertices were moved onto it past others."""

    def __init__(self) -> None:
        super().__init__("a cell crosses itself at a rail", "Report this design; a little more or less twist may help")


def snap_to_borders(tiling: Tiling, reach_mm: float) -> Tiling:
    """Move vertices within reach of a border onto it, exactly; nothing moves along u.

    A wall that would come to lie on a border the wrong way round, so that its neighbours cross, keeps one vertex away.
    """
    v, snapped = tiling.vertices[:, 1], tiling.vertices[:, 1].copy()
    snapped[np.abs(v - tiling.lower) <= reach_mm] = tiling.lower
    snapped[np.abs(v - tiling.upper) <= reach_mm] = tiling.upper
    start, end = tiling.corner_vertex, tiling.corner_vertex[tiling.next_corner]
    after = tiling.next_corner[tiling.next_corner]
    four = (tiling.previous_corner, np.arange(len(start)), tiling.next_corner, after)
    along = tiling.corners[tiling.next_corner, 0] - tiling.corners[:, 0]
    for border, sign in ((tiling.lower, 1.0), (tiling.upper, -1.0)):
        while True:
            on = (snapped[start] == border) & (snapped[end] == border) & ((v[start] != border) | (v[end] != border))
            backward = np.flatnonzero(on & (sign * along < 0.0))
            corner = [each[backward] for each in four]
            ends = [np.column_stack((tiling.corners[c, 0], snapped[tiling.corner_vertex[c]])) for c in corner]
            wrong = backward[_crossing(*ends)]
            if len(wrong) == 0:
                break
            further = np.abs(v[start[wrong]] - border) > np.abs(v[end[wrong]] - border)
            kept = np.where(further, start[wrong], end[wrong])
            snapped[kept] = v[kept]
    return replace(tiling, vertices=np.column_stack((tiling.vertices[:, 0], snapped)))


def _crossing(a: Floats, b: Floats, c: Floats, d: Floats) -> Bools:
    """(n,) whether segments from a to b and from c to d, (n, 2) each, cross."""
    apart = orientation(a, b, c) * orientation(a, b, d) < 0.0
    return np.asarray(apart & (orientation(c, d, a) * orientation(c, d, b) < 0.0))


def clip_to_borders(tiling: Tiling) -> Tiling:
    """Cut the cells at both borders and drop what has no area.

    Parameters: cells that together cover the patterned part and may stick out of it. Half walls outside the patterned
    part may lack a twin.
    Returns: a tiling whose border vertices lie exactly at lower or upper; new vertices are shared by index, and each
    border vertex separates two cells.
    Raises: TangledError.
    """
    return _clip(_clip(tiling, tiling.lower, +1.0), tiling.upper, -1.0)


class _Crossing(NamedTuple):
    """Half walls that pass from inside to the border or back, with the vertex there and its turn."""

    wall: NDArray[np.int64]
    vertex: Ints
    turn: Ints


@dataclass(frozen=True)
class _Cut:
    """New corners: old half-edge h gives slot 2h (its own corner) and slot 2h + 1 (its place on the border).

    order   (k,) the used slots, cell by cell.
    sizes   (c,) the corners of each new cell.
    """

    order: NDArray[np.int64]
    sizes: NDArray[np.int64]
    vertex: Ints
    turn: Ints


def _clip(tiling: Tiling, border: float, sign: float) -> Tiling:
    height = sign * (tiling.vertices[tiling.corner_vertex, 1] - border)
    if np.all(height >= 0.0):
        return tiling
    inside = height > 0.0
    # A corner that only touches the border between two inside corners is an ordinary corner, unless it parts the cell.
    touching = np.flatnonzero((height == 0.0) & inside[tiling.next_corner] & inside[tiling.previous_corner])
    inside[touching[~_reflex(tiling, touching)]] = True
    crossing = np.flatnonzero(inside != inside[tiling.next_corner])
    places, added = _border_vertices(tiling, crossing, height, border)
    cut = _cut(tiling, inside, places, added, sign)
    return _assemble(tiling, inside, cut, added)


def _reflex(tiling: Tiling, corner: NDArray[np.int64]) -> Bools:
    """Whether the cell has more than 180 degrees at each of these corners."""
    ahead = tiling.corners[tiling.next_corner[corner]] - tiling.corners[corner]
    back = tiling.corners[tiling.previous_corner[corner]] - tiling.corners[corner]
    return np.asarray(ahead[:, 0] * back[:, 1] - ahead[:, 1] * back[:, 0] < 0.0)


def _border_vertices(
    tiling: Tiling, crossing: NDArray[np.int64], height: Floats, border: float
) -> tuple[_Crossing, Floats]:
    """Where the crossing half-edges meet the border: an old vertex lying on it, or a new one shared with the twin."""
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


def shortest_way(along: Floats | float, length: float) -> Floats:
    """Differences along a strip of this length, the shorter way round, mm."""
    return np.asarray((along + 0.5 * length) % length - 0.5 * length)


def _cut(tiling: Tiling, inside: Bools, places: _Crossing, added: Floats, sign: float) -> _Cut:
    count = len(tiling.corner_vertex)
    used = np.zeros(2 * count, np.bool_)
    vertex = np.zeros(2 * count, np.int32)
    turn = np.zeros(2 * count, np.int32)
    used[0::2] = inside
    vertex[0::2], turn[0::2] = tiling.corner_vertex, tiling.corner_winding
    slot = 2 * places.wall + 1
    used[slot], vertex[slot], turn[slot] = True, places.vertex, places.turn
    order = np.flatnonzero(used)
    sizes = np.add.reduceat(used.reshape(count, 2).sum(axis=1), tiling.cell_start[:-1])
    crossings = np.bincount(tiling.corner_cell[places.wall], minlength=tiling.cells)
    if np.any(crossings > 2):
        u = np.concatenate([tiling.vertices, added])[places.vertex, 0] + tiling.length * places.turn
        parted = _parted_cells(tiling, inside, places.wall, sign * u, crossings > 2)
        order, sizes = _in_pieces(order, sizes, crossings > 2, parted)
    return _Cut(order, sizes[sizes > 0], vertex, turn)


def _parted_cells(
    tiling: Tiling, inside: Bools, wall: NDArray[np.int64], ahead: Floats, several: Bools
) -> dict[int, list[list[tuple[int, int]]]]:
    """The pieces of every cell that meets the border more than twice, each as its chains of half-edges (first, last),
    both of which cross the border.

    Along the border, seen with the pieces to its left, what goes out comes in again at the next crossing.
    Parameters:
        tiling: the cells.
        inside: of each corner.
        wall: (k,) the half-edges that cross, in order.
        ahead: (k,) how far along the border they do.
        several: (c,) the cells asked for.
    Returns: cell -> pieces -> chains.
    Raises: TangledError.
    """
    chosen = several[tiling.corner_cell[wall]]
    wall, ahead = wall[chosen], ahead[chosen]
    cell, goes_out = tiling.corner_cell[wall], inside[wall]
    order = np.lexsort((goes_out, ahead, cell))
    if not np.array_equal(goes_out[order], np.arange(len(order)) % 2 == 0):
        raise TangledError
    out_first = order[goes_out[order]]
    after = dict(zip(out_first.tolist(), order[np.flatnonzero(goes_out[order]) + 1].tolist(), strict=True))
    pieces: dict[int, list[list[tuple[int, int]]]] = {}
    for low, high in _runs(cell):
        # In a cell, half-edges come in and go out in turn; a chain may run over the end of its list.
        chain_end = {at: (at + 1 if at + 1 < high else low) for at in range(low, high) if not goes_out[at]}
        found = pieces.setdefault(int(cell[low]), [])
        left = list(chain_end)
        while left:
            piece, at = [], left[0]
            while at in left:
                left.remove(at)
                piece.append((int(wall[at]), int(wall[chain_end[at]])))
                at = after[chain_end[at]]
            found.append(piece)
    return pieces


def _runs(numbers: Ints) -> list[tuple[int, int]]:
    bounds = [0, *(np.flatnonzero(np.diff(numbers)) + 1).tolist(), len(numbers)]
    return list(pairwise(bounds))


def _in_pieces(
    order: NDArray[np.int64],
    sizes: NDArray[np.int64],
    several: Bools,
    parted: dict[int, list[list[tuple[int, int]]]],
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The used slots cell by cell and their numbers, with the cells in several pieces taken apart."""
    ends = np.cumsum(sizes)
    parts, counts = [], [[size] for size in sizes.tolist()]
    done = 0
    for cell in np.flatnonzero(several).tolist():
        slots = order[ends[cell] - sizes[cell] : ends[cell]]
        pieces = []
        for piece in parted[cell]:
            chains = []
            for first, last in piece:
                low, high = np.searchsorted(slots, (2 * first + 1, 2 * last + 1))
                wraps = np.concatenate([slots[low:], slots[: high + 1]])
                chains.append(slots[low : high + 1] if low <= high else wraps)
            pieces.append(np.concatenate(chains))
        counts[cell] = [len(piece) for piece in pieces]
        parts += [order[done : ends[cell] - sizes[cell]], *pieces]
        done = int(ends[cell])
    flat = np.array([count for cell in counts for count in cell], dtype=np.int64)
    return np.concatenate([*parts, order[done:]]), flat


def _assemble(tiling: Tiling, inside: Bools, cut: _Cut, added: Floats) -> Tiling:
    count = len(tiling.corner_vertex)
    index = np.full(2 * count, -1, np.int32)
    index[cut.order] = np.arange(len(cut.order), dtype=np.int32)
    # Old half-edges live on from their own corner, or from the border when they come in from outside.
    now = np.where(inside, index[0::2], np.where(inside[tiling.next_corner], index[1::2], -1)).astype(np.int32)
    new_twin = np.full(len(cut.order), -1, np.int32)
    alive = np.flatnonzero((now >= 0) & (tiling.twin >= 0))
    new_twin[now[alive]] = now[tiling.twin[alive]]
    whole = replace(
        tiling,
        vertices=np.concatenate([tiling.vertices, added]),
        cell_start=np.concatenate([[0], np.cumsum(cut.sizes)]).astype(np.int32),
        corner_vertex=cut.vertex[cut.order],
        corner_winding=cut.turn[cut.order],
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
