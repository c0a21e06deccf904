"""From strip, pattern and relief to the closed mesh of the ring."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import ARC_FRACTION
from ringtex.relief.make_relief import Relief
from ringtex.relief.relief_options import FLANKED
from ringtex.solid.cells.cell_faces import cell_mesh, wall_points
from ringtex.solid.cells.offset_loops import offset_loops
from ringtex.solid.cells.wall_splits import relief_triangles, wall_splits
from ringtex.solid.finishing.cell_outlines import cell_outlines
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid
from ringtex.solid.plain_faces import border_row, make_rail, sides_and_bore
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
    loops = offset_loops(strip, tiling, relief, chord_mm)
    rounded = relief.options.form in FLANKED and relief.options.corner_mm > 0.0
    sagitta_mm = (ROUNDED_SAGITTA if rounded else SHARP_SAGITTA) * chord_mm
    count = wall_splits(tiling, loops, loops.forms, sagitta_mm, chord_mm)
    progress.expect(relief_triangles(count, loops) * SECONDS_A_TRIANGLE)
    progress.check()
    cells = cell_mesh(strip, tiling, loops, relief.profile, count, chord_mm, relief.options.corner_mm)
    progress.check()
    _, wall_ids = wall_points(tiling, count)
    first_id = len(cells.positions)
    lower = make_rail(strip, border_row(tiling, wall_ids, count, False), tiling.lower, 0.0, chord_mm, first_id)
    first_id += len(lower.positions)
    upper = make_rail(strip, border_row(tiling, wall_ids, count, True), tiling.upper, strip.width, chord_mm, first_id)
    positions = np.concatenate((cells.positions, lower.positions, upper.positions))
    closing = sides_and_bore(strip, lower, upper, chord_mm, len(positions))
    progress.check()
    vertices = np.concatenate((strip.shell_map(positions[:, 0], positions[:, 1], positions[:, 2]), closing.vertices))
    groups = [cells.faces, lower.faces, upper.faces, closing.side_faces, closing.bore_faces]
    ends = np.cumsum([len(group) for group in groups]).tolist()
    return RingSolid(
        mesh=RingMesh(vertices, np.concatenate(groups)),
        strip_positions=positions,
        face_ranges={
            "cells": slice(0, ends[0]),
            "rails": slice(ends[0], ends[2]),
            "sides": slice(ends[2], ends[3]),
            "bore": slice(ends[3], ends[4]),
        },
        face_cell=cells.cell,
        shrunk=loops.shrunk,
        cell_depths=relief.options.depth_mm * relief.depth_share,
        loops=loops,
        outlines=cell_outlines(tiling, loops, count, relief) if relief.options.form == "pierced" else None,
    )
