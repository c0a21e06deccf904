"""The map between the flat strip and a band's outer face, both ways, with its distortion."""

from __future__ import annotations

from abc import ABC, abstractmethod
from functools import cached_property
from typing import NamedTuple

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.strip.distortion import Distortion, distortion_of
from ringtex.strip.strip_options import Keep


class BandPoints(NamedTuple):
    """Places on the band, (n,) each, with their derivatives by u and v."""

    theta: Floats
    xi: Floats
    theta_u: Floats
    theta_v: Floats
    xi_u: Floats
    xi_v: Floats


class Jacobian(NamedTuple):
    """Places on the outer face, (n, 3) each: point, tangents by u and by v (mm per strip mm), unit outward normal."""

    point: Floats
    d_u: Floats
    d_v: Floats
    normal: Floats


class StripMap(ABC):
    """The strip [0, length) x [0, width], and where each of its places lies on the ring.

    u = 0 is the seam on the palm side and u grows counter-clockwise seen from +z; v runs from the -z edge to the +z
    edge; h is the height over the outer face along its outward normal. u is periodic: any number is taken. v is kept
    inside [0, width]. Places are arrays (n,). Read-only and safe to share between threads.
    """

    band: Band
    keep: Keep
    length: float
    width: float

    @abstractmethod
    def band_points(self, u: Floats, v: Floats) -> BandPoints:
        """Where strip places lie on the band, with derivatives. On the edges the derivatives are those just inside."""

    @abstractmethod
    def to_band(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """theta (radians; a turn more in u is 2 pi more) and xi for strip places; v = 0 and width give -1 and 1."""

    @abstractmethod
    def from_band(self, theta: Floats, xi: Floats) -> tuple[Floats, Floats]:
        """u and v of places on the band: the inverse of `to_band` to 1e-9 mm."""

    @abstractmethod
    def shell_map(self, u: Floats, v: Floats, h: Floats | float) -> Floats:
        """Points over the outer face, along its normals (shell map; Porumbescu et al. 2005), from tables.

        Parameters:
            u, v: (n,) strip coordinates, mm.
            h: height over the outer face, mm.
        Returns: (n, 3) points, mm, within 1e-4 mm of those by `jacobian`.
        """

    @abstractmethod
    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """E, F, G of the outer face in (u, v): squared mm on the ring per squared mm on the strip, from tables."""

    @abstractmethod
    def curvatures(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """Principal curvatures (1/mm), the larger first, positive where convex outwards, from tables."""

    def max_curvature(self, u: Floats, v: Floats) -> Floats:
        """The larger of the two principal curvatures' sizes (1/mm): what a triangle's size must follow."""
        k1, k2 = self.curvatures(u, v)
        return np.maximum(np.abs(k1), np.abs(k2))

    def point(self, u: Floats, v: Floats) -> Floats:
        """(n, 3) places on the outer face."""
        return self.shell_map(u, v, 0.0)

    def frames_on_grid(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """(a, b, 3) places on the outer face at every u (a,) and every v (b,), and (a, b, 3) its normals there."""
        uu, vv = (grid.ravel() for grid in np.meshgrid(u, v, indexing="ij"))
        places = self.point(uu, vv)
        normals = self.shell_map(uu, vv, np.ones(len(uu))) - places
        return places.reshape(len(u), len(v), 3), normals.reshape(len(u), len(v), 3)

    def jacobian(self, u: Floats, v: Floats) -> Jacobian:
        """Places, tangents and normals from the band's own formulas, without tables of places."""
        at = self.band_points(u, v)
        outer = self.band.outer(at.theta, at.xi)
        d_u = outer.d_theta * at.theta_u[:, None] + outer.d_xi * at.xi_u[:, None]
        d_v = outer.d_theta * at.theta_v[:, None] + outer.d_xi * at.xi_v[:, None]
        return Jacobian(outer.point, d_u, d_v, outer.normal)

    def distortion(self, u: Floats, v: Floats) -> Distortion:
        """Principal stretches, area factor and angle error at strip places."""
        _, d_u, d_v, _ = self.jacobian(u, v)
        return distortion_of(np.sum(d_u * d_u, 1), np.sum(d_u * d_v, 1), np.sum(d_v * d_v, 1))

    @cached_property
    def area(self) -> float:
        """Area of the strip, mm2."""
        return self.length * self.width
