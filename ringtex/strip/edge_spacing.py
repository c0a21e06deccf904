"""Where a strip's tables have their nodes across: v as a smooth function of a table coordinate w in [0, 1]."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Floats


class EdgeSpacing:
    """v = width * share(w), increasing, from 0 to width.

    Parameters: clustered: share = (1 - cos(pi w)) / 2, else w. Towards the edge of a half-ellipse the section parameter
    runs like the square root of v where the rise is low, and smoothly in w.
    density (n + 1,), optional: nodes wanted per unit of w at even places; w is then stretched to give them even room.
    """

    def __init__(self, width: float, clustered: bool, density: Floats | None = None) -> None:
        self.width = width
        self.clustered = clustered
        self._stretch = None if density is None else _Stretch(density)

    def coordinate(self, v: Floats) -> Floats:
        """w for v, which is kept inside [0, width]."""
        share = np.clip(v / self.width, 0.0, 1.0)
        w = np.arccos(1.0 - 2.0 * share) / np.pi if self.clustered else share
        return np.asarray(w if self._stretch is None else self._stretch.at(w)[0])

    def v_of(self, w: Floats) -> Floats:
        """v for w."""
        if self._stretch is not None:
            w = self._stretch.inverse(w)
        share = np.square(np.sin(w * (np.pi / 2.0))) if self.clustered else w
        return np.asarray(self.width * share)

    def slope(self, w: Floats) -> Floats:
        """dv / dw."""
        rate: Floats = np.ones_like(w)
        if self._stretch is not None:
            w = self._stretch.inverse(w)
            rate = 1.0 / self._stretch.at(w)[1]
        if self.clustered:
            rate = rate * (np.pi / 2.0) * np.sin(np.pi * w)
        return np.asarray(self.width * rate)


class _Stretch:
    """An increasing C1 map of [0, 1] onto itself with a given density, and its inverse by Newton."""

    def __init__(self, density: Floats) -> None:
        self._cells = len(density) - 1
        # The integral of the density by Simpson-like end correction would gain nothing: it only has to be smooth.
        total = np.concatenate(([0.0], np.cumsum(0.5 * (density[1:] + density[:-1]))))
        y, slope = total / total[-1], density / total[-1]
        step = np.diff(y)
        c2 = 3.0 * step - 2.0 * slope[:-1] - slope[1:]
        c3 = slope[:-1] + slope[1:] - 2.0 * step
        self._y = y
        self._rows = np.ascontiguousarray(np.stack((y[:-1], slope[:-1], c2, c3), axis=1))

    def at(self, x: Floats) -> tuple[Floats, Floats]:
        """Value and slope at x in [0, 1]."""
        place = x * self._cells
        cell = np.minimum(place.astype(np.int32), self._cells - 1)
        place -= cell
        y, c1, c2, c3 = self._rows.take(cell, axis=0).T
        value = y + place * (c1 + place * (c2 + place * c3))
        return np.where(x >= 1.0, 1.0, value), (c1 + place * (2.0 * c2 + 3.0 * place * c3)) * self._cells

    def inverse(self, y: Floats) -> Floats:
        """x with value y."""
        even = np.arange(self._cells + 1) / self._cells
        x = np.interp(y, self._y, even)
        for _ in range(4):
            value, slope = self.at(x)
            x = np.clip(x + (y - value) / slope, 0.0, 1.0)
        return np.where(y <= 0.0, 0.0, np.where(y >= 1.0, 1.0, x))
