"""The plain borders between the pattern and the band's edges, meeting the cells point for point."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.basics.tolerances import LONGEST_TO_SHORTEST
from ringtex.pattern.tiling import Tiling
from ringtex.solid.mesh.chord_length import chord_length
from ringtex.solid.mesh.strip_triangulation import spread, triangulate_strip
from ringtex.strip.strip_map import StripMap

WIDEST_STEP = 3
"""Segments of one row over those of its neighbour, at most."""

SAMPLES_ALONG, SAMPLES_ACROSS = 64, 48
"""Where the surface is looked at to place the rows of a rail."""


@dataclass(frozen=True, eq=False)
class Rail:
    """One rail: new places (n, 3), faces (m, 3), and the edge's vertices in the order of u, with their u (k,)."""

    places: Floats
    faces: Ints
    edge_ids: Ints
    edge_u: Floats


@dataclass(frozen=True, eq=False)
class _Row:
    """A closed row: per border wall its start u and width in u and its number of segments; ids of all points in
    order."""

    u: Floats
    width: Floats
    count: Longs
    ids: Ints

    @property
    def start(self) -> Longs:
        return np.cumsum(self.count) - self.count

    def point_u(self, count: Longs) -> Floats:
        wall, number = spread(count)
        return self.u[wall] + self.width[wall] * (number / count[wall])


def border_row(tiling: Tiling, wall_ids: Ints, count: Longs, upper: bool) -> _Row:
    """The pattern's border on one side, walls in the order of u."""
    border = np.flatnonzero(tiling.twin < 0)
    level = tiling.upper if upper else tiling.lower
    border = border[tiling.corners[border, 1] == level]
    # Border walls of upper cells run backwards, so they begin at their end.
    first = tiling.next_corner[border] if upper else border
    vertex = tiling.corner_vertex[first]
    order = np.argsort(tiling.vertices[vertex, 0], kind="stable")
    border, vertex = border[order], vertex[order]
    width = np.abs(tiling.corners[tiling.next_corner[border], 0] - tiling.corners[border, 0])
    counts = count[border]
    wall, number = spread(counts)
    point_start = np.cumsum(count) - count
    along = counts[wall] - number if upper else number
    inside = point_start[border[wall]] + np.minimum(along, counts[wall] - 1)
    ids = np.where(number == 0, vertex[wall], wall_ids[inside]).astype(np.int32)
    return _Row(tiling.vertices[vertex, 0], width, counts, ids)


def make_rail(strip: StripMap, row: _Row, level: float, edge: float, chord_mm: float, placed: int) -> Rail:
    """The rail from the pattern's border at v = level to the band's edge at v = edge (0 or the strip's width).

    New vertices are numbered from `placed`. Rows lie closer where the surface bends more, and each border wall is split
    anew in every row, so that triangles stay well shaped.
    """
    if level == edge:
        return Rail(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32), row.ids, row.point_u(row.count))
    rows_v = _row_places(strip, level, edge, chord_mm)
    steps = np.abs(np.diff(np.concatenate(([level], rows_v))))
    places, faces = [], []
    following = np.roll(np.arange(len(row.count)), -1)
    upper = edge > level
    for number, v in enumerate(rows_v):
        thinnest = min(steps[number], steps[min(number + 1, len(steps) - 1)])
        count = _row_counts(strip, row, float(v), float(thinnest), chord_mm)
        u = row.point_u(count)
        ids = placed + np.arange(len(u), dtype=np.int32)
        placed += len(u)
        new = _Row(row.u, row.width, count, ids)
        below, above = (row, new) if upper else (new, row)
        zipped, _ = triangulate_strip(below.count, above.count, below.start, len(below.ids) + above.start, following)
        faces.append(np.concatenate((below.ids, above.ids))[zipped])
        places.append(np.column_stack((u, np.full(len(u), v), np.zeros(len(u)))))
        row = new
    return Rail(np.concatenate(places), np.concatenate(faces), row.ids, row.point_u(row.count))


def _row_places(strip: StripMap, level: float, edge: float, chord_mm: float) -> Floats:
    """The v of each row after the border, so that the surface is followed everywhere round the ring."""
    u = np.linspace(0.0, strip.length, SAMPLES_ALONG, endpoint=False)
    # Closer towards the edge, where sections turn over.
    part = np.sin(np.linspace(0.0, 0.5 * np.pi, SAMPLES_ACROSS))
    v = level + (edge - level) * part
    uu, vv = (grid.ravel() for grid in np.meshgrid(u, v, indexing="ij"))
    rate = np.sqrt(strip.metric(uu, vv)[2]) / chord_length(strip, uu, vv, chord_mm)
    densest = rate.reshape(len(u), len(v)).max(axis=0)
    total = np.concatenate(([0.0], np.cumsum(0.5 * (densest[1:] + densest[:-1]) * np.abs(np.diff(v)))))
    count = max(1, int(np.ceil(total[-1])))
    places = np.interp(np.linspace(0.0, total[-1], count + 1)[1:], total, v)
    places[-1] = edge
    return places


def _row_counts(strip: StripMap, row: _Row, v: float, step: float, chord_mm: float) -> Longs:
    middle = row.u + 0.5 * row.width
    at = np.full(len(middle), v)
    e, _, g = strip.metric(middle, at)
    longest = np.minimum(chord_length(strip, middle, at, chord_mm), LONGEST_TO_SHORTEST * step * np.sqrt(g))
    count = np.ceil(np.maximum(row.width * np.sqrt(e) / longest - 1e-9, 1.0)).astype(np.int64)
    return np.clip(count, -(-row.count // WIDEST_STEP), row.count * WIDEST_STEP)
