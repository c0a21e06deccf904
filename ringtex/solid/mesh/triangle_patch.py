"""Triangles that are being improved: what is known of each, their shapes, and their edges."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs, contained, crosses, dots, inverse_permutation, lengths

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

    def followed_by(self, other: Shapes) -> Shapes:
        """These, and others behind them."""
        return Shapes(
            np.concatenate((self.normal, other.normal)),
            np.concatenate((self.height, other.height)),
            np.concatenate((self.roundness, other.roundness)),
        )


def shapes_of(rows: Floats, faces: Ints | Longs, limits: ThinLimits) -> Shapes:
    """Shapes of some triangles of a mesh.

    Parameters:
        rows: (3, k) coordinates of its vertices, mm.
        faces: (n, 3) the triangles.
        limits: which are thin.
    Returns: the shapes.
    """
    a, b, c = (rows[:, faces[:, corner]] for corner in range(3))
    return shapes_by_rows(a, b, c, limits)


def shapes_by_rows(a: Floats, b: Floats, c: Floats, limits: ThinLimits) -> Shapes:
    """Shapes of triangles by corners (3, n), one row a coordinate.

    Parameters:
        a, b, c: the corners, mm.
        limits: which triangles are thin.
    Returns: the shapes.
    """
    first, second, third = b - a, c - b, a - c
    square = [dots(each, each) for each in (first, second, third)]
    cross = crosses(first, -third)
    normal = np.ascontiguousarray(cross.T)
    area = lengths(cross)
    longest = np.maximum(np.maximum(square[0], square[1]), square[2])
    shortest = np.minimum(np.minimum(square[0], square[1]), square[2])
    height = area / np.sqrt(np.maximum(longest, 1e-300))
    # The smallest angle lies between the two longer sides.
    longer = np.maximum(longest * (square[0] + square[1] + square[2] - longest - shortest), 1e-300)
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
    shapes       (m,) of each, those that vanished counting as round; None until they are asked for.
    """

    vertices: Floats
    faces: Longs
    original_id: Ints
    face_id: Ints
    moved_mm: Floats
    complete: Bools
    shapes: Shapes | None = None

    @property
    def rows(self) -> Floats:
        """(3, n) the vertices, one row a coordinate."""
        return np.ascontiguousarray(self.vertices.T)

    def around(self, marked: Bools) -> tuple[TrianglePatch, Longs, Longs]:
        """The triangles that touch marked vertices, their numbers here, and the numbers of their vertices here."""
        number = self.touching(marked)
        faces = self.faces[number]
        used: Bools = np.zeros(len(self.vertices), dtype=bool)
        used[faces] = True
        vertex = np.flatnonzero(used)
        place = np.empty(len(used), dtype=np.int64)
        place[vertex] = np.arange(len(vertex))
        patch = TrianglePatch(
            self.vertices[vertex],
            place[faces],
            self.original_id[number],
            self.face_id[number],
            self.moved_mm[number],
            marked[vertex] & self.complete[vertex],
            self.shapes.chosen(number) if self.shapes else None,
        )
        return patch, number, vertex

    def measured(self, limits: ThinLimits) -> Shapes:
        """The shapes of all triangles, measured where they are not yet known."""
        if self.shapes is None:
            self.shapes = shapes_of(self.rows, self.faces, limits)
        return self.shapes

    def measure_again(self, number: Longs, limits: ThinLimits) -> None:
        """Set the shapes of triangles that have changed."""
        faces, shapes = self.faces[number], self.measured(limits)
        new = shapes_of(self.rows, faces, limits)
        a, b, c = faces.T
        new.roundness[(a == b) | (b == c) | (c == a)] = np.inf
        shapes.normal[number], shapes.height[number], shapes.roundness[number] = new.normal, new.height, new.roundness

    def touching(self, marked: Bools) -> Longs:
        """Numbers of the triangles with three corners of which one is marked."""
        a, b, c = self.faces.T
        number = np.flatnonzero(marked[a] | marked[b] | marked[c])
        a, b, c = self.faces[number].T
        return np.asarray(number[(a != b) & (b != c) & (c != a)])

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
        if self.shapes and patch.shapes:
            self.shapes.normal[number] = patch.shapes.normal
            self.shapes.height[number] = patch.shapes.height
            self.shapes.roundness[number] = patch.shapes.roundness

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

    def thin(self, roundness: Floats) -> Longs:
        """Triangles that may be worked on: thin ones round whose corners everything is known."""
        thin = np.flatnonzero(roundness < 1.0)
        return thin[np.all(self.complete[self.faces[thin]], axis=1)]

    def half_edges(self, marked: Bools) -> tuple[Longs, Longs, Longs]:
        """Half-edges between marked vertices, and where each starts and ends; half-edge 3 f + i starts at corner i of
        triangle f."""
        start, end = self.faces.ravel(), self.faces[:, [1, 2, 0]].ravel()
        number = np.flatnonzero(marked[start] & marked[end])
        return number, start[number], end[number]

    def marked(self, *vertices: Longs) -> Bools:
        """(n,) which vertices are among those given."""
        found: Bools = np.zeros(len(self.vertices), dtype=bool)
        for each in vertices:
            found[each] = True
        return found

    def keys(self, start: Longs, end: Longs) -> Longs:
        """(k,) numbers of edges by their ends (k,), whichever comes first."""
        return np.asarray(np.minimum(start, end) * len(self.vertices) + np.maximum(start, end))

    def has_edges(self, start: Longs, end: Longs) -> Bools:
        """(k,) whether there are edges between vertices (k,) and (k,)."""
        _, first, last = self.half_edges(self.marked(start, end))
        return contained(self.keys(start, end), np.sort(self.keys(first, last)))


def folded(one: Shapes, other: Shapes) -> Bools:
    """(n,) pairs of triangles, which share an edge, that would nearly lie on each other; lines lie on nothing."""
    length = np.linalg.norm(one.normal, axis=1) * np.linalg.norm(other.normal, axis=1)
    turned = np.einsum("ij,ij->i", one.normal, other.normal) < FOLDED_COSINE * length
    return np.asarray(turned & (np.minimum(one.height, other.height) >= LINE_MM))


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
