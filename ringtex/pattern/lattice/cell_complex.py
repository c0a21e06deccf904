"""The periodic cell complex: vertices, faces and two translations that a lattice family repeats over the plane.

A family gives one repeat. Its faces may be of several shapes and have any number of sides; a vertex that lies in the
middle of a neighbour's side (a T-junction) is a corner of 180 degrees there. Which faces meet at a wall follows from
the vertices at its two ends.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Longs

Corner = tuple[int, int, int]
"""The kind of a vertex, and the steps along and up to its repeat."""

Polygon = Sequence[tuple[float, float]]

SAME_POINT: Final = 1e-7
"""Points of a repeat that are this close, in its own unit of length, are one vertex: far over rounding, and far under
the shortest wall of any family."""

STEPS: Final = (-2, -1, 0, 1, 2)
"""Repeats each way in which the neighbours of a repeat's faces lie."""

SNAP_FRACTION: Final = 0.3
"""A vertex may move onto a border by this fraction of the smallest distance of a cell's kernel from its walls, so that
no cell turns inside out."""


@dataclass(frozen=True)
class CellComplex:
    """One repeat of a lattice family.

    The two translations are one pitch along the row, and one row pitch square to it with `shift` pitches aside.

    vertices      (along, up) of each kind of vertex, seen from the repeat's origin, in pitches and row pitches.
    faces         the corners of each cell, counter-clockwise.
    shift         0.5 for rows that stand half a pitch aside, 0 for rows that stand on each other.
    regular       row pitch / pitch where the cells are regular; None where rows may be of any height (ribs).
    first_row     height of the first row's origin over the lower border, in row pitches.
    extra_rows    row pitches in the patterned width beyond the number of rows.
    snap_share    how close to a border a vertex is moved onto it, in row pitches.
    shortest_wall in pitches, at most 1; walls much narrower than it along the row may not be moved onto a border.
    """

    vertices: tuple[tuple[float, float], ...]
    faces: tuple[tuple[Corner, ...], ...]
    shift: float
    regular: float | None
    first_row: float
    extra_rows: int
    snap_share: float
    shortest_wall: float = 1.0

    @cached_property
    def face_start(self) -> Longs:
        """(f + 1,) where each face's corners begin in the flat list of all."""
        return np.concatenate([[0], np.cumsum([len(face) for face in self.faces])]).astype(np.int64)

    @cached_property
    def corners(self) -> Longs:
        """(m, 3) kind, steps along and steps up of every corner, face by face."""
        return np.array([corner for face in self.faces for corner in face], dtype=np.int64)

    @cached_property
    def neighbours(self) -> Longs:
        """(m, 4) for the wall that starts at each corner: the face behind it, the corner where the twin starts (its
        number in the flat list), and the steps along and up to that face's repeat.

        Raises: ValueError where a wall is not shared by exactly two faces.
        """
        walls: dict[tuple[int, int, int, int], tuple[int, int, int, int]] = {}
        for number, ((a, i, j), (b, k, m)) in enumerate(self._walls()):
            key = (a, b, k - i, m - j)
            if key in walls:
                raise ValueError(f"two faces lie on the same side of wall {key}")
            walls[key] = (int(np.searchsorted(self.face_start, number, side="right")) - 1, number, i, j)
        found = []
        for (a, i, j), (b, k, m) in self._walls():
            key = (b, a, i - k, j - m)
            if key not in walls:
                raise ValueError(f"no face lies behind wall {key}")
            face, number, twin_i, twin_j = walls[key]
            found.append((face, number, k - twin_i, m - twin_j))
        return np.array(found, dtype=np.int64)

    def _walls(self) -> list[tuple[Corner, Corner]]:
        return [wall for face in self.faces for wall in zip(face, face[1:] + face[:1], strict=True)]

    def outlines(self) -> list[Floats]:
        """(k, 2) corners of each face in pitches and row pitches, as they stand in the first repeat."""
        places = np.array(self.vertices)[self.corners[:, 0]]
        i, j = self.corners[:, 1], self.corners[:, 2]
        placed = np.column_stack([places[:, 0] + i + self.shift * j, places[:, 1] + j])
        return np.split(placed, self.face_start[1:-1])


@dataclass(frozen=True)
class Repeat:
    """One repeat as outlines in its own unit of length, from which a complex is made.

    pitch     length of the translation along the row.
    row       height of the other translation.
    shift     its part along the row, in pitches.
    polygons  every face once, in any orientation; vertices may lie on the sides of others.
    """

    pitch: float
    row: float
    shift: float
    polygons: tuple[Polygon, ...]

    def copies(self) -> list[Floats]:
        """The polygons of the repeats all round, (k, 2) each."""
        moves = [((i + self.shift * j) * self.pitch, j * self.row) for j in STEPS for i in STEPS]
        return [np.array(polygon) + move for move in moves for polygon in self.polygons]

    def cell_complex(
        self, first_row: float = 0.0, *, extra_rows: int = 0, snap_share: float | None = None, any_height: bool = False
    ) -> CellComplex:
        """The complex of these outlines.

        Parameters:
            first_row, extra_rows, snap_share: as in `CellComplex`; a snap share of None: as far as the cells allow.
            any_height: rows may be of any height.
        Returns: the complex.
        Raises: ValueError where the outlines do not fit each other.
        """
        numbered = _NumberedVertices(self)
        faces = tuple(numbered.corners_of(polygon) for polygon in self.polygons)
        walls = [
            math.dist(a, b)
            for polygon in self.polygons
            for a, b in zip(polygon, [*polygon[1:], polygon[0]], strict=True)
        ]
        made = CellComplex(
            vertices=tuple(numbered.kinds),
            faces=faces,
            shift=self.shift,
            regular=None if any_height else self.row / self.pitch,
            first_row=first_row,
            extra_rows=extra_rows,
            snap_share=_safe_snap(self) if snap_share is None else snap_share,
            shortest_wall=min(1.0, min(walls) / self.pitch),
        )
        made.neighbours  # noqa: B018 - refuses outlines that do not fit
        return made


class _NumberedVertices:
    """The kinds of vertices of a repeat, each found by its place reduced to the first repeat."""

    def __init__(self, repeat: Repeat) -> None:
        self.repeat = repeat
        self.kinds: list[tuple[float, float]] = []
        every = np.concatenate(repeat.copies())
        _, first = np.unique(np.round(every / (8.0 * SAME_POINT)), axis=0, return_index=True)
        self._every = every[np.sort(first)]
        for polygon in repeat.polygons:
            for point in polygon:
                self._corner(point)

    def corners_of(self, polygon: Polygon) -> tuple[Corner, ...]:
        """The corners of a face counter-clockwise, with those of its neighbours that lie on its sides."""
        points = np.array(polygon)
        ahead = np.roll(points, -1, axis=0)
        if np.sum(points[:, 0] * ahead[:, 1] - ahead[:, 0] * points[:, 1]) < 0.0:
            points = points[::-1]
        corners: list[Corner] = []
        for start, end in zip(points, np.roll(points, -1, axis=0), strict=True):
            corners.append(self._corner(tuple(start)))
            corners += [self._corner(tuple(point)) for point in self._on_side(start, end)]
        return tuple(corners)

    def _on_side(self, start: Floats, end: Floats) -> Floats:
        every = self._every
        along = (end - start) / np.hypot(*(end - start))
        way = every - start
        t, off = way @ along, np.abs(way[:, 0] * along[1] - way[:, 1] * along[0])
        inside = (off < SAME_POINT) & (t > SAME_POINT) & (t < np.hypot(*(end - start)) - SAME_POINT)
        order = np.argsort(t[inside], kind="stable")
        sorted_t = t[inside][order]
        first = np.concatenate([[True], np.diff(sorted_t) > SAME_POINT])[: len(sorted_t)]
        return np.asarray(every[inside][order][first], dtype=np.float64)

    def _corner(self, point: tuple[float, ...]) -> Corner:
        repeat = self.repeat
        for kind, (along, up) in enumerate(self.kinds):
            j = round(point[1] / repeat.row - up)
            i = round(point[0] / repeat.pitch - along - repeat.shift * j)
            at = ((along + i + repeat.shift * j) * repeat.pitch, (up + j) * repeat.row)
            if math.dist(at, point) < SAME_POINT:
                return kind, i, j
        self.kinds.append((float(point[0]) / repeat.pitch, float(point[1]) / repeat.row))
        return len(self.kinds) - 1, 0, 0


def _safe_snap(repeat: Repeat) -> float:
    """In row pitches: a fraction of the smallest circle round a centroid that fits into its cell."""
    smallest = math.inf
    for polygon in repeat.polygons:
        points = np.array(polygon, dtype=np.float64)
        ahead = np.roll(points, -1, axis=0)
        cross = points[:, 0] * ahead[:, 1] - ahead[:, 0] * points[:, 1]
        middle = np.sum((points + ahead) * cross[:, None], axis=0) / (3.0 * np.sum(cross))
        way = ahead - points
        off = np.abs((middle - points)[:, 0] * way[:, 1] - (middle - points)[:, 1] * way[:, 0]) / np.hypot(*way.T)
        smallest = min(smallest, float(np.min(off)))
    return SNAP_FRACTION * smallest / repeat.row


def dual(repeat: Repeat) -> Repeat:
    """A cell for every vertex, its corners at the middles of the cells around: of an Archimedean tiling its Laves
    tiling (Gruenbaum and Shephard, Tilings and Patterns, 1987, section 2.7; from memory)."""
    copies = repeat.copies()
    middles = np.array([np.mean(points, axis=0) for points in copies])
    owner = np.repeat(np.arange(len(copies)), [len(points) for points in copies])
    every = np.concatenate(copies)
    cells: list[Polygon] = []
    for along, up in _NumberedVertices(repeat).kinds:
        vertex = np.array([along * repeat.pitch, up * repeat.row])
        around = middles[owner[np.hypot(*(every - vertex).T) < SAME_POINT]] - vertex
        around = around[np.argsort(np.arctan2(around[:, 1], around[:, 0]), kind="stable")]
        cells.append([(float(x), float(y)) for x, y in around + vertex])
    return Repeat(repeat.pitch, repeat.row, repeat.shift, tuple(cells))


def faces_between(points: Polygon, pitch: float, row: float, shift: float, side: float = 1.0) -> Repeat:
    """The repeat whose walls join all points that are `side` apart; its faces are traced round, always turning left.

    Parameters:
        points: at least one of every kind of vertex; the same one may be given twice.
        pitch: length of the translation along the row.
        row: height of the other translation.
        shift: its part along the row, in pitches.
        side: length of every wall.
    Returns: the repeat, with every face once.
    """
    numbered = _NumberedVertices(Repeat(pitch, row, shift, (points,)))
    kinds = np.array(numbered.kinds) * (pitch, row)
    ends: dict[int, list[Corner]] = {}
    for kind, start in enumerate(kinds):
        found = []
        for other, place in enumerate(kinds):
            for j in STEPS:
                for i in STEPS:
                    way = place - start + np.array([(i + shift * j) * pitch, j * row])
                    if abs(np.hypot(*way) - side) < SAME_POINT:
                        found.append((math.atan2(way[1], way[0]), (other, i, j)))
        ends[kind] = [corner for _, corner in sorted(found)]
    return Repeat(pitch, row, shift, tuple(_traced(ends, kinds, pitch, row, shift)))


def _traced(ends: dict[int, list[Corner]], kinds: Floats, pitch: float, row: float, shift: float) -> list[Polygon]:
    """Every face of a periodic graph once; `ends` are the neighbours of each kind of vertex, counter-clockwise."""
    used: set[tuple[int, Corner]] = set()
    faces: list[Polygon] = []
    for first in ((kind, end) for kind in ends for end in ends[kind]):
        if first in used:
            continue
        (kind, end), at, face = first, (0, 0), []
        while (kind, end) not in used:
            used.add((kind, end))
            x, y = kinds[kind] + np.array([(at[0] + shift * at[1]) * pitch, at[1] * row])
            face.append((float(x), float(y)))
            other, i, j = end
            at = (at[0] + i, at[1] + j)
            around = ends[other]
            kind, end = other, around[around.index((kind, -i, -j)) - 1]
        faces.append(face)
    return faces
