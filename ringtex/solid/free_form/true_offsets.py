"""Offsets of outlines by distances that are true on the ring, also where the strip's scale varies along an outline."""

from __future__ import annotations

from typing import Any, Final, Protocol

import numpy as np
import shapely

from ringtex.basics.arrays import Bools, Floats
from ringtex.strip.strip_map import StripMap

SAME_SCALE: Final = 1.08
"""Outlines whose scale varies by less, from the least to the largest, are offset by one distance."""


class ScaleView(Protocol):
    """The strip's scale."""

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """E, F, G of the outer face at strip positions (n,), (n,), mm."""


def local_scale(strip: ScaleView, places: Floats) -> Floats:
    """(n,) mm on the ring for a millimetre of strip: the root of the scale of areas."""
    e, f, g = strip.metric(places[:, 0], places[:, 1])
    return np.asarray(np.maximum(e * g - f * f, 1e-12) ** 0.25)


def scale_varies(strip: StripMap, parts: Any, scale: Floats, ratio: float) -> Bools:
    """Which outlines cannot be offset by one distance.

    Parameters:
        strip: the strip map.
        parts: (k,) polygons, mm on the strip.
        scale: (k,) mm on the ring for a millimetre of strip at a point of each.
        ratio: from the least scale to the largest that is let pass.
    Returns: (k,).
    """
    points, owner = shapely.get_coordinates(parts, return_index=True)
    at = local_scale(strip, points) / scale[owner]
    low, high = np.ones(len(parts)), np.ones(len(parts))
    np.minimum.at(low, owner, at)
    np.maximum.at(high, owner, at)
    return np.asarray(high > ratio * low)
