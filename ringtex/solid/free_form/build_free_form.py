"""From strip, own motif and relief to the closed mesh of the ring."""

from __future__ import annotations

import numpy as np

from ringtex.basics.progress import Progress
from ringtex.pattern.motif.motif_layout import MotifLayout
from ringtex.relief.make_relief import Relief
from ringtex.solid.free_form.motif_mesh import FreeFormSurface, motif_surface
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid
from ringtex.solid.plain_faces import make_rail, point_row, sides_and_bore
from ringtex.strip.strip_map import StripMap


def build_free_form(
    strip: StripMap, layout: MotifLayout, relief: Relief, chord_mm: float, progress: Progress
) -> RingSolid:
    """The ring as one closed, oriented mesh, welded by index.

    Parameters:
        strip: the strip map.
        layout: the repeats of the motif.
        relief: profile and depths.
        chord_mm: largest distance between mesh and true surface, mm.
        progress: where cancelling is looked for.
    Returns: the mesh with its regions; it has no offset loops, so that the widths of ridges and grooves are not known.
    Raises: Cancelled.
    """
    surface = motif_surface(strip, layout, relief, chord_mm)
    progress.check()
    return closed_ring(strip, surface, layout.part.lower, layout.part.upper, relief, chord_mm)


def closed_ring(
    strip: StripMap, surface: FreeFormSurface, low_v: float, high_v: float, relief: Relief, chord_mm: float
) -> RingSolid:
    """Rails, sides and bore round a relief that is one triangulation.

    Parameters:
        strip: the strip map.
        surface: the relief between the rails.
        low_v, high_v: the borders of the patterned part, mm.
        relief: for the depths of the cells.
        chord_mm: chord tolerance, mm.
    Returns: the closed ring.
    """
    u = surface.positions[:, 0]
    first_id = len(surface.positions)
    rows = [point_row(u[ids], ids, strip.length) for ids in (surface.lower, surface.upper)]
    lower = make_rail(strip, rows[0], low_v, 0.0, chord_mm, first_id)
    first_id += len(lower.positions)
    upper = make_rail(strip, rows[1], high_v, strip.width, chord_mm, first_id)
    positions = np.concatenate((surface.positions, lower.positions, upper.positions))
    closing = sides_and_bore(strip, lower, upper, chord_mm, len(positions))
    vertices = np.concatenate((strip.shell_map(positions[:, 0], positions[:, 1], positions[:, 2]), closing.vertices))
    groups = [surface.faces, lower.faces, upper.faces, closing.side_faces, closing.bore_faces]
    ends = np.cumsum([len(group) for group in groups]).tolist()
    cells = len(relief.depth_share)
    return RingSolid(
        mesh=RingMesh(vertices, np.concatenate(groups)),
        strip_positions=positions,
        face_ranges={
            "cells": slice(0, ends[0]),
            "rails": slice(ends[0], ends[2]),
            "sides": slice(ends[2], ends[3]),
            "bore": slice(ends[3], ends[4]),
        },
        face_cell=surface.cell,
        shrunk=np.zeros(cells, dtype=bool),
        cell_depths=relief.options.depth_mm * relief.depth_share,
    )
