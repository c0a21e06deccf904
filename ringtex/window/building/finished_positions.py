"""Where on the strip, and in which cell, the triangles and vertices of a finished ring lie."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.make_ring import ShapedRing

_TINY = 1e-18
_NEAR_ROUNDS = 3
"""Steps from the nearest vertex to a place's own strip place: each leaves a small share of the error."""


def ring_triangles(built: ShapedRing) -> Ints:
    """(m,) the triangle before finishing that each triangle of the finished ring is, or is a piece of; -1 for others,
    such as a seat's."""
    finished = built.finished
    return np.where(finished.original_id == 0, finished.face_id, -1).astype(np.int32)


def cells_of_triangles(built: ShapedRing, ring_triangle: Ints) -> Ints:
    """(m,) the cell of each triangle of the finished ring; -1 outside the cells."""
    before = np.full(len(built.solid.mesh.faces), -1, dtype=np.int32)
    before[built.solid.face_ranges["cells"]] = built.solid.face_cell
    return np.where(ring_triangle >= 0, before[np.maximum(ring_triangle, 0)], -1).astype(np.int32)


def outer_places(built: ShapedRing, ring_triangle: Ints) -> Floats:
    """(n, 3) u, v, h of each vertex of the finished ring that lies on the outer face; NaN elsewhere.

    u may lie a little outside of 0 to the strip's length near the seam.
    """
    mesh, solid = built.finished.mesh, built.solid
    found = np.full((len(mesh.vertices), 3), np.nan)
    if mesh is solid.mesh:
        found[: len(solid.strip_positions)] = solid.strip_positions
        return found
    outer = np.flatnonzero((ring_triangle >= 0) & (ring_triangle < solid.face_ranges["sides"].start))
    one = np.full(len(mesh.vertices), -1, dtype=np.int64)
    one[mesh.faces[outer]] = ring_triangle[outer][:, None]
    known = np.flatnonzero(one >= 0)
    found[known] = places_in(built, one[known], mesh.vertices[known])
    return found


def places_in(built: ShapedRing, triangle: Longs, points: Floats) -> Floats:
    """(k, 3) u, v, h of points (k, 3) that lie in these outer triangles of the ring before it was finished.

    Parameters:
        built: the ring as it was built.
        triangle: (k,) indices of outer triangles.
        points: (k, 3) mm.
    Returns: (k, 3) u, v, h of the points.
    """
    solid, length = built.solid, built.strip.length
    corners = solid.mesh.faces[triangle]
    a, b, c = (solid.mesh.vertices[corners[:, corner]] for corner in range(3))
    weights = _weights(a, b, c, points)
    places = solid.strip_positions[np.minimum(corners, len(solid.strip_positions) - 1)]
    places[:, :, 0] -= length * np.round((places[:, :, 0] - places[:, :1, 0]) / length)
    return np.asarray(np.einsum("ij,ijk->ik", weights, places))


def _weights(a: Floats, b: Floats, c: Floats, points: Floats) -> Floats:
    """(k, 3) barycentric weights. Source: Ericson 2005, Real-Time Collision Detection, 3.4."""
    ab, ac, ap = b - a, c - a, points - a
    bb, bc, cc = (np.einsum("ij,ij->i", first, other) for first, other in ((ab, ab), (ab, ac), (ac, ac)))
    pb, pc = np.einsum("ij,ij->i", ap, ab), np.einsum("ij,ij->i", ap, ac)
    size = np.maximum(bb * cc - bc * bc, _TINY)
    second, third = (cc * pb - bc * pc) / size, (bb * pc - bc * pb) / size
    weights: Floats = np.clip(np.column_stack((1.0 - second - third, second, third)), 0.0, 1.0)
    return weights


def nearest_place(built: ShapedRing, point: Floats) -> tuple[float, float]:
    """(u, v), mm, of the outer face's place nearest to a point (3,) on or near it, such as one on a collar."""
    strip, places = built.strip, built.solid.strip_positions
    away = built.solid.mesh.vertices[: len(places)] - point
    u, v = places[int(np.argmin(np.einsum("ij,ij->i", away, away))), :2].tolist()
    for _ in range(_NEAR_ROUNDS):
        at, d_u, d_v, _ = strip.jacobian(np.array([u]), np.array([v]))
        along = np.column_stack((d_u[0], d_v[0]))
        step = np.linalg.lstsq(along, point - at[0], rcond=None)[0]
        u, v = u + float(step[0]), min(max(v + float(step[1]), 0.0), strip.width)
    return u % strip.length, v
