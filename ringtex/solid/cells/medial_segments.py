"""Medial segments of cells: the short lines, or points, to which the loops of a cell's fill shrink."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.pattern.tiling import Tiling
from ringtex.solid.cells.offset_loops import OffsetLoops, convex_between
from ringtex.solid.mesh.strip_triangulation import segments_of_sides

LEVEL_SAGITTA = 0.75
"""Fraction of the tolerance that an edge on a level top may take: a triangle of equal sides on a sphere lies a third
deeper under its middle than its edges do."""

CURVED_SAGITTA = 0.35
"""The same on a curved top, whose own curvature takes most of the rest."""

END_CLEARANCE = 0.5
"""A medial segment runs on while its distance to the walls is at least this fraction of the centre's."""

END_SHORTENING = 0.55
"""A medial segment is shortened at each end by this fraction of the centre's clearance, so round cells have a
point."""


LEVEL_CLEARANCE = 0.3
"""The same as END_CLEARANCE on level tops, where the shape is not at stake."""

LONG_CLEARANCE = 0.15
"""The same on smooth tops of long cells, whose shape is given: a cell has as many loops as its furthest end asks, so
that ends far from the medial segment would fill it with loops (50 times the triangles in one of 22 x 0.9 mm)."""

FAR_END = 2.0
"""A cell is long where LONG_CLEARANCE makes its medial segment longer by more than so many of the centre's clearances,
at each end."""


@dataclass(frozen=True, eq=False)
class MedialSegment:
    """Vertices of the medial segments of all cells, and the one that every corner of the last loops shrinks to.

    positions  (n, 2) vertices, cell by cell.
    first      (cells,) each cell's first vertex.
    vertex     (half-edges,) the vertex that each corner of the last loop shrinks to.
    distance   (half-edges,) from each side of the last loop to the medial segment, mm on the ring.
    """

    positions: Floats
    first: Longs
    vertex: Longs
    distance: Floats

    @property
    def target(self) -> Floats:
        """(half-edges, 2) the position that each corner shrinks to."""
        return self.positions[self.vertex]

    def subdivided(self, pieces: Longs, segments: Longs) -> MedialSegment:
        """With each of a cell's segments (cells,) cut into pieces (cells,); corners shrink to where they did."""
        count = np.maximum(segments, 0) * pieces
        cell, number = segments_of_sides(count + 1)
        at = number / pieces[cell]
        low = np.minimum(at.astype(np.int64), np.maximum(segments[cell] - 1, 0))
        start = self.first[cell] + low
        end = np.minimum(start + 1, self.first[cell] + segments[cell])
        positions = self.positions[start] + (at - low)[:, None] * (self.positions[end] - self.positions[start])
        first = np.cumsum(count + 1) - (count + 1)
        owner = np.searchsorted(self.first, self.vertex, side="right") - 1
        vertex = first[owner] + (self.vertex - self.first[owner]) * pieces[owner]
        return MedialSegment(positions, first, vertex, self.distance)

    def row(self, living: Longs, following: Ints) -> tuple[Longs, Longs, Longs]:
        """Once round the medial segment as a row for `triangulate_strip`: segments and start of each side, vertex ids.

        living (half-edges,): the side that begins where each does in the loop round the medial segment.
        """
        vertex = self.vertex[living]
        step = vertex[following] - vertex
        count = np.abs(step)
        # One entry more than segments, so that a side that stands still has a place to start from.
        side, number = segments_of_sides(count + 1)
        ids = vertex[side] + np.sign(step)[side] * number
        return count, np.cumsum(count + 1) - (count + 1), ids


def level_top_segments(
    tiling: Tiling, loops: OffsetLoops, outer: Longs, chord_mm: float, all_corners: Bools
) -> MedialSegment:
    """The medial segments of level tops: where the surface is most curved, as many as it needs.

    Parameters:
        tiling, loops: the cells and their offset loops.
        outer: (half-edges,) segments of each side of the last loop.
        chord_mm: chord tolerance, mm.
        all_corners: (cells,) cells whose medial segment must be a point.
    Returns: their vertices, and where every corner of the last loops goes.
    """
    forms, limit_mm = loops.forms, LEVEL_SAGITTA * chord_mm
    seen = loops.corner[:, -1] - loops.centre[tiling.corner_cell]
    scale = np.sqrt(np.stack((forms.uu, forms.vv), axis=1))
    scale = np.maximum(scale, 0.02 * scale.max(axis=1, keepdims=True) + 1e-12)
    axis = _long_axes(tiling, seen, scale)
    half, _ = _half_lengths(tiling, loops, axis, LEVEL_CLEARANCE, 0.0)
    cells = np.arange(tiling.cells)
    edge = np.sqrt(forms.sagitta(cells, half[:, None] * axis, np.max(loops.height, axis=1)) / limit_mm)
    away = np.sqrt(forms.sagitta(tiling.corner_cell, seen) / limit_mm)
    needed = np.maximum.reduceat(np.where(loops.alive[:, -1], away, 0.0), tiling.cell_start[:-1]) > 1.0
    segments = np.where(needed & ~all_corners, 2 * np.ceil(edge).astype(np.int64), 0)
    return _placed_unfolded(tiling, loops, outer, axis, half, segments, (0,))[0]


def peak_segments(
    tiling: Tiling, loops: OffsetLoops, outer: Longs, chord_mm: float, all_corners: Bools
) -> MedialSegment:
    """The medial segments of peaks, whose shape depends on them: they follow the cell alone, whatever the tolerance,
    and are then cut as the surface needs.

    Parameters:
        tiling, loops: the cells and their offset loops.
        outer: (half-edges,) segments of each side of the last loop.
        chord_mm: chord tolerance, mm.
        all_corners: (cells,) cells whose medial segment must be a point.
    Returns: their vertices, and where every corner of the last loops goes.
    """
    axis, half, nearest = _along_cells(tiling, loops)
    segments = np.where(all_corners, 0, 2 * np.rint(half / (2.0 * nearest)).astype(np.int64))
    placed, segments = _placed_unfolded(tiling, loops, outer, axis, half, segments, (2, 0))
    length = np.where(segments > 0, 2.0 * half / np.maximum(segments, 1), 0.0)
    top_mm = np.maximum(loops.height[:, -1], loops.height[:, -1] + loops.rise)
    sagitta = loops.forms.sagitta(np.arange(tiling.cells), length[:, None] * axis, top_mm)
    pieces = np.ceil(np.sqrt(sagitta / (CURVED_SAGITTA * chord_mm)) - 1e-6)
    return placed.subdivided(np.maximum(pieces, 1.0).astype(np.int64), segments)


def smooth_top_segments(
    tiling: Tiling, loops: OffsetLoops, outer: Longs, limit_mm: Floats, all_corners: Bools
) -> MedialSegment:
    """The medial segments of smooth tops, no longer than the triangles round them.

    Parameters:
        tiling, loops: the cells and their offset loops.
        outer: (half-edges,) segments of each side of the last loop.
        limit_mm: (cells,) longest triangle edge, mm.
        all_corners: (cells,) cells whose medial segment must be a point.
    Returns: their vertices, and where every corner of the last loops goes.
    """
    axis, half, nearest = _along_cells(tiling, loops)
    longer = _half_lengths(tiling, loops, axis, LONG_CLEARANCE, END_SHORTENING)[0]
    far, bend = longer - half > FAR_END * nearest, None
    if np.any(far):
        bend = _bends(tiling, loops, axis, longer)
        placed = _place_segments(tiling, loops, axis, longer, np.full(tiling.cells, 2), bend)
        far &= ~_folding(tiling, loops, placed, outer)
        half, bend = np.where(far, longer, half), bend * far[:, None]
    scale = np.add.reduceat(loops.along, tiling.cell_start[:-1]) / np.diff(tiling.cell_start)
    # An even number, so that symmetric cells stay symmetric.
    segments = 2 * np.rint(half * scale / np.minimum(limit_mm, 2.0 * nearest * scale)).astype(np.int64)
    segments[all_corners] = 0
    placed, unfolded = _placed_unfolded(tiling, loops, outer, axis, half, segments, (2, 0), bend)
    # Two long segments alone would have needles round them.
    pieces = np.where(unfolded > 0, -(-segments // np.maximum(unfolded, 1)), 1)
    return placed if np.all(pieces == 1) else placed.subdivided(pieces, unfolded)


def _bends(tiling: Tiling, loops: OffsetLoops, axis: Floats, half: Floats) -> Floats:
    """(cells, 2) how far, to the left of its axis, the middle of the cell lies at each end of a medial segment: the end
    behind the centre and the one before it, mm on the strip."""
    cell, first = tiling.corner_cell, tiling.cell_start[:-1]
    corner, alive = loops.corner[:, -1], loops.alive[:, -1]
    inward = _inward(tiling, corner)
    left = np.stack((-axis[:, 1], axis[:, 0]), axis=1)
    rate = np.einsum("hi,hi->h", inward, left[cell])
    bends = []
    for side in (-1.0, 1.0):
        end = loops.centre + side * half[:, None] * axis
        clearance = np.einsum("hi,hi->h", inward, end[cell] - corner)
        reach = -clearance / np.where(np.abs(rate) > 1e-9, rate, 1.0)
        high = np.minimum.reduceat(np.where(alive & (rate < -1e-9), reach, np.inf), first)
        low = np.maximum.reduceat(np.where(alive & (rate > 1e-9), reach, -np.inf), first)
        bends.append(np.where(np.isfinite(high - low), 0.5 * (high + low), 0.0))
    return np.stack(bends, axis=1)


def _along_cells(tiling: Tiling, loops: OffsetLoops) -> tuple[Floats, Floats, Floats]:
    """(cells, 2) each cell's long axis, and as in `_half_lengths`."""
    seen = loops.corner[:, -1] - loops.centre[tiling.corner_cell]
    axis = _long_axes(tiling, seen, np.ones((tiling.cells, 2)))
    return axis, *_half_lengths(tiling, loops, axis, END_CLEARANCE, END_SHORTENING)


def _placed_unfolded(
    tiling: Tiling,
    loops: OffsetLoops,
    outer: Longs,
    axis: Floats,
    half: Floats,
    segments: Longs,
    less: tuple[int, ...],
    bend: Floats | None = None,
) -> tuple[MedialSegment, Longs]:
    """The medial segments, and how many each cell has: where triangles beside them would fold they are cut down to ever
    less; a point folds nothing. bend as from `_bends`."""
    placed = _place_segments(tiling, loops, axis, half, segments, bend)
    for fewer in less:
        folding = _folding(tiling, loops, placed, outer)
        if not np.any(folding):
            break
        segments = np.where(folding, np.minimum(segments, fewer), segments)
        placed = _place_segments(tiling, loops, axis, half, segments, bend)
    return placed, segments


def _folding(tiling: Tiling, loops: OffsetLoops, medial_segment: MedialSegment, outer: Longs) -> Bools:
    """(cells,) the medial segment has more segments than the ring beside it, or a piece between them is not convex."""
    steps = np.abs(medial_segment.vertex[tiling.next_corner] - medial_segment.vertex)
    straight = convex_between(tiling, loops.corner[:, -1], medial_segment.target)
    folding: Bools = np.logical_or.reduceat(((steps > 0) & (outer == 0)) | ~straight, tiling.cell_start[:-1])
    return folding


def _half_lengths(
    tiling: Tiling, loops: OffsetLoops, axis: Floats, end_clearance: float, shortening: float
) -> tuple[Floats, Floats]:
    """Half the medial segment's length, and the centre's distance to the nearest side of the last loop, both on the
    strip."""
    first, cell = tiling.cell_start[:-1], tiling.corner_cell
    corner, alive = loops.corner[:, -1], loops.alive[:, -1]
    inward = _inward(tiling, corner)
    clearance = np.where(alive, np.einsum("hi,hi->h", inward, loops.centre[cell] - corner), np.inf)
    nearest = np.minimum.reduceat(clearance, first)
    approach = np.einsum("hi,hi->h", inward, axis[cell])
    spare = clearance - end_clearance * nearest[cell]

    def free_length(rate: Floats) -> Floats:
        free = np.where(alive & (rate > 1e-9), spare / np.maximum(rate, 1e-9), np.inf)
        return np.minimum.reduceat(free, first)

    return np.maximum(np.minimum(free_length(-approach), free_length(approach)) - shortening * nearest, 0.0), nearest


def _inward(tiling: Tiling, corner: Floats) -> Floats:
    edge = corner[tiling.next_corner] - corner
    tangent = edge / np.maximum(np.hypot(edge[:, 0], edge[:, 1]), 1e-300)[:, None]
    return np.stack((-tangent[:, 1], tangent[:, 0]), axis=1)


def _place_segments(
    tiling: Tiling, loops: OffsetLoops, axis: Floats, half: Floats, segments: Longs, bend: Floats | None = None
) -> MedialSegment:
    """The medial segment's vertices, and for every corner of the last loop the one nearest along the medial segment.
    bend (cells, 2): how far each end lies to the left of the axis, mm."""
    cell, corner = tiling.corner_cell, loops.corner[:, -1]
    start = np.cumsum(segments + 1) - (segments + 1)
    owner, number = segments_of_sides(segments + 1)
    half = np.where(segments > 0, half, 0.0)
    position = half[owner] * (2.0 * number / np.maximum(segments[owner], 1) - 1.0)
    positions = loops.centre[owner] + position[:, None] * axis[owner]
    if bend is not None:
        fraction = position / np.maximum(half, 1e-300)[owner]
        aside = np.where(fraction < 0.0, -fraction * bend[owner, 0], fraction * bend[owner, 1])
        positions += aside[:, None] * np.stack((-axis[owner, 1], axis[owner, 0]), axis=1)
    along = np.einsum("hi,hi->h", corner - loops.centre[cell], axis[cell])
    part = np.clip(along / np.maximum(half, 1e-300)[cell], -1.0, 1.0)
    vertex = start[cell] + np.rint(0.5 * (part + 1.0) * segments[cell]).astype(np.int64)
    target_middle = 0.5 * (positions[vertex] + positions[vertex[tiling.next_corner]])
    middle = 0.5 * (corner + corner[tiling.next_corner])
    distance = np.einsum("hi,hi->h", _inward(tiling, corner), target_middle - middle) * loops.across
    return MedialSegment(positions, start, vertex, np.where(loops.alive[:, -1], distance, 0.0))


def _long_axes(tiling: Tiling, corner: Floats, scale: Floats) -> Floats:
    """(cells, 2) unit vector along which each cell's last loop is longest, by the second moments of its area.

    corner (half-edges, 2): the loop about the cell's centre. scale (cells, 2): what a length counts in u and in v.
    """
    first = tiling.cell_start[:-1]
    a = corner * scale[tiling.corner_cell]
    b = a[tiling.next_corner]
    weight = (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 12.0

    def moment(i: int, j: int) -> Floats:
        terms = 2.0 * a[:, i] * a[:, j] + 2.0 * b[:, i] * b[:, j] + a[:, i] * b[:, j] + b[:, i] * a[:, j]
        return np.add.reduceat(0.5 * weight * terms, first)

    angle = 0.5 * np.arctan2(2.0 * moment(0, 1), moment(0, 0) - moment(1, 1))
    axis = np.stack((np.cos(angle), np.sin(angle)), axis=1) / scale
    return np.asarray(axis / np.hypot(axis[:, 0], axis[:, 1])[:, None])
