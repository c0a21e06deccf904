"""The mesh of every cell inside its last offset loop, filled again where it crosses itself or is too coarse."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs, sorted_unique
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import CellProfile
from ringtex.relief.smooth_tops import SmoothTops
from ringtex.solid.cells.loop_fill import LastLoop, LoopFill
from ringtex.solid.cells.offset_loops import OffsetLoops, convex_between
from ringtex.solid.cells.smooth_fill import SmoothFill
from ringtex.solid.cells.top_splits import split_long_edges
from ringtex.solid.mesh.delaunay_flips import flip_to_delaunay
from ringtex.solid.mesh.strip_triangulation import SideRows, StripMesh, in_one_piece
from ringtex.strip.strip_map import StripMap

THIN = 0.25
"""Height over longest side of a triangle that is thin on a curved top."""

UPRIGHT = 1.0
"""Height of a triangle over the surface's rise along its longest side, under which it stands upright."""

LONGEST = 0.85
"""Fraction of the tolerance that no edge may take in the end: those between unlike rows lean, and are longer than
planned."""

FINER, FINEST = 0.6, 0.3
"""Cells with a longer edge are filled again, planned for so much less; not under FINEST, for cells in the fold of an
edge's own roll. Drafts over DRAFT_CHORD_MM, which only the window draws, plan them for FINEST of it at once: to fill a
few cells again takes as long as to fill all."""

STEP_FRACTION, MIN_FRACTION = 0.8, 0.1
"""Fraction of the height of a steep last step that no edge of the top above it may take, or both would meet; but no
less of the tolerance than the second: cells with steps of 2 micrometres would be filled ever finer."""


def cell_fill(
    strip: StripMap,
    tiling: Tiling,
    loops: OffsetLoops,
    profile: CellProfile,
    rows: SideRows,
    ids: Ints,
    first_id: int,
    chord_mm: float,
    tip_mm: float,
    progress: Progress,
) -> StripMesh:
    """The mesh of all cells inside their last offset loop.

    Cells in which loops of few points would cross are filled again with every corner preserved.

    Parameters:
        strip, tiling, loops, profile: the strip, its cells, their offset loops and profile.
        rows, ids: the points of the last loop and their vertex numbers.
        first_id: number of the first new vertex.
        chord_mm: chord tolerance, mm.
        tip_mm: radius that rounds a peak's tip, mm.
        progress: told how long it will take, where that is long.
    Returns: the new positions, the faces, and the cell of each face.
    """
    all_corners, finer = np.zeros(tiling.cells, dtype=bool), np.ones(tiling.cells)
    last_loop = rows.positions(tiling, loops.corner[:, -1])
    tops = None
    if loops.smooth:
        tops, loops = _smooth_tops(tiling, loops)
    last = LastLoop(tiling, loops, profile, rows, ids, chord_mm)
    # Edges of level tops are split one by one in final meshes (`face_splits.py`).
    later = profile.rise_mm == 0.0 and chord_mm < DRAFT_CHORD_MM
    fraction = _edge_fractions(loops, profile, LONGEST * chord_mm)
    limit_mm = LONGEST * chord_mm * fraction
    while True:
        fill = LoopFill(last, all_corners, finer) if tops is None else SmoothFill(last, all_corners, finer, tops)
        pieces = fill.loops_inwards(first_id, tip_mm, progress)
        parts = ([getattr(part, name) for part in pieces] for name in ("positions", "faces", "cell"))
        mesh = StripMesh(*map(np.concatenate, parts))
        at = np.zeros((first_id + len(mesh.positions), 2))
        at[ids] = last_loop
        at[first_id:] = mesh.positions[:, :2]
        crossing = _crossing_cells(mesh, at)
        coarse = crossing[:0] if later else _coarse_cells(strip, loops, mesh, first_id, at, fill.top_mm, limit_mm)
        coarse = coarse[finer[coarse] > FINEST * fraction[coarse]]
        if loops.level is not None:
            crossing, coarse = (cells[~loops.level[cells]] for cells in (crossing, coarse))
        if np.all(all_corners[crossing]) and len(coarse) == 0:
            return mesh if later else _within_tolerance(fill, mesh, at, first_id)
        all_corners[crossing] = True
        finer[coarse] = np.minimum(_share_when_filled_again(chord_mm) * finer[coarse], fraction[coarse])


def _share_when_filled_again(chord_mm: float) -> float:
    """Of the tolerance that a cell was planned for, what it is planned for next."""
    return FINER if chord_mm <= DRAFT_CHORD_MM else FINEST


def _within_tolerance(fill: LoopFill, mesh: StripMesh, at: Floats, first_id: int) -> StripMesh:
    """Level tops without triangles that stand upright; smooth ones without thin triangles and, but for drafts, without
    edges over the tolerance."""
    if not isinstance(fill, SmoothFill):
        return _without_dips(fill, mesh, at) if fill.level_top else mesh
    mesh = _without_thin_triangles(fill.tiling, mesh, at)
    if fill.chord_mm >= DRAFT_CHORD_MM:
        return mesh
    at = np.column_stack((at, np.zeros(len(at))))
    at[fill.ids, 2] = fill.loops.height[fill.tiling.corner_cell[fill.rows.side], -1]
    at[first_id:, 2] = mesh.positions[:, 2]
    return split_long_edges(fill, mesh, at)


def _smooth_tops(tiling: Tiling, loops: OffsetLoops) -> tuple[SmoothTops, OffsetLoops]:
    """The tops, and the loops with the fill's centres at their summits, so that the depth asked for is met exactly."""
    tops = SmoothTops(tiling, loops.corner[:, -1], loops.alive[:, -1], loops.centre, loops.arc)
    seen = convex_between(tiling, loops.corner[:, -1], tops.summit[tiling.corner_cell])
    sees_all = np.logical_and.reduceat(seen, tiling.cell_start[:-1])
    return tops, replace(loops, centre=np.where(sees_all[:, None], tops.summit, loops.centre))


def _without_thin_triangles(tiling: Tiling, mesh: StripMesh, at: Floats) -> StripMesh:
    """The mesh with Delaunay triangles in cells that have a thin one: on a curved top its normal is far off."""
    mesh, places, longest, doubled = _measured(tiling, mesh, at)
    return _delaunay_in(mesh, places, doubled < THIN * (longest[:, 0] ** 2 + longest[:, 1] ** 2))


def _without_dips(fill: LoopFill, mesh: StripMesh, at: Floats) -> StripMesh:
    """The mesh with Delaunay triangles in cells that have one which is lower than the surface rises over its longest
    side: it stands upright, and may cross the flank beside it. So it is between loops near to each other, where a
    cell's centre is near a wall."""
    tiling, loops = fill.tiling, fill.loops
    mesh, places, longest, doubled = _measured(tiling, mesh, at)
    across = np.minimum.reduceat(loops.across, tiling.cell_start[:-1])[mesh.cell]
    rise = loops.forms.line_sagitta(mesh.cell, longest, fill.top_mm[mesh.cell])
    return _delaunay_in(mesh, places, doubled * across < UPRIGHT * rise * np.hypot(longest[:, 0], longest[:, 1]))


def _measured(tiling: Tiling, mesh: StripMesh, at: Floats) -> tuple[StripMesh, Floats, Floats, Floats]:
    """The mesh without triangles that are none, their corners (m, 3, 2) in one piece, their longest sides (m, 2), and
    twice their areas (m,), all on the strip."""
    a, b, c = mesh.faces.T
    real = (a != b) & (b != c) & (a != c)
    faces = mesh.faces[real]
    places = np.empty((len(faces), 3, 2))
    places[..., 0], places[..., 1] = in_one_piece(at[:, 0][faces], tiling.length), at[:, 1][faces]
    u, v = np.ascontiguousarray(places.transpose(2, 1, 0))
    sides = [(u[b] - u[a], v[b] - v[a]) for a, b in ((0, 1), (1, 2), (2, 0))]
    doubled = sides[0][0] * sides[1][1] - sides[0][1] * sides[1][0]
    longest_u, longest_v = sides[0]
    most = longest_u * longest_u + longest_v * longest_v
    for side_u, side_v in sides[1:]:
        square = side_u * side_u + side_v * side_v
        longer = square > most
        most = np.where(longer, square, most)
        longest_u, longest_v = np.where(longer, side_u, longest_u), np.where(longer, side_v, longest_v)
    longest = np.column_stack((longest_u, longest_v))
    return StripMesh(mesh.positions, faces, mesh.cell[real]), places, longest, doubled


def _delaunay_in(mesh: StripMesh, places: Floats, poor: Bools) -> StripMesh:
    """The mesh with Delaunay triangles in all cells that have a poor one; places (m, 3, 2) are its corners."""
    redone = np.flatnonzero(np.bincount(mesh.cell[poor], minlength=int(mesh.cell.max()) + 1)[mesh.cell])
    mesh.faces[redone] = flip_to_delaunay(places[redone], mesh.faces[redone], mesh.cell[redone])
    return mesh


def _edge_fractions(loops: OffsetLoops, profile: CellProfile, longest_mm: float) -> Floats:
    """(cells,) the fraction of longest_mm that the surface may rise over an edge of the fill: less than 1 where a lower
    step ends in a level top."""
    run, rise = profile.inward_mm[-2:], profile.height_mm[-2:]
    if profile.rise_mm == 0.0 and len(run) == 2 and abs(rise[1] - rise[0]) > run[1] - run[0]:
        step = np.abs(loops.height[:, -1] - loops.height[:, -2])
        return np.where(step > 0.0, np.clip(STEP_FRACTION * step / longest_mm, MIN_FRACTION, 1.0), 1.0)
    return np.ones(len(loops.height))


def _coarse_cells(
    strip: StripMap, loops: OffsetLoops, mesh: StripMesh, first_id: int, at: Floats, top_mm: Floats, longest_mm: Floats
) -> Longs:
    """Cells with an edge over which the surface rises more than longest_mm (cells,); vertices from `first_id` on lie
    inside."""
    start, end = (mesh.faces.T[corners].ravel() for corners in ([0, 1, 2], [1, 2, 0]))
    # Every edge inside the last loop has two triangles, and the same of both.
    once = np.flatnonzero((start < end) | ((start < first_id) & (end < first_id)))
    start, end, cell = start[once], end[once], np.tile(mesh.cell, 3)[once]
    likely = loops.forms.sagitta(cell, at[end] - at[start], top_mm[cell]) > longest_mm[cell]
    cell = cell[likely]
    # The forms are the largest of each cell: only the surface itself tells.
    ends = [at[vertices[likely]] for vertices in (start, end)]
    height = np.maximum(top_mm[cell], 0.0)
    places = (*ends, 0.5 * (ends[0] + ends[1]))
    a, b, middle = (strip.shell_map(each[:, 0], each[:, 1], height) for each in places)
    return np.unique(cell[np.linalg.norm(middle - 0.5 * (a + b), axis=1) > longest_mm[cell]])


def _crossing_cells(mesh: StripMesh, at: Floats) -> Longs:
    """Cells with a triangle that has no area on the strip, or runs clockwise."""
    a, b, c = mesh.faces.T
    real = (a != b) & (b != c) & (a != c)
    first, second = at[b] - at[a], at[c] - at[a]
    turned = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0] <= 0.0
    return sorted_unique(mesh.cell[real & turned])
