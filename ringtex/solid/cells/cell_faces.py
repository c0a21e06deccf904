"""Vertices and triangles of all cells: rings along the walls, then rings of ever fewer points to the centre."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import CellProfile
from ringtex.solid.cells.cell_fill import cell_fill
from ringtex.solid.cells.offset_loops import OffsetLoops
from ringtex.solid.mesh.strip_triangulation import SideRows, StripMesh, joined, spread


def wall_points(tiling: Tiling, count: Longs) -> tuple[Floats, Ints]:
    """The points on all walls, each once: (n, 2) places, and for every (half wall, segment) the number of its start
    point.

    The tiling's vertices come first; a wall's inner points are numbered along the half wall with the lower number and
    counted backwards from the other side, so both sides agree by index.
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
    owned, step = spread(inner)
    share = ((step + 1) / count[owned])[:, None]
    start, end = tiling.corners[owned], tiling.corners[tiling.next_corner[owned]]
    return np.concatenate((tiling.vertices, start + share * (end - start))), ids


def cell_mesh(
    tiling: Tiling,
    loops: OffsetLoops,
    profile: CellProfile,
    count: Longs,
    limit: Floats,
    chord_mm: float,
    tip_mm: float,
) -> StripMesh:
    """The mesh of all cells. count and limit come from `wall_splits`; tip_mm rounds a peak's tip."""
    rows = SideRows(tiling, count)
    wall_places, wall_ids = wall_points(tiling, count)
    places = [np.column_stack((wall_places, np.zeros(len(wall_places))))]
    placed = len(wall_places)
    faces, cells = [], []
    following = _following(rows, tiling)
    before_half = 2 * rows.number + 1 < count[rows.side]
    point_cell = tiling.corner_cell[rows.side]
    ids = wall_ids
    for ring in range(1, loops.corner.shape[1]):
        flat = rows.places(tiling, loops.corner[:, ring])
        places.append(np.column_stack((flat, loops.height[point_cell, ring])))
        inner = placed + np.arange(len(rows), dtype=np.int32)
        placed += len(rows)
        alive = loops.alive[rows.side, ring]
        if not np.all(alive):
            # All points of a vanished side are the one where the next living side starts.
            inner = inner[_first_living(tiling, rows, loops.alive[:, ring])]
        faces.append(_band_faces(ids, inner, following, before_half))
        cells.append(np.tile(point_cell, 2))
        ids = inner
    fill = cell_fill(tiling, loops, profile, rows, ids, limit, placed, chord_mm, tip_mm)
    return joined([*places, fill.places], [*faces, fill.faces], [*cells, fill.cell])


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


def _band_faces(outer: Ints, inner: Ints, following: Longs, before_half: NDArray[np.bool_]) -> Ints:
    """Two triangles between each segment of neighbouring rings, split the way the mitred corner leans."""
    o, o_next, i, i_next = outer, outer[following], inner, inner[following]
    first = np.stack((o, o_next, np.where(before_half, i, i_next)), axis=1)
    second = np.stack((np.where(before_half, o_next, o), i_next, i), axis=1)
    return np.concatenate((first, second))
