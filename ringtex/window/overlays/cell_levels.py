"""How bad it is with each cell: the limits of the making process, cell by cell."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Longs
from ringtex.checks.finding import Level
from ringtex.checks.geometry.cell_widths import cell_widths
from ringtex.checks.making.detail import POINTED, RIDGE_AT_WALL
from ringtex.checks.making.making_limits import Limit
from ringtex.make_ring import ShapedRing
from ringtex.window.overlays.wall_thickness import metal_over_bore

LEVEL_NUMBER: Final = {Level.NOTE: 1, Level.WARNING: 2, Level.ERROR: 3}
LEVEL_WORDS: Final = ("nothing found", "note", "warning", "error")

_SLACK_MM: Final = 1e-6
"""Rounding on a limit itself is forgiven, as in the checks."""


def cell_levels(built: ShapedRing, metal: Floats) -> Longs:
    """(cells,) 0 nothing, 1 note, 2 warning, 3 error: the worst of ridge, groove, metal and of being shrunk.

    metal: what `metal_over_bore` gives.
    """
    solid, limits = built.solid, built.design.make.making_limits
    form = built.design.relief.form
    widths = cell_widths(built.strip, built.pattern.tiling, solid)
    at_wall = widths.narrowest_walls
    inside = np.full(len(at_wall), np.inf) if form in POINTED else _real(widths.inside)
    ridge, groove = (at_wall, inside) if form in RIDGE_AT_WALL else (inside, at_wall)
    worst = np.where(solid.shrunk, LEVEL_NUMBER[Level.WARNING], 0).astype(np.int64)
    over_bore = least_metal(built, metal if built.finished.hollow is None else metal_over_bore(built))
    least = least_metal(built, metal)
    wall = np.where(least < over_bore - _SLACK_MM, least, np.inf)
    for measured, limit in (
        (ridge, limits.ridge_mm),
        (groove, limits.groove_mm),
        (over_bore, limits.metal_mm),
        (wall, limits.hollow_wall_mm),
    ):
        worst = np.maximum(worst, _judged(measured, limit))
    return worst


def least_metal(built: ShapedRing, metal: Floats) -> Floats:
    """(cells,) the least metal under each cell, mm; NaN where nothing is left of a cell. metal: as above."""
    solid, finished = built.solid, built.finished
    cells = solid.face_ranges["cells"]
    own = np.flatnonzero(
        (finished.original_id == 0) & (finished.face_id >= cells.start) & (finished.face_id < cells.stop)
    )
    thin = np.fmin.reduce(metal[finished.mesh.faces[own]], axis=1)
    least = np.full(built.pattern.tiling.cells, np.inf)
    np.fmin.at(least, solid.face_cell[finished.face_id[own] - cells.start], thin)
    return np.where(np.isfinite(least), least, np.nan)


def _real(widths: Floats) -> Floats:
    """Widths, infinite where there is none to judge."""
    return np.where(np.isfinite(widths) & (widths > 0.0), widths, np.inf)


def _judged(measured: Floats, limit: Limit) -> Longs:
    level = np.where(measured < limit.near - _SLACK_MM, LEVEL_NUMBER[Level.WARNING], 0)
    return np.where(measured < limit.least - _SLACK_MM, LEVEL_NUMBER[Level.ERROR], level).astype(np.int64)
