"""Edges too short for any file are closed to a point."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Ints
from ringtex.solid.mesh.ring_mesh import RingMesh

MIN_MM: Final = 2e-5
"""Cuts leave edges down to 1e-12 mm. Files of seven digits keep places at 20 mm only to 2e-6; this is ten times that,
and far under what any tolerance asks for."""

ROUNDS: Final = 6
"""Closing one edge can leave another that is as short; a second or third round is rare."""


def without_short_edges(mesh: RingMesh, part: Ints, source: Ints) -> tuple[RingMesh, Ints, Ints]:
    """The mesh with its shortest edges closed, and the parts and sources of the triangles that are left.

    Only edges that can be closed and leave the surface whole are: where their two ends have no third neighbour in
    common but the two triangles' own. Guarantee: closed, oriented and of the same genus, if the mesh was.
    """
    vertices, faces = mesh.vertices, mesh.faces
    for _ in range(ROUNDS):
        closed = _closed_once(RingMesh(vertices, faces))
        if closed is None:
            break
        faces, kept = closed
        part, source = part[kept], source[kept]
    if len(faces) == len(mesh.faces):
        return mesh, part, source
    used = np.zeros(len(vertices), dtype=bool)
    used[faces] = True
    renumbered = np.cumsum(used, dtype=np.int32) - 1
    return RingMesh(vertices[used], renumbered[faces].astype(np.int32)), part, source


def _closed_once(mesh: RingMesh) -> tuple[Ints, Bools] | None:
    """Faces after closing some short edges, no two of them near each other, and which of the old ones are left."""
    vertices, faces = mesh.vertices, mesh.faces
    start, end = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    away = vertices[start] - vertices[end]
    short = (np.einsum("ij,ij->i", away, away) < MIN_MM**2) & (start < end)
    if not np.any(short):
        return None
    ends = np.unique(np.column_stack((start[short], end[short])), axis=0)
    touched = np.zeros(len(vertices), dtype=bool)
    touched[ends] = True
    near = faces[np.any(touched[faces], axis=1)]
    ends = _apart(near, ends, len(vertices))
    ends = ends[[_may_close(near, int(a), int(b)) for a, b in ends]]
    if len(ends) == 0:
        return None
    target = np.arange(len(vertices), dtype=np.int32)
    target[ends[:, 1]] = ends[:, 0]
    moved = target[faces]
    kept = (moved[:, 0] != moved[:, 1]) & (moved[:, 1] != moved[:, 2]) & (moved[:, 2] != moved[:, 0])
    return np.asarray(moved[kept], dtype=np.int32), kept


def _apart(faces: Ints, ends: Ints, count: int) -> Ints:
    """Those of the edges whose neighbourhoods no earlier one has taken: closing one leaves the others as judged."""
    taken = np.zeros(count, dtype=bool)
    chosen = []
    for a, b in ends:
        near = np.unique(faces[np.any((faces == a) | (faces == b), axis=1)])
        if not np.any(taken[near]):
            taken[near] = True
            chosen.append((a, b))
    return np.array(chosen, dtype=np.int32).reshape(-1, 2)


def _may_close(faces: Ints, a: int, b: int) -> bool:
    """The link condition: the neighbours that two ends share are the two corners across their own two triangles.

    Source: Dey, Edelsbrunner, Guha and Nekhayev 1999, Topology preserving edge contraction.
    """
    with_a, with_b = np.any(faces == a, axis=1), np.any(faces == b, axis=1)
    common = np.intersect1d(faces[with_a], faces[with_b])
    both = np.unique(faces[with_a & with_b])
    return len(both) == 4 and len(common) == 4
