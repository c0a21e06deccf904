"""Local booleans: cells far from every cut are replaced by fans while a ring is cut, and restored unchanged.

A boolean costs as much as the whole mesh has triangles, and most of these are cells that no cut touches. Each such cell
is replaced by a fan over its walls, the decimated ring is cut, and cells are restored by the numbers of their walls'
vertices. Where a cut did touch a fan after all, the whole ring must be cut.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, dots
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid, without_unused_vertices

MIN_FACES: Final = 4000
"""Under so many triangles of far cells there is nothing to gain."""


@dataclass(frozen=True, eq=False)
class Ball:
    """A ball that holds a cut's part in the outer face: its centre (3,) and radius, mm."""

    centre: Floats
    radius: float


@dataclass(frozen=True, eq=False)
class DecimatedPatch:
    """A ring whose cells far from every cut are fans.

    mesh      the decimated ring.
    vertex    (n,) the whole ring's vertex that each of its vertices is.
    face      (m,) the whole ring's triangle that each of its triangles is, -1 for those of fans.
    replaced  (k,) triangles of the whole ring that the fans stand for.
    """

    mesh: RingMesh
    vertex: Ints
    face: Ints
    replaced: Ints


def decimate_far_cells(solid: RingSolid, cuts: list[Ball]) -> DecimatedPatch | None:
    """The ring with fans in place of all cells that no ball touches; None where little would be gained."""
    if solid.loops is None:
        # The repeats of an own motif have no walls that a fan could join to.
        return None
    cells = solid.mesh.faces[solid.face_ranges["cells"]]
    far = _far_cells(solid, cells, cuts)[solid.face_cell]
    if np.count_nonzero(far) < MIN_FACES:
        return None
    fans_added = _fans(solid, cells, far)
    replaced = np.flatnonzero(far).astype(np.int32) + solid.face_ranges["cells"].start
    mask = np.ones(len(solid.mesh.faces), dtype=bool)
    mask[replaced] = False
    face = np.flatnonzero(mask).astype(np.int32)
    faces = np.concatenate((solid.mesh.faces[face], fans_added))
    used = np.zeros(len(solid.mesh.vertices), dtype=bool)
    used[faces] = True
    vertex = np.flatnonzero(used).astype(np.int32)
    renumbered = np.cumsum(used, dtype=np.int32) - 1
    mesh = RingMesh(solid.mesh.vertices[vertex], renumbered[faces].astype(np.int32))
    return DecimatedPatch(mesh, vertex, np.concatenate((face, np.full(len(fans_added), -1, np.int32))), replaced)


def restore_far_cells(
    solid: RingSolid, patch: DecimatedPatch, mesh: RingMesh, original_id: Ints, face_id: Ints
) -> tuple[RingMesh, Ints, Ints] | None:
    """The cut ring with the far cells back in place of their fans.

    Parameters:
        solid: the whole ring before the cuts.
        patch: its decimated copy, which was cut.
        mesh, original_id, face_id: the result of the cuts, face_id numbering the decimated copy.
    Returns: the mesh with both arrays, face_id numbering the whole ring; None if the boolean changed any fan.
    """
    from_ring = original_id == 0
    fans = np.flatnonzero(from_ring)[patch.face[face_id[from_ring]] < 0]
    fan_faces = patch.mesh.faces[face_id[fans]]
    if len(fans) != np.count_nonzero(patch.face < 0) or len(np.unique(face_id[fans])) != len(fans):
        return None
    corners = _matching_corners(mesh, mesh.faces[fans], patch.mesh, fan_faces)
    if corners is None:
        return None
    new_index = np.full(len(solid.mesh.vertices), -1, dtype=np.int32)
    new_index[patch.vertex[fan_faces]] = corners
    restored_faces = solid.mesh.faces[patch.replaced]
    inner_vertices = np.zeros(len(new_index), dtype=bool)
    inner_vertices[restored_faces] = True
    # Fans' own middles are inner vertices of their cells: their copies are dropped with the fans.
    middles = np.unique(fan_faces[:, 2])
    inner_vertices &= new_index < 0
    inner_vertices[patch.vertex[middles]] = True
    added = np.flatnonzero(inner_vertices)
    new_index[added] = len(mesh.vertices) + np.arange(len(added), dtype=np.int32)
    other_faces = np.ones(len(original_id), dtype=bool)
    other_faces[fans] = False
    vertices = np.concatenate((mesh.vertices, solid.mesh.vertices[added]))
    faces = np.concatenate((mesh.faces[other_faces], new_index[restored_faces]))
    ring_face = np.where(from_ring, patch.face[np.where(from_ring, face_id, 0)], face_id)[other_faces]
    return (
        without_unused_vertices(vertices, faces),
        np.concatenate((original_id[other_faces], np.zeros(len(restored_faces), np.int32))),
        np.concatenate((ring_face, patch.replaced)),
    )


def _far_cells(solid: RingSolid, cells: Ints, cuts: list[Ball]) -> Bools:
    """(cells,) no ball touches the bounding ball of the cell."""
    count, cell = len(solid.shrunk), solid.face_cell
    rows = np.ascontiguousarray(solid.mesh.vertices.T)
    corners = [rows[:, cells[:, corner]] for corner in range(3)]
    face_count = np.maximum(np.bincount(cell, minlength=count), 1)
    middles = (corners[0] + corners[1] + corners[2]) / 3.0
    centres = np.stack([np.bincount(cell, middle, count) / face_count for middle in middles])
    of_faces = centres[:, cell]
    away = [corner - of_faces for corner in corners]
    squared = np.zeros(count)
    np.maximum.at(squared, cell, np.max([dots(each, each) for each in away], axis=0))
    radius, centre = np.sqrt(squared), centres.T
    far = np.ones(count, dtype=bool)
    for ball in cuts:
        far &= np.linalg.norm(centre - ball.centre, axis=1) > radius + ball.radius
    return far


def _fans(solid: RingSolid, cells: Ints, far: Bools) -> Ints:
    """(k, 3) triangles from each far cell's walls to one of its own inner vertices."""
    faces, cell = cells[far], solid.face_cell[far]
    count = len(solid.mesh.vertices)
    label = np.full(count, -1, dtype=np.int32)
    label[cells] = solid.face_cell[:, None]
    shared = np.zeros(count, dtype=bool)
    shared[cells[label[cells] != solid.face_cell[:, None]]] = True
    shared[solid.mesh.faces[solid.face_ranges["cells"].stop :]] = True
    start, end = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    owner = np.repeat(cell, 3)
    both = shared[start] & shared[end]
    start, end, owner = start[both], end[both], owner[both]
    low, high = np.minimum(start, end).astype(np.int64), np.maximum(start, end)
    # A wall's segment is used once by its cell; edges that run inside the cell between two walls are used twice.
    order = np.lexsort((owner, low * count + high))
    key, key_owner = (low * count + high)[order], owner[order]
    equal = (key[1:] == key[:-1]) & (key_owner[1:] == key_owner[:-1])
    twice = np.zeros(len(key), dtype=bool)
    twice[1:] |= equal
    twice[:-1] |= equal
    wall = order[~twice]
    hub = np.full(len(solid.shrunk), -1, dtype=np.int32)
    inner_vertices = ~shared[faces]
    corner = np.argmax(inner_vertices[:, ::-1], axis=1)
    with_inner = np.any(inner_vertices, axis=1)
    # The last triangles of a cell are its innermost, so the last one written is near its middle.
    hub[cell[with_inner]] = faces[with_inner, 2 - corner[with_inner]]
    return np.column_stack((start[wall], end[wall], hub[owner[wall]])).astype(np.int32)


def _matching_corners(mesh: RingMesh, cut_faces: Ints, patch: RingMesh, fan_faces: Ints) -> Ints | None:
    """(k, 3) corners of `cut_faces`, rotated to match those of `fan_faces`; None where one does not match."""
    positions, expected = mesh.vertices[cut_faces], patch.vertices[fan_faces]
    rotated = np.full_like(cut_faces, -1)
    for rotation in range(3):
        order = [rotation, (rotation + 1) % 3, (rotation + 2) % 3]
        equal = np.all(positions[:, order] == expected, axis=(1, 2))
        rotated[equal] = cut_faces[equal][:, order]
    return None if np.any(rotated < 0) else rotated
