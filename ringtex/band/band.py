"""The band as a smooth surface: its outer face, edges and bore at any angle."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringtex.band.band_limits import refuse_unmakeable
from ringtex.band.band_options import BandOptions
from ringtex.band.bore import BoreOptions
from ringtex.band.section_curve import SectionCurve, flat, section_curve
from ringtex.band.station_curve import StationCurve
from ringtex.basics.arrays import Floats
from ringtex.basics.limits import Within, require_within

Numbers = NDArray[Any]

MIN_BORE_MM, MAX_BORE_MM = 4.0, 20.0
"""Bore radius: ISO 8653:1986 runs from 6.5 to 12.1; the rest is room for children's, toe and thumb rings."""

MIN_RISE_MM, MIN_RISE_SHARE = 0.05, 0.007
"""A rounded section that levels out on a varying band keeps about this rise, in mm and as a share of its half-width: a
printer's pixel or so, which no eye can tell from level. With none at all its edges would turn from round to sharp at
one angle, and no smooth face does that."""

_COMPLEX_STEP = 1e-30
_DIFFERENCE = 1e-5
"""Step for second derivatives, as differences of exact first ones: error about 1e-10, rounding about 1e-11."""


_LOOKS = np.linspace(-np.pi, np.pi, 720, endpoint=False)
"""Angles at which a band is looked over as a whole."""


@dataclass(frozen=True)
class OuterFrame:
    """Places on the outer face with their tangents: each (n, 3); d_theta per radian, d_xi per unit of `xi`."""

    point: Floats
    d_theta: Floats
    d_xi: Floats
    normal: Floats
    """Unit, outwards."""


@dataclass(frozen=True)
class Band:
    """A band: bore radius, bore shape, section and stations. Equal options make equal bands (hashable).

    Angles theta are radians from the head (+y), counter-clockwise seen from +z, so the radial direction is
    (-sin theta, cos theta, 0). `xi` in [-1, 1] is the section's parameter from the -z edge to the +z edge, chosen
    so that the face is smooth in it; it is not proportional to z.
    Raises: InputError for what cannot be made.
    """

    bore_radius_mm: float
    bore: BoreOptions
    options: BandOptions

    def __post_init__(self) -> None:
        limits = Within(MIN_BORE_MM, MAX_BORE_MM, "mm", "no finger ring has such a bore")
        require_within(self.bore_radius_mm, limits, "size.value")
        angles = self.options.stations
        refuse_unmakeable(self.options, self.bore, self.bore_radius_mm, self._measures, [s.angle_deg for s in angles])

    @cached_property
    def _measures(self) -> StationCurve:
        """Half-width, height, edge height, fullness round the ring."""
        rows, angles = [], []
        for station in self.options.stations:
            edge = station.height_mm if self.options.section == "flat" else station.edge_height_mm
            row = [station.width_mm / 2.0, station.height_mm, edge, station.fullness]
            turned = station.turned_deg
            mirrored = self.options.mirror and turned not in (0.0, 180.0)
            for angle in (turned, -turned) if mirrored else (turned,):
                angles.append(np.deg2rad(angle))
                rows.append(row)
        return StationCurve(angles, np.array(rows))

    @cached_property
    def section(self) -> SectionCurve:
        """The section in use: a band whose edges are all as high as its crown is flat, whatever it is called."""
        if self._level:
            return SectionCurve(flat, round_edges=False, crease=False)
        return section_curve(self.options.section, float(np.min(self._measures.values[:, 3])))

    @cached_property
    def _level(self) -> bool:
        return bool(np.all(self._measures.values[:, 1] == self._measures.values[:, 2]))

    @cached_property
    def is_revolution(self) -> bool:
        """All stations are equal: the band is a surface of revolution."""
        return self._measures.constant

    @cached_property
    def is_flat(self) -> bool:
        """The outer face is a cylinder."""
        return self.is_revolution and self._level

    @cached_property
    def shortest_change_rad(self) -> float:
        """The shortest turn from a station to a different neighbour; a whole turn on a plain band."""
        changing = np.any(self._measures.values != np.roll(self._measures.values, -1, axis=0), axis=1)
        return float(np.min(self._measures.span[changing], initial=2.0 * np.pi))

    def half_width(self, theta: Floats) -> Floats:
        """Half the width at theta."""
        return np.asarray(self._measures.at(theta)[..., 0])

    def edge_radius(self, theta: Floats) -> Floats:
        """Radius of the outer face at the edges."""
        _, height, rise, _ = self._section_measures(theta)
        return np.asarray(self.bore_radius_mm + height - rise)

    def crown_radius(self, theta: Floats) -> Floats:
        """Radius of the crown line."""
        return self.bore_radius_mm + np.asarray(self._measures.at(theta)[..., 1])

    def bore_radius_at(self, theta: Floats, z: Floats) -> Floats:
        """Radius of the finger hole at theta and z."""
        return self.bore_radius_mm + self.bore.height_at(z / self.half_width(theta))

    @cached_property
    def crown_length(self) -> float:
        """Length of the crown line once round: the strip's length."""
        if self.is_revolution:
            return float(2.0 * np.pi * self.crown_radius(np.zeros(1))[0])
        nodes, weights = np.polynomial.legendre.leggauss(24)
        half = self._measures.span[:, None] / 2.0
        theta = self._measures.start[:, None] + half * (1.0 + nodes)
        height = self._measures.at(theta + 1j * _COMPLEX_STEP)[..., 1]
        speed = np.hypot(self.bore_radius_mm + height.real, height.imag / _COMPLEX_STEP)
        return float(np.sum(half * weights * speed))

    def profile(self, theta: Numbers, xi: Numbers) -> tuple[Numbers, Numbers]:
        """Radius and z of the outer face; complex angles and parameters are taken too."""
        half_width, height, rise, fullness = self._section_measures(theta)
        z, above = self.section.formula(xi, half_width, height - rise, rise, fullness)
        return self.bore_radius_mm + above, z

    def _section_measures(self, theta: Numbers) -> tuple[Numbers, Numbers, Numbers, Numbers]:
        """Half-width, height, rise from edge to crown, fullness."""
        half_width, height, edge, fullness = np.moveaxis(self._measures.at(theta), -1, 0)
        rise = height - edge
        if self._keeps_rise:
            rise = 0.5 * (rise + np.sqrt(rise * rise + 4.0 * _least_rise(half_width) ** 2))
        return half_width, height, rise, fullness

    @cached_property
    def _keeps_rise(self) -> bool:
        """A rounded section that somewhere levels out, on a band that varies."""
        if self.is_revolution or not self.section.round_edges:
            return False
        half_width, height, edge, _ = np.moveaxis(self._measures.at(_LOOKS), -1, 0)
        return bool(np.any(height - edge < 2.0 * _least_rise(half_width)))

    @cached_property
    def least_rise_share(self) -> float:
        """The smallest rise from edge to crown, as a share of the half-width there."""
        half_width, _, rise, _ = self._section_measures(_LOOKS)
        return float(np.min(rise / half_width))

    def profile_slopes(self, theta: Floats, xi: Floats) -> Floats:
        """(6, n): radius, z, their derivatives by theta, and by xi."""
        r, z = self.profile(theta, xi + 1j * _COMPLEX_STEP)
        by_xi = (r.imag / _COMPLEX_STEP, z.imag / _COMPLEX_STEP)
        by_theta = self._by_theta(theta, xi)
        return np.stack(np.broadcast_arrays(r.real, z.real, *by_theta, *by_xi))

    def _by_theta(self, theta: Floats, xi: Floats) -> Floats:
        """(2, n) derivatives of radius and z by theta."""
        if self.is_revolution:
            return np.zeros((2, *np.broadcast_shapes(theta.shape, xi.shape)))
        r, z = self.profile(theta + 1j * _COMPLEX_STEP, xi)
        return np.stack((r.imag, z.imag)) / _COMPLEX_STEP

    def outer(self, theta: Floats, xi: Floats) -> OuterFrame:
        """The outer face at theta and xi, arrays that broadcast to one shape: a grid costs less by its two lines."""
        theta, xi = np.asarray(theta, dtype=float), np.asarray(xi, dtype=float)
        return self.outer_frame(theta, xi, self.profile_slopes(theta, xi))

    def outer_frame(self, theta: Floats, xi: Floats, slopes: Floats) -> OuterFrame:
        """The same where the profile's slopes are known.

        Parameters:
            theta, xi: angles and section parameters that broadcast to one shape.
            slopes: (6, ...) from `profile_slopes`.
        Returns: the outer face there.
        """
        r, z, r_theta, z_theta, r_xi, z_xi = slopes
        lost = np.hypot(r_xi, z_xi) < 1e-7
        if np.any(lost):
            # A half-ellipse without rise stands still at its edges; its tangents there are those just inside.
            each_theta, each_xi = (np.broadcast_to(each, lost.shape)[lost] for each in (theta, xi))
            inside = self.profile_slopes(each_theta, each_xi * (1.0 - 1e-6))
            r_xi, z_xi = r_xi.copy(), z_xi.copy()
            r_xi[lost], z_xi[lost] = inside[4:]
        sine, cosine = np.sin(theta), np.cos(theta)
        radial = np.stack((-sine, cosine, np.zeros_like(sine)), axis=-1)
        ahead = np.stack((-cosine, -sine, np.zeros_like(sine)), axis=-1)
        axial = np.array([0.0, 0.0, 1.0])
        normal = (
            (r * z_xi)[..., None] * radial
            + (z_theta * r_xi - r_theta * z_xi)[..., None] * ahead
            - (r * r_xi)[..., None] * axial
        )
        return OuterFrame(
            point=r[..., None] * radial + z[..., None] * axial,
            d_theta=r_theta[..., None] * radial + r[..., None] * ahead + z_theta[..., None] * axial,
            d_xi=r_xi[..., None] * radial + z_xi[..., None] * axial,
            normal=normal / np.linalg.norm(normal, axis=-1, keepdims=True),
        )

    def curvatures(self, theta: Floats, xi: Floats) -> tuple[Floats, Floats]:
        """Principal curvatures (1/mm), the larger first; positive where the face is convex outwards."""
        theta, xi = np.broadcast_arrays(np.asarray(theta, dtype=float), np.asarray(xi, dtype=float))
        first, second = self._both_orders(theta, xi)
        lost = np.hypot(first[4], first[5]) < 1e-4
        if np.any(lost):
            first[:, lost], second[:, lost] = self._both_orders(theta[lost], xi[lost] * (1.0 - 1e-3))
        return principal_curvatures(first, second)

    def _both_orders(self, theta: Floats, xi: Floats) -> tuple[Floats, Floats]:
        """(6, n) as of `profile_slopes`; (6, n) r and z by theta twice, by theta and xi, by xi twice."""
        step = _DIFFERENCE
        # All parameters at once: what depends on the angle alone is the same for them.
        slopes, beyond, before = np.moveaxis(self.profile_slopes(theta, np.stack((xi, xi + step, xi - step))), 1, 0)
        by_xi = (beyond - before) / (2.0 * step)
        by_theta = (self._by_theta(theta + step, xi) - self._by_theta(theta - step, xi)) / (2.0 * step)
        return slopes, np.concatenate((by_theta, by_xi[2:4], by_xi[4:6]))


def _least_rise(half_width: Numbers) -> Numbers:
    return np.sqrt(MIN_RISE_MM**2 + (MIN_RISE_SHARE * half_width) ** 2)


def principal_curvatures(first: Floats, second: Floats) -> tuple[Floats, Floats]:
    """Principal curvatures of the surface (r(t, a), z(t, a)) in cylindrical coordinates from its derivatives.

    Parameters: first (6, n): r, z, r_t, z_t, r_a, z_a; second (6, n): r_tt, z_tt, r_ta, z_ta, r_aa, z_aa.
    Returns: the larger and the smaller, positive where convex outwards.
    """
    r, _, r_t, z_t, r_a, z_a = first
    r_tt, z_tt, r_ta, z_ta, r_aa, z_aa = second
    normal = np.stack((r * z_a, z_t * r_a - r_t * z_a, -r * r_a))
    normal /= np.sqrt(np.sum(normal * normal, axis=0))
    E, F, G = r_t * r_t + r * r + z_t * z_t, r_t * r_a + z_t * z_a, r_a * r_a + z_a * z_a
    L = -((r_tt - r) * normal[0] + 2.0 * r_t * normal[1] + z_tt * normal[2])
    M = -(r_ta * normal[0] + r_a * normal[1] + z_ta * normal[2])
    N = -(r_aa * normal[0] + z_aa * normal[2])
    determinant = E * G - F * F
    mean = (E * N - 2.0 * F * M + G * L) / (2.0 * determinant)
    gauss = (L * N - M * M) / determinant
    spread = np.sqrt(np.maximum(mean * mean - gauss, 0.0))
    return mean + spread, mean - spread
