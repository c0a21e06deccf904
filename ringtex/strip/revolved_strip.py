"""The strip of a band of revolution: closed forms across, plain turning round the ring."""

from __future__ import annotations

from functools import cached_property, partial

import numpy as np
from numpy.typing import NDArray

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.strip.arc_length_map import arc_length_rate
from ringtex.strip.conformal_map import conformal_rate
from ringtex.strip.equal_area_map import equal_area_rate
from ringtex.strip.profile_map import PANELS, ProfileMap
from ringtex.strip.strip_map import BandPoints, StripMap
from ringtex.strip.strip_options import Keep

CHUNK = 16384
"""Places mapped at once: their temporaries (about 1 MB) stay in the processor's cache."""

_RATES = {"length": arc_length_rate, "shape": conformal_rate, "area": equal_area_rate}


class RevolvedStrip(StripMap):
    """u is proportional to the angle; v follows dv / ds = 1, length / 2 pi r or 2 pi r / length."""

    def __init__(self, band: Band, keep: Keep) -> None:
        self.band, self.keep = band, keep
        self.length = band.crown_length
        self._turn = 2.0 * np.pi / self.length
        self._rate = partial(_RATES[keep], length=self.length)
        self._profile = ProfileMap(band, self._rate)
        self.width = self._profile.width

    def to_band(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """See `StripMap.to_band`."""
        w = self._profile.spacing.coordinate(v)
        return u * self._turn - np.pi, self._profile.xi_at(w)[0]

    def band_points(self, u: Floats, v: Floats) -> BandPoints:
        """See `StripMap.band_points`."""
        theta, xi = self.to_band(u, v)
        nothing = np.zeros_like(xi)
        xi_v = 1.0 / self._profile.v_slope(xi)
        return BandPoints(theta, xi, np.full_like(xi, self._turn), nothing, nothing, xi_v)

    def from_band(self, theta: Floats, xi: Floats) -> tuple[Floats, Floats]:
        """See `StripMap.from_band`."""
        v = self._profile.spacing.v_of(self._profile.w_of(xi))
        return (theta + np.pi) / self._turn, v

    @cached_property
    def _nodes(self) -> Floats:
        """(4, 2, PANELS + 1): radius, z, the normal's radial and axial part, and the step of each to the next node."""
        xi = self._profile.xi
        r, z, _, _, r_xi, z_xi = self.band.profile_slopes(np.zeros_like(xi), xi)
        size = np.hypot(r_xi, z_xi)
        values = np.stack((r, z, z_xi / size, -r_xi / size))
        return np.stack((values, np.diff(values, axis=1, append=values[:, -1:])), axis=1)

    @cached_property
    def _curvatures(self) -> Floats:
        """(2, PANELS + 1) principal curvatures at the nodes."""
        xi = self._profile.xi
        return np.stack(self.band.curvatures(np.zeros_like(xi), xi))

    def shell_map(self, u: Floats, v: Floats, h: Floats | float) -> Floats:
        """See `StripMap.shell_map`.

        Parameters:
            u, v, h: strip coordinates and height, mm.
        Returns: (n, 3) points, mm.
        """
        u, v, h = (np.ascontiguousarray(given, dtype=float) for given in np.broadcast_arrays(u, v, h))
        places = np.empty((len(u), 3))
        for start in range(0, len(u), CHUNK):
            part = slice(start, start + CHUNK)
            self._shell_part(u[part], v[part], h[part], places[part])
        return places

    def _shell_part(self, u: Floats, v: Floats, h: Floats, out: Floats) -> None:
        place = self._profile.spacing.coordinate(v)
        place *= PANELS
        panel = place.astype(np.int64)
        place -= panel
        radius, z, radial, axial = (place * step.take(panel) + value.take(panel) for value, step in self._nodes)
        radius += h * radial
        # theta = turn - pi, so the direction (-sin theta, cos theta) is (sin turn, -cos turn).
        turn = u * self._turn
        np.multiply(np.sin(turn), radius, out=out[:, 0])
        np.negative(radius, out=radius)
        np.multiply(np.cos(turn), radius, out=out[:, 1])
        np.add(z, h * axial, out=out[:, 2])

    def _locate(self, v: Floats) -> tuple[NDArray[np.int32], Floats]:
        place = self._profile.spacing.coordinate(v) * PANELS
        panel = np.minimum(place.astype(np.int32), PANELS - 1)
        return panel, place - panel

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """See `StripMap.metric`."""
        panel, share = self._locate(np.asarray(v, dtype=float))
        radius = self._nodes[0, 0, panel] + share * self._nodes[0, 1, panel]
        rate = self._rate(radius)
        around = np.square(self._turn * radius)
        return around, np.zeros_like(around), 1.0 / np.square(rate)

    def curvatures(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """See `StripMap.curvatures`."""
        panel, share = self._locate(np.asarray(v, dtype=float))
        k = self._curvatures[:, panel] * (1.0 - share) + self._curvatures[:, panel + 1] * share
        return k[0], k[1]
