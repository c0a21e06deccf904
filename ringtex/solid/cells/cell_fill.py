"""Fill of every cell inside its last offset loop: ever smaller loops of fewer points, down to the medial segment."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import CellProfile
from ringtex.relief.smooth_tops import SmoothTops
from ringtex.solid.cells.offset_loops import OffsetLoops, convex_between
from ringtex.solid.cells.wall_splits import loop_spacing
from ringtex.solid.mesh.delaunay_flips import flip_to_delaunay
from ringtex.solid.mesh.strip_triangulation import SideRows, StripMesh, segments_of_sides, triangulate_strip

MAX_FAN = 18
"""Segments of a loop whose points may all be joined to the centre: 20 degrees each."""

MIN_FAN_ROUNDNESS = 0.7
"""Nearest over furthest side of a loop that may be joined to the centre: in longer cells angles would be sharp."""

MAX_COUNT_RATIO = 3
"""Segments of one loop over those of the next further in: more would make the triangles between needle-like."""

THIN = 0.25
"""Height over longest side of a triangle that is thin on a curved top."""

ROW_HEIGHT = 0.87
"""Distance of loops over the length of their segments: sqrt(3) / 2 makes triangles of equal sides."""


def cell_fill(
    tiling: Tiling,
    loops: OffsetLoops,
    profile: CellProfile,
    rows: SideRows,
    ids: Ints,
    limit: Floats,
    first_id: int,
    chord_mm: float,
    tip_mm: float,
) -> StripMesh:
    """The mesh of all cells inside their last offset loop.

    Cells in which loops of few points would cross are filled again with every corner preserved.

    Parameters:
        tiling, loops, profile: the cells, their offset loops, and the profile that shapes the inner part.
        rows, ids: the points of the last loop and their vertex numbers.
        limit: (cells,) longest triangle edge, mm.
        first_id: number of the first new vertex.
        chord_mm: chord tolerance, mm.
        tip_mm: radius that rounds a peak's tip, mm.
    Returns: the new positions, the faces, and the cell of each face.
    """
    all_corners = np.zeros(tiling.cells, dtype=bool)
    last_loop = rows.positions(tiling, loops.corner[:, -1])
    tops = None
    if profile.is_smooth:
        tops = SmoothTops(tiling, loops.corner[:, -1], loops.alive[:, -1], loops.centre)
        # The fill ends in the summit, so that the depth asked for is met exactly.
        seen = convex_between(tiling, loops.corner[:, -1], tops.summit[tiling.corner_cell])
        sees_all = np.logical_and.reduceat(seen, tiling.cell_start[:-1])
        loops = replace(loops, centre=np.where(sees_all[:, None], tops.summit, loops.centre))
    while True:
        pieces = CellFill(tiling, loops, profile, rows, ids, limit, all_corners, tops).loops_inwards(
            first_id, chord_mm, tip_mm
        )
        mesh = StripMesh(
            *(np.concatenate([getattr(part, name) for part in pieces]) for name in ("positions", "faces", "cell"))
        )
        crossing = _crossing_cells(tiling, mesh, ids, last_loop, first_id)
        if np.all(all_corners[crossing]):
            return mesh if tops is None else _without_thin_triangles(tiling, mesh, ids, last_loop, first_id)
        all_corners[crossing] = True


def _without_thin_triangles(tiling: Tiling, mesh: StripMesh, ids: Ints, last_loop: Floats, first_id: int) -> StripMesh:
    """The mesh with Delaunay triangles in cells that have a thin one: on a curved top its normal is far off."""
    a, b, c = mesh.faces.T
    real = (a != b) & (b != c) & (a != c)
    faces, cell = mesh.faces[real], mesh.cell[real]
    at = np.concatenate((np.zeros((first_id, 2)), mesh.positions[:, :2]))
    at[ids] = last_loop
    u, v = at[:, 0][faces], at[:, 1][faces]
    u -= tiling.length * np.rint((u - u[:, :1]) / tiling.length)
    along_u, along_v = u[:, (1, 2, 0)] - u, v[:, (1, 2, 0)] - v
    longest = np.max(along_u * along_u + along_v * along_v, axis=1)
    thin = along_u[:, 0] * along_v[:, 1] - along_v[:, 0] * along_u[:, 1] < THIN * longest
    redone = np.flatnonzero(np.bincount(cell[thin], minlength=tiling.cells)[cell])
    faces[redone] = flip_to_delaunay(np.stack((u[redone], v[redone]), axis=2), faces[redone], cell[redone])
    return StripMesh(mesh.positions, faces, cell)


def _crossing_cells(tiling: Tiling, mesh: StripMesh, ids: Ints, last_loop: Floats, first_id: int) -> Longs:
    """Cells with a triangle that has no area on the strip, or runs clockwise."""
    at = np.zeros((first_id + len(mesh.positions), 2))
    at[ids] = last_loop
    at[first_id:] = mesh.positions[:, :2]
    a, b, c = mesh.faces.T
    real = (a != b) & (b != c) & (a != c)
    first, second = at[b] - at[a], at[c] - at[a]
    turned = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0] <= 0.0
    return np.unique(mesh.cell[real & turned])


class CellFill:
    """Fills every cell from its last offset loop to its medial segment; see `cell_fill`."""

    def __init__(
        self,
        tiling: Tiling,
        loops: OffsetLoops,
        profile: CellProfile,
        rows: SideRows,
        ids: Ints,
        limit: Floats,
        all_corners: Bools,
        tops: SmoothTops | None,
    ) -> None:
        self.tiling, self.loops, self.profile, self.rows, self.ids = tiling, loops, profile, rows, ids
        self.limit, self.all_corners, self.tops = limit, all_corners, tops
        self.medial_segment = find_medial_segments(
            tiling, loops, np.where(loops.alive[:, -1], rows.count, 0), limit, all_corners
        )
        self.medial_steps = np.abs(self.medial_segment.vertex[tiling.next_corner] - self.medial_segment.vertex)
        self.corner = loops.corner[:, -1]
        first = tiling.cell_start[:-1]
        self.distance = np.maximum.reduceat(self.medial_segment.distance, first)
        self.nearest = np.minimum.reduceat(np.where(loops.alive[:, -1], self.medial_segment.distance, np.inf), first)

    def loops_inwards(self, first_id: int, chord_mm: float, tip_mm: float) -> list[StripMesh]:
        """Every loop and the medial segments, outermost first.

        Parameters:
            first_id: number of the first new vertex.
            chord_mm: chord tolerance, mm.
            tip_mm: radius that rounds a peak's tip, mm.
        Returns: one piece of the mesh for each level.
        """
        self.tip = tip_mm / np.maximum(self.nearest, tip_mm + 1e-9)
        self._plan_levels(loop_spacing(self.tiling, self.loops, chord_mm))
        deepest = int(self.levels.max())
        pieces: list[StripMesh] = []
        lookup, rows = self.ids, self.rows
        for level in range(1, deepest):
            medial_segments = self._medial_segment_mesh(self.levels == level, rows, lookup, first_id)
            first_id += len(medial_segments.positions)
            last_loop, rows = self._loop_mesh(level, rows, lookup, first_id)
            pieces += [medial_segments, last_loop]
            lookup = first_id + np.arange(len(last_loop.positions), dtype=np.int32)
            first_id += len(last_loop.positions)
        pieces.append(self._medial_segment_mesh(self.levels == deepest, rows, lookup, first_id))
        return pieces

    def _plan_levels(self, spacing: Floats) -> None:
        """How many loops each cell has, how far inside each is, and how long its segments should be.

        Segments grow from those of the last offset loop up to the limit, twice as long from loop to loop, and loops lie
        as far apart as their segments are long, so that no triangle is a needle.
        """
        first = self.tiling.cell_start[:-1]
        edge = np.hypot(*(self.corner[self.tiling.next_corner] - self.corner).T) * self.loops.along
        living = np.where(self.loops.alive[:, -1], self.rows.count, 0)
        segment = np.add.reduceat(edge, first) / np.maximum(np.add.reduceat(living, first), 1)
        longest = np.minimum(self.limit, spacing / ROW_HEIGHT)
        max_levels = int(np.ceil(np.max(np.maximum(self.distance / (ROW_HEIGHT * longest), 0.0)))) + 12
        growth = 2.0 ** np.minimum(np.arange(max_levels), 40)
        self.segment = np.minimum(np.multiply.outer(segment, growth), longest[:, None])
        depth = np.cumsum(ROW_HEIGHT * self.segment, axis=1)
        fan = (np.add.reduceat(living, first) <= MAX_FAN) & (self.distance <= longest)
        fan &= self.nearest >= MIN_FAN_ROUNDNESS * self.distance
        self.levels = 1 + np.where(fan, 0, np.sum(depth < self.distance[:, None] - 1e-12, axis=1))
        total_depth = np.take_along_axis(depth, self.levels[:, None] - 1, axis=1)
        self.fraction = depth / total_depth

    def _loop_mesh(self, level: int, outer: SideRows, lookup: Ints, first_id: int) -> tuple[StripMesh, SideRows]:
        """The loop at a level, in the cells that have one, and the triangles out to the loop before."""
        tiling = self.tiling
        included = (self.levels > level)[tiling.corner_cell]
        fraction = np.minimum(self.fraction[:, level - 1], 1.0)
        count = np.where(included, self._counts(fraction, self.segment[:, level], outer.count), 0)
        rows = SideRows(tiling, count)
        faces, side = triangulate_strip(
            np.where(included, outer.count, 0), count, outer.start, len(lookup) + rows.start, tiling.next_corner
        )
        numbers = np.concatenate((lookup, np.arange(first_id, first_id + len(rows), dtype=np.int32)))
        shrunk = self.corner + fraction[tiling.corner_cell, None] * (self.medial_segment.target - self.corner)
        cell = tiling.corner_cell[rows.side]
        flat = rows.positions(tiling, shrunk)
        positions = np.column_stack((flat, self._height(flat, cell, fraction[cell])))
        return StripMesh(positions, numbers[faces], tiling.corner_cell[side]), rows

    def _counts(self, fraction: Floats, segment: Floats, outer: Longs) -> Longs:
        """Segments of each side of a loop: by its length, at least three in all, never far fewer than in the loop
        before."""
        tiling = self.tiling
        cell = tiling.corner_cell
        shrunk = self.corner + fraction[cell, None] * (self.medial_segment.target - self.corner)
        side_mm = np.hypot(*(shrunk[tiling.next_corner] - shrunk).T) * self.loops.along
        alive = self.loops.alive[:, -1]
        count = np.ceil(side_mm / segment[cell] - 0.2).astype(np.int64)
        count = np.maximum(count, self.medial_steps)
        count = np.where(alive, np.clip(count, -(-outer // MAX_COUNT_RATIO), outer), 0)
        count = np.where(alive & self.all_corners[cell], np.maximum(count, np.minimum(outer, 1)), count)
        few = np.add.reduceat(count, tiling.cell_start[:-1]) < 3
        return np.where(few[cell] & alive, outer, count)

    def _height(self, positions: Floats, cell: Ints, fraction: Floats) -> Floats:
        base: Floats = self.loops.height[cell, -1]
        if self.profile.rise_mm == 0.0:
            return base
        if self.tops is not None:
            return base + self.loops.rise[cell] * self.tops.height(positions, cell)
        return base + self.loops.rise[cell] * self.profile.inner_height(fraction, self.tip[cell])

    def _medial_segment_mesh(self, which: Bools, rows: SideRows, lookup: Ints, first_id: int) -> StripMesh:
        """The medial segments of some cells and the triangles from the loop round them."""
        tiling, medial_segment = self.tiling, self.medial_segment
        included = which[tiling.corner_cell]
        owner = np.repeat(
            np.arange(tiling.cells), np.diff(np.append(medial_segment.first, len(medial_segment.positions)))
        )
        chosen = which[owner]
        renumbered = first_id + np.cumsum(chosen, dtype=np.int32) - 1
        count, inner_start, ids = medial_segment.row(rows.living, tiling.next_corner)
        faces, side = triangulate_strip(
            np.where(included, rows.count, 0),
            np.where(included, count, 0),
            rows.start,
            len(lookup) + inner_start,
            tiling.next_corner,
        )
        numbers = np.concatenate((lookup, renumbered[ids]))
        cell = owner[chosen].astype(np.int32)
        flat = medial_segment.positions[chosen]
        positions = np.column_stack((flat, self._height(flat, cell, np.ones(len(cell)))))
        return StripMesh(positions, numbers[faces].astype(np.int32), tiling.corner_cell[side])


END_CLEARANCE = 0.5
"""A medial segment runs on while its distance to the walls is at least this fraction of the centre's."""

END_SHORTENING = 0.55
"""A medial segment is shortened at each end by this fraction of the centre's clearance, so round cells have a
point."""


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


def find_medial_segments(
    tiling: Tiling, loops: OffsetLoops, outer: Longs, limit_mm: Floats, all_corners: Bools
) -> MedialSegment:
    """The medial segments of all cells.

    Parameters:
        tiling, loops: the cells and their offset loops.
        outer: (half-edges,) segments of each side of the last loop.
        limit_mm: (cells,) longest triangle edge, mm.
        all_corners: (cells,) cells whose medial segment must be a point.
    Returns: their vertices, and where every corner of the last loops goes.
    """
    first = tiling.cell_start[:-1]
    corner = loops.corner[:, -1]
    axis = _long_axes(tiling, corner, loops.centre)
    half, nearest = _half_lengths(tiling, loops, axis)
    scale = np.add.reduceat(loops.along, first) / np.diff(tiling.cell_start)
    # An even number, so that symmetric cells stay symmetric.
    segments = 2 * np.rint(half * scale / np.minimum(limit_mm, 2.0 * nearest * scale)).astype(np.int64)
    segments[all_corners] = 0
    medial_segment = _place_segments(tiling, loops, axis, half, segments)
    # Where triangles beside the medial segment would fold, take fewer segments; a point folds nothing.
    for fewer in (2, 0):
        folding = _folding(tiling, loops, medial_segment, outer)
        if not np.any(folding):
            break
        segments = np.where(folding, np.minimum(segments, fewer), segments)
        medial_segment = _place_segments(tiling, loops, axis, half, segments)
    return medial_segment


def _folding(tiling: Tiling, loops: OffsetLoops, medial_segment: MedialSegment, outer: Longs) -> Bools:
    """(cells,) the medial segment has more segments than the ring beside it, or a piece between them is not convex."""
    steps = np.abs(medial_segment.vertex[tiling.next_corner] - medial_segment.vertex)
    straight = convex_between(tiling, loops.corner[:, -1], medial_segment.target)
    folding: Bools = np.logical_or.reduceat((steps > outer) | ~straight, tiling.cell_start[:-1])
    return folding


def _half_lengths(tiling: Tiling, loops: OffsetLoops, axis: Floats) -> tuple[Floats, Floats]:
    """Half the medial segment's length, and the centre's distance to the nearest side of the last loop, both on the
    strip."""
    first, cell = tiling.cell_start[:-1], tiling.corner_cell
    corner, alive = loops.corner[:, -1], loops.alive[:, -1]
    inward = _inward(tiling, corner)
    clearance = np.where(alive, np.einsum("hi,hi->h", inward, loops.centre[cell] - corner), np.inf)
    nearest = np.minimum.reduceat(clearance, first)
    approach = np.einsum("hi,hi->h", inward, axis[cell])
    spare = clearance - END_CLEARANCE * nearest[cell]

    def free_length(rate: Floats) -> Floats:
        free = np.where(alive & (rate > 1e-9), spare / np.maximum(rate, 1e-9), np.inf)
        return np.minimum.reduceat(free, first)

    return np.maximum(
        np.minimum(free_length(-approach), free_length(approach)) - END_SHORTENING * nearest, 0.0
    ), nearest


def _inward(tiling: Tiling, corner: Floats) -> Floats:
    edge = corner[tiling.next_corner] - corner
    tangent = edge / np.maximum(np.hypot(edge[:, 0], edge[:, 1]), 1e-300)[:, None]
    return np.stack((-tangent[:, 1], tangent[:, 0]), axis=1)


def _place_segments(tiling: Tiling, loops: OffsetLoops, axis: Floats, half: Floats, segments: Longs) -> MedialSegment:
    """The medial segment's vertices, and for every corner of the last loop the one nearest along the medial segment."""
    cell, corner = tiling.corner_cell, loops.corner[:, -1]
    start = np.cumsum(segments + 1) - (segments + 1)
    owner, number = segments_of_sides(segments + 1)
    half = np.where(segments > 0, half, 0.0)
    position = half[owner] * (2.0 * number / np.maximum(segments[owner], 1) - 1.0)
    positions = loops.centre[owner] + position[:, None] * axis[owner]
    along = np.einsum("hi,hi->h", corner - loops.centre[cell], axis[cell])
    part = np.clip(along / np.maximum(half, 1e-300)[cell], -1.0, 1.0)
    vertex = start[cell] + np.rint(0.5 * (part + 1.0) * segments[cell]).astype(np.int64)
    target_middle = 0.5 * (positions[vertex] + positions[vertex[tiling.next_corner]])
    middle = 0.5 * (corner + corner[tiling.next_corner])
    distance = np.einsum("hi,hi->h", _inward(tiling, corner), target_middle - middle) * loops.across
    return MedialSegment(positions, start, vertex, np.where(loops.alive[:, -1], distance, 0.0))


def _long_axes(tiling: Tiling, corner: Floats, centre: Floats) -> Floats:
    """(cells, 2) unit vector along which each cell's last loop is longest, by the second moments of its area."""
    first, cell = tiling.cell_start[:-1], tiling.corner_cell
    a = corner - centre[cell]
    b = a[tiling.next_corner]
    weight = (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 12.0

    def moment(i: int, j: int) -> Floats:
        terms = 2.0 * a[:, i] * a[:, j] + 2.0 * b[:, i] * b[:, j] + a[:, i] * b[:, j] + b[:, i] * a[:, j]
        return np.add.reduceat(0.5 * weight * terms, first)

    angle = 0.5 * np.arctan2(2.0 * moment(0, 1), moment(0, 0) - moment(1, 1))
    return np.stack((np.cos(angle), np.sin(angle)), axis=1)
