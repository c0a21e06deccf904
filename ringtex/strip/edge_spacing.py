"""Where a strip's tables have their nodes across: v as a smooth function of a table coordinate w in [0, 1]."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class EdgeSpacing:
    """v = width * share(w), in one of two ways.

    clustered: share = (1 - cos(pi w)) / 2. Towards the edge of a half-ellipse the section parameter runs like the square
    root of v where the rise is low, and smoothly in w.
    crease (a share of the width, or 0): nodes crowd at the crown, where a crease turns within this share of the width.
    """

    width: float
    clustered: bool
    crease: float = 0.0

    @property
    def _reach(self) -> float:
        return float(np.arcsinh(0.5 / self.crease))

    def coordinate(self, v: Floats) -> Floats:
        """w for v, which is kept inside [0, width]."""
        share = np.clip(v * (1.0 / self.width), 0.0, 1.0)
        w = np.arccos(1.0 - 2.0 * share) * (1.0 / np.pi) if self.clustered else share
        if self.crease > 0.0:
            w = 0.5 + np.arcsinh((w - 0.5) / self.crease) * (0.5 / self._reach)
        return np.asarray(w)

    def across(self, w: Floats) -> Floats:
        """v for w."""
        if self.crease > 0.0:
            w = 0.5 + self.crease * np.sinh((w - 0.5) * (2.0 * self._reach))
        share = np.square(np.sin(w * (np.pi / 2.0))) if self.clustered else w
        return np.asarray(self.width * share)

    def slope(self, w: Floats) -> Floats:
        """dv / dw."""
        rate: Floats = np.ones_like(w)
        if self.crease > 0.0:
            turn = (w - 0.5) * (2.0 * self._reach)
            rate = 2.0 * self._reach * self.crease * np.cosh(turn)
            w = 0.5 + self.crease * np.sinh(turn)
        if self.clustered:
            rate = rate * (np.pi / 2.0) * np.sin(np.pi * w)
        return np.asarray(self.width * rate)
