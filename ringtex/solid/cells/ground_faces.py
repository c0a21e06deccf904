"""The level ground between the walls of cells and their rounded outlines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.basics.tolerances import FOLDED_AREA_MM2, MAX_SPLITS
from ringtex.pattern.tiling import Tiling
from ringtex.solid.cells.cell_faces import wall_points
from ringtex.solid.cells.rounded_cells import RoundedCells
from ringtex.solid.mesh.strip_triangulation import (
    SideRows,
    StripMesh,
    double_areas,
    join_meshes,
    segments_of_sides,
    triangulate_strip,
)
from ringtex.strip.strip_map import StripMap

ACROSS_SAGITTA: Final = 0.2
"""Fraction of the chord tolerance that edges across the ground may take; walls and outlines take up to the rest."""


@dataclass(frozen=True, eq=False)
class _Fans:
    """Triangles between walls and outlines: from an apex in one row to a segment of the other.

    outer, inner  (n, 2) the two edges across that bound each triangle, first and second counter-clockwise as seen from
                  its apex: their points in the rows of the walls and of the outlines.
    from_outline  (n,) the apex lies on the outline.
    cell          (n,) the cell.
    """

    outer: Longs
    inner: Longs
    from_outline: Longs
    cell: Ints


def with_ground(
    strip: StripMap,
    tiling: Tiling,
    rounded: RoundedCells,
    counts: tuple[Longs, Longs],
    grading: Floats | None,
    inside: StripMesh,
    chord_mm: float,
) -> StripMesh:
    """The mesh inside the outlines with the ground round them.

    Parameters:
        strip: the strip map.
        tiling, rounded: the cells and their rounded outlines.
        counts: segments of each half-edge of the tiling, and of each side of the outlines.
        grading: how those of the outlines lie, from `wall_grading`.
        inside: the mesh inside the outlines, whose first vertices are theirs.
        chord_mm: chord tolerance, mm.
    Returns: one mesh, the points of the tiling's walls first.
    """
    outer, inner = SideRows(tiling, counts[0]), SideRows(rounded.outlines, counts[1], grading)
    walls, outer_ids = wall_points(tiling, counts[0])
    _, inner_ids = wall_points(rounded.outlines, counts[1])
    inner_ids = (inner_ids + len(walls)).astype(np.int32)
    fans = _fans(tiling, rounded, outer, inner)
    key = fans.outer * len(inner) + fans.inner
    edges, edge = np.unique(key, return_inverse=True)
    edge = edge.reshape(key.shape)
    start = outer.positions(tiling, tiling.corners)[edges // len(inner)]
    end = inner.positions(rounded.outlines, rounded.outlines.corners)[edges % len(inner)]
    cell = tiling.corner_cell[outer.side[edges // len(inner)]]
    pieces = _pieces(strip, rounded, cell, (start, end), chord_mm)
    added, number = segments_of_sides(pieces - 1)
    between = start[added] + ((number + 1) / pieces[added])[:, None] * (end - start)[added]
    first = len(walls) + len(inside.positions) + np.cumsum(pieces - 1) - (pieces - 1)
    faces, of_fan = _divided(fans, edge, pieces, first, (outer_ids, inner_ids))
    level = [np.column_stack((flat, np.zeros(len(flat)))) for flat in (walls, between)]
    return join_meshes(
        [level[0], inside.positions, level[1]],
        [faces, inside.faces + np.int32(len(walls))],
        [fans.cell[of_fan], inside.cell],
    )


def folded_cells(tiling: Tiling, mesh: StripMesh) -> Longs:
    """Cells of a mesh on the strip with a triangle that runs clockwise."""
    folded = double_areas(mesh.positions, mesh.faces, tiling.length) < -2.0 * FOLDED_AREA_MM2
    return np.unique(mesh.cell[folded]).astype(np.int64)


def _fans(tiling: Tiling, rounded: RoundedCells, outer: SideRows, inner: SideRows) -> _Fans:
    """Both rows have rising keys (`RoundedCells.key`): every segment meets the point of the other row that lies between
    the segments before and after its middle."""
    outer_cell, inner_cell = tiling.corner_cell[outer.side], rounded.outlines.corner_cell[inner.side]
    outer_middle = outer.side + (outer.number + 0.5) / outer.count[outer.side]
    start, end = rounded.key[inner.side].T
    inner_middle = start + (inner.number + 0.5) / inner.count[inner.side] * (end - start)
    outer_first, outer_after = _row(outer_cell, tiling.cells)
    inner_first, inner_after = _row(inner_cell, tiling.cells)
    apex_inside = _in_cell(np.searchsorted(inner_middle, outer_middle, side="right"), inner_first, inner, outer_cell)
    apex_outside = _in_cell(np.searchsorted(outer_middle, inner_middle, side="left"), outer_first, outer, inner_cell)
    here, there = np.arange(len(outer)), np.arange(len(inner))
    return _Fans(
        np.concatenate((np.column_stack((here, outer_after)), np.column_stack((apex_outside, apex_outside)))),
        np.concatenate((np.column_stack((apex_inside, apex_inside)), np.column_stack((inner_after, there)))),
        np.repeat([1, 0], (len(here), len(there))),
        np.concatenate((outer_cell, inner_cell)),
    )


def _row(cell: Ints, cells: int) -> tuple[Longs, Longs]:
    """First point of each cell, and the point after each."""
    count = np.bincount(cell, minlength=cells)
    first = np.cumsum(count) - count
    after = np.arange(1, len(cell) + 1)
    after[first + count - 1] = first
    return first, after


def _in_cell(passed: Longs, first: Longs, rows: SideRows, cell: Ints) -> Longs:
    """Points of a row by how many come before them, round each cell."""
    count = np.diff(np.append(first, len(rows)))
    return np.asarray(first[cell] + (passed - first[cell]) % count[cell])


def _pieces(strip: StripMap, rounded: RoundedCells, cell: Ints, ends: tuple[Floats, Floats], chord_mm: float) -> Longs:
    """(edges,) into how many each edge across the ground is cut, so that the surface does not rise too far over it."""
    pieces = np.ones(len(cell), dtype=np.int64)
    limit = ACROSS_SAGITTA * chord_mm
    # The forms are the largest of each cell: only the surface itself tells.
    likely = np.flatnonzero(rounded.ground.forms.sagitta(cell, ends[1] - ends[0]) > limit)
    start, end = ends[0][likely], ends[1][likely]
    a, middle, b = (strip.point(*(start + part * (end - start)).T) for part in (0.0, 0.5, 1.0))
    rise = np.linalg.norm(middle - 0.5 * (a + b), axis=1)
    pieces[likely] = np.clip(np.ceil(np.sqrt(rise / limit) - 1e-6), 1, MAX_SPLITS)
    return pieces


def _divided(fans: _Fans, edge: Longs, pieces: Longs, first: Longs, ids: tuple[Ints, Ints]) -> tuple[Ints, Longs]:
    """Faces and the fan of each, given each fan's two edges (n, 2), their pieces and the first vertex within each."""
    size = len(edge)
    lists, starts = [], []
    for which in (0, 1):
        count = pieces[edge[:, which]]
        fan, number = segments_of_sides(count + 1)
        total = count[fan]
        # Vertices are numbered from the wall inwards, rows run from the apex.
        inwards = np.where(fans.from_outline[fan] == 1, total - number, number)
        at = edge[fan, which]
        row = np.where(
            inwards == 0,
            ids[0][fans.outer[fan, which]],
            np.where(inwards == total, ids[1][fans.inner[fan, which]], first[at] + inwards - 1),
        )
        begin = np.cumsum(count + 1) - (count + 1)
        lists.append(row)
        starts.append(np.concatenate((begin, begin + count)))
    none = np.zeros(size, dtype=np.int64)
    # The first piece of both rows makes one triangle at the apex.
    counts = [np.concatenate((pieces[edge[:, which]] - 1, none)) for which in (0, 1)]
    following = np.concatenate((size + np.arange(size), size + np.arange(size)))
    offset = len(lists[0])
    later = [np.concatenate((start[:size] + 1, start[size:])) for start in starts]
    faces, fan = triangulate_strip(counts[0], counts[1], later[0], offset + later[1], following)
    tips = np.column_stack((starts[0][:size], later[0][:size], offset + later[1][:size]))
    rows = np.concatenate(lists)
    return rows[np.concatenate((tips, faces))].astype(np.int32), np.concatenate((np.arange(size), fan))
