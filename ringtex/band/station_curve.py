"""The band's measures round the ring: periodic, curvature-continuous curves that keep within their stations.

Method: the quintic spline of least change of curvature (least integral of the squared third derivative), whose slopes
and second derivatives at the stations are then limited so that every span's control points stay between its two
stations, give or take 1.5 % of their values. A curve lies in the hull of its control points, so it never goes beyond
its stations by more. Slopes and second derivatives are shared by both sides of a station, so limiting keeps the curve
C2, and every step is continuous in the stations' places and values: nothing jumps while one is dragged. Two stations
give, but for 0.1 per cent, a cosine.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats

Numbers = NDArray[Any]

BEYOND_SHARE = 0.015
"""How far a control point may lie beyond its two stations, as a share of their values; 2 % is promised."""
TURN = 2.0 * np.pi


def _to_power_basis() -> Floats:
    """(6, 6) from (y0, m0, c0, y1, m1, c1) on a span of length 1 to the coefficients of 1, t, ... t^5."""
    powers = np.arange(6)
    rows = []
    for t in (0.0, 1.0):
        value = t**powers
        slope = powers * t ** np.maximum(powers - 1, 0)
        second = powers * (powers - 1) * t ** np.maximum(powers - 2, 0)
        rows += [value, slope, second]
    return np.linalg.inv(np.array(rows))


_POWER = _to_power_basis()


def _third_derivative_energy() -> Floats:
    """(6, 6) integral of the squared third derivative over a unit span, a form in (y0, m0, c0, y1, m1, c1)."""
    energy = np.zeros((6, 6))
    for i in range(3, 6):
        for j in range(3, 6):
            factor = i * (i - 1) * (i - 2) * j * (j - 1) * (j - 2)
            energy[i, j] = factor / (i + j - 5)
    form: Floats = _POWER.T @ energy @ _POWER
    return form


_ENERGY = _third_derivative_energy()


class StationCurve:
    """Periodic C2 curves, several quantities at once, through values at angles.

    Parameters: theta_rad, n different angles in any order; values (n, q) > 0.
    Guarantees: interpolates; periodic; two continuous derivatives; between two neighbouring stations within their
    values give or take 2 %; symmetric if the stations are. Evaluates complex angles too (the span is chosen by the
    real part), so that derivatives can be taken by complex steps.
    """

    def __init__(self, theta_rad: Sequence[float] | Floats, values: Floats) -> None:
        turned = np.mod(np.asarray(theta_rad, dtype=float), TURN)
        order = np.argsort(turned)
        self.start: Floats = turned[order]
        self.values: Floats = np.asarray(values, dtype=float)[order]
        self.constant = bool(np.all(self.values == self.values[0]))
        self.coefficients = self._coefficients()

    def _coefficients(self) -> Floats:
        """(n, 6, q) coefficients of powers of (theta - start) / span."""
        y, n = self.values, len(self.start)
        self.span: Floats = np.diff(self.start, append=self.start[0] + TURN)
        if self.constant:
            still = np.zeros((n, 6, y.shape[1]))
            still[:, 0] = y
            return still
        after = np.roll(np.arange(n), -1)
        slope = self._limit_slopes(self._fairest(None)[0])
        second = self._limit_seconds(slope, self._fairest(slope)[1])
        h = self.span[:, None]
        ends = np.stack((y, slope * h, second * h**2, y[after], slope[after] * h, second[after] * h**2), axis=1)
        return np.asarray(np.einsum("pk,nkq->npq", _POWER, ends))

    def _fairest(self, slope: Floats | None) -> tuple[Floats, Floats]:
        """Slopes and second derivatives (n, q) of least change of curvature; given slopes are kept."""
        y, n = self.values, len(self.start)
        form = np.zeros((3 * n, 3 * n))
        for i in range(n):
            h, j = self.span[i], (i + 1) % n
            scale = np.array([1.0, h, h**2, 1.0, h, h**2])
            at = np.array([i, n + i, 2 * n + i, j, n + j, 2 * n + j])
            np.add.at(form, (at[:, None], at[None, :]), _ENERGY * np.outer(scale, scale) / h**5)
        known = y if slope is None else np.concatenate((y, slope))
        k = len(known)
        # Rescaling by the diagonal keeps the system sound when spans differ by orders of magnitude.
        diagonal = np.sqrt(np.diag(form)[k:])
        inner = form[k:, k:] / np.outer(diagonal, diagonal)
        solved = np.linalg.solve(inner, -(form[k:, :k] @ known) / diagonal[:, None]) / diagonal[:, None]
        every = np.concatenate((known, solved))
        return every[n : 2 * n], every[2 * n :]

    def _bounds(self) -> tuple[Floats, Floats]:
        """Lowest and highest control point allowed in each span, (n, q)."""
        y = self.values
        after = np.roll(y, -1, axis=0)
        return (1.0 - BEYOND_SHARE) * np.minimum(y, after), (1.0 + BEYOND_SHARE) * np.maximum(y, after)

    def _limit_slopes(self, slope: Floats) -> Floats:
        # The third control point of a span with no second derivative: y + 2/5 slope span; likewise from its end.
        y, (low, high) = self.values, self._bounds()
        reach = 0.4 * self.span[:, None]
        before = np.roll(np.arange(len(y)), 1)
        top = np.minimum((high - y) / reach, (y - low[before]) / reach[before])
        bottom = np.maximum((low - y) / reach, (y - high[before]) / reach[before])
        return np.clip(slope, bottom, top)

    def _limit_seconds(self, slope: Floats, second: Floats) -> Floats:
        y, (low, high) = self.values, self._bounds()
        h = self.span[:, None]
        before = np.roll(np.arange(len(y)), 1)
        ahead, behind = y + 0.4 * h * slope, y - 0.4 * h[before] * slope
        square, square_before = h**2 / 20.0, h[before] ** 2 / 20.0
        top = np.minimum((high - ahead) / square, (high[before] - behind) / square_before)
        bottom = np.maximum((low - ahead) / square, (low[before] - behind) / square_before)
        return np.clip(second, bottom, top)

    @cached_property
    def _by_quantity(self) -> Floats:
        """(q, 6, n) the coefficients, those of one quantity and power side by side."""
        return np.ascontiguousarray(self.coefficients.T)

    def at(self, theta_rad: Numbers) -> Numbers:
        """Values (..., q) at angles of any shape."""
        theta = np.asarray(theta_rad)
        if self.constant:
            return np.broadcast_to(self.values[0], (*theta.shape, self.values.shape[1]))
        past = np.mod(theta.real - self.start[0], TURN)
        index = np.searchsorted(self.start - self.start[0], past, side="right") - 1
        t = past - (self.start[index] - self.start[0])
        if np.iscomplexobj(theta):
            t = t + 1j * theta.imag
        t = t / self.span[index]
        found = np.empty((self.values.shape[1], *t.shape), dtype=t.dtype)
        # One quantity and one power at a time: a third of the time of gathering all coefficients of each angle.
        for quantity, powers in enumerate(self._by_quantity):
            total = powers[5][index] * t
            for power in range(4, 0, -1):
                total = (total + powers[power][index]) * t
            found[quantity] = total + powers[0][index]
        return np.moveaxis(found, 0, -1)
