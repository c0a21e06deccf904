"""How long a triangle's side may be so that the mesh stays within its tolerance of the surface."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.strip.strip_map import StripMap


def chord_length(strip: StripMap, u: Floats, v: Floats, chord_mm: float) -> Floats:
    """Longest triangle side, mm, that keeps within the chord tolerance of the surface at a place."""
    return longest_side(strip.max_curvature(u, v), chord_mm)


def longest_side(curvature: Floats, chord_mm: float, height_mm: Floats | float = 0.0) -> Floats:
    """Longest triangle side, mm at height 0, on a surface of a curvature (1/mm) for what lies up to a height over it.

    A square of side s on a surface of curvature k lies s^2 k / 4 under it along its diagonal. At height h it is
    1 + h k times as long, and the surface that much less bent.
    """
    bend = np.maximum(curvature, 1e-3)
    return np.asarray(np.sqrt(4.0 * chord_mm / (bend * (1.0 + np.maximum(height_mm, 0.0) * bend))))
