"""Bricks and diamonds with scatter: corners moved at random, never so far that a cell folds."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Ints
from ringtex.pattern.cellular.sites import random_disc
from ringtex.pattern.quantisation import rounded, with_vertices
from ringtex.pattern.tiling import Tiling

MAX_MOVE: Final = 0.35
"""Farthest move at scatter 1, as a share of the distance to the nearest other wall of the cell: under a half, so that
two things that move towards each other still do not meet."""

MIN_CLEARANCE: Final = 0.04
"""A cell must keep a point that is this share of its size clear of every wall's line."""

MAX_HALVINGS: Final = 12
"""Moves round a spoilt cell are halved up to this many times, then left out."""


def move_corners(tiling: Tiling, scatter: float, seed: int) -> Tiling:
    """The tiling with its vertices moved at random; border vertices move along the border.

    Parameters:
        tiling: bricks or diamonds.
        scatter: 0 to 1; at 1 a vertex moves by up to 0.35 of its clearance.
        seed: of the random moves.
    Returns: star-shaped cells with the same neighbours.
    """
    move = scatter * MAX_MOVE * _room(tiling)[:, None] * random_disc(len(tiling.vertices), seed)
    on_border = np.isin(tiling.vertices[:, 1], (tiling.lower, tiling.upper))
    move[on_border, 1] = 0.0
    for halving in range(MAX_HALVINGS + 1):
        moved = with_vertices(tiling, tiling.vertices + move)
        _, clearance = moved.kernel
        wrong = ~(clearance > MIN_CLEARANCE * np.sqrt(np.maximum(moved.areas, 0.0)))
        if not np.any(wrong):
            break
        move[tiling.corner_vertex[wrong[tiling.corner_cell]]] *= 0.5 if halving < MAX_HALVINGS - 1 else 0.0
    return rounded(moved)


def _room(tiling: Tiling) -> Floats:
    """(n,) for each vertex the least distance, in any of its cells, between it and a wall or its wall and a vertex,
    mm."""
    room = np.full(len(tiling.vertices), np.inf)
    corners, following = tiling.corners, tiling.next_corner
    here = np.arange(len(corners), dtype=np.int32)
    wall: Ints = here
    for _ in range(int(np.max(np.diff(tiling.cell_start))) - 1):
        end = following[wall]
        others = np.flatnonzero(end != here)
        point, a, b = here[others], wall[others], end[others]
        distance = _to_segment(corners[point], corners[a], corners[b], a == point)
        for corner in (point, a, b):
            np.minimum.at(room, tiling.corner_vertex[corner], distance)
        wall = following[wall]
    return room


def _to_segment(point: Floats, a: Floats, b: Floats, own: NDArray[np.bool_]) -> Floats:
    """Distance of points to segments a b; to the far end b where the point is a itself."""
    along = b - a
    share = np.clip(np.sum((point - a) * along, axis=1) / np.sum(along * along, axis=1), 0.0, 1.0)
    share = np.where(own, 1.0, share)
    gap = point - a - share[:, None] * along
    return np.asarray(np.hypot(gap[:, 0], gap[:, 1]), dtype=np.float64)
