"""Edge flips that make the triangles of plane meshes Delaunay (Lawson 1977), so that none is needlessly thin."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs, sorted_unique
from ringtex.solid.mesh.half_edges import half_edges, paired_half_edges
from ringtex.solid.mesh.triangle_patch import best_apart

MAX_ROUNDS: Final = 40
"""Rounds of flips that do not touch each other; meshes of cells settle within ten."""

MARGIN: Final = 1e-9
"""Sine by which two opposite angles must exceed half a turn together, so that four points on a circle stay as they
are."""


def flip_to_delaunay(points: Floats, faces: Ints, part: Ints) -> Ints:
    """The same region in triangles whose circumcircles are empty; edges at the rim of a part stay.

    Half-edge 3 f + i runs from corner i of face f to the next.

    Parameters:
        points: (n, 3, 2) corners of each triangle, counter-clockwise, each triangle in one piece.
        faces: (n, 3) their vertices.
        part: (n,) the part that each belongs to; no edge between two parts is flipped.
    Returns: (n, 3) vertices, of as many triangles in each part, in the same places of the array.
    """
    if not len(faces):
        return faces.copy()
    points, faces = points.copy(), faces.copy()
    opposite = _opposite_half_edges(faces, part)
    edges = np.flatnonzero(opposite > np.arange(len(opposite)))
    moved = np.arange(len(opposite))
    for _ in range(MAX_ROUNDS):
        excess = _excess(points, edges, opposite[edges])
        edges, excess = edges[excess > MARGIN], excess[excess > MARGIN]
        if not len(edges):
            break
        touched = np.concatenate((edges, opposite[edges])) // 3
        chosen = best_apart(excess, touched, np.tile(np.arange(len(edges)), 2), len(faces))
        outer = _flip(points, faces, opposite, moved, edges[chosen])
        # Only the sides of flipped pairs can become wrong, and those not flipped yet are.
        edges = np.concatenate((moved[edges[~chosen]], moved[outer]))
        moved[outer] = outer
        edges = sorted_unique(np.minimum(edges, opposite[edges])[opposite[edges] >= 0])
    return faces


def _opposite_half_edges(faces: Ints, part: Ints) -> Longs:
    """(3 n,) the half-edge on the other side of each within its part, -1 at the rim."""
    start, end = half_edges(faces)
    first, second = paired_half_edges(start, end, int(faces.max()) + 1)
    same = part[first // 3] == part[second // 3]
    opposite = np.full(len(start), -1, dtype=np.int64)
    opposite[first[same]], opposite[second[same]] = second[same], first[same]
    return opposite


def _excess(points: Floats, first: Longs, second: Longs) -> Floats:
    """(k,) sine of what the angles opposite an edge exceed half a turn by, from its half-edges (k,), (k,)."""
    cosine, sine = _opposite_angle(points, first)
    cosine_2, sine_2 = _opposite_angle(points, second)
    return -(cosine * sine_2 + sine * cosine_2)


def _opposite_angle(points: Floats, half_edge: Longs) -> tuple[Floats, Floats]:
    """Cosine and sine of the angle opposite each half-edge (k,)."""
    # Each coordinate by itself, from a flat table: faster than rows of corners.
    u, v = np.ascontiguousarray(points.reshape(-1, 2).T)
    i = half_edge % 3
    ahead, apex = half_edge + np.where(i == 2, -2, 1), half_edge + np.where(i == 0, 2, -1)
    a_u, a_v, b_u, b_v = u[half_edge] - u[apex], v[half_edge] - v[apex], u[ahead] - u[apex], v[ahead] - v[apex]
    size = np.maximum(np.hypot(a_u, a_v) * np.hypot(b_u, b_v), 1e-300)
    return (a_u * b_u + a_v * b_v) / size, (a_u * b_v - a_v * b_u) / size


def _flip(points: Floats, faces: Ints, opposite: Longs, moved: Longs, first: Longs) -> Longs:
    """Turn the diagonal of each pair of faces, (a, b, c) and (b, a, d), to (a, d, c) and (d, b, c), in place.

    Returns: (4 k,) the half-edges that were the sides of the pairs; `moved` then gives where each is now.
    """
    second = opposite[first]
    f, g, i, j = first // 3, second // 3, first % 3, second % 3
    for table in (points, faces):
        a, b, c, d = table[f, i], table[f, (i + 1) % 3], table[f, (i + 2) % 3], table[g, (j + 2) % 3]
        # In a face that starts one turn of the strip further on, the fourth corner is seen from the first face.
        if table is points:
            d = d + (a - table[g, (j + 1) % 3])
        table[f], table[g] = np.stack((a, d, c), axis=1), np.stack((d, b, c), axis=1)
    # b-c, c-a, a-d, d-b before and after.
    outer = np.concatenate((3 * f + (i + 1) % 3, 3 * f + (i + 2) % 3, 3 * g + (j + 1) % 3, 3 * g + (j + 2) % 3))
    now = np.concatenate((3 * g + 1, 3 * f + 2, 3 * f, 3 * g))
    moved[outer] = now
    beyond = opposite[outer]
    beyond = np.where(beyond >= 0, moved[beyond], -1)
    opposite[now] = beyond
    opposite[beyond[beyond >= 0]] = now[beyond >= 0]
    opposite[3 * f + 1], opposite[3 * g + 2] = 3 * g + 2, 3 * f + 1
    return outer
