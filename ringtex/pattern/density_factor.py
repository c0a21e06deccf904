"""The density that a designer asks for, at places of a strip."""

from __future__ import annotations

from typing import Protocol

import numpy as np

from ringtex.basics.smooth_curve import SmoothCurve
from ringtex.pattern.density_options import DensityOptions
from ringtex.pattern.tiling import Floats


class PlacedStrip(Protocol):
    """What curves and spots need of the strip, to lie where they are meant on the ring."""

    @property
    def length(self) -> float:
        """Length of one turn, mm."""

    @property
    def width(self) -> float:
        """Width from edge to edge, mm."""

    def to_band(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """Angle from the head, radians, and the place across, of strip places."""

    def point(self, u: Floats, v: Floats) -> Floats:
        """(n, 3) places on the outer face, mm."""


def density_factor(strip: PlacedStrip, options: DensityOptions, u: Floats, v: Floats) -> Floats:
    """(n,) how many times as many cells per area are asked for at strip places (n,), (n,)."""
    logs = np.zeros(len(u))
    if options.around:
        angles, factors = np.array(options.around).T
        theta, _ = strip.to_band(u, v)
        logs += SmoothCurve(angles, np.log(factors), 360.0)(np.rad2deg(theta))
    if options.across:
        shares, factors = np.array(options.across).T
        logs += SmoothCurve(shares, np.log(factors))(v / strip.width)
    if options.spots:
        places = strip.point(u, v)
        for at_u, at_v, radius, factor in options.spots:
            # Straight through the metal: over a spot's radius as good as along the face, and the same from every side.
            middle = strip.point(np.array([at_u * strip.length]), np.array([at_v * strip.width]))
            away = np.sum((places - middle) ** 2, axis=1) / radius**2
            logs += np.log(factor) * np.maximum(1.0 - away, 0.0) ** 2
    return np.asarray(np.exp(logs), dtype=np.float64)
