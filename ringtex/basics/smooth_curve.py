"""Smooth curves through given places: no higher or lower than their neighbours, open or closed round the ring.

Cubic Hermite pieces whose slopes are the harmonic means of their neighbours' (Fritsch and Butland 1984), so that the
curve never overshoots a place and is level at peaks.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike

from ringtex.basics.arrays import Floats

Number = TypeVar("Number", float, Floats)


def smooth_step(t: Number) -> Number:
    """From 0 at 0 to 1 at 1, level at both (3 t^2 - 2 t^3); t from 0 to 1."""
    return t * t * (3.0 - 2.0 * t)


class SmoothCurve:
    """A curve y(x) through places in any order; beyond the ends of an open curve the end values go on.

    Parameters: x (n,) distinct places, n >= 1 (modulo the period for a closed curve), y (n,) values; period, for a
    closed curve the distance after which it repeats, else None.
    """

    def __init__(self, x: ArrayLike, y: ArrayLike, period: float | None = None) -> None:
        places, values = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
        self._period = period
        if period is not None:
            places = np.mod(places, period)
        order = np.argsort(places, kind="stable")
        places, values = places[order], values[order]
        if period is not None:
            places = np.concatenate([places - period, places, places + period])
            values = np.tile(values, 3)
        self._x, self._y, self._slope = places, values, _slopes(places, values)

    def __call__(self, x: ArrayLike) -> Floats:
        """The curve's values at places of any shape."""
        at = np.asarray(x, dtype=np.float64)
        at = np.clip(at, self._x[0], self._x[-1]) if self._period is None else np.mod(at, self._period)
        if len(self._x) == 1:
            return np.full(at.shape, self._y[0])
        k = np.clip(np.searchsorted(self._x, at, side="right") - 1, 0, len(self._x) - 2)
        step = self._x[k + 1] - self._x[k]
        t = (at - self._x[k]) / step
        rise = self._y[k + 1] - self._y[k]
        first, last = self._slope[k] * step, self._slope[k + 1] * step
        value = self._y[k] + t * (first + t * (3.0 * rise - 2.0 * first - last + t * (first + last - 2.0 * rise)))
        return np.asarray(value, dtype=np.float64)


def _slopes(x: Floats, y: Floats) -> Floats:
    """Slopes at the places; level at both ends and wherever the values turn round."""
    slopes = np.zeros(len(x))
    if len(x) > 2:
        steps, chords = np.diff(x), np.diff(y) / np.diff(x)
        before, after = chords[:-1], chords[1:]
        near, far = 2.0 * steps[1:] + steps[:-1], steps[1:] + 2.0 * steps[:-1]
        same = before * after > 0.0
        slopes[1:-1][same] = ((near + far)[same]) / (near[same] / before[same] + far[same] / after[same])
    return slopes
