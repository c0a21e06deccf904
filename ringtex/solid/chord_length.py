"""How long a triangle's side may be so that the mesh stays within its tolerance of the surface."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringtex.strip.strip_map import StripMap

Floats = NDArray[np.float64]


def chord_length(strip: StripMap, u: Floats, v: Floats, chord_mm: float) -> Floats:
    """Longest triangle side, mm, that keeps within the chord tolerance of the surface at a place.

    A square of side s on a surface of curvature k lies s^2 k / 4 under it along its diagonal.
    """
    return np.sqrt(4.0 * chord_mm / np.maximum(strip.max_curvature(u, v), 1e-3))
