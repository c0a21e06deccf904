"""The plain faces of the ring: rails, sides and bore; and the outer face of the band without relief."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.basics.caches import cached
from ringtex.basics.tolerances import DRAFT_CHORD_MM, FINAL_CHORD_MM
from ringtex.pattern.tiling import Tiling
from ringtex.solid.mesh.chord_length import second_form
from ringtex.solid.mesh.ring_mesh import RingMesh
from ringtex.solid.mesh.strip_triangulation import segments_of_sides, triangulate_annulus, triangulate_strip
from ringtex.strip.strip_map import StripMap

RAIL_SAGITTA, VARIED_SAGITTA = 0.5, 0.4
"""Fraction of the chord tolerance that the rows of a rail may take, and as much along each row, less on a band that
varies: its two edges have different columns, and the bore between them takes up to twice as much."""

BORE_FRACTION = 0.25
"""Fraction of the chord tolerance that the edges of the bore may take, in drafts of the final mesh's: the finger's
size is measured there."""

SAMPLES_ROUND_BORE = 720
"""Angles at which the edge of the bore is looked at."""

DRAFT_ROWS = 0.2
"""Tolerance of a draft's rows across over its chord tolerance: about that of the final mesh, for few triangles."""

WALL_SAMPLES = 5
"""Places along each border wall where its bend is looked at."""

SAMPLES_AROUND, SAMPLES_ACROSS = 64, 48
"""Where the surface is looked at to place the rows of a rail."""


REGIONS = ("cells", "rails", "sides", "bore")
"""What a ring's faces belong to, in their order."""


@dataclass(frozen=True, eq=False)
class Rail:
    """One rail: new positions (n, 3), faces (m, 3), and the edge's vertices in the order of u, with their u (k,)."""

    positions: Floats
    faces: Ints
    edge_ids: Ints
    edge_u: Floats


@dataclass(frozen=True, eq=False)
class ClosedRing:
    """The whole ring: its mesh, with strip_positions and face_ranges as in `RingSolid`."""

    mesh: RingMesh
    strip_positions: Floats
    face_ranges: dict[str, slice]


@dataclass(frozen=True, eq=False)
class _Row:
    """A closed row at one v: per border wall its start u and width in u and its number of segments; ids of all points
    in order."""

    v: float
    u: Floats
    width: Floats
    count: Longs
    ids: Ints

    @property
    def start(self) -> Longs:
        return np.cumsum(self.count) - self.count

    def point_u(self, count: Longs) -> Floats:
        wall, number = segments_of_sides(count)
        return self.u[wall] + self.width[wall] * (number / count[wall])


def border_rows(tiling: Tiling, wall_ids: Ints, count: Longs) -> list[_Row]:
    """The pattern's borders as rows of points, walls in the order of u: the lower one, both of every gap, the upper.

    Parameters:
        tiling: the cells.
        wall_ids, count: vertex ids from `wall_points`, and segments of each half-edge.
    Returns: the rows from the lowest up, which the rails' first rows meet point for point.
    """
    border = np.flatnonzero(tiling.twin < 0)
    v = tiling.corners[border, 1]
    found = []
    for low, high in tiling.zone_borders:
        found.append(_border_row(tiling, wall_ids, count, border[v == low], False))
        found.append(_border_row(tiling, wall_ids, count, border[v == high], True))
    return found


def _border_row(tiling: Tiling, wall_ids: Ints, count: Longs, border: Longs, upper: bool) -> _Row:
    # Border walls of upper cells run backwards, so they begin at their end.
    first = tiling.next_corner[border] if upper else border
    vertex = tiling.corner_vertex[first]
    order = np.argsort(tiling.vertices[vertex, 0], kind="stable")
    border, vertex = border[order], vertex[order]
    width = np.abs(tiling.corners[tiling.next_corner[border], 0] - tiling.corners[border, 0])
    counts = count[border]
    wall, number = segments_of_sides(counts)
    point_start = np.cumsum(count) - count
    along = counts[wall] - number if upper else number
    inside = point_start[border[wall]] + np.minimum(along, counts[wall] - 1)
    ids = np.where(number == 0, vertex[wall], wall_ids[inside]).astype(np.int32)
    return _Row(float(tiling.corners[border[0], 1]), tiling.vertices[vertex, 0], width, counts, ids)


def point_row(v: float, u: Floats, ids: Ints, length: float) -> _Row:
    """A border that is given point by point, as a row for `make_rail`.

    Parameters:
        v: of the border, mm.
        u: (k,) positions in ascending order, from 0 to less than a turn, mm.
        ids: (k,) their vertices.
        length: of one turn, mm.
    Returns: the row.
    """
    width = np.diff(np.append(u, u[0] + length))
    return _Row(v, u, width, np.ones(len(u), dtype=np.int64), ids)


def close_ring(strip: StripMap, relief: tuple[Floats, Ints], rows: Sequence[_Row], chord_mm: float) -> ClosedRing:
    """Rails, sides and bore round a relief.

    Parameters:
        strip: the strip map.
        relief: positions (n, 3) and faces (m, 3) between the rails.
        rows: its borders from the lowest up: the lower one, both of every gap, the upper one.
        chord_mm: chord tolerance, mm.
    Returns: the closed ring, whose first vertices and faces are the relief's.
    """
    positions, faces = relief
    lower = make_rail(strip, rows[0], 0.0, chord_mm, len(positions))
    rails = [lower]
    for below, above in zip(rows[1:-1:2], rows[2:-1:2], strict=True):
        rails.append(_rail_between(strip, below, above, chord_mm, _next_id(positions, rails)))
    upper = make_rail(strip, rows[-1], strip.width, chord_mm, _next_id(positions, rails))
    rails.append(upper)
    positions = np.concatenate((positions, *(rail.positions for rail in rails)))
    closing = sides_and_bore(strip, lower, upper, chord_mm, len(positions))
    vertices = np.concatenate((strip.shell_map(positions[:, 0], positions[:, 1], positions[:, 2]), closing.vertices))
    groups = [faces, np.concatenate([rail.faces for rail in rails]), closing.side_faces, closing.bore_faces]
    ends = np.cumsum([len(group) for group in groups]).tolist()
    ranges = {name: slice(*ends_) for name, ends_ in zip(REGIONS, zip([0, *ends[:-1]], ends, strict=True), strict=True)}
    return ClosedRing(RingMesh(vertices, np.concatenate(groups)), positions, ranges)


def _next_id(positions: Floats, rails: Sequence[Rail]) -> int:
    return len(positions) + sum(len(rail.positions) for rail in rails)


def make_rail(strip: StripMap, row: _Row, edge: float, chord_mm: float, first_id: int) -> Rail:
    """The rail from the pattern's border to the band's edge; empty where the two coincide.

    Rows lie closer where the surface is more curved, and each border wall is split anew in every row.

    Parameters:
        strip: the strip map.
        row: the border, from `border_rows`.
        edge: v of the band's edge (0 or the strip's width).
        chord_mm: chord tolerance, mm.
        first_id: number of the first new vertex.
    Returns: the rail.
    """
    if row.v == edge:
        return Rail(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32), row.ids, row.point_u(row.count))
    return _rows_to(strip, row, _row_positions(strip, row.v, edge, chord_mm), edge > row.v, (chord_mm, first_id))[0]


def _rows_to(strip: StripMap, row: _Row, rows_v: Floats, upper: bool, how: tuple[float, int]) -> tuple[Rail, _Row]:
    """Rows after a border, each joined to the one before.

    Parameters:
        strip: the strip map.
        row: the border.
        rows_v: v of the rows, away from it.
        upper: whether they lie above it.
        how: chord tolerance, mm, and number of the first new vertex.
    Returns: the rail so far, and its last row.
    """
    chord_mm, first_id = how
    positions, faces = [np.zeros((0, 3))], [np.zeros((0, 3), dtype=np.int32)]
    following = np.roll(np.arange(len(row.count)), -1)
    for v, count in zip(rows_v, _row_counts(strip, row, rows_v, chord_mm), strict=True):
        u = row.point_u(count)
        ids = first_id + np.arange(len(u), dtype=np.int32)
        first_id += len(u)
        new = _Row(float(v), row.u, row.width, count, ids)
        below, above = (row, new) if upper else (new, row)
        zipped, _ = triangulate_strip(below.count, above.count, below.start, len(below.ids) + above.start, following)
        faces.append(np.concatenate((below.ids, above.ids))[zipped])
        positions.append(np.column_stack((u, np.full(len(u), v), np.zeros(len(u)))))
        row = new
    return Rail(np.concatenate(positions), np.concatenate(faces), row.ids, row.point_u(row.count)), row


def _rail_between(strip: StripMap, below: _Row, above: _Row, chord_mm: float, first_id: int) -> Rail:
    """The rail between two zones: rows from the lower one up, the last of which meets the points of the upper one."""
    rows_v = _row_positions(strip, below.v, above.v, chord_mm)[:-1]
    rail, last = _rows_to(strip, below, rows_v, True, (chord_mm, first_id))
    turn = 2.0 * np.pi / strip.length
    low, high = last.point_u(last.count), above.point_u(above.count)
    joint = np.concatenate((last.ids, above.ids))[triangulate_annulus(turn * low, turn * high)]
    return Rail(rail.positions, np.concatenate((rail.faces, joint)).astype(np.int32), above.ids, high)


def _row_positions(strip: StripMap, level: float, edge: float, chord_mm: float) -> Floats:
    """The v of each row after the border, so that the surface is followed everywhere round the ring."""
    v, bend = _bend_across(strip, level, edge)
    density = np.sqrt(bend / (8.0 * RAIL_SAGITTA * _row_tolerance(chord_mm)))
    total = np.concatenate(([0.0], np.cumsum(0.5 * (density[1:] + density[:-1]) * np.abs(np.diff(v)))))
    count = max(1, int(np.ceil(total[-1])))
    positions: Floats = np.interp(np.linspace(0.0, total[-1], count + 1)[1:], total, v)
    positions[-1] = edge
    return positions


def _row_tolerance(chord_mm: float) -> float:
    """Tolerance of rows across, mm: finer in drafts, where polished metal showed each of the few rows as a bright
    ring."""
    return DRAFT_ROWS * chord_mm if chord_mm >= DRAFT_CHORD_MM else chord_mm


@cached(16)
def _bend_across(strip: StripMap, level: float, edge: float) -> tuple[Floats, Floats]:
    """(n,) v from a border to an edge, and the largest bend of lines across round the ring there, as in `CellForms`."""
    around = 1 if strip.band.is_revolution else SAMPLES_AROUND
    u = np.linspace(0.0, strip.length, around, endpoint=False)
    # Closer towards the edge, where sections turn over.
    fraction = np.sin(np.linspace(0.0, 0.5 * np.pi, SAMPLES_ACROSS))
    v = level + (edge - level) * fraction
    uu, vv = (grid.ravel() for grid in np.meshgrid(u, v, indexing="ij"))
    bend = np.abs(second_form(strip, uu, vv)[2]).reshape(len(u), len(v))
    return v, np.asarray(bend.max(axis=0))


def _row_counts(strip: StripMap, row: _Row, v: Floats, chord_mm: float) -> Longs:
    """(rows, walls) segments of each border wall in rows at v (rows,), which bend within the surface too."""
    along = row.u + row.width * np.linspace(0.0, 1.0, WALL_SAMPLES)[:, None]
    along = along[:1, :1] if strip.band.is_revolution else along
    vv, uu = (grid.ravel() for grid in np.meshgrid(v, along.ravel(), indexing="ij"))
    form = second_form(strip, uu, vv)
    bend = np.hypot(form[0], form[3]).reshape(len(v), *along.shape).max(axis=1)
    fraction = RAIL_SAGITTA if strip.band.is_revolution else VARIED_SAGITTA
    needed = row.width * np.sqrt(bend / (8.0 * fraction * chord_mm))
    return np.asarray(np.ceil(np.maximum(needed - 1e-6, 1.0)), dtype=np.int64)


@dataclass(frozen=True, eq=False)
class SidesAndBore:
    """New vertices (n, 3) on the ring, and the faces of the sides and of the bore."""

    vertices: Floats
    side_faces: Ints
    bore_faces: Ints


@dataclass(frozen=True, eq=False)
class _Side:
    vertices: Floats
    faces: Ints
    bore_ids: Ints
    theta: Floats


def sides_and_bore(strip: StripMap, lower: Rail, upper: Rail, chord_mm: float, first_id: int) -> SidesAndBore:
    """Close the ring: from the edge vertices straight down to the bore, and the bore between.

    Parameters:
        strip: the strip map.
        lower, upper: the two rails.
        chord_mm: chord tolerance, mm.
        first_id: number of the first new vertex.
    Returns: new vertices on the ring, and the faces.
    """
    columns = _bore_columns(strip, chord_mm)
    low = _side(strip, lower, False, columns, first_id)
    up = _side(strip, upper, True, columns, first_id + len(low.vertices))
    first_id += len(low.vertices) + len(up.vertices)
    middle, faces = _bore(strip.band, low, up, chord_mm, first_id)
    return SidesAndBore(
        np.concatenate((low.vertices, up.vertices, middle)), np.concatenate((low.faces, up.faces)), faces
    )


@cached(16)
def _bore_columns(strip: StripMap, chord_mm: float) -> int:
    """How many even angles the edges of the bore need."""
    band = strip.band
    theta = 2.0 * np.pi * np.arange(SAMPLES_ROUND_BORE) / SAMPLES_ROUND_BORE
    z = band.half_width(theta)
    edge = _around(theta, band.bore_radius_at(theta, z), z)
    # The second derivative by the angle: an edge rises by an eighth of it, times the square of a step, over a chord.
    bend = np.roll(edge, -1, axis=0) - 2.0 * edge + np.roll(edge, 1, axis=0)
    most = float(np.max(np.linalg.norm(bend, axis=1))) * (SAMPLES_ROUND_BORE / (2.0 * np.pi)) ** 2
    return int(np.ceil(2.0 * np.pi * np.sqrt(most / (8.0 * BORE_FRACTION * min(chord_mm, FINAL_CHORD_MM)))))


def _side(strip: StripMap, rail: Rail, upper: bool, columns: int, first_id: int) -> _Side:
    """Straight down from the band's edge: to points at the same angles, or to so many even ones where those are
    fewer."""
    band = strip.band
    v = np.full(len(rail.edge_u), strip.width if upper else 0.0)
    outer = np.unwrap(strip.to_band(rail.edge_u, v)[0])
    theta = outer[0] + 2.0 * np.pi * np.arange(columns) / columns if columns < len(outer) else outer
    z = np.where(upper, 1.0, -1.0) * band.half_width(theta)
    ids = first_id + np.arange(len(theta), dtype=np.int32)
    if theta is outer:
        faces = _quads(rail.edge_ids, ids)
    else:
        faces = np.concatenate((rail.edge_ids, ids))[triangulate_annulus(outer, theta)].astype(np.int32)
    return _Side(_around(theta, band.bore_radius_at(theta, z), z), faces if upper else faces[:, ::-1], ids, theta)


def _bore(band: Band, low: _Side, up: _Side, chord_mm: float, first_id: int) -> tuple[Floats, Ints]:
    """The bore: a straight one is ruled from edge to edge, a comfort one gets rows across."""
    rows = _bore_rows(band, chord_mm)
    lower_rows, upper_rows = rows[rows <= 0.0], rows[rows > 0.0][::-1]
    low_vertices, low_faces, low_ids = _half(band, low, lower_rows, first_id, False)
    up_vertices, up_faces, up_ids = _half(band, up, upper_rows, first_id + len(low_vertices), True)
    # Seen from the finger hole the angles grow to the left.
    bridge = np.concatenate((low_ids, up_ids))[triangulate_annulus(low.theta, up.theta)][:, ::-1]
    return np.concatenate((low_vertices, up_vertices)), np.concatenate((low_faces, up_faces, bridge)).astype(np.int32)


def _bore_rows(band: Band, chord_mm: float) -> Floats:
    """Rows between the edges as fractions of the half width, from -1 to 1 (both left out); none in a straight bore."""
    if band.bore.rise_mm == 0.0 or band.bore.shape == "straight":
        return np.zeros(0)
    # The bore bends across like an arc that rises by rise_mm over the half width at its narrowest.
    narrowest = float(np.min(band.half_width(np.linspace(-np.pi, np.pi, 256))))
    curvature = 2.0 * band.bore.rise_mm / narrowest**2
    widest = float(np.max(band.half_width(np.linspace(-np.pi, np.pi, 256))))
    half = max(2, int(np.ceil(widest * np.sqrt(curvature / (4.0 * _row_tolerance(chord_mm))))))
    rows: Floats = (np.arange(1, 2 * half) - half) / half
    return rows


def _half(band: Band, side: _Side, rows: Floats, first_id: int, upper: bool) -> tuple[Floats, Ints, Ints]:
    """Rows of the bore from one edge towards the middle, in that edge's own columns."""
    ids = side.bore_ids
    vertices, faces = [np.zeros((0, 3))], [np.zeros((0, 3), dtype=np.int32)]
    for row in rows:
        z = row * band.half_width(side.theta)
        vertices.append(_around(side.theta, band.bore_radius_at(side.theta, z), z))
        new = first_id + np.arange(len(z), dtype=np.int32)
        first_id += len(z)
        quads = _quads(ids, new)
        faces.append(quads if upper else quads[:, ::-1])
        ids = new
    return np.concatenate(vertices), np.concatenate(faces), ids


def _around(theta: Floats, radius: Floats, z: Floats) -> Floats:
    return np.stack((-radius * np.sin(theta), radius * np.cos(theta), z), axis=1)


def _quads(first: Ints, second: Ints) -> Ints:
    """Two triangles between each pair of neighbouring columns of two closed rows."""
    first_next, second_next = np.roll(first, -1), np.roll(second, -1)
    return np.concatenate(
        (np.stack((first, first_next, second), axis=1), np.stack((first_next, second_next, second), axis=1))
    )


def bare_face_mesh(strip: StripMap, around: int = 720, across: int = 96) -> RingMesh:
    """The band's outer face without relief, in even steps of the strip: closed round the ring, open at the edges.

    For pictures and overlays that judge the surface; it is no body and cannot be made.

    Parameters:
        strip: the strip map.
        around, across: quads in each direction.
    Returns: a mesh of around x (across + 1) vertices.
    """
    u, v = np.meshgrid(
        strip.length * np.arange(around) / around, np.linspace(0.0, strip.width, across + 1), indexing="ij"
    )
    number = np.arange(around * (across + 1)).reshape(around, across + 1)
    ahead = np.roll(number, -1, axis=0)
    here, right, up, both = number[:, :-1], ahead[:, :-1], number[:, 1:], ahead[:, 1:]
    faces = np.concatenate([np.stack([here, right, both], axis=-1), np.stack([here, both, up], axis=-1)])
    return RingMesh(strip.point(u.ravel(), v.ravel()), faces.reshape(-1, 3).astype(np.int32))
