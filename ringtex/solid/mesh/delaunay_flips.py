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
    cosine, sine = _all_opposite_angles(points)
    excess = _excess((cosine[edges], sine[edges]), (cosine[opposite[edges]], sine[opposite[edges]]))
    for _ in range(MAX_ROUNDS):
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
        excess = _excess(_opposite_angles(points, edges), _opposite_angles(points, opposite[edges]))
    return faces


def _opposite_half_edges(faces: Ints, part: Ints) -> Longs:
    """(3 n,) the half-edge on the other side of each within its part, -1 at the rim."""
    start, end = half_edges(faces)
    first, second = paired_half_edges(start, end, int(faces.max()) + 1)
    same = part[first // 3] == part[second // 3]
    opposite = np.full(len(start), -1, dtype=np.int64)
    opposite[first[same]], opposite[second[same]] = second[same], first[same]
    return opposite


def _excess(first: tuple[Floats, Floats], second: tuple[Floats, Floats]) -> Floats:
    """(k,) sine of what the angles opposite an edge exceed half a turn by, from the cosine and sine (k,) of each."""
    (cosine, sine), (cosine_2, sine_2) = first, second
    return -(cosine * sine_2 + sine * cosine_2)


def _opposite_angles(points: Floats, half_edge: Longs) -> tuple[Floats, Floats]:
    """Cosine and sine of the angle opposite each half-edge (k,)."""
    face, i = half_edge // 3, half_edge % 3
    (a_u, a_v), (b_u, b_v), (c_u, c_v) = (points[face, (i + step) % 3].T for step in range(3))
    return _angle(a_u - c_u, a_v - c_v, b_u - c_u, b_v - c_v)


def _all_opposite_angles(points: Floats) -> tuple[Floats, Floats]:
    """The same of all half-edges (3 n,), without gathering corners: a third of the time."""
    u, v = np.ascontiguousarray(points.transpose(2, 1, 0))
    cosine, sine = np.empty((len(points), 3)), np.empty((len(points), 3))
    for i in range(3):
        a, b, c = i, (i + 1) % 3, (i + 2) % 3
        cosine[:, i], sine[:, i] = _angle(u[a] - u[c], v[a] - v[c], u[b] - u[c], v[b] - v[c])
    return cosine.ravel(), sine.ravel()


def _angle(a_u: Floats, a_v: Floats, b_u: Floats, b_v: Floats) -> tuple[Floats, Floats]:
    """Cosine and sine of the angle from vectors a to vectors b."""
    size = np.maximum(np.sqrt((a_u * a_u + a_v * a_v) * (b_u * b_u + b_v * b_v)), 1e-300)
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
