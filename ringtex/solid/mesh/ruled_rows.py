"""Rows across a ruled part of a mesh, so that cuts through it leave no needles from edge to edge."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Longs
from ringtex.solid.mesh.ring_mesh import RingMesh


def with_rows(mesh: RingMesh, part: slice, pieces: int) -> tuple[RingMesh, Longs] | None:
    """Split every edge inside a ruled part of a mesh into equal pieces; its surface and its borders stay as they are.

    Parameters:
        mesh: a closed mesh.
        part: its triangles that form a strip, each with one edge on the strip's border, such as a straight bore.
        pieces: of every edge across the strip.
    Returns: the mesh, and for each of its triangles the one of the mesh given that it lies in; None where the part is
        no such strip.
    """
    own = mesh.faces[part].astype(np.int64)
    count, size = len(mesh.vertices), len(own)
    start, end = own.ravel(), own[:, [1, 2, 0]].ravel()
    keys, edge, uses = np.unique(
        np.minimum(start, end) * count + np.maximum(start, end), return_inverse=True, return_counts=True
    )
    inner = (uses[edge] == 2).reshape(-1, 3)
    if size == 0 or np.any(np.sum(inner, axis=1) != 2):
        return None
    # From the corner where both inner edges meet, along the one to the next corner and the one to the last.
    turn = (np.argmin(inner, axis=1)[:, None] + [2, 0, 1]) % 3
    row = np.arange(size)[:, None]
    apex, after, last = own[row, turn].T
    sides = edge.reshape(-1, 3)[row, turn]
    split = np.flatnonzero(uses == 2)
    low, high = np.divmod(keys[split], count)
    share = np.arange(1, pieces)[:, None, None] / pieces
    added = mesh.vertices[low] + share * (mesh.vertices[high] - mesh.vertices[low])
    column = np.full(len(keys), -1)
    column[split] = np.arange(len(split))

    def along(first: Longs, other: Longs, side: Longs) -> Longs:
        step = np.arange(1, pieces)[:, None]
        step = np.where(first < other, step, pieces - step)
        return np.concatenate((first[None], count + (step - 1) * len(split) + column[side], other[None]))

    one, two = along(apex, after, sides[:, 0]), along(apex, last, sides[:, 2])
    tip = np.stack((one[0], one[1], two[1]), axis=-1)[None]
    first_halves = np.stack((one[1:-1], one[2:], two[2:]), axis=-1)
    second_halves = np.stack((one[1:-1], two[2:], two[1:-1]), axis=-1)
    faces = np.concatenate((tip, first_halves, second_halves)).reshape(-1, 3)
    kept = np.delete(np.arange(len(mesh.faces)), part)
    source = np.concatenate((kept, np.tile(np.arange(len(mesh.faces))[part], 2 * pieces - 1)))
    vertices = np.concatenate((mesh.vertices, added.reshape(-1, 3)))
    return RingMesh(vertices, np.concatenate((mesh.faces[kept], faces)).astype(np.int32)), source
