"""Splits of single edges of a mesh of cells, both of whose triangles are divided."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs, sorted_unique
from ringtex.solid.mesh.triangle_patch import best_apart

MAX_ROUNDS: Final = 32
"""Rounds of splits, each with at most one edge of every triangle; two to five are needed, but for rows of edges that
wait for each other: the last rounds split some two or three."""


@dataclass(frozen=True, eq=False)
class EdgesToSplit:
    """Edges to split in one round. half_edges (2 n,) as 3 f + i, those on the other side after those on the one;
    positions (n, 3) of the new vertices; waiting (k,) triangles of edges that are for a later round."""

    half_edges: Longs
    positions: Floats
    waiting: Longs


def worst_edges(off: Floats, one: Longs, other: Longs, positions: Floats, faces: int) -> EdgesToSplit:
    """Of edges over a tolerance those that are the furthest off of both their triangles.

    Parameters:
        off: (k,) how far each edge is off.
        one, other: (k,) its half-edges 3 f + i.
        positions: (k, 3) where to split it.
        faces: how many triangles there are.
    Returns: those to split in this round.
    """
    touched = np.concatenate((one, other)) // 3
    split = best_apart(off, touched, np.tile(np.arange(len(off)), 2), faces)
    waiting = np.concatenate((one[~split], other[~split])) // 3
    return EdgesToSplit(np.concatenate((one[split], other[split])), positions[split], waiting)


def split_edges(faces: Ints, cell: Ints, edges: EdgesToSplit, first_id: int) -> tuple[Ints, Ints, Longs]:
    """Divide both triangles of some edges, no two of which share one.

    Parameters:
        faces, cell: (m, 3) triangles, changed in place, and (m,) their cells.
        edges: the edges.
        first_id: number of the first new vertex.
    Returns: the triangles, more than before, their cells, and those to look at in the next round.
    """
    face, corner = edges.half_edges // 3, edges.half_edges % 3
    # Both triangles of an edge get the same new vertex.
    vertex = np.tile(first_id + np.arange(len(edges.positions), dtype=np.int32), 2)
    opposite, end = faces[face, (corner + 2) % 3], faces[face, (corner + 1) % 3]
    second = np.stack((vertex, end, opposite), axis=1)
    faces[face, (corner + 1) % 3] = vertex
    active = sorted_unique(np.concatenate((face, len(faces) + np.arange(len(second)), edges.waiting)))
    return np.concatenate((faces, second)), np.concatenate((cell, cell[face])), active
