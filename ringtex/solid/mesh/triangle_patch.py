"""Triangles that are being improved: what is known of each, their shapes, and their edges."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs, crosses, dots, inverse_permutation

MAX_MOVED_MM: Final = 9e-4
"""How far all changes together may move the surface anywhere, mm: less than 1 micrometre."""

MAX_STEP_MM: Final = 5e-4
"""How far one change may, so that one bad change does not use up what several good ones need."""


LINE_MM: Final = 5e-4
"""The plane of a triangle lower than this says nothing about the surface."""

MIN_NORMAL_COSINE: Final = 0.9
"""Of a triangle to what it was, 25 degrees: with the next limit, no two neighbours turn past each other."""

PASSES: Final = 2
"""How often a round of changes chooses among those that touch nothing changed yet: thin triangles stand in rows."""

FOLDED_COSINE: Final = -0.9
"""Of two neighbours: they are within 25 degrees of lying on each other."""


@dataclass(frozen=True)
class ThinLimits:
    """Triangles are thin that are lower than height_mm, or have an angle whose sine is under `sine`."""

    height_mm: float
    sine: float


@dataclass(frozen=True, eq=False)
class Shapes:
    """Of n triangles.

    normal     (n, 3) square to each, as long as twice its area.
    height     (n,) over the longest side, mm.
    roundness  (n,) under 1 for thin triangles, 0 for those without area; under 0.1 for low ones, however wide.
    """

    normal: Floats
    height: Floats
    roundness: Floats

    def chosen(self, which: Longs | Bools) -> Shapes:
        """Those of some of the triangles."""
        return Shapes(self.normal[which], self.height[which], self.roundness[which])


def triangle_shapes(corners: Floats, limits: ThinLimits) -> Shapes:
    """Shapes of triangles (n, 3, 3)."""
    a, b, c = np.ascontiguousarray(np.moveaxis(corners, 0, 2))
    first, second, third = b - a, c - b, a - c
    square = np.stack([dots(each, each) for each in (first, second, third)])
    normal = np.ascontiguousarray(crosses(first, -third).T)
    area = np.sqrt(np.einsum("fi,fi->f", normal, normal))
    longest, shortest = np.max(square, axis=0), np.min(square, axis=0)
    height = area / np.sqrt(np.maximum(longest, 1e-300))
    # The smallest angle lies between the two longer sides.
    longer = np.maximum(longest * (np.sum(square, axis=0) - longest - shortest), 1e-300)
    sine = area / np.sqrt(longer)
    roundness = height / limits.height_mm
    if limits.sine > 0.0:
        narrow = 0.1 + 0.9 * sine / limits.sine
        roundness = np.where(roundness < 1.0, 0.1 * roundness, narrow)
    return Shapes(normal, height, roundness)


@dataclass(eq=False)
class TrianglePatch:
    """Triangles of one closed mesh, all those round some vertices; changed in place.

    vertices     (n, 3) mm.
    faces        (m, 3) int64.
    original_id  (m,) and face_id (m,): as in `FinishedRing`.
    moved_mm     (m,) how far each may lie from the mesh that was given.
    complete     (n,) True for vertices all of whose triangles are here.
    """

    vertices: Floats
    faces: Longs
    original_id: Ints
    face_id: Ints
    moved_mm: Floats
    complete: Bools

    def around(self, marked: Bools) -> tuple[TrianglePatch, Longs, Longs]:
        """The triangles that touch marked vertices, their numbers here, and the numbers of their vertices here."""
        number = np.flatnonzero(self.touching(marked))
        vertex, faces = np.unique(self.faces[number], return_inverse=True)
        patch = TrianglePatch(
            self.vertices[vertex],
            faces.reshape(-1, 3).astype(np.int64),
            self.original_id[number],
            self.face_id[number],
            self.moved_mm[number],
            marked[vertex] & self.complete[vertex],
        )
        return patch, number, vertex

    def touching(self, marked: Bools) -> Bools:
        """(m,) triangles with three corners of which one is marked."""
        a, b, c = self.faces.T
        return np.asarray((marked[a] | marked[b] | marked[c]) & (a != b) & (b != c) & (c != a))

    def put_back(self, patch: TrianglePatch, number: Longs, vertex: Longs) -> None:
        """Take over a patch of `around` after it was changed; vanished triangles have a corner twice.

        Parameters:
            patch: the changed triangles.
            number, vertex: as `around` gave them.
        """
        self.faces[number] = vertex[patch.faces]
        self.original_id[number] = patch.original_id
        self.face_id[number] = patch.face_id
        self.moved_mm[number] = patch.moved_mm

    def without_vanished(self) -> TrianglePatch:
        """Only triangles with three corners."""
        a, b, c = self.faces.T
        real = (a != b) & (b != c) & (c != a)
        if np.all(real):
            return self
        return TrianglePatch(
            self.vertices,
            self.faces[real],
            self.original_id[real],
            self.face_id[real],
            self.moved_mm[real],
            self.complete,
        )

    def thin(self, roundness: Floats) -> Bools:
        """(m,) triangles that may be worked on: thin ones round whose corners everything is known."""
        return np.asarray((roundness < 1.0) & np.all(self.complete[self.faces], axis=1))

    def edge_keys(self) -> Longs:
        """One number for each half-edge, the same for both of an edge; half-edge 3 f + i starts at corner i of f."""
        start, end = self.faces.ravel(), self.faces[:, [1, 2, 0]].ravel()
        return self.keys(start, end)

    def keys(self, start: Longs, end: Longs) -> Longs:
        """(k,) numbers of edges by their ends (k,)."""
        return np.asarray(np.minimum(start, end) * len(self.vertices) + np.maximum(start, end))


def folded(patch: TrianglePatch, shapes: Shapes, corner: Longs, owner: Longs, new: Shapes) -> Bools:
    """(t,) new triangles that would nearly lie on a neighbour, new or old.

    Parameters:
        patch: the triangles as they are; a neighbour that is not among them is not looked at.
        shapes: their shapes.
        corner: (t, 3) corners of the new triangles.
        owner: (t,) the change that each belongs to; those of one change are neighbours of each other.
        new: their shapes.
    Returns: True for triangles to avoid.
    """
    count = len(patch.vertices)
    start, end = corner.ravel(), np.roll(corner, -1, axis=1).ravel()
    change = np.repeat(owner, 3) * count
    beside, is_new = _find((change + start) * count + end, (change + end) * count + start)
    old_edges = patch.faces.ravel() * count + patch.faces[:, [1, 2, 0]].ravel()
    outside, is_old = _find(old_edges, end * count + start)
    beside, outside = beside // 3, outside // 3
    normal = np.where(is_new[:, None], new.normal[beside], shapes.normal[outside])
    height = np.where(is_new, new.height[beside], shapes.height[outside])
    own = np.repeat(new.normal, 3, axis=0)
    length = np.linalg.norm(own, axis=1) * np.linalg.norm(normal, axis=1)
    over = np.einsum("ij,ij->i", own, normal) < FOLDED_COSINE * length
    over &= (is_new | is_old) & (np.minimum(height, np.repeat(new.height, 3)) >= LINE_MM)
    return np.asarray(np.any(over.reshape(-1, 3), axis=1))


def _find(numbers: Longs, wanted: Longs) -> tuple[Longs, Bools]:
    """Where each wanted number stands among the numbers, and whether it does."""
    order = np.argsort(numbers, kind="stable")
    place = order[np.minimum(np.searchsorted(numbers, wanted, sorter=order), len(numbers) - 1)]
    return np.asarray(place), np.asarray(numbers[place] == wanted)


def best_apart(gain: Floats, touched: Longs, owner: Longs, count: int, passes: int = 1) -> Bools:
    """(k,) changes that are the best at every vertex, or face, they touch, so that no two of them touch the same one.

    Parameters:
        gain: (k,) what each change is worth.
        touched, owner: (t,) vertices, and the change that touches each.
        count: how many vertices there are.
        passes: how often to choose, each time among those that touch nothing taken yet: of a row in which each is
            worth more than the one before, one pass takes the last alone.
    Returns: which changes to make.
    """
    rank = inverse_permutation(np.argsort(gain, kind="stable"))
    chosen: Bools = np.zeros(len(gain), dtype=bool)
    left: Bools = np.ones(len(gain), dtype=bool)
    for _ in range(passes):
        best = np.full(count, -1, dtype=np.int64)
        np.maximum.at(best, touched, rank[owner])
        taken = left.copy()
        np.logical_and.at(taken, owner, best[touched] == rank[owner])
        chosen |= taken
        free: Bools = np.ones(count, dtype=bool)
        free[touched[taken[owner]]] = False
        left &= ~taken
        np.logical_and.at(left, owner, free[touched])
        some = left[owner]
        touched, owner = touched[some], owner[some]
        if not len(owner):
            break
    return chosen
