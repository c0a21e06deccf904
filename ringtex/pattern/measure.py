"""What a pattern's cells measure on the strip and on the ring, and how regular they are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bools, Floats, Ints
from ringtex.pattern.tiling import Tiling


class Metric(Protocol):
    """What measuring on the ring needs of the strip."""

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """First fundamental form (E, F, G) of the band's outer face at strip places (n,), (n,)."""


# Degree 5 on a triangle, 7 points (Radon 1948): exact for quintics, so cells are split only where the scale varies
# fast.
_ROOT: Final = 15.0**0.5
_NEAR: Final = ((6.0 - _ROOT) / 21.0, (6.0 + _ROOT) / 21.0)
_WEIGHT: Final = ((155.0 - _ROOT) / 1200.0, (155.0 + _ROOT) / 1200.0)


def _rule() -> tuple[Floats, Floats]:
    """Barycentric places (7, 3) and weights (7,) that add up to 1."""
    places, weights = [(1 / 3, 1 / 3, 1 / 3)], [9.0 / 40.0]
    for near, weight in zip(_NEAR, _WEIGHT, strict=True):
        far = 1.0 - 2.0 * near
        places += [(far, near, near), (near, far, near), (near, near, far)]
        weights += [weight] * 3
    return np.array(places), np.array(weights)


def areas_on_ring(tiling: Tiling, strip: Metric) -> Floats:
    """(c,) true area of each cell on the band's outer face, mm2: the strip's area scale sqrt(EG - F^2) integrated
    over fans of triangles from a point inside, 7 places each.
    """
    middle = tiling.kernel[0][tiling.corner_cell]
    start, end = tiling.corners, tiling.corners[tiling.next_corner]
    first, second = start - middle, end - middle
    size = 0.5 * (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
    places, weights = _rule()
    triangles = np.stack([middle, start, end], axis=1)
    points = np.einsum("qk,mkd->mqd", places, triangles)
    e, f, g = strip.metric(points[:, :, 0].ravel(), points[:, :, 1].ravel())
    scale = np.sqrt(np.maximum(e * g - f * f, 0.0)).reshape(points.shape[:2])
    return np.asarray(np.add.reduceat(size * (scale @ weights), tiling.cell_start[:-1]), dtype=np.float64)


def sides(tiling: Tiling) -> Ints:
    """(c,) number of walls of each cell, border walls included; a straight T-junction counts as a corner."""
    return np.diff(tiling.cell_start).astype(np.int32)


def on_border(tiling: Tiling) -> NDArray[np.bool_]:
    """(c,) whether a cell has a wall along a border."""
    found = np.zeros(tiling.cells, np.bool_)
    found[tiling.corner_cell[tiling.twin < 0]] = True
    return found


def six_sided_share(tiling: Tiling, level: Bools | None = None) -> float | None:
    """Share of six-sided cells among those that no border cuts and that are not level (cells,); None where every cell
    is on a border."""
    inner = ~on_border(tiling) if level is None else ~on_border(tiling) & ~level
    return float(np.mean(sides(tiling)[inner] == 6)) if np.any(inner) else None


def percent_words(share: float | None) -> str:
    """A share in whole per cent; a dash where there is none."""
    return "–" if share is None else f"{100.0 * share:.0f} %"


_PLACES = (0.5 - 0.15**0.5, 0.5, 0.5 + 0.15**0.5)
_WEIGHTS = (5.0 / 18.0, 8.0 / 18.0, 5.0 / 18.0)
"""Gauss's rule with three places: exact for quintics."""


@dataclass(frozen=True)
class Regularity:
    """Share of six-sided cells among those that no border cuts (None where there are none), and 4 pi A / P^2 of all
    cells as they lie on the ring: 1 for a disc, 0.907 for a regular hexagon, 0.785 for a square.
    """

    six_sided_share: float | None
    mean_roundness: float
    least_roundness: float


def measure_regularity(tiling: Tiling, strip: Metric, level: Bools | None = None) -> Regularity:
    """How regular the cells of a tiling are on the ring.

    Parameters:
        tiling: the cells.
        strip: the map to the ring.
        level: (cells,) which are veins or frames and not measured; None: none.
    Returns: their sides and roundness.
    """
    round_cells = roundness_on_ring(tiling, strip)
    round_cells = round_cells if level is None else round_cells[~level]
    return Regularity(six_sided_share(tiling, level), float(np.mean(round_cells)), float(np.min(round_cells)))


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
