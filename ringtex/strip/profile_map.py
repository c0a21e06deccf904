"""The map across a band of revolution: v against the section parameter, in closed form by quadrature."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.strip.edge_spacing import EdgeSpacing
from ringtex.strip.flat_grid import GAUSS_NODES, GAUSS_WEIGHTS

PANELS = 4096
"""Nodes of a plain band's tables. Straight between nodes, they keep within 3e-6 mm even on a crown of radius 0.2."""


class ProfileMap:
    """v(xi) = integral of rate(r) ds, and its inverse as a C1 table.

    Parameters: band of revolution; rate, dv / ds as a function of the radius.
    """

    def __init__(self, band: Band, rate: Callable[[Floats], Floats]) -> None:
        self._band, self._rate = band, rate
        nodes = np.linspace(-1.0, 1.0, PANELS + 1)
        v = np.concatenate(([0.0], np.cumsum(self._between(nodes[:-1], nodes[1:]))))
        self.width = float(v[-1])
        self.spacing = EdgeSpacing(self.width, band.section.round_edges)
        self.w = np.linspace(0.0, 1.0, PANELS + 1)
        self.xi = self._inverse(nodes, v)
        # At a round edge both dv/dw and dxi/dw vanish.
        self._slope = self.spacing.slope(self.w) / self.v_slope(self.xi) / PANELS

    def v_slope(self, xi: Floats) -> Floats:
        """dv / d xi."""
        slopes = self._band.profile_slopes(np.zeros(xi.shape), xi)
        return np.asarray(self._rate(slopes[0]) * np.hypot(slopes[4], slopes[5]))

    def _between(self, start: Floats, end: Floats) -> Floats:
        half = (end - start) / 2.0
        places = start[:, None] + half[:, None] * (1.0 + GAUSS_NODES)
        return np.asarray(self.v_slope(places) @ GAUSS_WEIGHTS * half)

    def _inverse(self, nodes: Floats, v: Floats) -> Floats:
        """xi at the even nodes in w, to rounding."""
        wanted = self.spacing.v_of(self.w)
        wanted[-1] = self.width
        panel = np.clip(np.searchsorted(v, wanted, side="right") - 1, 0, PANELS - 1)
        start, end = nodes[panel], nodes[panel + 1]
        xi = start + (end - start) * (wanted - v[panel]) / (v[panel + 1] - v[panel])
        for _ in range(6):
            miss = wanted - v[panel] - self._between(start, xi)
            xi = np.clip(xi + miss / self.v_slope(xi), start, end)
        xi[0], xi[-1] = -1.0, 1.0
        return xi

    def xi_at(self, w: Floats) -> tuple[Floats, Floats]:
        """xi and d xi / dw at w in [0, 1]: a cubic with the exact values and slopes of the nodes."""
        place = w * PANELS
        panel = np.minimum(place.astype(np.int32), PANELS - 1)
        t = place - panel
        y, y_next, m, m_next = self.xi[panel], self.xi[panel + 1], self._slope[panel], self._slope[panel + 1]
        step = y_next - y
        c2, c3 = 3.0 * step - 2.0 * m - m_next, m + m_next - 2.0 * step
        value = np.where(t == 1.0, y_next, y + t * (m + t * (c2 + t * c3)))
        return value, (m + t * (2.0 * c2 + 3.0 * t * c3)) * PANELS

    def w_of(self, xi: Floats) -> Floats:
        """w where the table reaches `xi`, by Newton within its panel."""
        xi = np.clip(xi, -1.0, 1.0)
        panel = np.clip(np.searchsorted(self.xi, xi, side="right") - 1, 0, PANELS - 1)
        low, high = panel / PANELS, (panel + 1) / PANELS
        w = low + (high - low) * (xi - self.xi[panel]) / (self.xi[panel + 1] - self.xi[panel])
        w = np.clip(w, low, high)
        active = np.arange(len(w))
        for _ in range(60):
            value, slope = self.xi_at(w[active])
            step = (xi[active] - value) / np.maximum(slope, 1e-12)
            moved = np.clip(w[active] + step, low[active], high[active])
            change = np.abs(self.spacing.v_of(moved) - self.spacing.v_of(w[active]))
            w[active] = moved
            active = active[change > 1e-13 * self.width]
            if not len(active):
                break
        w = np.where(xi == 1.0, 1.0, np.where(xi == -1.0, 0.0, w))
        return np.asarray(w)
