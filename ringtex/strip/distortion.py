"""How a map stretches: Tissot's measures (Snyder, USGS PP 1395, ch. 4), here from the strip to the ring."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats


@dataclass(frozen=True, eq=False)
class Distortion:
    """At each place, (n,): what a small figure of the strip becomes on the ring."""

    stretch_max: Floats
    """Largest principal stretch: mm on the ring for 1 mm on the strip."""
    stretch_min: Floats
    """Smallest principal stretch."""
    area: Floats
    """mm2 on the ring for 1 mm2 on the strip."""
    angle_error_deg: Floats
    """Largest change of an angle: omega = 2 asin((a - b) / (a + b)), Snyder (4-1)."""

    @property
    def dilatation(self) -> Floats:
        """stretch_max / stretch_min: 1 where shape is kept."""
        return self.stretch_max / self.stretch_min


def distortion_of(E: Floats, F: Floats, G: Floats) -> Distortion:
    """Tissot's measures from the first fundamental form of the map.

    Parameters:
        E, F, G: d_u . d_u, d_u . d_v and d_v . d_v, each (n,).
    Returns: the measures, (n,) each.
    """
    area = np.sqrt(np.maximum(E * G - F * F, 0.0))
    # (a + b)^2 and (a - b)^2 from the form's trace and determinant; the second as a sum of squares, so nothing cancels.
    both = np.sqrt(E + G + 2.0 * area)
    gap = np.sqrt(np.maximum(((E - G) ** 2 + 4.0 * F * F) / (both * both), 0.0))
    angle = np.rad2deg(2.0 * np.arcsin(np.clip(gap / both, 0.0, 1.0)))
    return Distortion(0.5 * (both + gap), 0.5 * (both - gap), area, angle)
