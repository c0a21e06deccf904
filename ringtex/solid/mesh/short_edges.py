"""Edges too short for any file format are collapsed to a point."""

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


def collapse_short_edges(mesh: RingMesh, original_id: Ints, face_id: Ints) -> tuple[RingMesh, Ints, Ints]:
    """Collapse edges shorter than MIN_MM to a point.

    Only edges are collapsed whose ends have no common neighbours but the two corners across their own triangles.

    Parameters:
        mesh: a closed mesh.
        original_id, face_id: (m,) of its triangles, as in `FinishedRing`.
    Returns: the mesh and both arrays without the vanished triangles, still closed, oriented and of the same genus.
    """
    vertices, faces = mesh.vertices, mesh.faces
    for _ in range(ROUNDS):
        collapsed = _collapse_round(RingMesh(vertices, faces))
        if collapsed is None:
            break
        faces, mask = collapsed
        original_id, face_id = original_id[mask], face_id[mask]
    if len(faces) == len(mesh.faces):
        return mesh, original_id, face_id
    used = np.zeros(len(vertices), dtype=bool)
    used[faces] = True
    renumbered = np.cumsum(used, dtype=np.int32) - 1
    return RingMesh(vertices[used], renumbered[faces].astype(np.int32)), original_id, face_id


def _collapse_round(mesh: RingMesh) -> tuple[Ints, Bools] | None:
    """Faces after collapsing some short edges, no two of them near each other, and a mask of those that are left."""
    vertices, faces = mesh.vertices, mesh.faces
    start, end = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    edge = vertices[start] - vertices[end]
    is_short = (np.einsum("ij,ij->i", edge, edge) < MIN_MM**2) & (start < end)
    if not np.any(is_short):
        return None
    edges = np.unique(np.column_stack((start[is_short], end[is_short])), axis=0)
    touched = np.zeros(len(vertices), dtype=bool)
    touched[edges] = True
    nearby = faces[np.any(touched[faces], axis=1)]
    edges = _independent(nearby, edges, len(vertices))
    edges = edges[[_link_condition(nearby, int(a), int(b)) for a, b in edges]]
    if len(edges) == 0:
        return None
    target = np.arange(len(vertices), dtype=np.int32)
    target[edges[:, 1]] = edges[:, 0]
    moved = target[faces]
    mask = (moved[:, 0] != moved[:, 1]) & (moved[:, 1] != moved[:, 2]) & (moved[:, 2] != moved[:, 0])
    return np.asarray(moved[mask], dtype=np.int32), mask


def _independent(faces: Ints, edges: Ints, count: int) -> Ints:
    """Those edges whose neighbourhoods share nothing with that of an earlier one: collapsing one leaves the others as
    judged."""
    locked = np.zeros(count, dtype=bool)
    chosen = []
    for a, b in edges:
        nearby = np.unique(faces[np.any((faces == a) | (faces == b), axis=1)])
        if not np.any(locked[nearby]):
            locked[nearby] = True
            chosen.append((a, b))
    return np.array(chosen, dtype=np.int32).reshape(-1, 2)


def _link_condition(faces: Ints, a: int, b: int) -> bool:
    """The link condition: the neighbours that two ends share are the two corners across their own two triangles.

    Source: Dey, Edelsbrunner, Guha and Nekhayev 1999, Topology preserving edge contraction.
    """
    with_a, with_b = np.any(faces == a, axis=1), np.any(faces == b, axis=1)
    common = np.intersect1d(faces[with_a], faces[with_b])
    both = np.unique(faces[with_a & with_b])
    return len(both) == 4 and len(common) == 4
