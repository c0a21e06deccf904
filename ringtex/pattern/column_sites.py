"""Sites in columns across the band: as many a column as the band is wide there, columns spaced by the local scale.

The seeding decides the share of six-sided cells; relaxing hardly changes it. Columns suit bands whose
width on the ring varies.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ringtex.pattern.area_density import AreaDensity
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.tiling import Floats

Counts = NDArray[np.int64]


class ColumnLayout(NamedTuple):
    """How columns are set out: how many fewer than regular hexagons want (an even number), and how far every other
    column is moved up and the rest down, in steps (0.25 is half a step apart).
    """

    fewer: int
    aside: float


LAYOUTS: Final = tuple(ColumnLayout(fewer, aside) for fewer in (2, 4, 0, 6) for aside in (0.15, 0.25, 0.1))
"""Worth trying, the likeliest first: which of them meets the borders with most six-sided cells depends on the band."""


def column_sites(part: PatternedPart, density: AreaDensity, count: int, layout: ColumnLayout = LAYOUTS[0]) -> Floats:
    """(count, 2) sites, each standing for an equal share of the density, in columns aside from the next, mm."""
    pitch = math.sqrt(2.0 * density.total / (math.sqrt(3.0) * count))
    # Lengths go with the root of the area scale.
    across = density.across_sums(0.5)
    along = part.length * np.mean(density.table[:-1] ** 0.5, axis=1) / len(across)
    columns = 2 * max(1, round(float(np.sum(along)) / (pitch * math.sqrt(3.0))))
    columns = max(2, min(columns - layout.fewer, count))
    distance = np.append(0.0, np.cumsum(along))
    middle = np.interp((np.arange(columns) + 0.5) / columns * distance[-1], distance, np.arange(len(distance)))
    widths = np.interp(middle, np.arange(len(across) + 1), np.append(across, across[0]))
    sizes = _column_sizes(widths, count)
    u = _column_places(part, density, sizes)
    column = np.repeat(np.arange(columns), sizes)
    row = np.arange(count) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    aside = 0.5 + np.where(column % 2 == 0, -layout.aside, layout.aside)
    share = (row + aside) / sizes[column]
    return np.column_stack([u[column], _across_places(part, density, u[column], share)])


def _column_sizes(widths: Floats, count: int) -> Counts:
    """Whole numbers (at least 1) that go with the widths and add up to count, rounding alike where widths are alike."""
    low, high = 0.0, 2.0 * count / float(np.min(widths))
    for _ in range(100):
        per_width = 0.5 * (low + high)
        if int(np.sum(_rounded(widths * per_width))) > count:
            high = per_width
        else:
            low = per_width
    sizes = _rounded(widths * low)
    left = count - int(np.sum(sizes))
    # The columns nearest to rounding the other way take what is left.
    nearest = np.argsort(-(widths * low - sizes), kind="stable")
    if left > 0:
        sizes[np.resize(nearest, left)] += 1
    return sizes


def _rounded(wanted: Floats) -> Counts:
    return np.maximum(1, np.floor(wanted + 0.5)).astype(np.int64)


def _column_places(part: PatternedPart, density: AreaDensity, sizes: Counts) -> Floats:
    """(columns,) u of each column: the middle of its share of the density."""
    cumulated = np.append(0.0, np.cumsum(density.across_sums(1.0)))
    share = (np.cumsum(sizes) - 0.5 * sizes) / np.sum(sizes) * cumulated[-1]
    place = np.interp(share, cumulated, np.arange(len(cumulated)))
    return np.asarray(place * part.length / (len(cumulated) - 1), dtype=np.float64)


def _across_places(part: PatternedPart, density: AreaDensity, u: Floats, share: Floats) -> Floats:
    """v below which the given shares of the density lie at each u."""
    table = density.table[:-1]
    node = np.minimum((u / part.length * len(table)).astype(np.int64), len(table) - 1)
    steps = 0.5 * (table[:, 1:] + table[:, :-1])
    cumulated = np.concatenate([np.zeros((len(table), 1)), np.cumsum(steps, axis=1)], axis=1)
    cumulated /= cumulated[:, -1:]
    # One sorted axis for all columns: table row k lies in [k, k + 1].
    flat = (cumulated + np.arange(len(table))[:, None]).ravel()
    at = np.clip(np.searchsorted(flat, node + share) - 1, 0, len(flat) - 2)
    inside = at - node * cumulated.shape[1]
    size = np.maximum(flat[at + 1] - flat[at], 1e-300)
    place = (inside + np.clip((node + share - flat[at]) / size, 0.0, 1.0)) / (cumulated.shape[1] - 1)
    return np.asarray(part.lower + part.width * place, dtype=np.float64)
