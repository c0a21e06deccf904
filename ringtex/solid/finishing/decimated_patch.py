"""Cells far from every cut are taken out of the way while a ring is cut, and put back unchanged.

A boolean costs as much as the whole mesh has triangles, and most of these are cells that no cut touches. Each such cell
is replaced by a fan over its walls, the small ring is cut, and the cells come back by the numbers of their walls'
vertices. Where a cut did touch a fan after all, the whole ring must be cut.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid

MIN_FACES: Final = 4000
"""Under so many triangles of far cells there is nothing to gain."""


@dataclass(frozen=True, eq=False)
class Ball:
    """A ball that holds a cut's part in the outer face: its middle (3,) and radius, mm."""

    middle: Floats
    radius: float


@dataclass(frozen=True, eq=False)
class DecimatedRing:
    """A ring whose far cells are fans.

    mesh     the small ring. vertex (n,): the whole ring's vertex that each of its vertices is.
    face     (m,): the whole ring's triangle that each of its triangles is, -1 for those of fans.
    taken    (k,): triangles of the whole ring that the fans stand for.
    """

    mesh: RingMesh
    vertex: Ints
    face: Ints
    taken: Ints


def decimated_ring(solid: RingSolid, cuts: list[Ball]) -> DecimatedRing | None:
    """The ring with fans in place of all cells that no ball reaches; None where little would be gained."""
    cells = solid.mesh.faces[solid.parts["cells"]]
    far = _far_cells(solid, cells, cuts)[solid.face_cell]
    if np.count_nonzero(far) < MIN_FACES:
        return None
    fan = _fans(solid, cells, far)
    taken = np.flatnonzero(far).astype(np.int32) + solid.parts["cells"].start
    kept = np.ones(len(solid.mesh.faces), dtype=bool)
    kept[taken] = False
    face = np.flatnonzero(kept).astype(np.int32)
    faces = np.concatenate((solid.mesh.faces[face], fan))
    used = np.zeros(len(solid.mesh.vertices), dtype=bool)
    used[faces] = True
    vertex = np.flatnonzero(used).astype(np.int32)
    renumbered = np.cumsum(used, dtype=np.int32) - 1
    mesh = RingMesh(solid.mesh.vertices[vertex], renumbered[faces].astype(np.int32))
    return DecimatedRing(mesh, vertex, np.concatenate((face, np.full(len(fan), -1, np.int32))), taken)


def restored_ring(
    solid: RingSolid, small: DecimatedRing, mesh: RingMesh, part: Ints, source: Ints
) -> tuple[RingMesh, Ints, Ints] | None:
    """What was cut from the small ring, with the far cells back: its mesh, parts and sources (of the whole ring).

    None where a fan did not come out whole.
    """
    own = part == 0
    fans = np.flatnonzero(own)[small.face[source[own]] < 0]
    asked = small.mesh.faces[source[fans]]
    if len(fans) != np.count_nonzero(small.face < 0) or len(np.unique(source[fans])) != len(fans):
        return None
    corners = _same_corners(mesh, mesh.faces[fans], small.mesh, asked)
    if corners is None:
        return None
    place = np.full(len(solid.mesh.vertices), -1, dtype=np.int32)
    place[small.vertex[asked]] = corners
    back = solid.mesh.faces[small.taken]
    inner = np.zeros(len(place), dtype=bool)
    inner[back] = True
    # Fans' own middles are inner vertices of their cells: their copies are dropped with the fans.
    middles = np.unique(asked[:, 2])
    inner &= place < 0
    inner[small.vertex[middles]] = True
    added = np.flatnonzero(inner)
    place[added] = len(mesh.vertices) + np.arange(len(added), dtype=np.int32)
    rest = np.ones(len(part), dtype=bool)
    rest[fans] = False
    vertices = np.concatenate((mesh.vertices, solid.mesh.vertices[added]))
    faces = np.concatenate((mesh.faces[rest], place[back]))
    whole = np.where(own, small.face[np.where(own, source, 0)], source)[rest]
    return (
        _without_unused(vertices, faces),
        np.concatenate((part[rest], np.zeros(len(back), np.int32))),
        np.concatenate((whole, small.taken)),
    )


def _far_cells(solid: RingSolid, cells: Ints, cuts: list[Ball]) -> Bools:
    """(cells,) no ball comes near the ball round the cell."""
    count = len(solid.squeezed)
    middle = np.zeros((count, 3))
    places = solid.mesh.vertices[cells].mean(axis=1)
    share = np.maximum(np.bincount(solid.face_cell, minlength=count), 1)
    for axis in range(3):
        middle[:, axis] = np.bincount(solid.face_cell, places[:, axis], count) / share
    reach = np.zeros(count)
    for corner in range(3):
        away = solid.mesh.vertices[cells[:, corner]] - middle[solid.face_cell]
        np.maximum.at(reach, solid.face_cell, np.sqrt(np.einsum("ij,ij->i", away, away)))
    far = np.ones(count, dtype=bool)
    for ball in cuts:
        far &= np.linalg.norm(middle - ball.middle, axis=1) > reach + ball.radius
    return far


def _fans(solid: RingSolid, cells: Ints, far: Bools) -> Ints:
    """(k, 3) triangles from each far cell's walls to one of its own inner vertices."""
    faces, cell = cells[far], solid.face_cell[far]
    count = len(solid.mesh.vertices)
    label = np.full(count, -1, dtype=np.int32)
    label[cells] = solid.face_cell[:, None]
    shared = np.zeros(count, dtype=bool)
    shared[cells[label[cells] != solid.face_cell[:, None]]] = True
    shared[solid.mesh.faces[solid.parts["cells"].stop :]] = True
    start, end = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    owner = np.repeat(cell, 3)
    both = shared[start] & shared[end]
    start, end, owner = start[both], end[both], owner[both]
    low, high = np.minimum(start, end).astype(np.int64), np.maximum(start, end)
    # A wall's segment is used once by its cell; edges that run inside the cell between two walls are used twice.
    order = np.lexsort((owner, low * count + high))
    key, own = (low * count + high)[order], owner[order]
    same = (key[1:] == key[:-1]) & (own[1:] == own[:-1])
    twice = np.zeros(len(key), dtype=bool)
    twice[1:] |= same
    twice[:-1] |= same
    wall = order[~twice]
    hub = np.full(len(solid.squeezed), -1, dtype=np.int32)
    inner = ~shared[faces]
    corner = np.argmax(inner[:, ::-1], axis=1)
    with_inner = np.any(inner, axis=1)
    # The last triangles of a cell are its innermost, so the last one written is near its middle.
    hub[cell[with_inner]] = faces[with_inner, 2 - corner[with_inner]]
    return np.column_stack((start[wall], end[wall], hub[owner[wall]])).astype(np.int32)


def _same_corners(mesh: RingMesh, found: Ints, small: RingMesh, asked: Ints) -> Ints | None:
    """(k, 3) the corners of triangles `found`, turned to stand as those `asked` do; None where one is not the same."""
    places, wanted = mesh.vertices[found], small.vertices[asked]
    turned = np.full_like(found, -1)
    for turn in range(3):
        order = [turn, (turn + 1) % 3, (turn + 2) % 3]
        same = np.all(places[:, order] == wanted, axis=(1, 2))
        turned[same] = found[same][:, order]
    return None if np.any(turned < 0) else turned


def _without_unused(vertices: Floats, faces: Ints) -> RingMesh:
    used = np.zeros(len(vertices), dtype=bool)
    used[faces] = True
    renumbered = np.cumsum(used, dtype=np.int32) - 1
    return RingMesh(vertices[used], renumbered[faces].astype(np.int32))
