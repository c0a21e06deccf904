"""Fill of every cell inside its last offset loop: ever smaller loops of fewer points, down to the medial segment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import CellProfile
from ringtex.solid.cells.offset_loops import OffsetLoops, convex_between
from ringtex.solid.cells.wall_splits import ring_spacing
from ringtex.solid.mesh.strip_triangulation import SideRows, StripMesh, spread, triangulate_strip

MAX_FAN = 18
"""Segments of a ring whose points may all be joined to the centre: 20 degrees each."""

ROUND_FAN = 0.7
"""Nearest over furthest side of a ring that may be joined to the centre: in longer cells angles would be sharp."""

WIDEST_ZIP = 3
"""Segments of one ring over those of the next further in: more would make the triangles between needle-like."""

ROW_HEIGHT = 0.87
"""Distance of rings over the length of their segments: sqrt(3) / 2 makes triangles of equal sides."""


def cell_fill(
    tiling: Tiling,
    loops: OffsetLoops,
    profile: CellProfile,
    rows: SideRows,
    ids: Ints,
    limit: Floats,
    placed: int,
    chord_mm: float,
    tip_mm: float,
) -> StripMesh:
    """The mesh of all cells inside their last inset ring; its faces number vertices from `placed`.

    rows and ids are that ring's points and their vertex numbers; limit (cells,) is the longest triangle side, mm;
    tip_mm rounds a peak's tip. Odd cells, in which rings of few points would cross, are filled again with every corner
    kept.
    """
    careful = np.zeros(tiling.cells, dtype=bool)
    ring = rows.places(tiling, loops.corner[:, -1])
    while True:
        made = CellFill(tiling, loops, profile, rows, ids, limit, careful).rings(placed, chord_mm, tip_mm)
        mesh = StripMesh(
            *(np.concatenate([getattr(part, name) for part in made]) for name in ("places", "faces", "cell"))
        )
        crossing = _crossing_cells(tiling, mesh, ids, ring, placed)
        if np.all(careful[crossing]):
            return mesh
        careful[crossing] = True


def _crossing_cells(tiling: Tiling, mesh: StripMesh, ids: Ints, ring: Floats, placed: int) -> Longs:
    """Cells with a triangle that has no area on the strip, or runs clockwise."""
    at = np.zeros((placed + len(mesh.places), 2))
    at[ids] = ring
    at[placed:] = mesh.places[:, :2]
    a, b, c = mesh.faces.T
    real = (a != b) & (b != c) & (a != c)
    first, second = at[b] - at[a], at[c] - at[a]
    turned = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0] <= 0.0
    return np.unique(mesh.cell[real & turned])


class CellFill:
    """Fills every cell from its last inset ring to its spine; see `cell_fill`."""

    def __init__(
        self,
        tiling: Tiling,
        loops: OffsetLoops,
        profile: CellProfile,
        rows: SideRows,
        ids: Ints,
        limit: Floats,
        careful: Bools,
    ) -> None:
        self.tiling, self.loops, self.profile, self.rows, self.ids = tiling, loops, profile, rows, ids
        self.limit, self.careful = limit, careful
        self.medial_segment = find_medial_segments(
            tiling, loops, np.where(loops.alive[:, -1], rows.count, 0), limit, careful
        )
        self.medial_steps = np.abs(self.medial_segment.vertex[tiling.next_corner] - self.medial_segment.vertex)
        self.corner = loops.corner[:, -1]
        first = tiling.cell_start[:-1]
        self.reach = np.maximum.reduceat(self.medial_segment.reach, first)
        self.nearest = np.minimum.reduceat(np.where(loops.alive[:, -1], self.medial_segment.reach, np.inf), first)

    def rings(self, placed: int, chord_mm: float, tip_mm: float) -> list[StripMesh]:
        """Every ring and the spines, outermost first; vertex numbers start at `placed`; tip_mm rounds a peak's tip."""
        self.tip = tip_mm / np.maximum(self.nearest, tip_mm + 1e-9)
        self._plan_levels(ring_spacing(self.tiling, self.loops, chord_mm))
        deepest = int(self.levels.max())
        made: list[StripMesh] = []
        lookup, rows = self.ids, self.rows
        for level in range(1, deepest):
            medial_segments = self._medial_segment_mesh(self.levels == level, rows, lookup, placed)
            placed += len(medial_segments.places)
            ring, rows = self._ring_mesh(level, rows, lookup, placed)
            made += [medial_segments, ring]
            lookup = placed + np.arange(len(ring.places), dtype=np.int32)
            placed += len(ring.places)
        made.append(self._medial_segment_mesh(self.levels == deepest, rows, lookup, placed))
        return made

    def _plan_levels(self, spacing: Floats) -> None:
        """How many rings each cell has, how far inside each is, and how long its segments should be.

        Segments grow from those of the last inset ring up to the limit, twice as long from ring to ring, and rings lie
        as far apart as their segments are long, so that no triangle is a needle.
        """
        first = self.tiling.cell_start[:-1]
        run = np.hypot(*(self.corner[self.tiling.next_corner] - self.corner).T) * self.loops.along
        living = np.where(self.loops.alive[:, -1], self.rows.count, 0)
        segment = np.add.reduceat(run, first) / np.maximum(np.add.reduceat(living, first), 1)
        longest = np.minimum(self.limit, spacing / ROW_HEIGHT)
        most = int(np.ceil(np.max(np.maximum(self.reach / (ROW_HEIGHT * longest), 0.0)))) + 12
        growth = 2.0 ** np.minimum(np.arange(most), 40)
        self.segment = np.minimum(np.multiply.outer(segment, growth), longest[:, None])
        depth = np.cumsum(ROW_HEIGHT * self.segment, axis=1)
        fan = (np.add.reduceat(living, first) <= MAX_FAN) & (self.reach <= longest)
        fan &= self.nearest >= ROUND_FAN * self.reach
        self.levels = 1 + np.where(fan, 0, np.sum(depth < self.reach[:, None] - 1e-12, axis=1))
        whole = np.take_along_axis(depth, self.levels[:, None] - 1, axis=1)
        self.way = depth / whole

    def _ring_mesh(self, level: int, outer: SideRows, lookup: Ints, placed: int) -> tuple[StripMesh, SideRows]:
        """The ring at a level, in the cells that have one, and the triangles out to the ring before."""
        tiling = self.tiling
        has = (self.levels > level)[tiling.corner_cell]
        way = np.minimum(self.way[:, level - 1], 1.0)
        count = np.where(has, self._counts(way, self.segment[:, level], outer.count), 0)
        rows = SideRows(tiling, count)
        faces, side = triangulate_strip(
            np.where(has, outer.count, 0), count, outer.start, len(lookup) + rows.start, tiling.next_corner
        )
        numbers = np.concatenate((lookup, np.arange(placed, placed + len(rows), dtype=np.int32)))
        shrunk = self.corner + way[tiling.corner_cell, None] * (self.medial_segment.target - self.corner)
        cell = tiling.corner_cell[rows.side]
        places = np.column_stack((rows.places(tiling, shrunk), self._height(cell, way[cell])))
        return StripMesh(places, numbers[faces], tiling.corner_cell[side]), rows

    def _counts(self, way: Floats, segment: Floats, outer: Longs) -> Longs:
        """Segments of each side in a ring: by its length, at least three in all, never far fewer than in the ring
        before."""
        tiling = self.tiling
        cell = tiling.corner_cell
        shrunk = self.corner + way[cell, None] * (self.medial_segment.target - self.corner)
        side_mm = np.hypot(*(shrunk[tiling.next_corner] - shrunk).T) * self.loops.along
        alive = self.loops.alive[:, -1]
        count = np.ceil(side_mm / segment[cell] - 0.2).astype(np.int64)
        count = np.maximum(count, self.medial_steps)
        count = np.where(alive, np.clip(count, -(-outer // WIDEST_ZIP), outer), 0)
        count = np.where(alive & self.careful[cell], np.maximum(count, np.minimum(outer, 1)), count)
        few = np.add.reduceat(count, tiling.cell_start[:-1]) < 3
        return np.where(few[cell] & alive, outer, count)

    def _height(self, cell: Ints, way: Floats) -> Floats:
        base: Floats = self.loops.height[cell, -1]
        if self.profile.rise_mm == 0.0:
            return base
        return base + self.loops.rise[cell] * self.profile.inner_height(way, self.tip[cell])

    def _medial_segment_mesh(self, which: Bools, rows: SideRows, lookup: Ints, placed: int) -> StripMesh:
        """The spines of some cells and the triangles from the ring round them."""
        tiling, medial_segment = self.tiling, self.medial_segment
        has = which[tiling.corner_cell]
        owner = np.repeat(np.arange(tiling.cells), np.diff(np.append(medial_segment.first, len(medial_segment.places))))
        chosen = which[owner]
        renumbered = placed + np.cumsum(chosen, dtype=np.int32) - 1
        count, inner_start, ids = medial_segment.row(rows.living, tiling.next_corner)
        faces, side = triangulate_strip(
            np.where(has, rows.count, 0),
            np.where(has, count, 0),
            rows.start,
            len(lookup) + inner_start,
            tiling.next_corner,
        )
        numbers = np.concatenate((lookup, renumbered[ids]))
        cell = owner[chosen].astype(np.int32)
        places = np.column_stack((medial_segment.places[chosen], self._height(cell, np.ones(len(cell)))))
        return StripMesh(places, numbers[faces].astype(np.int32), tiling.corner_cell[side])


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
