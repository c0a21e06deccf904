"""Triangles between two rows of points that have different counts, without gaps and by index alone."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int32]
Longs = NDArray[np.int64]


def spread(counts: NDArray[np.integer]) -> tuple[Longs, Longs]:
    """For sides with so many segments each: the side of every segment, and its number within the side."""
    side = np.repeat(np.arange(len(counts)), counts)
    first = np.cumsum(counts) - counts
    return side, np.arange(len(side)) - first[side]


def zip_sides(
    outer_count: NDArray[np.integer],
    inner_count: NDArray[np.integer],
    outer_start: NDArray[np.integer],
    inner_start: NDArray[np.integer],
    following: NDArray[np.integer],
) -> tuple[Ints, Longs]:
    """Triangles between an outer and an inner row, side by side.

    Each side i runs from its own start to the start of side following[i]; it has outer_count[i] segments (points
    outer_start[i], outer_start[i] + 1, …) and inner_count[i] on the inner row; either may be 0, then that row stands
    still.
    The outer row runs counter-clockwise round the inner one (so, in a strip with u to the right, the outer row is
    below).

    Returns (faces (m, 3), the side of each face (m,)). m = sum of both counts.
    """
    side, i = spread(outer_count)
    outer, inner = outer_count[side], inner_count[side]
    apex = ((2 * i + 1) * inner + outer) // (2 * outer)
    outer_faces = np.stack(
        (
            outer_start[side] + i,
            np.where(i + 1 < outer, outer_start[side] + i + 1, outer_start[following[side]]),
            np.where(apex < inner, inner_start[side] + apex, inner_start[following[side]]),
        ),
        axis=1,
    )
    other_side, j = spread(inner_count)
    outer, inner = outer_count[other_side], inner_count[other_side]
    # The outer point after which the apex has passed segment j: the same staircase seen from the other row.
    base = np.clip(-((inner - outer * (2 * j + 1)) // (2 * inner)), 0, outer)
    inner_faces = np.stack(
        (
            np.where(j + 1 < inner, inner_start[other_side] + j + 1, inner_start[following[other_side]]),
            inner_start[other_side] + j,
            np.where(base < outer, outer_start[other_side] + base, outer_start[following[other_side]]),
        ),
        axis=1,
    )
    faces = np.concatenate((outer_faces, inner_faces)).astype(np.int32)
    return faces, np.concatenate((side, other_side))


def zip_around(lower_angle: NDArray[np.float64], upper_angle: NDArray[np.float64]) -> tuple[Ints, Ints, Ints, Ints]:
    """How two closed rows of points, both sorted by angle within one turn from the same place, are joined.

    Returns (lower segment's apex on the upper row (n,), upper segment's apex on the lower row (m,)) as indices that may
    equal m and n, meaning the first point again, then the two arrays of segment numbers (0 … n - 1), (0 … m - 1).
    """
    count_low, count_up = len(lower_angle), len(upper_angle)
    closed = np.append(lower_angle, lower_angle[0] + 2.0 * np.pi)
    middle = 0.5 * (closed[1:] + closed[:-1])
    shared_start = np.append(upper_angle, upper_angle[0] + 2.0 * np.pi)
    between = 0.5 * (shared_start[1:] + shared_start[:-1])
    apex_low = np.searchsorted(between, middle, side="right").astype(np.int32)
    apex_up = np.searchsorted(apex_low, np.arange(count_up), side="right").astype(np.int32)
    low, up = np.arange(count_low, dtype=np.int32), np.arange(count_up, dtype=np.int32)
    return apex_low, apex_up, low, up
