"""Splits cells that no point sees whole, as a border may leave of stars and scales, along diagonals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, next_in_loops
from ringtex.pattern.tiling import Tiling, orientation

MIN_CLEARANCE: Final = 0.004
"""A cell is split unless some point that sees all of it keeps this fraction of the cell's size from every wall."""

MAX_DIAGONALS: Final = 60
"""Diagonals of a cell of which both sides are looked at: one along a curve has thousands."""

Ring = list[int]
"""Corners of a cell, by their numbers in the tiling, counter-clockwise."""


def star_shaped_parts(tiling: Tiling, least: float = MIN_CLEARANCE, among: Bools | None = None) -> Tiling:
    """The tiling with every cell that is not star-shaped split into parts that are.

    The new walls join corners of the cell, so that no neighbour gets another corner. Convex cells stay as they are.

    Parameters:
        tiling: cells that may turn inwards.
        least: the clearance that counts as star-shaped, as a fraction of the cell's size.
        among: (cells,) which cells may be split; None: all.
    Returns: the tiling with more cells.
    """
    reflex = np.zeros(tiling.cells, np.bool_)
    reflex[tiling.corner_cell[_is_reflex(tiling.corners[tiling.previous_corner], tiling.corners, tiling)]] = True
    sizes = np.sqrt(np.maximum(tiling.areas, 0.0))
    hidden = np.flatnonzero(reflex & ~(tiling.kernel[1] > least * sizes) & (True if among is None else among))
    if len(hidden) == 0:
        return tiling
    parts = {int(cell): _parts(tiling.corners, _ring(tiling, int(cell)), least) for cell in hidden}
    return _rebuilt(tiling, parts)


def _is_reflex(before: Floats, corner: Floats, tiling: Tiling) -> Bools:
    arriving, leaving = corner - before, corner[tiling.next_corner] - corner
    return np.asarray(arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0] < 0.0)


def _ring(tiling: Tiling, cell: int) -> Ring:
    return list(range(int(tiling.cell_start[cell]), int(tiling.cell_start[cell + 1])))


def _parts(points: Floats, ring: Ring, least: float) -> list[Ring]:
    """Split by the diagonal whose worse side is best, and on until all parts are star-shaped."""
    done, left = [], [ring]
    while left:
        part = left.pop()
        clearance = _clearances(points, [part])[0]
        halves = _halves(points, part) if len(part) > 3 and clearance <= least else []
        if not halves:
            done.append(part)
            continue
        clearances = _clearances(points, [half for pair in halves for half in pair]).reshape(-1, 2)
        worse = np.min(clearances, axis=1)
        if clearance > MIN_CLEARANCE and float(worse.max()) <= clearance:
            done.append(part)
            continue
        left += halves[int(np.argmax(worse))]
    return done


def _halves(points: Floats, ring: Ring) -> list[tuple[Ring, Ring]]:
    """Both sides of the diagonals from a reflex corner that run inside the cell; of many, those that are short for the
    area of their smaller side."""
    place, number = points[ring], np.arange(len(ring))
    ahead, count = np.roll(place, -1, axis=0), len(ring)
    swept = np.concatenate([[0.0], np.cumsum(orientation(place[0], place, ahead))])
    ends, scores = [], []
    for a in np.flatnonzero(orientation(np.roll(place, 1, axis=0), place, ahead) < 0.0).tolist():
        b = number[((number - a) % count > 1) & ((number - a) % count < count - 1)]
        start = orientation(place[a], place[b][:, None], place)
        crosses = start * np.roll(start, -1, axis=1) <= 0.0
        crosses &= orientation(place, ahead, place[a]) * orientation(place, ahead, place[b][:, None]) <= 0.0
        for at in (number[a], b[:, None]):
            crosses &= (number != at) & (number != (at - 1) % count)
        low, high = np.minimum(a, b), np.maximum(a, b)
        area = swept[high] - swept[low] - orientation(place[0], place[low], place[high])
        smaller = np.minimum(area, swept[-1] - area)
        inside = np.flatnonzero(~np.any(crosses, axis=1) & (smaller > 0.0))
        ends += list(zip(low[inside].tolist(), high[inside].tolist(), strict=True))
        scores += (np.sum(np.square(place[b] - place[a]), axis=1)[inside] / smaller[inside]).tolist()
    if len(ends) > MAX_DIAGONALS:
        ends = [ends[best] for best in np.sort(np.argsort(scores, kind="stable")[:MAX_DIAGONALS]).tolist()]
    return [(ring[low : high + 1], ring[high:] + ring[: low + 1]) for low, high in ends]


def _clearances(points: Floats, rings: Sequence[Ring]) -> Floats:
    """(n,) how clear of all walls a point that sees the whole ring is, as a fraction of the ring's size."""
    sizes = [len(ring) for ring in rings]
    flat = np.array([corner for ring in rings for corner in ring])
    loose = Tiling(
        length=1.0,
        lower=0.0,
        upper=1.0,
        vertices=points[flat],
        cell_start=np.concatenate([[0], np.cumsum(sizes)]).astype(np.int32),
        corner_vertex=np.arange(len(flat), dtype=np.int32),
        corner_winding=np.zeros(len(flat), np.int32),
        twin=np.full(len(flat), -1, np.int32),
    )
    return np.asarray(loose.kernel[1] / np.sqrt(np.maximum(loose.areas, 1e-12)), dtype=np.float64)


def _rebuilt(tiling: Tiling, parts: dict[int, list[Ring]]) -> Tiling:
    """The tiling with those cells taken apart; the other cells keep their order and corners."""
    rings = [ring for cell in range(tiling.cells) for ring in parts.get(cell) or [_ring(tiling, cell)]]
    old = np.array([corner for ring in rings for corner in ring])
    start = np.concatenate([[0], np.cumsum([len(ring) for ring in rings])]).astype(np.int32)
    following = next_in_loops(start)
    # An old half-edge lives on where a corner is still followed by the same one; the others are the diagonals.
    is_old = old[following] == tiling.next_corner[old]
    now = np.full(len(tiling.twin), -1, np.int32)
    now[old[is_old]] = np.flatnonzero(is_old)
    twin = np.full(len(old), -1, np.int32)
    mate = tiling.twin[old]
    joined = is_old & (mate >= 0)
    twin[joined] = now[mate[joined]]
    new = np.flatnonzero(~is_old)
    ends = {(int(old[at]), int(old[following[at]])): int(at) for at in new}
    twin[new] = [ends[(int(old[following[at]]), int(old[at]))] for at in new]
    return replace(
        tiling,
        cell_start=start,
        corner_vertex=tiling.corner_vertex[old],
        corner_winding=tiling.corner_winding[old],
        twin=twin,
    )
