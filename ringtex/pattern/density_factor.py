"""The density that a designer asks for, at places of a strip."""

from __future__ import annotations

from functools import cached_property
from typing import Protocol

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.smooth_curve import SmoothCurve
from ringtex.pattern.density_options import DensityOptions


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


class StripPlaces:
    """Places of a strip, and where they lie on the ring once that is asked for; kept where they are asked of again."""

    def __init__(self, strip: PlacedStrip, u: Floats, v: Floats) -> None:
        self.strip, self.u, self.v = strip, u, v

    @cached_property
    def theta(self) -> Floats:
        """(n,) angles from the head, radians."""
        return self.strip.to_band(self.u, self.v)[0]

    @cached_property
    def points(self) -> Floats:
        """(n, 3) places on the outer face, mm."""
        return self.strip.point(self.u, self.v)


def density_factor(strip: PlacedStrip, options: DensityOptions, u: Floats, v: Floats) -> Floats:
    """How many times as many cells per area are asked for.

    Parameters:
        strip: where the points lie.
        options: the curves and spots.
        u, v: (n,) strip coordinates, mm.
    Returns: (n,) factors.
    """
    return factor_at(StripPlaces(strip, u, v), options)


def factor_at(places: StripPlaces, options: DensityOptions) -> Floats:
    """The same at places that are kept."""
    strip = places.strip
    logs = np.zeros(len(places.u))
    if options.around:
        angles, factors = np.array(options.around).T
        logs += SmoothCurve(angles, np.log(factors), 360.0)(np.rad2deg(places.theta))
    if options.across:
        shares, factors = np.array(options.across).T
        logs += SmoothCurve(shares, np.log(factors))(places.v / strip.width)
    if options.spots:
        at_u, at_v, radii, factors = np.array(options.spots).T
        middles = strip.point(at_u * strip.length, at_v * strip.width)
        for middle, radius, factor in zip(middles, radii, factors, strict=True):
            # Straight through the metal: over a spot's radius as good as along the face, and the same from every side.
            near = np.flatnonzero(np.abs(places.points[:, 0] - middle[0]) < radius)
            near = near[np.abs(places.points[near, 1] - middle[1]) < radius]
            away = np.sum((places.points[near] - middle) ** 2, axis=1) / radius**2
            logs[near] += np.log(factor) * np.maximum(1.0 - away, 0.0) ** 2
    return np.asarray(np.exp(logs), dtype=np.float64)
