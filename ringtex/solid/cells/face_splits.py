"""Flips and splits of edges of cells that leave the band's face by more than the tolerance.

Loops, segments and fills are planned for most cells by bounds of their curvature. Single edges in cells that are curved
more, or that cut through the roll of the band's own edge, are turned to the other diagonal of their triangles where
that is level and nearer to the face, or else split where they are furthest off.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs, dots, lengths, short_way, sorted_unique
from ringtex.basics.caches import cached
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.solid.mesh.chord_length import EDGE_ROLL_MM, CellForms
from ringtex.solid.mesh.edge_splits import EVEN_DIGITS, EdgesOff, flip_and_split
from ringtex.solid.mesh.strip_triangulation import StripMesh
from ringtex.strip.strip_map import StripMap

MAX_DEVIATION: Final = 0.7
"""Fraction of the tolerance that an edge may take: the middle of a triangle lies up to a third deeper."""

MIDDLE_SAMPLE: Final = np.array([0.5])
SAMPLES: Final = np.array([0.5, 0.25, 0.75])
EDGE_SAMPLES: Final = np.array([0.5, 0.0625, 0.125, 0.25, 0.75, 0.875, 0.9375])
"""Where along an edge the surface is looked at, and so near the band's edge, whose roll may be near one end. The
middle first: straight edges that give way to short ones are split there."""

DOUBTFUL: Final = 0.5
"""Fraction of the limit at the middle of an edge over which the quarters of the edge are looked at too: there a face
that is bent unevenly may be further off."""

ROLLS_AROUND: Final = 97
ROLLS_ACROSS: Final = np.array([0.02, 0.05, 0.1, 0.15, 0.2, 0.25])
"""Where the width of the roll is looked at, round and across as a share of the width."""


def split_edges_off_face(
    strip: StripMap, mesh: StripMesh, forms: CellForms, level_only: bool, chord_mm: float
) -> StripMesh:
    """The mesh with the edges split that leave the band's face; drafts stay as they are.

    Parameters:
        strip: the strip map.
        mesh: the relief's triangles.
        forms: how sharply the face is curved over each of their cells, but for the roll at the band's edge.
        level_only: only edges at height 0, where heights between the ends of others are not known.
        chord_mm: chord tolerance, mm.
    Returns: the mesh, with new vertices and triangles at the end.
    """
    if chord_mm >= DRAFT_CHORD_MM:
        return mesh
    at, faces, cell = mesh.positions, mesh.faces, mesh.cell
    vertices = _Vertices(strip)
    vertices.extend(at)
    asked = np.arange(len(faces))
    if level_only:
        # Of the others no edge is looked at.
        asked = np.flatnonzero(_with_an_edge(faces, at[:, 2] == 0.0))
    faces, cell = faces[asked], cell[asked]
    a, b, c = vertices.near_edge[faces.T]
    active = asked[a | b | c | _curved(strip, at, faces, cell, forms, chord_mm)]
    return flip_and_split(_Face(strip, forms, level_only, chord_mm, vertices), mesh, strip.length, active)


def _curved(strip: StripMap, at: Floats, faces: Ints, cell: Ints, forms: CellForms, chord_mm: float) -> Bools:
    """(m,) triangles with an edge that may be over the tolerance by the bounds of its cell."""
    limit = MAX_DEVIATION * chord_mm
    u, v, h = (np.ascontiguousarray(at[:, axis])[faces.T] for axis in range(3))
    u = u - strip.length * np.rint((u - u[0]) / strip.length)
    extent = np.column_stack([np.max(each, axis=0) - np.min(each, axis=0) for each in (u, v)])
    likely = np.flatnonzero(forms.sagitta(cell, extent, np.max(h, axis=0)) > limit)
    along_u, along_v = (np.roll(each[:, likely], -1, axis=0) - each[:, likely] for each in (u, v))
    ends = np.zeros(len(at), dtype=bool)
    higher = np.maximum(h[:, likely], np.roll(h[:, likely], -1, axis=0))
    for corner in range(3):
        step = np.column_stack((along_u[corner], along_v[corner]))
        over = likely[forms.sagitta(cell[likely], step, higher[corner]) > limit]
        ends[faces[over][:, [corner, (corner + 1) % 3]]] = True
    # Both triangles of an edge, also where the bounds of one alone are over.
    return _with_an_edge(faces, ends)


def _with_an_edge(faces: Ints, marked: Bools) -> Bools:
    """(m,) triangles of which an edge has both ends among marked vertices (n,)."""
    a, b, c = marked[faces.T]
    return np.asarray((a & b) | (b & c) | (c & a))


def _near_edge(strip: StripMap, at: Floats) -> Bools:
    """(n,) positions (n, 3) within the roll of an edge of the band."""
    u, v = at[:, 0], at[:, 1]
    near = np.zeros(len(at), dtype=bool)
    away = np.minimum(v, strip.width - v)
    likely = np.flatnonzero(away < min(0.25 * strip.width, _widest_roll(strip)))
    near[likely] = away[likely] * _edge_scale(strip, u[likely], v[likely]) < EDGE_ROLL_MM
    return near


def _edge_scale(strip: StripMap, u: Floats, v: Floats) -> Floats:
    """(n,) mm on the ring per mm across the strip, near an edge that a little inside: it grows there without end."""
    return np.asarray(np.sqrt(strip.metric(u, np.clip(v, 0.02 * strip.width, 0.98 * strip.width))[2]))


@cached(8)
def _widest_roll(strip: StripMap) -> float:
    """More than the roll of an edge is wide on the strip anywhere, mm."""
    u = np.linspace(0.0, strip.length, ROLLS_AROUND)
    v = strip.width * np.concatenate((ROLLS_ACROSS, 1.0 - ROLLS_ACROSS))[:, None]
    uu, vv = (grid.ravel() for grid in np.broadcast_arrays(u, v))
    return float(1.5 * EDGE_ROLL_MM / np.min(_edge_scale(strip, uu, vv)))


class _Vertices:
    """What is known of the vertices of a growing mesh, each asked once: whether it lies within the roll of an edge of
    the band, and where it is on the ring."""

    def __init__(self, strip: StripMap) -> None:
        self._strip = strip
        self.near_edge: Bools = np.zeros(0, dtype=bool)
        self.on_ring: Floats = np.zeros((0, 3))
        self._is_mapped: Bools = np.zeros(0, dtype=bool)

    def extend(self, at: Floats) -> None:
        """Take in the vertices at (n, 3) that came behind those known."""
        fresh = at[len(self.near_edge) :]
        if len(fresh):
            self.near_edge = np.concatenate((self.near_edge, _near_edge(self._strip, fresh)))
            self.on_ring = np.concatenate((self.on_ring, np.empty_like(fresh)))
            self._is_mapped = np.concatenate((self._is_mapped, np.zeros(len(fresh), dtype=bool)))

    def map(self, at: Floats, used: Ints) -> None:
        """Know where vertices (k,) of those at (n, 3) are on the ring."""
        self.extend(at)
        wanted = sorted_unique(used[~self._is_mapped[used]])
        if len(wanted):
            self.on_ring[wanted] = self._strip.shell_map(*at[wanted].T)
            self._is_mapped[wanted] = True


@dataclass(frozen=True)
class _Face:
    """The band's face at the height of the edges' ends, as `SurfaceUnderEdges`."""

    strip: StripMap
    forms: CellForms
    level_only: bool
    chord_mm: float
    vertices: _Vertices

    @property
    def limit_mm(self) -> float:
        """How far an edge may be off."""
        return MAX_DEVIATION * self.chord_mm

    def may_flip(self, mesh: StripMesh, edges: EdgesOff) -> Bools:
        """(k,) which edges lie between two triangles of one cell that are level at one height: others bend there."""
        f, g = edges.one // 3, edges.other // 3
        height = mesh.positions[:, 2]
        level = np.ptp(np.column_stack((height[mesh.faces[f]], height[mesh.faces[g]])), axis=1) == 0.0
        return np.asarray(level & (mesh.cell[f] == mesh.cell[g]))

    def deep(self, at: Floats, faces: Ints, cell: Ints, over_edges: Floats, known: Bools) -> Bools:
        """(k,) none: edges that keep their share of the tolerance keep all of it."""
        return np.zeros(len(faces), dtype=bool)

    def likely(self, at: Floats, start: Ints, end: Ints, cell: Ints) -> Bools:
        """(k,) which lines may be off by more, by the bounds of their cells or as the band's edge rolls over there."""
        self.vertices.extend(at)
        a, b = at[start], at[end]
        step, height = short_way(b[:, 0] - a[:, 0], self.strip.length), np.maximum(a[:, 2], b[:, 2])
        likely = self.forms.sagitta(cell, np.column_stack((step, b[:, 1] - a[:, 1])), height) > self.limit_mm
        likely |= self.vertices.near_edge[start] | self.vertices.near_edge[end]
        return np.asarray(likely & (a[:, 2] == 0.0) & (b[:, 2] == 0.0) if self.level_only else likely)

    def over(self, at: Floats, start: Ints, end: Ints, cell: Ints) -> tuple[Floats, Floats]:
        """(k, 3) where lines between vertices are furthest from the face, and (k,) how far, mm."""
        self.vertices.map(at, np.concatenate((start, end)))
        line = _Lines(self.strip, at[start], at[end], self.vertices.on_ring[start], self.vertices.on_ring[end])
        place, off = np.empty((len(start), 3)), np.empty(len(start))
        near = self.vertices.near_edge[start] | self.vertices.near_edge[end]
        rolled, rest = np.flatnonzero(near), np.flatnonzero(~near)
        place[rolled], off[rolled] = line.furthest(rolled, EDGE_SAMPLES)
        place[rest], off[rest] = line.furthest(rest, MIDDLE_SAMPLE)
        # Where the middle is clearly over the limit, or clearly under, the rest of the line changes nothing.
        doubtful = rest[(off[rest] > DOUBTFUL * self.limit_mm) & (off[rest] <= self.limit_mm)]
        place[doubtful], off[doubtful] = line.furthest(doubtful, SAMPLES)
        return place, off


class _Lines:
    """Lines between vertices, start and end on the strip (k, 3), first and last on the ring (k, 3)."""

    def __init__(self, strip: StripMap, start: Floats, end: Floats, first: Floats, last: Floats) -> None:
        # One row a coordinate.
        self._strip, self._start, self._first = strip, start.T, first.T
        self._step = (end - start).T
        self._step[0] = short_way(self._step[0], strip.length)
        self._along = (last - first).T
        self._along = self._along / np.maximum(lengths(self._along), 1e-12)

    def furthest(self, some: Longs, samples: Floats) -> tuple[Floats, Floats]:
        """(m, 3) which of the samples of some lines are furthest from the surface, and (m,) how far, mm."""
        places = self._start[:, some, None] + samples * self._step[:, some, None]
        surface = self._strip.shell_map(*places.reshape(3, -1)).T.reshape(places.shape)
        away, along = surface - self._first[:, some, None], self._along[:, some, None]
        away -= dots(away, along) * along
        off = lengths(away)
        # Rounded: of two places that differ by rounding alone the first, alike in every repeat of a pattern.
        row, worst = np.arange(len(some)), np.argmax(np.round(off, EVEN_DIGITS), axis=1)
        return places[:, row, worst].T, off[row, worst]
