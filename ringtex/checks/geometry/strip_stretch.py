"""How much the flattening stretches the patterned part, at worst."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.strip.distortion import Distortion

_AROUND: Final = 360
_ACROSS: Final = 33
"""A look at every degree and 33 places across: the map is smooth, so that its extremes lie close to these."""


class MapView(Protocol):
    """The strip's length and its distortion."""

    @property
    def length(self) -> float:
        """Length of one turn, mm."""

    def distortion(self, u: Floats, v: Floats) -> Distortion:
        """The map's distortion at places of the strip."""


@dataclass(frozen=True)
class StripStretch:
    """Extremes over the patterned part: mm2 on the ring for 1 mm2 of strip, and the largest change of an angle."""

    area_min: float
    area_max: float
    angle_error_deg: float


def measure_stretch(strip: MapView, lower: float, upper: float) -> StripStretch:
    """Look at a grid over [0, length) x [lower, upper]."""
    around = np.linspace(0.0, strip.length, _AROUND, endpoint=False)
    u, v = np.meshgrid(around, np.linspace(lower, upper, _ACROSS))
    found = strip.distortion(u.ravel(), v.ravel())
    return StripStretch(float(found.area.min()), float(found.area.max()), float(found.angle_error_deg.max()))
