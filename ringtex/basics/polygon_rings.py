"""Rings of shapely's polygons as plain arrays."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from ringtex.basics.arrays import Floats, Longs


def ring_points(rings: Any) -> tuple[Floats, Longs]:
    """The points of closed rings, each once: shapely's end with the point that they begin with.

    Parameters: rings (k,) shapely rings.
    Returns: points (n, 2); starts (k + 1,), ring i at starts[i] : starts[i + 1].
    """
    points, ring = shapely.get_coordinates(rings, return_index=True)
    last = np.append(ring[1:] != ring[:-1], True)[: len(ring)]
    return points[~last], np.searchsorted(ring[~last], np.arange(len(rings) + 1))
