"""The strip drawn in true size: its real width at every angle, so that equal cells look equal.

x is the arc length along the crown line, from the seam; y is the arc length across, along the profile at that angle,
from the crown line, lifted so that the lowest edge lies at y = 0. Lengths along the crown line and along every line
across are the ring's own. The map is one-to-one; its inverse reads the same two tables the other way.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.caches import cached
from ringtex.strip.strip_map import StripMap

ALONG: Final = 1024
"""Panels of the crown line's table."""
AROUND: Final = 256
ACROSS: Final = 96
"""Panels of the profiles' table; straight between nodes it keeps within 2e-3 mm on the demo rings, a fifth of a pixel
at 100 pixels a millimetre."""
CACHE_SIZE: Final = 8
"""As many as unwrapped bands are cached; each takes a quarter of a megabyte."""

_GAUSS, _WEIGHT = np.polynomial.legendre.leggauss(2)


class CrownLine:
    """The crown line: the angle, the arc length from the seam and the strip's u at each of its points.

    length: once round, mm. Arguments of any turn are taken.
    """

    def __init__(self, strip: StripMap) -> None:
        self._theta = np.linspace(-np.pi, np.pi, ALONG + 1)
        self._along = _arc_along(strip.band, self._theta)
        self.length = float(self._along[-1])
        u, _ = strip.from_band(self._theta, np.zeros_like(self._theta))
        u[0], u[-1] = 0.0, strip.length
        self._u = np.maximum.accumulate(u)

    def length_at(self, theta: Floats) -> Floats:
        """(n,) arc length, mm, of angles, radians."""
        turn = np.floor((theta + np.pi) / (2.0 * np.pi))
        return np.asarray(np.interp(theta - 2.0 * np.pi * turn, self._theta, self._along) + turn * self.length)

    def angle_at(self, length: Floats) -> Floats:
        """(n,) angle, radians, of arc lengths, mm: the inverse of `length_at`."""
        turn = np.floor(length / self.length)
        return np.asarray(np.interp(length - turn * self.length, self._along, self._theta) + 2.0 * np.pi * turn)

    def u_at(self, length: Floats) -> Floats:
        """(n,) u, mm, of arc lengths, mm."""
        turn = np.floor(length / self.length)
        return np.asarray(np.interp(length - turn * self.length, self._along, self._u) + turn * float(self._u[-1]))


class TrueSize:
    """The map between the strip's (u, v) and the true-size drawing's (x, y), both ways.

    length, height  of the drawing, mm: one turn, and from the lowest to the highest edge.
    crown_y         y of the crown line.
    u and x are periodic: any number of turns is taken.
    """

    def __init__(self, strip: StripMap) -> None:
        self.strip = strip
        band = strip.band
        self.crown = crown_line(strip)
        self.length = self.crown.length
        self._rows = _arcs_across(band, np.linspace(-np.pi, np.pi, 1 if band.is_revolution else AROUND + 1))
        low, high = float(self._rows[:, 0].min()), float(self._rows[:, -1].max())
        self._rows -= low
        self.crown_y = -low
        self.height = high - low

    def to_plane(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """(n,) x and (n,) y, mm, of strip positions; beyond an edge y goes on as v does."""
        held = np.clip(v, 0.0, self.strip.width)
        theta, across = self.strip.to_band(u, held)
        return self.crown.length_at(theta), self._y(theta, across) + (v - held)

    def to_strip(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """(n,) u and (n,) v, mm, of positions on the drawing: the inverse of `to_plane`."""
        theta = self.crown.angle_at(x)
        row, after, share = self._between(theta)
        bottom, top = ((1.0 - share) * self._rows[row, end] + share * self._rows[after, end] for end in (0, -1))
        held = np.clip(y, bottom, top)
        u, v = self.strip.from_band(theta, self._across(row, after, share, held))
        return u, v + (y - held)

    def _between(self, theta: Floats) -> tuple[Longs, Longs, Floats]:
        """The table rows on both sides of an angle, and the share of the second."""
        if len(self._rows) == 1:
            zero = np.zeros(len(theta), dtype=np.int64)
            return zero, zero, np.zeros(len(theta))
        place = (theta / (2.0 * np.pi) + 0.5) % 1.0 * AROUND
        row = np.minimum(place.astype(np.int64), AROUND - 1)
        return row, row + 1, place - row

    def _y(self, theta: Floats, across: Floats) -> Floats:
        row, after, share = self._between(theta)
        place = np.arccos(np.clip(-across, -1.0, 1.0)) * (ACROSS / np.pi)
        node = np.minimum(place.astype(np.int64), ACROSS - 1)
        part = place - node
        first = self._rows[row, node] * (1.0 - part) + self._rows[row, node + 1] * part
        second = self._rows[after, node] * (1.0 - part) + self._rows[after, node + 1] * part
        return np.asarray(first + share * (second - first))

    def _across(self, row: Longs, after: Longs, share: Floats, y: Floats) -> Floats:
        """xi at heights y, by bisection of the mixed table row and a straight step in its panel."""
        low, high = np.zeros(len(y), dtype=np.int64), np.full(len(y), ACROSS, dtype=np.int64)
        for _ in range(int(np.ceil(np.log2(ACROSS)))):
            middle = (low + high) // 2
            above = (1.0 - share) * self._rows[row, middle] + share * self._rows[after, middle] <= y
            low, high = np.where(above, middle, low), np.where(above, high, middle)
        start, end = ((1.0 - share) * self._rows[row, k] + share * self._rows[after, k] for k in (low, low + 1))
        part = np.clip((y - start) / np.maximum(end - start, 1e-12), 0.0, 1.0)
        return np.asarray(-np.cos((low + part) * (np.pi / ACROSS)))


@cached(CACHE_SIZE)
def crown_line(strip: StripMap) -> CrownLine:
    """The crown line of a strip; the last few are cached."""
    return CrownLine(strip)


@cached(CACHE_SIZE)
def true_size(strip: StripMap) -> TrueSize:
    """The true-size drawing of a strip; the last few are cached."""
    return TrueSize(strip)


def _arc_along(band: Band, theta: NDArray[np.float64]) -> Floats:
    """(n,) arc length of the crown line from the first angle to each, mm, by Gauss quadrature in each panel."""
    half = 0.5 * np.diff(theta)
    at = (theta[:-1] + half)[:, None] + half[:, None] * _GAUSS
    speed = np.linalg.norm(band.outer(at.ravel(), np.zeros(at.size)).d_theta, axis=1).reshape(at.shape)
    return np.concatenate(([0.0], np.cumsum(speed @ _WEIGHT * half)))


def _arcs_across(band: Band, theta: Floats) -> Floats:
    """(n, ACROSS + 1) arc length of each profile from the crown to nodes even in the angle whose cosine is -across.

    At the edge of a half-ellipse the profile runs like the square root of the section parameter, and smoothly in
    this angle.
    """
    node = np.linspace(0.0, np.pi, ACROSS + 1)
    half = 0.5 * np.diff(node)
    at = ((node[:-1] + half)[:, None] + half[:, None] * _GAUSS).ravel()
    around, across = np.repeat(theta, at.size), np.tile(-np.cos(at), len(theta))
    slopes = band.profile_slopes(around, across)
    speed = (np.hypot(slopes[4], slopes[5]) * np.tile(np.sin(at), len(theta))).reshape(len(theta), ACROSS, -1)
    arc = np.cumsum(speed @ _WEIGHT * half, axis=1)
    rows = np.concatenate((np.zeros((len(theta), 1)), arc), axis=1)
    return np.asarray(rows - rows[:, ACROSS // 2 : ACROSS // 2 + 1])


def length_on_ring(strip: StripMap, start: tuple[float, float], end: tuple[float, float]) -> float:
    """Length on the ring, mm, of the straight line between two positions (u, v) of the strip.

    Parameters:
        strip: the strip map of the band.
        start: (u, v) of one end, mm.
        end: (u, v) of the other, mm.
    Returns: the sum of 32 chords on the outer face.
    """
    share = np.linspace(0.0, 1.0, 33)
    points = strip.point(start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
    return float(np.sum(np.linalg.norm(np.diff(points, axis=0), axis=1)))
