"""The relief of an own grey picture: a height field over the strip, as few triangles as the tolerance allows."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.pattern.picture.picture_layout import PictureLayout
from ringtex.relief.make_relief import Relief
from ringtex.relief.relief_options import SUNKEN
from ringtex.solid.free_form.cell_depths import depth_fractions
from ringtex.solid.free_form.motif_mesh import FreeFormSurface
from ringtex.solid.free_form.restricted_mesh import needed_nodes, triangulated
from ringtex.solid.mesh.chord_length import second_form
from ringtex.solid.mesh.strip_triangulation import in_one_piece
from ringtex.strip.strip_map import StripMap

HEIGHT_FRACTION: Final = 0.6
"""Of the chord tolerance for heights at the grid's nodes; the rest is for the face below and between the nodes."""

FACE_FRACTION: Final = 0.3
"""Of the chord tolerance for the band's own face."""

STEP_OVER_ROOT: Final = 0.35
"""Step of the grid over the root of the chord tolerance, both in mm: 0.025 in a finished ring, 0.05 in a draft."""

BLOCK: Final = 32
"""Steps along the side of the largest squares."""

MAX_NODES: Final = 4_000_000
"""Of the grid: some 300 MB. Wider steps are taken for larger strips."""

FORM_COLUMNS, FORM_ROWS = 48, 64
"""Places where the face's curvature is looked at."""


def picture_surface(strip: StripMap, layout: PictureLayout, relief: Relief, chord_mm: float) -> FreeFormSurface:
    """Triangulate the strip between its rails.

    The surface that the mesh follows is `PictureLayout.height_fraction` times the relief's depth, cut off by flanks
    that rise from height 0 at both borders, so that the rails stay level. It is looked at at the nodes of a grid.

    Parameters:
        strip: the strip map.
        layout: the repeats of the picture.
        relief: depth of each cell of the grid of cells; flank.
        chord_mm: chord tolerance, mm.
    Returns: the relief, closed round the ring by index.
    """
    columns, rows = _counts(layout, chord_mm)
    part = layout.part
    u: Floats = np.arange(columns, dtype=np.float64) * (part.length / columns)
    v: Floats = part.lower + np.arange(rows + 1, dtype=np.float64) * (part.width / rows)
    v[-1] = part.upper
    height = picture_heights(strip, layout, relief, u, v)
    limits = HEIGHT_FRACTION * chord_mm, FACE_FRACTION * chord_mm
    needed = needed_nodes(height, _sagitta(strip, u, v), BLOCK, limits)
    mesh = triangulated(needed, BLOCK)
    i, j = mesh.nodes.T
    positions = np.column_stack((u[i], v[j], height[i, j]))
    corners = positions[mesh.faces, :2]
    corners[..., 0] = in_one_piece(corners[..., 0], part.length)
    cell = layout.cells_at(corners.mean(axis=1)).astype(np.int32)
    lower, upper = (np.flatnonzero(j == level).astype(np.int32) for level in (0, rows))
    return FreeFormSurface(positions, mesh.faces, cell, lower, upper)


def picture_heights(strip: StripMap, layout: PictureLayout, relief: Relief, u: Floats, v: Floats) -> Floats:
    """Heights over the band's face.

    Parameters:
        strip: the strip map, which says how steep the flanks at the borders are.
        layout: the repeats of the picture.
        relief: depths and flank.
        u, v: (columns,) and (rows,) of a grid, mm.
    Returns: (columns, rows), mm; 0 on both borders.
    """
    uu, vv = (each.ravel() for each in np.meshgrid(u, v, indexing="ij"))
    fraction = layout.height_fraction(uu, vv)
    sunken = relief.options.form in SUNKEN
    height = (
        relief.options.depth_mm * (1.0 - fraction if sunken else fraction) * depth_fractions(layout, relief, uu, vv)
    )
    part = layout.part
    scale = np.sqrt(strip.metric(uu, vv)[2])
    from_border = np.minimum(vv - part.lower, part.upper - vv) * scale
    steepest = from_border * math.tan(math.radians(relief.options.flank_deg))
    height = np.sign(height) * np.minimum(np.abs(height), steepest)
    return np.asarray(-height if sunken else height).reshape(len(u), len(v))


def _counts(layout: PictureLayout, chord_mm: float) -> tuple[int, int]:
    """Steps of the grid round the ring and across it, multiples of a block."""
    part = layout.part
    step = STEP_OVER_ROOT * math.sqrt(chord_mm)
    step = max(step, math.sqrt(part.length * part.width / MAX_NODES))
    return tuple(BLOCK * math.ceil(size / step / BLOCK) for size in (part.length, part.width))  # type: ignore[return-value]


def _sagitta(strip: StripMap, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
    """(columns, rows) how far the face rises over an edge of one step along u, along v and over a diagonal, mm."""
    at_u = np.arange(FORM_COLUMNS) * (strip.length / FORM_COLUMNS)
    at_v = np.linspace(v[0], v[-1], FORM_ROWS)
    uu, vv = (each.ravel() for each in np.meshgrid(at_u, at_v, indexing="ij"))
    uu_form, uv_form, vv_form = np.abs(second_form(strip, uu, vv)[:3]).reshape(3, FORM_COLUMNS, FORM_ROWS)
    du, dv = u[1] - u[0], v[1] - v[0]
    column = np.arange(len(u)) * FORM_COLUMNS // len(u)
    row = np.arange(len(v)) * (FORM_ROWS - 1) // len(v)
    forms = uu_form * du * du / 8.0, vv_form * dv * dv / 8.0
    diagonal = forms[0] + forms[1] + uv_form * du * dv / 4.0
    return tuple(_larger(each)[np.ix_(column, row)] for each in (*forms, diagonal))  # type: ignore[return-value]


def _larger(values: Floats) -> Floats:
    """(columns, rows - 1) the largest of the four samples round each rectangle."""
    pairs = np.maximum(values, np.roll(values, -1, axis=0))
    return np.asarray(np.maximum(pairs[:, :-1], pairs[:, 1:]))
