"""Edge flips that make the triangles of plane meshes Delaunay (Lawson 1977), so that none is needlessly thin."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs

MAX_ROUNDS: Final = 40
"""Rounds of flips that do not touch each other; meshes of cells settle within ten."""

MARGIN: Final = 1e-9
"""Sine by which two opposite angles must exceed half a turn together, so that four points on a circle stay as they
are."""


def flip_to_delaunay(points: Floats, faces: Ints, part: Ints) -> Ints:
    """The same region in triangles whose circumcircles are empty; edges at the rim of a part stay.

    Parameters:
        points: (n, 3, 2) corners of each triangle, counter-clockwise, each triangle in one piece.
        faces: (n, 3) their vertices.
        part: (n,) the part that each belongs to; no edge between two parts is flipped.
    Returns: (n, 3) vertices, of as many triangles in each part, in the same places of the array.
    """
    points, faces = points.copy(), faces.copy()
    active = np.arange(len(faces))
    for _ in range(MAX_ROUNDS if len(faces) else 0):
        beside, excess = _inner_edges(points[active], faces[active], part[active])
        wrong = excess > MARGIN
        if not np.any(wrong):
            break
        first, second = _independent(beside[0, wrong], beside[1, wrong], excess[wrong], len(active))
        _flip(points, faces, active, first, second)
        # Only edges of flipped faces can become wrong, and those not flipped yet are.
        again = np.zeros(len(active), dtype=bool)
        again[first // 3] = again[second // 3] = True
        near = again[beside // 3].any(axis=0) | wrong
        again[beside[:, near] // 3] = True
        active = active[again]
    return faces


def _inner_edges(points: Floats, faces: Ints, part: Ints) -> tuple[Longs, Floats]:
    """(2, k) half-edges on both sides of the edges within parts, and (k,) by how much a flip would better each, as the
    sine of the excess of the opposite angles over half a turn. Half-edge 3 f + i begins at corner i of face f."""
    ends = np.stack((faces, np.roll(faces, -1, axis=1)), axis=2).reshape(-1, 2).astype(np.int64)
    key = np.min(ends, axis=1) * (int(faces.max()) + 1) + np.max(ends, axis=1)
    order = np.argsort(key, kind="stable")
    pair = np.flatnonzero(key[order][1:] == key[order][:-1])
    beside = np.stack((order[pair], order[pair + 1]))
    first, second = beside = beside[:, part[beside[0] // 3] == part[beside[1] // 3]]
    cosine, sine = _opposite_angles(points)
    return beside, -(cosine[first] * sine[second] + sine[first] * cosine[second])


def _opposite_angles(points: Floats) -> tuple[Floats, Floats]:
    """Cosine and sine of the angle opposite each half-edge."""
    apex = np.roll(points, -2, axis=1)
    a, b = points - apex, np.roll(points, -1, axis=1) - apex
    size = np.maximum(np.hypot(a[..., 0], a[..., 1]) * np.hypot(b[..., 0], b[..., 1]), 1e-300)
    cosine = np.sum(a * b, axis=2) / size
    sine = (a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]) / size
    return cosine.ravel(), sine.ravel()


def _independent(first: Longs, second: Longs, excess: Floats, count: int) -> tuple[Longs, Longs]:
    """Of these edges those that are worst in both their faces, so that no face has two."""
    rank = np.empty(len(first), dtype=np.int64)
    rank[np.argsort(excess, kind="stable")] = np.arange(len(first))
    worst = np.full(count, -1, dtype=np.int64)
    np.maximum.at(worst, first // 3, rank)
    np.maximum.at(worst, second // 3, rank)
    chosen = (worst[first // 3] == rank) & (worst[second // 3] == rank)
    return first[chosen], second[chosen]


def _flip(points: Floats, faces: Ints, active: Longs, first: Longs, second: Longs) -> None:
    """Turn the diagonal of each pair of faces, (a, b, c) and (b, a, d), to (a, d, c) and (d, b, c), in place."""
    f, g = active[first // 3], active[second // 3]
    i, j = first % 3, second % 3
    for table in (points, faces):
        a, b, c, d = table[f, i], table[f, (i + 1) % 3], table[f, (i + 2) % 3], table[g, (j + 2) % 3]
        # In a face that starts one turn of the strip further on, the fourth corner is seen from the first face.
        if table is points:
            d = d + (a - table[g, (j + 1) % 3])
        table[f], table[g] = np.stack((a, d, c), axis=1), np.stack((d, b, c), axis=1)
