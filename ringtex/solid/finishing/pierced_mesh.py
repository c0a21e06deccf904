"""The mesh of a ring with pierced cells, built directly: their floors are left out, radial walls run from the floors'
borders to the bore, and the bore is triangulated round the holes.

The bore is triangulated in the plane of (s x, angle) as polar coordinates, where x = exp(-z / half width of the band):
without a seam, and for s = 1 with true angles on a straight bore. A smaller s lets triangles be longer along the axis,
where the bore is less curved.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from ringtex.band.band import Band
from ringtex.basics.arrays import Bools, Floats, Ints, Longs, contained
from ringtex.basics.errors import SelfCheckError
from ringtex.relief.plain_options import PlainPlace
from ringtex.solid.finishing.pierced_cells import PiercedCells, on_ring, pierced_cells
from ringtex.solid.finishing.stone_seats import SetStone
from ringtex.solid.free_form.constrained_delaunay import ConstrainedDelaunay
from ringtex.solid.mesh.booleans import original_number
from ringtex.solid.mesh.half_edges import half_edges, is_border, paired_half_edges
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid, without_unused_vertices
from ringtex.solid.mesh.strip_triangulation import segments_of_sides, triangulate_strip
from ringtex.strip.strip_map import StripMap

TWIST_FRACTION: Final = 0.7
"""Fraction of the chord tolerance that a twisted wall may take."""

MAX_WALL_ROWS: Final = 64
"""Rows of a wall at most: tips as sharp as to need more are narrower than a micrometre."""

BORE_FRACTION: Final = 0.7
"""Fraction of the chord tolerance that an edge in the bore may take: the middle of a triangle lies up to a third
further off."""

MIN_STRETCH: Final = 1.0 / 3.0
"""Triangles of the bore are at most about three times as long along the axis as round it."""

GRID: Final = 2**26
"""Steps from the middle to the side of the square in which the bore is triangulated."""

ROUNDS: Final = 24
"""Rounds of halving edges that are too far off; some ten are needed."""


@dataclass(frozen=True, eq=False)
class PiercedMesh:
    """The ring with its cells cut through.

    original_id, face_id  of its triangles, as in `FinishedRing`; those of the bore have the number of the first one
                          that the bore had before.
    """

    mesh: RingMesh
    original_id: Ints
    face_id: Ints


class MeetError(Exception):
    """Holes whose rims cross others, or an edge of the band, in the finger hole, or are folds: (n,) True for each."""

    def __init__(self, holes: Bools) -> None:
        super().__init__()
        self.holes = holes


def pierced_mesh(
    strip: StripMap, solid: RingSolid, stones: tuple[SetStone, ...], plain: tuple[PlainPlace, ...], chord_mm: float
) -> tuple[PiercedCells | None, PiercedMesh | None]:
    """The ring with its cells cut through; those are left whole whose holes would meet, which only folds and the
    narrowest slits do.

    Parameters:
        strip: the strip map.
        solid: the ring with its relief.
        stones, plain: what cells are left whole for.
        chord_mm: chord tolerance, mm.
    Returns: the cells, None for a relief of another form; the mesh, None where no cell is pierced.
    Raises: InputError where a cell is too long round the ring to be cut in one piece.
    """
    pierced = pierced_cells(strip, solid, stones, plain)
    while pierced is not None and pierced.count:
        try:
            return pierced, cut_through(strip, solid, pierced, chord_mm)
        except MeetError as error:
            pierced = pierced.without(error.holes)
    return pierced, None


def cut_through(strip: StripMap, solid: RingSolid, pierced: PiercedCells, chord_mm: float) -> PiercedMesh:
    """The ring with these cells cut through.

    Parameters:
        strip: the strip map.
        solid: the ring with its relief.
        pierced: the cells.
        chord_mm: chord tolerance, mm.
    Returns: the mesh.
    Raises: MeetError where holes meet.
    """
    before, outlines, bore = solid.mesh, pierced.outlines, solid.face_ranges["bore"]
    cut = np.zeros(len(outlines.whole) + 1, dtype=bool)
    cut[outlines.cell] = True
    stays = np.ones(len(before.faces), dtype=bool)
    stays[bore] = False
    stays[solid.face_ranges["cells"]] = ~cut[outlines.floor]
    added, walls, rim = _walls(strip.band, before.vertices, pierced, chord_mm)
    vertices = np.concatenate((before.vertices, added))
    start, end = half_edges(before.faces[bore])
    single = is_border(start, end)
    sides = np.column_stack((start[single], end[single]))
    edges = np.concatenate((sides, np.column_stack((rim, rim[outlines.following]))))
    hole = np.concatenate((np.full(len(sides), -1), outlines.number))
    more, inner = _bore(strip.band, vertices, edges, hole, chord_mm)
    kept = np.flatnonzero(stays)
    faces = np.concatenate((before.faces[kept], walls, inner)).astype(np.int32)
    original_id = np.zeros(len(faces), dtype=np.int32)
    original_id[len(kept) : len(kept) + len(walls)] = original_number("pierced")
    face_id = np.concatenate((kept, np.arange(len(walls)), np.full(len(inner), bore.start))).astype(np.int32)
    mesh = without_unused_vertices(np.concatenate((vertices, more)), faces)
    return PiercedMesh(mesh, original_id, face_id)


def _walls(band: Band, vertices: Floats, pierced: PiercedCells, chord_mm: float) -> tuple[Floats, Longs, Longs]:
    """The walls of all holes: new vertices (n, 3), faces (m, 3), and (k,) the vertex in the bore under each position.

    A wall between two positions of unequal z and angle is a twisted surface, which two triangles miss by a quarter of
    the twist: where that is too much, or as much as the room at a sharp tip, rows divide it, as many over each position
    as the walls beside it need.
    """
    top, after = pierced.outlines.vertex, pierced.outlines.following
    radius = np.hypot(vertices[top, 0], vertices[top, 1])
    inner = band.bore_radius_at(pierced.theta, pierced.z)
    a, d = vertices[top], on_ring(inner, pierced.theta, pierced.z)
    b, c = a[after], d[after]
    normal = np.cross(c - a, d - b)
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
    missed = np.abs(np.sum((a + c - b - d) * normal, axis=1)) / 4.0
    limit = np.minimum(TWIST_FRACTION * chord_mm, _room_at_tips(a, after))
    needed = np.clip(np.ceil(missed / np.maximum(limit, 1e-12)), 1.0, MAX_WALL_ROWS).astype(np.int64)
    rows = needed.copy()
    rows[after] = np.maximum(needed[after], needed)
    point, step = segments_of_sides(rows)
    fraction = (step + 1) / rows[point]
    places = on_ring(radius[point] + fraction * (inner - radius)[point], pierced.theta[point], pierced.z[point])
    # Each column of vertices begins on the outline.
    begin = np.cumsum(rows + 1) - (rows + 1)
    number = np.insert(len(vertices) + np.arange(len(places)), np.cumsum(rows) - rows, top)
    none, end = np.zeros_like(rows), begin + rows
    faces, _ = triangulate_strip(
        np.concatenate((rows[after], none)),
        np.concatenate((rows, none)),
        np.concatenate((begin[after], end[after])),
        np.concatenate((begin, end)),
        len(rows) + np.arange(len(rows)),
    )
    return places, number[faces], number[end]


def _room_at_tips(points: Floats, after: Longs) -> Floats:
    """(k,) how far the wall from each point of outlines (k, 3) to the next may be off, mm, so that the two walls at a
    sharp tip do not cross: near the tip they lie apart by the angle between them times the distance, and each may take
    an eighth of that over its length."""
    step = points[after] - points
    length = np.linalg.norm(step, axis=1)
    ahead = step / np.maximum(length, 1e-12)[:, None]
    back = np.empty_like(ahead)
    back[after] = -ahead
    # Stable for small angles.
    angle = 2.0 * np.arctan2(np.linalg.norm(ahead - back, axis=1), np.linalg.norm(ahead + back, axis=1))
    return np.asarray(np.minimum(angle, angle[after]) * length / 8.0)


class _BorePlane:
    """The bore as a ring in a square of whole numbers, counter-clockwise as on the strip."""

    def __init__(self, band: Band, chord_mm: float) -> None:
        self.band = band
        around = np.linspace(-np.pi, np.pi, 256, endpoint=False)
        half = band.half_width(around)
        bend = 2.0 * band.bore.rise_mm / float(np.min(half)) ** 2
        self.stretch = float(np.clip(np.sqrt(bend * band.bore_radius_mm), MIN_STRETCH, 1.0))
        self._exponent = self.stretch * float(np.mean(half)) / band.bore_radius_mm
        self._scale = 0.9 * GRID / np.exp(self._exponent)
        self.step_mm = float(np.sqrt(8.0 * BORE_FRACTION * chord_mm * band.bore_radius_mm))
        self.rows = max(1, round(2.0 * float(np.mean(half)) * self.stretch / self.step_mm))

    def to_grid(self, theta: Floats, share: Floats) -> Longs:
        """(n, 2) whole numbers of places at angles and shares of the half width."""
        radius = self._scale * np.exp(-self._exponent * share)
        steps = np.rint(np.column_stack((radius * np.cos(theta), radius * np.sin(theta)))).astype(np.int64)
        return np.asarray(steps + GRID)

    def points(self, grid: Longs) -> Floats:
        """(n, 3) points of the bore at such whole numbers, mm."""
        x, y = (grid - GRID).T.astype(np.float64)
        theta = np.arctan2(y, x)
        share = -np.log(np.maximum(np.hypot(x, y), 1.0) / self._scale) / self._exponent
        z = np.clip(share, -1.0, 1.0) * self.band.half_width(theta)
        return on_ring(self.band.bore_radius_at(theta, z), theta, z)

    def free_points(self, others: Longs) -> Longs:
        """(n, 2) staggered rows of points, none near to any of others (k, 2)."""
        from scipy.spatial import cKDTree

        columns = int(np.ceil(2.0 * np.pi * self.band.bore_radius_mm / self.step_mm))
        row, column = (each.ravel() for each in np.meshgrid(np.arange(self.rows), np.arange(columns), indexing="ij"))
        theta = 2.0 * np.pi * (column + 0.5 * (row % 2)) / columns
        grid = self.to_grid(theta, (2.0 * row + 1.0) / self.rows - 1.0)
        # Distances of the plane are those on the bore times the distance from the middle.
        size = np.hypot(*(grid - GRID).T) / self.band.bore_radius_mm
        return np.asarray(grid[cKDTree(others).query(grid)[0] > 0.7 * self.step_mm * size])


def _bore(band: Band, vertices: Floats, edges: Longs, hole: Longs, chord_mm: float) -> tuple[Floats, Longs]:
    """Triangles of the bore, with new vertices (n, 3) numbered after the vertices given.

    Parameters:
        band: the band.
        vertices: (k, 3) mm.
        edges: (e, 2) directed borders of the bore.
        hole: (e,) the hole that each is on; -1 for the band's edges.
        chord_mm: chord tolerance, mm.
    Returns: the new vertices, and faces.
    Raises: MeetError.
    """
    plane, border = _BorePlane(band, chord_mm), np.unique(edges)
    x, y, z = vertices[border].T
    theta = np.arctan2(-x, y)
    given = plane.to_grid(theta, z / band.half_width(theta))
    segments = np.searchsorted(border, edges)
    if np.any(turned := _turned(given[segments], hole)):
        raise MeetError(turned)
    if len(np.unique(given, axis=0)) < len(given):
        raise _meeting(given[segments], hole)
    corners = 2 * GRID * np.array([[0, 0], [1, 0], [0, 1], [1, 1]])
    points = np.concatenate((given, plane.free_points(given), corners))
    cover = ConstrainedDelaunay(points, segments, (2 * GRID, 2 * GRID))
    if cover.left_out or _within(cover.tri, segments) is None:
        raise _meeting(given[segments], hole)
    _halve_edges(plane, cover, segments, chord_mm)
    grid, faces = cover.vertices_and_faces()
    inside = _within(faces.astype(np.int64), segments)
    assert inside is not None
    number = np.concatenate((border, len(vertices) + np.arange(len(grid) - len(border))))
    # Seen from the finger hole.
    return plane.points(grid[len(border) :]), number[faces[inside][:, ::-1]]


def _turned(segments: Longs, hole: Longs) -> Bools:
    """(holes,) rims among segments (e, 2, 2) that run clockwise: folds."""
    (u, v), (u_end, v_end) = segments.astype(np.float64).transpose(1, 2, 0)
    on_hole = hole >= 0
    area = np.bincount(hole[on_hole], -(0.5 * (v + v_end) * (u_end - u))[on_hole])
    return np.asarray(area < 0.0)


def _meeting(segments: Longs, hole: Longs) -> MeetError:
    """The holes of border segments (e, 2, 2) that cross or touch one of another place.

    Raises: SelfCheckError where there are none.
    """
    lines = shapely.linestrings(segments.astype(np.float64))
    one, other = shapely.STRtree(lines).query(lines, predicate="intersects")
    ends = segments.reshape(-1, 4)
    joined = np.all(ends[one][:, [2, 3]] == ends[other][:, [0, 1]], axis=1) & (hole[one] == hole[other])
    joined |= np.all(ends[one][:, [0, 1]] == ends[other][:, [2, 3]], axis=1) & (hole[one] == hole[other])
    found = hole[one[(one != other) & ~joined]]
    holes = np.zeros(int(np.max(hole, initial=-1)) + 1, dtype=bool)
    holes[found[found >= 0]] = True
    if not np.any(holes):
        raise SelfCheckError("the finger hole round pierced cells could not be triangulated", "Report this design")
    return MeetError(holes)


def _halve_edges(plane: _BorePlane, cover: ConstrainedDelaunay, segments: Longs, chord_mm: float) -> None:
    """Halve edges within border segments (e, 2) whose middles leave the bore by more than their part of the
    tolerance."""
    limit = BORE_FRACTION * chord_mm
    for _ in range(ROUNDS):
        tri, corner = cover.changed_edges()
        inside = _within(cover.tri, segments)
        own = inside[tri] if inside is not None else np.zeros(len(tri), dtype=bool)
        tri, corner = tri[own], corner[own]
        start, end = (plane.points(cover.points[each]) for each in cover.ends(tri, corner))
        middle = 0.5 * (start + end)
        radius = plane.band.bore_radius_at(np.arctan2(-middle[:, 0], middle[:, 1]), middle[:, 2])
        off = np.abs(np.hypot(middle[:, 0], middle[:, 1]) - radius)
        over = off > limit
        if not np.any(over):
            return
        cover.split(tri[over], corner[over], -off[over])


def _within(faces: Longs, segments: Longs) -> Bools | None:
    """(m,) triangles of the part that lies right of all segments (e, 2), which no other edge parts; None where there is
    no such part."""
    count = int(faces.max()) + 1
    start, end = half_edges(faces)
    one, other = paired_half_edges(start, end, count)
    low, high = np.min(segments, axis=1), np.max(segments, axis=1)
    key = np.minimum(start[one], end[one]) * count + np.maximum(start[one], end[one])
    links = ~contained(key, np.sort(low * count + high))
    joined = (one[links] // 3, other[links] // 3)
    graph = coo_matrix((np.ones(len(joined[0])), joined), shape=(len(faces), len(faces)))
    part = connected_components(graph, directed=False)[1]
    back = np.sort(segments[:, 1] * count + segments[:, 0])
    right = part[np.flatnonzero(contained(start * count + end, back)) // 3]
    return np.asarray(part == right[0]) if len(right) == len(segments) and np.all(right == right[0]) else None
