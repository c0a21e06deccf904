"""Where the rings of a cell shrink to: its centre, or in a long cell a short line along its middle, the spine."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.pattern.tiling import Tiling
from ringtex.solid.cells.loop_nesting import convex_between
from ringtex.solid.cells.offset_loops import OffsetLoops
from ringtex.solid.mesh.strip_triangulation import spread

ROOM_ALONG = 0.5
"""A spine runs on while its distance to the walls is at least this share of the centre's."""

ROUND_ENOUGH = 0.55
"""A spine is shortened at each end by this share of the centre's distance to the walls, so round cells have a point."""


@dataclass(frozen=True, eq=False)
class MedialSegment:
    """Spine vertices of all cells, and where every corner of the cells' last ring goes.

    places (n, 2): spine vertices, cell by cell. first (cells,): each cell's first. vertex (half walls,): the spine
    vertex that each corner of the last ring shrinks to. reach (half walls,): distance on the ring from each side of
    the last ring to the spine, mm.
    """

    places: Floats
    first: Longs
    vertex: Longs
    reach: Floats

    @property
    def target(self) -> Floats:
        """(half walls, 2) the place that each corner shrinks to."""
        return self.places[self.vertex]

    def row(self, living: Longs, following: Ints) -> tuple[Longs, Longs, Longs]:
        """The way round the spine as a row for `zip_sides`: per side its segments and start, and the vertices' numbers.

        living (half walls,): the side that begins where each does in the ring round the spine.
        """
        vertex = self.vertex[living]
        step = vertex[following] - vertex
        count = np.abs(step)
        # One entry more than segments, so that a side that stands still has a place to start from.
        side, number = spread(count + 1)
        ids = vertex[side] + np.sign(step)[side] * number
        return count, np.cumsum(count + 1) - (count + 1), ids


def find_medial_segments(
    tiling: Tiling, loops: OffsetLoops, outer: Longs, limit_mm: Floats, careful: Bools
) -> MedialSegment:
    """The spines of all cells.

    outer (half walls,): segments of each side of the last ring; limit_mm (cells,): the longest triangle side wanted;
    careful (cells,): cells that must have a point.
    """
    first = tiling.cell_start[:-1]
    corner = loops.corner[:, -1]
    axis = _long_axes(tiling, corner, loops.centre)
    half, nearest = _half_lengths(tiling, loops, axis)
    scale = np.add.reduceat(loops.along, first) / np.diff(tiling.cell_start)
    # An even number, so that symmetric cells stay symmetric.
    segments = 2 * np.rint(half * scale / np.minimum(limit_mm, 2.0 * nearest * scale)).astype(np.int64)
    segments[careful] = 0
    medial_segment = _placed(tiling, loops, axis, half, segments)
    # Where triangles between the last ring and the spine would fold, take fewer segments; a point folds nothing.
    for fewer in (2, 0):
        folding = _folding(tiling, loops, medial_segment, outer)
        if not np.any(folding):
            break
        segments = np.where(folding, np.minimum(segments, fewer), segments)
        medial_segment = _placed(tiling, loops, axis, half, segments)
    return medial_segment


def _folding(tiling: Tiling, loops: OffsetLoops, medial_segment: MedialSegment, outer: Longs) -> Bools:
    """(cells,) the spine has more segments than the ring beside it, or a piece between them is not convex."""
    steps = np.abs(medial_segment.vertex[tiling.next_corner] - medial_segment.vertex)
    straight = convex_between(tiling, loops.corner[:, -1], medial_segment.target)
    folding: Bools = np.logical_or.reduceat((steps > outer) | ~straight, tiling.cell_start[:-1])
    return folding


def _half_lengths(tiling: Tiling, loops: OffsetLoops, axis: Floats) -> tuple[Floats, Floats]:
    """Half the spine's length, and the centre's distance to the nearest side of the last ring, both on the strip."""
    first, cell = tiling.cell_start[:-1], tiling.corner_cell
    corner, alive = loops.corner[:, -1], loops.alive[:, -1]
    inward = _inward(tiling, corner)
    room = np.where(alive, np.einsum("hi,hi->h", inward, loops.centre[cell] - corner), np.inf)
    nearest = np.minimum.reduceat(room, first)
    closing = np.einsum("hi,hi->h", inward, axis[cell])
    spare = room - ROOM_ALONG * nearest[cell]

    def way(rate: Floats) -> Floats:
        free = np.where(alive & (rate > 1e-9), spare / np.maximum(rate, 1e-9), np.inf)
        return np.minimum.reduceat(free, first)

    return np.maximum(np.minimum(way(-closing), way(closing)) - ROUND_ENOUGH * nearest, 0.0), nearest


def _inward(tiling: Tiling, corner: Floats) -> Floats:
    run = corner[tiling.next_corner] - corner
    tangent = run / np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-300)[:, None]
    return np.stack((-tangent[:, 1], tangent[:, 0]), axis=1)


def _placed(tiling: Tiling, loops: OffsetLoops, axis: Floats, half: Floats, segments: Longs) -> MedialSegment:
    """The spine's vertices, and for every corner of the last ring the one nearest along the spine."""
    cell, corner = tiling.corner_cell, loops.corner[:, -1]
    start = np.cumsum(segments + 1) - (segments + 1)
    owner, number = spread(segments + 1)
    half = np.where(segments > 0, half, 0.0)
    position = half[owner] * (2.0 * number / np.maximum(segments[owner], 1) - 1.0)
    places = loops.centre[owner] + position[:, None] * axis[owner]
    along = np.einsum("hi,hi->h", corner - loops.centre[cell], axis[cell])
    part = np.clip(along / np.maximum(half, 1e-300)[cell], -1.0, 1.0)
    vertex = start[cell] + np.rint(0.5 * (part + 1.0) * segments[cell]).astype(np.int64)
    aim = 0.5 * (places[vertex] + places[vertex[tiling.next_corner]])
    middle = 0.5 * (corner + corner[tiling.next_corner])
    reach = np.einsum("hi,hi->h", _inward(tiling, corner), aim - middle) * loops.across
    return MedialSegment(places, start, vertex, np.where(loops.alive[:, -1], reach, 0.0))


def _long_axes(tiling: Tiling, corner: Floats, centre: Floats) -> Floats:
    """(cells, 2) unit vector along which each cell's last ring is longest, by the second moments of its area."""
    first, cell = tiling.cell_start[:-1], tiling.corner_cell
    a = corner - centre[cell]
    b = a[tiling.next_corner]
    weight = (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 12.0

    def moment(i: int, j: int) -> Floats:
        terms = 2.0 * a[:, i] * a[:, j] + 2.0 * b[:, i] * b[:, j] + a[:, i] * b[:, j] + b[:, i] * a[:, j]
        return np.add.reduceat(0.5 * weight * terms, first)

    angle = 0.5 * np.arctan2(2.0 * moment(0, 1), moment(0, 0) - moment(1, 1))
    return np.stack((np.cos(angle), np.sin(angle)), axis=1)
