"""From strip, pattern and relief to the closed mesh of the ring."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import ARC_FRACTION
from ringtex.relief.make_relief import Relief
from ringtex.relief.relief_options import FLANKED
from ringtex.solid.cells.cell_faces import cell_mesh, wall_points
from ringtex.solid.cells.face_splits import split_edges_off_face
from ringtex.solid.cells.ground_faces import folded_cells, with_ground
from ringtex.solid.cells.offset_loops import OffsetLoops, offset_loops
from ringtex.solid.cells.rounded_cells import RoundedCells, rounded_cells
from ringtex.solid.cells.wall_splits import relief_triangles, wall_grading, wall_splits
from ringtex.solid.finishing.cell_outlines import cell_outlines, floor_levels
from ringtex.solid.mesh.ring_mesh import RingSolid
from ringtex.solid.mesh.strip_triangulation import StripMesh, refuse_oversized
from ringtex.solid.plain_faces import border_rows, close_ring
from ringtex.strip.strip_map import StripMap

SECONDS_A_TRIANGLE: Final = 5e-6
"""Processor time of the relief, measured: 0.3e-6 to 1.4e-6 for level tops, up to 14e-6 for long smooth ones."""

ROUNDED_SAGITTA: Final = 1.0 - ARC_FRACTION
"""Fraction of the chord tolerance that the surface may rise over a segment of a wall where the profile is rounded."""

SHARP_SAGITTA: Final = 0.8
"""The same where the profile has no arcs; diagonals to the loops further in are longer than the segments."""

LESS_ROUND: Final = (0.85, 0.6, 0.0)
"""Fractions of its radius that a rounded cell is given, one after the other, while the ground round it folds."""


def build_solid(
    strip: StripMap, tiling: Tiling, relief: Relief, chord_mm: float = FINAL_CHORD_MM, progress: Progress | None = None
) -> RingSolid:
    """The ring as one closed, oriented mesh, welded by index.

    Parameters:
        strip, tiling, relief: those of one ring.
        chord_mm: largest distance between mesh and true surface, mm.
        progress: where cancelling is looked for.
    Returns: the mesh with its regions. Guarantees: closed, oriented, one body, genus 1; seam vertices are shared.
    Raises: Cancelled if progress was cancelled; InputError for a mesh that no memory would hold.
    """
    progress = progress or Progress()
    made = _unfolded_relief(strip, tiling, relief, chord_mm, progress)
    relief_mesh = split_edges_off_face(strip, made.mesh, made.loops.forms, made.loops.smooth, chord_mm)
    _, wall_ids = wall_points(tiling, made.count)
    rows = border_rows(tiling, wall_ids, made.count)
    closed = close_ring(strip, (relief_mesh.positions, relief_mesh.faces), rows, chord_mm)
    progress.check()
    floors = floor_levels(made.loops, made.cells, relief) if relief.options.form == "pierced" else None
    return RingSolid(
        mesh=closed.mesh,
        strip_positions=closed.strip_positions,
        face_ranges=closed.face_ranges,
        face_cell=relief_mesh.cell,
        shrunk=made.loops.shrunk if relief.level is None else made.loops.shrunk & ~relief.level,
        cell_depths=relief.options.depth_mm * relief.depth_share,
        loops=made.loops,
        outlines=None if floors is None else cell_outlines(relief_mesh, made.loops.centre, floors, strip.length),
        rounded=made.rounded,
    )


@dataclass(frozen=True, eq=False)
class _ReliefMesh:
    """The mesh of all cells, and what it was made of: `cells` are the tiling's, or their rounded outlines; counts are
    the segments of the tiling's half-edges and of theirs."""

    mesh: StripMesh
    cells: Tiling
    loops: OffsetLoops
    count: Longs
    inner_count: Longs
    rounded: RoundedCells | None


def _unfolded_relief(
    strip: StripMap, tiling: Tiling, relief: Relief, chord_mm: float, progress: Progress
) -> _ReliefMesh:
    """The mesh of all cells; those that fold the ground round them are tried again less round."""
    fraction = np.ones(tiling.cells) if relief.rounding_share is None else relief.rounding_share.copy()
    began = time.perf_counter()
    made = _relief_mesh(strip, tiling, relief, chord_mm, progress, fraction)
    seconds = time.perf_counter() - began
    for tried, less in enumerate(LESS_ROUND if made.rounded is not None else ()):
        folded = folded_cells(tiling, made.mesh)
        if not len(folded):
            break
        progress.expect(seconds * (len(LESS_ROUND) - tried))
        fraction[folded] = np.minimum(fraction[folded], less)
        made = _relief_mesh(strip, tiling, relief, chord_mm, progress, fraction)
    return made


def _relief_mesh(
    strip: StripMap, tiling: Tiling, relief: Relief, chord_mm: float, progress: Progress, fraction: Floats
) -> _ReliefMesh:
    """The mesh of all cells, rounded in plan where that is asked; fraction (cells,) of its radius that each gets."""
    # At the least: walls of one segment each.
    refuse_oversized(2 * len(tiling.corner_cell) * (len(relief.profile.height_mm) - 1), chord_mm)
    rounded, cells, inner = None, tiling, relief
    if relief.options.rounding > 0.0:
        rounded = rounded_cells(strip, tiling, relief, chord_mm, fraction)
        cells, inner = rounded.outlines, rounded.relief
    loops = offset_loops(strip, cells, inner, chord_mm)
    if rounded is not None:
        loops = replace(loops, arc=rounded.arc, shrunk=loops.shrunk | rounded.ground.shrunk)
    has_arcs = relief.options.form in FLANKED and relief.options.corner_mm > 0.0
    sagitta_mm = (ROUNDED_SAGITTA if has_arcs else SHARP_SAGITTA) * chord_mm
    count = inner_count = wall_splits(cells, loops, sagitta_mm, chord_mm)
    if rounded is not None:
        count = wall_splits(tiling, rounded.ground, sagitta_mm, chord_mm)
    progress.expect(relief_triangles(cells, loops, inner_count, chord_mm) * SECONDS_A_TRIANGLE)
    progress.check()
    grading = wall_grading(cells, loops, inner_count, sagitta_mm, chord_mm)
    tip_mm = relief.options.corner_mm
    mesh = cell_mesh(strip, cells, loops, inner.profile, inner_count, grading, chord_mm, tip_mm, progress)
    if rounded is not None:
        mesh = with_ground(strip, tiling, rounded, (count, inner_count), grading, mesh, chord_mm)
    progress.check()
    return _ReliefMesh(mesh, cells, loops, count, inner_count, rounded)
