"""A height field on a grid as few triangles: longest-edge bisection, as far as a bound of the error asks.

Source: the 4-8 mesh of Lindstrom et al. 1996, Real-time continuous level of detail rendering of height fields, and
Evans, Kirkpatrick and Townsend 2001, Right-triangulated irregular networks.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints


@dataclass(frozen=True, eq=False)
class GridMesh:
    """Triangles (m, 3) of vertices that lie at nodes (n, 2) of the grid; counter-clockwise, closed along the first
    axis."""

    nodes: Ints
    faces: Ints


def needed_nodes(
    height: Floats, sagitta: tuple[Floats, Floats, Floats], block: int, limits: tuple[float, float]
) -> Bools:
    """Which nodes a mesh within the limits needs; the parents of each are among them.

    At every node the height of the mesh differs from that of the grid by at most the first limit: a node's bound is its
    own difference from the middle of the edge that it halves, and the largest bound of those that depend on it.

    Parameters:
        height: (columns, rows + 1) heights, periodic along the first axis; both counts are multiples of the block.
        sagitta: (columns, rows + 1) of the face below, for edges of one step along u, along v, and diagonal ones.
        block: side of the largest squares, a power of 2.
        limits: for heights, and for the face below them.
    Returns: (columns, rows + 1).
    """
    bound, bow = np.zeros_like(height), np.zeros_like(height)
    h = 1
    while h < block:
        odd, even = slice(h, None, 2 * h), slice(None, None, 2 * h)
        for at, axis in (((odd, even), 0), ((even, odd), 1)):
            low = height[even, even] if axis == 0 else height[even, even][:, :-1]
            high = np.roll(low, -1, axis=0) if axis == 0 else height[even, even][:, 1:]
            bound[at] += np.abs(height[at] - 0.5 * (low + high))
            np.maximum(bow[at], sagitta[axis][at] * (2 * h) ** 2, out=bow[at])
        for each in (bound, bow):
            child = _centres(each, h, height if each is bound else None, sagitta[2])
            if 2 * h < block:
                _hand_on(each, child, 2 * h)
        h *= 2
    needed = (bound > limits[0]) | (bow > limits[1])
    half = block // 2
    needed[half::block, half::block] = True
    needed[::block, ::block] = True
    return np.asarray(needed)


def _centres(bound: Floats, h: int, height: Floats | None, diagonal: Floats) -> Floats:
    """Set the bounds of the centres at a level from the edges round them; of heights, or of the face where None."""
    odd, even = slice(h, None, 2 * h), slice(None, None, 2 * h)
    by_u, by_v = bound[odd, even], bound[even, odd]
    child = np.maximum(np.maximum(by_u[:, :-1], by_u[:, 1:]), np.maximum(by_v, np.roll(by_v, -1, axis=0)))
    if height is None:
        child = np.maximum(child, diagonal[odd, odd] * (2 * h) ** 2)
    else:
        corner = height[even, even]
        ahead = np.roll(corner, -1, axis=0)
        p, q = np.ogrid[: child.shape[0], : child.shape[1]]
        rising = 0.5 * (corner[:, :-1] + ahead[:, 1:])
        falling = 0.5 * (ahead[:, :-1] + corner[:, 1:])
        # The diagonal that a centre halves joins the corners whose numbers have an even sum.
        child = child + np.abs(height[odd, odd] - np.where((p + q) % 2 == 0, rising, falling))
    bound[odd, odd] = child
    return np.asarray(child)


def _hand_on(bound: Floats, child: Floats, h: int) -> None:
    """Give each edge node of a level, a corner with an odd sum, the largest bound of the four centres round it."""
    around = np.maximum(child, np.roll(child, 1, axis=0))
    full = np.zeros((child.shape[0], child.shape[1] + 1))
    full[:, :-1] = around
    full[:, 1:] = np.maximum(full[:, 1:], around)
    odd, even = slice(h, None, 2 * h), slice(None, None, 2 * h)
    bound[odd, even], bound[even, odd] = full[1::2, ::2], full[::2, 1::2]


def triangulated(needed: Bools, block: int) -> GridMesh:
    """The triangles between needed nodes.

    Parameters:
        needed: (columns, rows + 1), from `needed_nodes`.
        block: side of the largest squares.
    Returns: the mesh; its vertices are numbered along v first.
    """
    columns, rows = needed.shape[0], needed.shape[1] - 1
    i, j = (each.ravel() for each in np.meshgrid(*(np.arange(0, n, block) for n in (columns, rows)), indexing="ij"))
    half = block // 2
    corner = [(i, j), (i + block, j), (i + block, j + block), (i, j + block)]
    centre = np.stack((i + half, j + half), axis=1)
    start = np.concatenate([np.stack(corner[k], axis=1) for k in range(4)])
    end = np.concatenate([np.stack(corner[(k + 1) % 4], axis=1) for k in range(4)])
    apex = np.tile(centre, (4, 1))
    found = []
    while len(start):
        total = start + end
        middle = total // 2
        split = np.all(total % 2 == 0, axis=1) & needed[middle[:, 0] % columns, middle[:, 1]]
        found.append(np.stack((start[~split], end[~split], apex[~split]), axis=1))
        a, b, c, m = (each[split] for each in (start, end, apex, middle))
        start, end, apex = np.concatenate((c, b)), np.concatenate((a, c)), np.concatenate((m, m))
    corners = np.concatenate(found)
    ids = corners[..., 0] % columns * (rows + 1) + corners[..., 1]
    used = np.zeros(columns * (rows + 1), dtype=bool)
    used[ids] = True
    number = np.cumsum(used, dtype=np.int32) - 1
    nodes = np.stack(np.divmod(np.flatnonzero(used), rows + 1), axis=1).astype(np.int32)
    return GridMesh(nodes, np.asarray(number[ids], dtype=np.int32))
