"""From strip, pattern and relief to the closed mesh of the ring."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import ARC_FRACTION
from ringtex.relief.make_relief import Relief
from ringtex.relief.relief_options import FLANKED
from ringtex.solid.cells.cell_faces import cell_mesh, wall_points
from ringtex.solid.cells.ground_faces import with_ground
from ringtex.solid.cells.offset_loops import offset_loops
from ringtex.solid.cells.rounded_cells import rounded_cells
from ringtex.solid.cells.wall_splits import relief_triangles, wall_splits
from ringtex.solid.finishing.cell_outlines import cell_outlines
from ringtex.solid.mesh.ring_mesh import RingSolid
from ringtex.solid.plain_faces import border_row, close_ring
from ringtex.strip.strip_map import StripMap

SECONDS_A_TRIANGLE: Final = 5e-6
"""Processor time of the relief, measured: 0.3e-6 to 1.4e-6 for level tops, up to 14e-6 for long smooth ones."""

ROUNDED_SAGITTA: Final = 1.0 - ARC_FRACTION
"""Fraction of the chord tolerance that the surface may rise over a segment of a wall where the profile is rounded."""

SHARP_SAGITTA: Final = 0.8
"""The same where the profile has no arcs; diagonals to the loops further in are longer than the segments."""


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
    rounded, cells, inner = None, tiling, relief
    if relief.options.rounding > 0.0:
        rounded = rounded_cells(strip, tiling, relief, chord_mm)
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
    mesh = cell_mesh(strip, cells, loops, inner.profile, inner_count, chord_mm, relief.options.corner_mm)
    if rounded is not None:
        mesh = with_ground(strip, tiling, rounded, (count, inner_count), mesh, chord_mm)
    progress.check()
    _, wall_ids = wall_points(tiling, count)
    rows = border_row(tiling, wall_ids, count, False), border_row(tiling, wall_ids, count, True)
    closed = close_ring(strip, (mesh.positions, mesh.faces), rows, (tiling.lower, tiling.upper), chord_mm)
    progress.check()
    return RingSolid(
        mesh=closed.mesh,
        strip_positions=closed.strip_positions,
        face_ranges=closed.face_ranges,
        face_cell=mesh.cell,
        shrunk=loops.shrunk,
        cell_depths=relief.options.depth_mm * relief.depth_share,
        loops=loops,
        outlines=cell_outlines(cells, loops, inner_count, relief) if relief.options.form == "pierced" else None,
        rounded=rounded,
    )
