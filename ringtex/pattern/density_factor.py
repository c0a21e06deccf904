"""The requested density factor at points of a strip."""

from __future__ import annotations

from functools import cached_property
from typing import Protocol

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.smooth_curve import SmoothCurve
from ringtex.pattern.density_options import DensityOptions


class StripGeometry(Protocol):
    """What curves and spots need of the strip, to lie where they are meant on the ring."""

    @property
    def length(self) -> float:
        """Length of one turn, mm."""

    @property
    def width(self) -> float:
        """Width from edge to edge, mm."""

    def to_band(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """Angle from the head, radians, and the section parameter, of strip points."""

    def point(self, u: Floats, v: Floats) -> Floats:
        """(n, 3) points on the outer face, mm."""


class StripPoints:
    """Places of a strip, and where they lie on the ring computed when first needed."""

    def __init__(self, strip: StripGeometry, u: Floats, v: Floats) -> None:
        self.strip, self.u, self.v = strip, u, v

    @cached_property
    def theta(self) -> Floats:
        """(n,) angles from the head, radians."""
        return self.strip.to_band(self.u, self.v)[0]

    @cached_property
    def points(self) -> Floats:
        """(n, 3) points on the outer face, mm."""
        return self.strip.point(self.u, self.v)


def density_factor(strip: StripGeometry, options: DensityOptions, u: Floats, v: Floats) -> Floats:
    """How many times as many cells per area are requested.

    Parameters:
        strip: where the points lie.
        options: the curves and spots.
        u, v: (n,) strip coordinates, mm.
    Returns: (n,) factors.
    """
    return factor_at(StripPoints(strip, u, v), options)


def factor_at(points: StripPoints, options: DensityOptions) -> Floats:
    """(n,) the factors at points whose positions on the ring are cached."""
    strip = points.strip
    logs = np.zeros(len(points.u))
    if options.around:
        angles, factors = np.array(options.around).T
        logs += SmoothCurve(angles, np.log(factors), 360.0)(np.rad2deg(points.theta))
    if options.across:
        fractions, factors = np.array(options.across).T
        logs += SmoothCurve(fractions, np.log(factors))(points.v / strip.width)
    if options.spots:
        at_u, at_v, radii, factors = np.array(options.spots).T
        middles = strip.point(at_u * strip.length, at_v * strip.width)
        for middle, radius, factor in zip(middles, radii, factors, strict=True):
            # Straight through the metal: over a spot's radius as good as along the face, and the same from every side.
            near = np.flatnonzero(np.abs(points.points[:, 0] - middle[0]) < radius)
            near = near[np.abs(points.points[near, 1] - middle[1]) < radius]
            away = np.sum((points.points[near] - middle) ** 2, axis=1) / radius**2
            logs[near] += np.log(factor) * np.maximum(1.0 - away, 0.0) ** 2
    return np.asarray(np.exp(logs), dtype=np.float64)
