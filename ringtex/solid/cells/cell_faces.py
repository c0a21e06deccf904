"""Vertices and triangles of all cells: offset loops along the walls, then the fill inside the last loop."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.basics.progress import Progress
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import CellProfile
from ringtex.solid.cells.cell_fill import cell_fill
from ringtex.solid.cells.event_vertices import EventVertices, event_vertices
from ringtex.solid.cells.offset_loops import OffsetLoops
from ringtex.solid.mesh.delaunay_flips import flip_to_delaunay
from ringtex.solid.mesh.strip_triangulation import SideRows, StripMesh, graded, join_meshes, segments_of_sides
from ringtex.strip.strip_map import StripMap


def wall_points(tiling: Tiling, count: Longs, grading: Floats | None = None) -> tuple[Floats, Ints]:
    """The points on all walls, each once: (n, 2) positions, and the first vertex of each (half-edge, segment).

    The tiling's vertices come first. The inner points of a wall are numbered along its half-edge with the lower number,
    and counted backwards from the other side, so both sides agree by index.

    Parameters:
        tiling: the cells.
        count: (half-edges,) segments, the same from both sides.
        grading: (half-edges,) as in `SideRows`.
    Returns: the positions, mm, and the vertices.
    """
    rows = SideRows(tiling, count)
    half = np.arange(len(count))
    own = (tiling.twin < 0) | (half < tiling.twin)
    inner = np.where(own, count - 1, 0)
    base = len(tiling.vertices) + np.cumsum(inner) - inner
    owner = np.where(own, half, tiling.twin)
    side, number = rows.side, rows.number
    offset = np.where(own[side], number - 1, count[side] - number - 1)
    ids = np.where(number == 0, tiling.corner_vertex[side], base[owner[side]] + offset).astype(np.int32)
    owned, step = segments_of_sides(inner)
    fraction = graded((step + 1) / count[owned], None if grading is None else grading[owned])[:, None]
    start, end = tiling.corners[owned], tiling.corners[tiling.next_corner[owned]]
    return np.concatenate((tiling.vertices, start + fraction * (end - start))), ids


def cell_mesh(
    strip: StripMap,
    tiling: Tiling,
    loops: OffsetLoops,
    profile: CellProfile,
    count: Longs,
    grading: Floats | None,
    chord_mm: float,
    tip_mm: float,
    progress: Progress,
) -> StripMesh:
    """The mesh of all cells.

    Parameters:
        strip, tiling, loops, profile: the strip, its cells, their offset loops and profile.
        count, grading: segments of each half-edge, from `wall_splits`, and how they lie, from `wall_grading`.
        chord_mm: chord tolerance, mm.
        tip_mm: radius that rounds a peak's tip, mm.
        progress: told how long it will take, where that is long.
    Returns: positions (u, v, h) with the wall points first, faces, and the cell of each face.
    """
    rows = SideRows(tiling, count, grading)
    wall_places, wall_ids = wall_points(tiling, count, grading)
    vertex_count, positions = len(wall_places), [np.column_stack((wall_places, np.zeros(len(wall_places))))]
    faces, cells, following = [], [], _following(rows, tiling)
    before_half = 2 * rows.number + 1 < count[rows.side]
    point_cell, ids = tiling.corner_cell[rows.side], wall_ids
    for loop in range(1, loops.corner.shape[1]):
        flat = rows.positions(tiling, loops.corner[:, loop])
        positions.append(np.column_stack((flat, loops.height[point_cell, loop])))
        inner = _loop_vertices(tiling, rows, loops.alive[:, loop], vertex_count)
        vertex_count += len(rows)
        # Triangles between a loop and itself go when the pieces are joined.
        inner = inner if loops.level is None else np.where(loops.level[point_cell], wall_ids, inner)
        events = event_vertices(tiling, loops, loop, chord_mm)
        band, band_cells = _with_events(
            _band_faces(ids, inner, following, before_half), np.tile(point_cell, 2), events, rows, vertex_count
        )
        positions.append(events.positions)
        vertex_count += len(events.side)
        faces.append(band)
        cells.append(band_cells)
        ids = inner
    fill = cell_fill(strip, tiling, loops, profile, rows, ids, vertex_count, chord_mm, tip_mm, progress)
    if loops.level is not None:
        fill = _with_level_cells(fill, tiling, loops.level, rows, wall_ids, vertex_count)
    return join_meshes([*positions, fill.positions], [*faces, fill.faces], [*cells, fill.cell])


def _loop_vertices(tiling: Tiling, rows: SideRows, alive: Bools, first_id: int) -> Ints:
    """(points,) vertices of a loop: all points of a vanished side are the one where the next living side starts."""
    ids = first_id + np.arange(len(rows), dtype=np.int32)
    return ids if np.all(alive[rows.side]) else ids[_first_living(tiling, rows, alive)]


def _with_level_cells(
    fill: StripMesh, tiling: Tiling, level: Bools, rows: SideRows, wall_ids: Ints, first_id: int
) -> StripMesh:
    """The fill, but in level cells triangles from the walls to a point that sees the whole cell, flipped to be as round
    as they can.

    Parameters:
        fill: of all cells.
        tiling: all cells.
        level: (cells,) which of them are level.
        rows, wall_ids: the points on all walls and their vertices.
        first_id: number of the fill's first vertex.
    Returns: the positions, the faces, and the cell of each.
    """
    first_id += len(fill.positions)
    cells = np.flatnonzero(level)
    cell = tiling.corner_cell[rows.side]
    point = np.flatnonzero(level[cell])
    cell, after = cell[point], _following(rows, tiling)[point]
    number = np.searchsorted(cells, cell)
    seeing = tiling.kernel[0][cells]
    flat = rows.positions(tiling, tiling.corners)
    faces = np.stack((wall_ids[point], wall_ids[after], first_id + number), axis=1).astype(np.int32)
    places = np.stack((flat[point], flat[after], seeing[number]), axis=1)
    faces = flip_to_delaunay(places, faces, cell)
    other = ~level[fill.cell]
    return StripMesh(
        np.concatenate((fill.positions, np.column_stack((seeing, np.zeros(len(cells)))))),
        np.concatenate((fill.faces[other], faces)),
        np.concatenate((fill.cell[other], cell)),
    )


def _following(rows: SideRows, tiling: Tiling) -> Longs:
    """(points,) the next point counter-clockwise in the same cell."""
    after = np.arange(1, len(rows) + 1)
    last = rows.number + 1 == rows.count[rows.side]
    after[last] = rows.start[tiling.next_corner[rows.side[last]]]
    return after


def _first_living(tiling: Tiling, rows: SideRows, alive: NDArray[np.bool_]) -> Longs:
    """(points,) itself on a living side, else the first point of the next living side of the cell."""
    target = np.arange(len(alive))
    while True:
        dead = ~alive[target]
        if not np.any(dead):
            break
        target[dead] = tiling.next_corner[target[dead]]
    point = np.arange(len(rows))
    return np.where(alive[rows.side], point, rows.first[target[rows.side]])


def _with_events(faces: Ints, cells: Ints, events: EventVertices, rows: SideRows, first_id: int) -> tuple[Ints, Ints]:
    """A band's faces and their cells, with those of vanishing sides ending at the sides' own vertices, numbered from
    first_id, and two more from each vertex to the point of the inner loop where its neighbours meet."""
    if not len(events.side):
        return faces, cells
    vertex = first_id + np.arange(len(events.side), dtype=np.int32)
    count = rows.count[events.side]
    first = rows.start[events.side]
    event, number = segments_of_sides(count)
    start, end = faces[first, 0], faces[first + count - 1, 1]
    inner = faces[first, 2]
    faces[first[event] + number, 2] = vertex[event]
    more = np.concatenate((np.stack((start, vertex, inner), axis=1), np.stack((end, inner, vertex), axis=1)))
    return np.concatenate((faces, more)), np.concatenate((cells, np.tile(cells[first], 2)))


def _band_faces(outer: Ints, inner: Ints, following: Longs, before_half: NDArray[np.bool_]) -> Ints:
    """Two triangles between each segment of neighbouring loops, split along the lean of the mitred corner."""
    o, o_next, i, i_next = outer, outer[following], inner, inner[following]
    first = np.stack((o, o_next, np.where(before_half, i, i_next)), axis=1)
    second = np.stack((np.where(before_half, o_next, o), i_next, i), axis=1)
    return np.concatenate((first, second))
