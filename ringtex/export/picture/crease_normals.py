"""Normals for drawing: smooth over a curved face, broken at creases; fast enough for every draft in the window."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Singles

CREASE_DEG: Final = 28.0
"""Triangles of a vertex that differ by more have a crease between them: faces made to a chord error of 0.02 mm turn by
less from one triangle to the next, flanks turn by more."""

MAX_SPLIT_IN_DRAFT: Final = 60_000
"""Triangles of a draft whose creases are split: more would delay the drag, so the shader alone finds them there."""

_STRAY_DEG: Final = 17.0
"""A corner that leans further from its side's mean belongs to neither side: more than two faces meet there."""
_FLAT_TRIANGLES: Final = 4
_FLAT_DEG: Final = 2.5
_STAIN_DEG: Final = 5.0
"""Round a flat vertex there are at least so many triangles, and none leans further than this from their mean. A corner
of one of these triangles whose vertex leans further than that from it lies on a shallow crease: a flat ground would be
stained where the slope beside it, steep along a wall, runs out in a corner. There no angle tells the crease from a
curved face."""
_BENT_DEG: Final = 8.0
"""Where a vertex's triangles lean further than this from their mean a small radius runs along a larger face, such as
the rounded edge of a top. They count by their areas there, so that the larger face keeps its own normal: by the usual
weights the short triangles of the radius would tilt it, and long triangles carry that right across the face."""

_SHORT: Final = np.float32(1e-16)
"""Edges under a ten-thousandth of a millimetre get no more weight than that, mm to the fourth."""
_TINY: Final = np.float32(1e-30)


@dataclass(frozen=True, eq=False)
class DrawnMesh:
    """A mesh whose vertices on creases are doubled, one for each side.

    positions (n, 3) float32, mm, the given vertices first and in order; normals (n, 3) float32, unit; triangles (m, 3)
    uint32, in the given order; vertex (n,) int32, the given vertex of each position, None if none is doubled.
    """

    positions: Singles
    normals: Singles
    triangles: NDArray[np.uint32]
    vertex: NDArray[np.int32] | None = None


def drawn_mesh(vertices: NDArray[Any], faces: NDArray[Any], is_draft: bool) -> DrawnMesh:
    """The mesh as it is drawn: with its creases split, unless it is a large draft.

    Parameters:
        vertices: (n, 3) mm.
        faces: (m, 3) counter-clockwise seen from outside.
        is_draft: it must be ready for the next frame.
    Returns: positions, normals and triangles.
    """
    if not is_draft or len(faces) <= MAX_SPLIT_IN_DRAFT:
        return split_at_creases(vertices, faces)
    positions = np.ascontiguousarray(vertices, dtype=np.float32)
    return DrawnMesh(positions, vertex_normals(vertices, faces), np.ascontiguousarray(faces, dtype=np.uint32))


def vertex_normals(vertices: NDArray[Any], faces: NDArray[Any]) -> Singles:
    """(n, 3) unit normals: the mean over each vertex's triangles, weighted; (0, 0, 1) where there is none.

    Parameters: vertices (n, 3), mm; faces (m, 3), counter-clockwise seen from outside.
    Source of the weights: Max 1999, Weights for computing vertex normals from facet normals; exact on a sphere.
    """
    cross, weight = _crosses(vertices, faces)
    return np.ascontiguousarray(_unit(_sums(cross, weight, faces, len(vertices))).T)


def face_normals(vertices: NDArray[Any], faces: NDArray[Any]) -> Singles:
    """(m, 3) unit normals of triangles; (0, 0, 1) for those without area."""
    return np.ascontiguousarray(_unit(_crosses(vertices, faces)[0]).T)


def split_at_creases(vertices: NDArray[Any], faces: NDArray[Any]) -> DrawnMesh:
    """Give every vertex that lies on a crease a second one, and each side its own smooth normal.

    Parameters: vertices (n, 3), mm; faces (m, 3), counter-clockwise seen from outside.
    Where more than two smooth faces meet in a vertex, the corners that fit neither side get their triangle's normal.
    """
    cross, weight = _crosses(vertices, faces)
    face = _unit(cross)
    mean = _unit(_sums(cross, weight, faces, len(vertices)))
    corner_vertex = np.ascontiguousarray(faces, dtype=np.intp).ravel()
    # Where two triangles differ by the crease angle, one of them leans by at least half of it from their mean.
    nearness = _corner_dots(mean, face, corner_vertex)
    _count_by_areas(cross, face, mean, nearness, corner_vertex)
    flat, stained = _flat_triangles(nearness, corner_vertex, len(vertices))
    creased = stained.copy()
    creased[corner_vertex[nearness < _cosine(0.5 * CREASE_DEG)]] = True
    corners = np.flatnonzero(creased[corner_vertex])
    triangle, vertex = corners // 3, corner_vertex[corners]
    number = (np.cumsum(creased) - 1)[vertex]
    apart = flat[triangle] & stained[vertex]
    own, areas = _columns(face, triangle), _columns(cross, triangle)
    side, node_side = _sides(own, areas, areas * weight.ravel()[corners], number, apart)
    split = np.flatnonzero(creased)
    normals = np.concatenate((mean, node_side[1]), axis=1)
    normals[:, split] = node_side[0]
    node = np.where(side, len(vertices) + number, vertex)
    source = np.concatenate((np.arange(len(vertices)), split))
    alone = np.flatnonzero(_dots(_columns(normals, node), own) < _cosine(_STRAY_DEG))
    node[alone] = len(source) + np.arange(len(alone))
    source = np.concatenate((source, vertex[alone]))
    normals = np.concatenate((normals, own[:, alone]), axis=1)
    drawn = corner_vertex.astype(np.uint32)
    drawn[corners] = node
    positions = np.take(np.asarray(vertices, dtype=np.float32), source, axis=0, mode="clip")
    return DrawnMesh(positions, np.ascontiguousarray(normals.T), drawn.reshape(-1, 3), source.astype(np.int32))


def _count_by_areas(
    cross: Singles, face: Singles, mean: Singles, nearness: Singles, corner_vertex: NDArray[np.intp]
) -> None:
    """Make the triangles of bent vertices count by their areas: mean and nearness are changed there.

    Parameters:
        cross: (3, m) normals as long as twice the areas.
        face: (3, m) unit normals.
        mean: (3, n) unit normals of vertices.
        nearness: (3 m,) cosine between each corner's vertex normal and its triangle's.
        corner_vertex: (3 m,).
    """
    bent = np.zeros(mean.shape[1], dtype=bool)
    bent[corner_vertex[nearness < _cosine(_BENT_DEG)]] = True
    corners = np.flatnonzero(bent[corner_vertex])
    number = (np.cumsum(bent) - 1)[corner_vertex[corners]]
    own = _columns(cross, corners // 3)
    count = int(np.count_nonzero(bent))
    found = _unit(np.stack([np.bincount(number, part, count) for part in own]).astype(np.float32))
    mean[:, bent] = found
    nearness[corners] = _dots(_columns(found, number), _columns(face, corners // 3))


def _flat_triangles(
    nearness: Singles, corner_vertex: NDArray[np.intp], vertices: int
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """(m,) the triangles at flat vertices, and (n,) the vertices that would stain one of them."""
    level = np.bincount(corner_vertex, minlength=vertices) >= _FLAT_TRIANGLES
    level[corner_vertex[nearness < _cosine(_FLAT_DEG)]] = False
    flat = np.any(level[corner_vertex].reshape(-1, 3), axis=1)
    stained = np.zeros(vertices, dtype=bool)
    stained[corner_vertex[np.repeat(flat, 3) & (nearness < _cosine(_STAIN_DEG))]] = True
    return flat, stained


def _sides(
    face: Singles, areas: Singles, cross: Singles, number: NDArray[np.intp], apart: NDArray[np.bool_]
) -> tuple[NDArray[np.bool_], tuple[Singles, Singles]]:
    """Part the corners at each vertex in two sides where a crease runs through it.

    The first side's direction is that of a triangle that leans most from any one, the second's of the one that leans
    most from that; if these two differ by less than the crease angle, no crease runs through the vertex, unless a flat
    ground ends there.

    Parameters:
        face: (3, k) unit normals of the corners' triangles.
        areas: (3, k) the same as long as twice the triangles' areas: what counts where no crease runs.
        cross: (3, k) their weighted normals, for the others.
        number: (k,) the vertices, 0 upwards.
        apart: (k,) the corners of flat triangles whose vertex leans from them.
    Returns: (k,) on the second side; the two sides' unit normals, each (3, vertices).
    """
    count = int(number.max()) + 1 if len(number) else 0
    direction = np.zeros((3, count), dtype=np.float32)
    direction[:, number] = face
    for _ in range(2):
        # Nearness in the upper bits, the corner in the lower ones: the least of a vertex is its corner that leans most.
        nearness = ((_dots(_columns(direction, number), face) + np.float32(1.0)) * np.float32(1e6)).astype(np.int64)
        least = np.full(count, np.iinfo(np.int64).max)
        np.minimum.at(least, number, nearness << 32 | np.arange(len(number)))
        first, direction = direction, _columns(face, least & 0xFFFFFFFF)
    creased = _dots(first, direction) < _cosine(CREASE_DEG)
    creased[number[apart]] = True
    nearer = _dots(_columns(direction, number), face) > _dots(_columns(first, number), face)
    side = creased[number] & nearer
    counted = np.where(creased[number], cross, areas)
    sums = np.stack([np.bincount(number + count * side, weights=part, minlength=2 * count) for part in counted])
    sided = _unit(sums.astype(np.float32))
    return side, (sided[:, :count], sided[:, count:])


def _columns(values: Singles, number: NDArray[np.integer]) -> Singles:
    """(3, k) those columns, which there are: three times as fast as by indexing, and a fifth faster unchecked."""
    return np.take(values, number, axis=1, mode="clip")


def _cosine(degrees: float) -> np.float32:
    return np.float32(np.cos(np.radians(degrees)))


def _crosses(vertices: NDArray[Any], faces: NDArray[Any]) -> tuple[Singles, Singles]:
    """(3, m) normals, as long as twice the triangles' areas; (m, 3) their weights at the corners."""
    x, y, z = np.ascontiguousarray(np.asarray(vertices, dtype=np.float32).T)
    a, b, c = np.ascontiguousarray(np.asarray(faces).T).astype(np.intp)
    ax, ay, az, bx, by, bz = x[a], y[a], z[a], x[b], y[b], z[b]
    ux, uy, uz = bx - ax, by - ay, bz - az
    vx, vy, vz = x[c] - ax, y[c] - ay, z[c] - az
    wx, wy, wz = vx - ux, vy - uy, vz - uz
    crosses = np.stack((uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx))
    u, v, w = ux * ux + uy * uy + uz * uz, vx * vx + vy * vy + vz * vz, wx * wx + wy * wy + wz * wz
    weights = np.stack((u * v, u * w, v * w), axis=1)
    np.divide(np.float32(1.0), np.maximum(weights, _SHORT), out=weights)
    return crosses, weights


def _sums(cross: Singles, weight: Singles, faces: NDArray[Any], vertices: int) -> Singles:
    """(3, n) weighted sums over each vertex's triangles."""
    corner_vertex = np.asarray(faces).ravel()
    return np.stack(
        [np.bincount(corner_vertex, weights=(part[:, None] * weight).ravel(), minlength=vertices) for part in cross]
    ).astype(np.float32)


def _unit(vectors: Singles) -> Singles:
    """(3, n) the same at length 1; (0, 0, 1) for those without length."""
    x, y, z = vectors
    length = np.sqrt(x * x + y * y + z * z)
    unit: Singles = vectors / np.maximum(length, _TINY)
    unit[2, length <= _TINY] = 1.0
    return unit


def _dots(a: Singles, b: Singles) -> Singles:
    dots: Singles = a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
    return dots


def _corner_dots(mean: Singles, face: Singles, corner_vertex: NDArray[np.intp]) -> Singles:
    """(3 m,) cosine between each corner's vertex normal and its triangle's normal."""
    total: Singles = np.take(mean[0], corner_vertex, mode="clip") * np.repeat(face[0], 3)
    for axis in (1, 2):
        total += np.take(mean[axis], corner_vertex, mode="clip") * np.repeat(face[axis], 3)
    return total
