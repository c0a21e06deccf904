"""How much metal lies under each place of the outer face."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.make_ring import ShapedRing

Floats = NDArray[np.float64]

_PIECES: Final = 24
"""Straight pieces of half a comfort bore's profile: within 0.001 mm of its curve for a rise of 0.5."""


def metal_under(built: ShapedRing) -> Floats:
    """(k,) distance from each vertex of the outer face to the finger hole, mm, in the plane of the vertex and the axis;
    negative where the relief has gone through."""
    band = built.strip.band
    outer = built.solid.mesh.vertices[: len(built.solid.strip_places)]
    out = np.hypot(outer[:, 0], outer[:, 1]) - band.bore_radius_mm
    z = np.abs(outer[:, 2])
    table = np.linspace(-np.pi, np.pi, 1025)
    half = np.interp(np.arctan2(-outer[:, 0], outer[:, 1]), table, band.half_width(table))
    if band.bore.rise_mm == 0.0:
        return np.asarray(np.copysign(np.hypot(out, np.maximum(z - half, 0.0)), out), dtype=np.float64)
    share = np.linspace(0.0, 1.0, _PIECES + 1)
    rise = band.bore.height_at(share)
    nearest = np.full(len(out), np.inf)
    for start in range(_PIECES):
        run, climb = half * (share[start + 1] - share[start]), rise[start + 1] - rise[start]
        away, up = z - half * share[start], out - rise[start]
        along = np.clip((away * run + up * climb) / (run * run + climb * climb), 0.0, 1.0)
        np.minimum(nearest, np.hypot(away - along * run, up - along * climb), out=nearest)
    through = out < np.interp(np.minimum(z / half, 1.0), share, rise)
    return np.where(through, -nearest, nearest)
