"""How regular a pattern's cells are on the ring."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.pattern.measure import Metric, areas_on_ring, six_sided_share
from ringtex.pattern.tiling import Tiling

_PLACES = (0.5 - 0.15**0.5, 0.5, 0.5 + 0.15**0.5)
_WEIGHTS = (5.0 / 18.0, 8.0 / 18.0, 5.0 / 18.0)
"""Gauss's rule with three places: exact for quintics."""


@dataclass(frozen=True)
class Regularity:
    """Share of six-sided cells among those that no border cuts, and 4 pi A / P^2 of all cells as they lie on the ring:
    1 for a disc, 0.907 for a regular hexagon, 0.785 for a square.
    """

    six_sided_share: float
    mean_roundness: float
    least_roundness: float


def measure_regularity(tiling: Tiling, strip: Metric) -> Regularity:
    """How regular the cells of a tiling are on the ring."""
    round_cells = roundness_on_ring(tiling, strip)
    return Regularity(six_sided_share(tiling), float(np.mean(round_cells)), float(np.min(round_cells)))


def roundness_on_ring(tiling: Tiling, strip: Metric) -> Floats:
    """(c,) 4 pi A / P^2 of each cell, with its true area and perimeter on the band's outer face."""
    start = tiling.corners
    way = start[tiling.next_corner] - start
    length = np.zeros(len(start))
    for place, weight in zip(_PLACES, _WEIGHTS, strict=True):
        at = start + place * way
        e, f, g = strip.metric(at[:, 0], at[:, 1])
        length += weight * np.sqrt(e * way[:, 0] ** 2 + 2.0 * f * way[:, 0] * way[:, 1] + g * way[:, 1] ** 2)
    perimeter = np.add.reduceat(length, tiling.cell_start[:-1])
    return np.asarray(4.0 * np.pi * areas_on_ring(tiling, strip) / perimeter**2, dtype=np.float64)
