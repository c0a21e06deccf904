"""The wrap that lets a texture crowd: u by angle, v by share of the width. Kept to compare with, not to design on."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.strip.strip_map import BandPoints, StripMap

NEWTON_STEPS: Final = 12
"""The start is exact on half-ellipses; others need four or five."""

INSIDE: Final = 1.0 - 1e-3
"""Slopes at an upright edge are infinite; those taken there are from just inside it."""

LOOKS: Final = 720


class NaiveWrap(StripMap):
    """A strip as long as the crown line and as wide as the band is on average, laid on by angle and width.

    Exact, without tables, so slower than others. At round edges, where the face stands upright, it stretches beyond all
    bounds: that is what it is there to show.
    """

    def __init__(self, band: Band) -> None:
        self.band, self.keep = band, "length"
        self.length = band.crown_length
        angles = np.linspace(-np.pi, np.pi, LOOKS, endpoint=False)
        self.width = 2.0 * float(np.mean(band.half_width(angles)))
        self._turn = 2.0 * np.pi / self.length

    def to_band(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """See `StripMap.to_band`."""
        theta = u * self._turn - np.pi
        share = np.clip(2.0 * v / self.width - 1.0, -1.0, 1.0)
        half = self.band.half_width(theta)
        xi = np.arcsin(share) * (2.0 / np.pi) if self.band.section.round_edges else share.copy()
        for _ in range(NEWTON_STEPS):
            slopes = self.band.profile_slopes(theta, xi)
            miss = slopes[1] / half - share
            if np.max(np.abs(miss), initial=0.0) < 1e-13:
                break
            step = miss * half / np.maximum(slopes[5], 1e-3 * half)
            xi = np.clip(xi - np.clip(step, -0.2, 0.2), -1.0, 1.0)
        return theta, np.where(np.abs(share) == 1.0, share, xi)

    def from_band(self, theta: Floats, xi: Floats) -> tuple[Floats, Floats]:
        """See `StripMap.from_band`."""
        _, z = self.band.profile(theta, xi)
        share = z / self.band.half_width(theta)
        return (theta + np.pi) / self._turn, np.asarray(0.5 * self.width * (share + 1.0), dtype=np.float64)

    def band_points(self, u: Floats, v: Floats) -> BandPoints:
        """See `StripMap.band_points`."""
        theta, xi = self.to_band(u, v)
        inside = np.clip(xi, -INSIDE, INSIDE) if self.band.section.round_edges else xi
        slopes = self.band.profile_slopes(theta, inside)
        half = self.band.half_width(theta)
        step = 1e-5
        by_theta = (self.band.half_width(theta + step) - self.band.half_width(theta - step)) / (2.0 * step)
        xi_u = (by_theta * slopes[1] / half - slopes[3]) / slopes[5] * self._turn
        turn = np.full(len(theta), self._turn)
        return BandPoints(theta, xi, turn, np.zeros(len(theta)), xi_u, 2.0 * half / self.width / slopes[5])

    def shell_map(self, u: Floats, v: Floats, h: Floats | float) -> Floats:
        """See `StripMap.shell_map`; here exact.

        Parameters:
            u, v, h: strip coordinates and height, mm.
        Returns: (n, 3) points, mm.
        """
        outer = self.band.outer(*self.to_band(u, v))
        height = np.broadcast_to(np.asarray(h, dtype=np.float64), u.shape)
        return np.asarray(outer.point + height[:, None] * outer.normal, dtype=np.float64)

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """See `StripMap.metric`; here exact."""
        _, d_u, d_v, _ = self.jacobian(u, v)
        return np.sum(d_u * d_u, axis=1), np.sum(d_u * d_v, axis=1), np.sum(d_v * d_v, axis=1)

    def curvatures(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """See `StripMap.curvatures`; here exact."""
        return self.band.curvatures(*self.to_band(u, v))
