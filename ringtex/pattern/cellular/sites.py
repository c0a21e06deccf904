"""Points from which cells grow: random ones, and zigzag columns across the band.

The seeding decides the fraction of six-sided cells; relaxing hardly changes it. Columns suit bands whose width on the
ring varies: where a column has one more than its neighbour there is a dislocation (a pair of a five-sided and a
seven-sided cell), and where all have as many they are a lattice of hexagons in rows round the band.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np

from ringtex.basics.arrays import Floats, Longs
from ringtex.pattern.cellular.area_density import AreaDensity, density_points
from ringtex.pattern.patterned_part import PatternedPart


def random_sites(part: PatternedPart, count: int, seed: int) -> Floats:
    """(count, 2) points strewn evenly at random over the patterned part (a Poisson process of known count), mm.

    The generator is PCG64, whose stream is the same on every machine.

    Parameters:
        part: the rectangle between the rails.
        count: how many.
        seed: of the generator.
    Returns: (count, 2) positions, mm.
    """
    places = random_fractions(count, seed)
    return np.column_stack([places[:, 0] * part.length, part.lower + places[:, 1] * part.width])


def random_fractions(count: int, seed: int) -> Floats:
    """(count, 2) points spread evenly over the unit square."""
    return np.random.Generator(np.random.PCG64(seed)).random((count, 2))


def wrap_sites(part: PatternedPart, sites: Floats) -> Floats:
    """Sites with u in [0, length) and v kept just off the borders, so that each keeps a cell of its own."""
    margin = 1e-6 * part.width
    u = np.mod(sites[:, 0], part.length)
    u[u >= part.length] = 0.0
    return np.column_stack([u, np.clip(sites[:, 1], part.lower + margin, part.upper - margin)])


def random_disc(count: int, seed: int, stream: int = 0) -> Floats:
    """(count, 2) points uniform in the unit disc, from PCG64.

    Parameters:
        count: how many.
        seed: of the generator.
        stream: independent of other streams of the seed and, over 0, of `random_fractions`.
    Returns: (count, 2) points.
    """
    draw = np.random.Generator(np.random.PCG64([seed, stream] if stream else seed)).random((count, 2))
    radius, angle = np.sqrt(draw[:, 0]), 2.0 * np.pi * draw[:, 1]
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])


class ColumnLayout(NamedTuple):
    """How columns are set out.

    columns  how many.
    phase    columns are turned round the ring by this fraction of a column, -0.5 to 0.5; by -0.25 of the side an even
             density puts the first row's first site on the seam, as in the lattice.
    side     1 or -1: the first row stands before or after its column's middle.
    """

    columns: int
    phase: float = 0.0
    side: int = 1


ZIGZAG: Final = 0.25
"""Sites stand so many column widths to either side in turn, so that those of one height make rows round the band."""

GOLDEN: Final = 0.5 * (math.sqrt(5.0) - 1.0)


def regular_columns(density: AreaDensity, count: int) -> int:
    """How many columns make the cells nearest to regular hexagons.

    Parameters:
        density: over the part.
        count: how many cells.
    Returns: the number of columns.
    """
    pitch = math.sqrt(2.0 * density.total / (math.sqrt(3.0) * count))
    return max(3, min(round(float(density.distance[-1]) / pitch), count))


def column_sites(part: PatternedPart, density: AreaDensity, count: int, layout: ColumnLayout, seed: int = 0) -> Floats:
    """Sites that each stand for an equal fraction of the density, in zigzag columns.

    Parameters:
        part: the rectangle between the rails.
        density: over the part.
        count: how many.
        layout: how the columns stand.
        seed: of the phase of the sequence that spreads left-over sites.
    Returns: (count, 2) positions, mm.
    """
    fractions, _ = column_fractions(part, density, count, layout, seed)
    return density_points(part, density, fractions)


def ordered_sites(
    part: PatternedPart, density: AreaDensity, count: int, layout: ColumnLayout, order: float, seed: int
) -> Floats:
    """Sites between random ones (order 0) and columns (order 1), interpolated as fractions of the density.

    Each random site is assigned to one in the columns: sorted by u into columns, then by v; so all move continuously.
    The columns are turned so that the mean move round the ring is nothing (optimal transport on the circle, Delon,
    Salomon and Sobolevski 2010): without that the sites at the seam would move least.

    Parameters:
        part: the rectangle between the rails.
        density: over the part.
        count: how many.
        layout: how the columns stand.
        order: 0 to 1.
        seed: of the random sites.
    Returns: (count, 2) positions, mm.
    """
    start = random_fractions(count, seed)
    if order == 0.0:
        return density_points(part, density, start)
    fractions, sizes = column_fractions(part, density, count, layout, seed)
    column = np.repeat(np.arange(len(sizes)), sizes)
    by_u = np.argsort(start[:, 0], kind="stable")
    # Each site taken from one end of the order to the other changes the mean move by 1 / count.
    by_u = np.roll(by_u, -round(count * float(np.mean(fractions[:, 0]) - np.mean(start[:, 0]))))
    assigned = by_u[np.lexsort((start[by_u, 1], column))]
    move = fractions - start[assigned]
    move[:, 0] -= np.round(move[:, 0])
    mixed = start.copy()
    mixed[assigned] += order * move
    return density_points(part, density, mixed)


def column_fractions(
    part: PatternedPart, density: AreaDensity, count: int, layout: ColumnLayout, seed: int
) -> tuple[Floats, Longs]:
    """Columns as fractions of the density.

    Parameters:
        part: the rectangle between the rails.
        density: over the part.
        count: how many sites.
        layout: how the columns stand.
        seed: of the phase of the sequence that spreads left-over sites.
    Returns: (count, 2) fractions of the density before each site (round the ring, and across there), column by column;
        (c,) how many sites each column has.
    """
    columns = layout.columns
    # Lengths go with the root of the area scale.
    across = density.across_sums(0.5)
    distance = density.distance
    nodes = np.arange(len(distance))
    middle = np.mod((np.arange(columns) + 0.5 + layout.phase) / columns, 1.0) * distance[-1]
    widths = np.interp(np.interp(middle, distance, nodes), nodes, np.append(across, across[0]))
    sizes = _column_sizes(widths, count, seed)
    column = np.repeat(np.arange(columns), sizes)
    row = np.arange(count) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    # Centred where the width was read, and with a side from the seed: else all leans to one side of a tapered band.
    aside = 0.5 + layout.side * np.where(row % 2 == 0, -ZIGZAG, ZIGZAG)
    before = (np.cumsum(sizes) - sizes)[column] + aside * sizes[column]
    return np.column_stack([before / count + _start(density, layout), (row + 0.5) / sizes[column]]), sizes


def _start(density: AreaDensity, layout: ColumnLayout) -> float:
    """The fraction of the density before the first column begins."""
    length = float(density.distance[-1])
    turn = math.floor(layout.phase / layout.columns)
    inside = (layout.phase / layout.columns - turn) * length
    return turn + float(np.interp(inside, density.distance, density.cumulated)) / float(density.cumulated[-1])


def _column_sizes(widths: Floats, count: int, seed: int) -> Longs:
    """Whole numbers (at least 1) that go with the widths and add up to count: as few changes from one column to the
    next as the widths ask for, since each change is a dislocation."""
    low, high = 0.0, 2.0 * count / float(np.min(widths))
    for _ in range(100):
        per_width = 0.5 * (low + high)
        if int(np.sum(_rounded(widths * per_width))) > count:
            high = per_width
        else:
            low = per_width
    sizes = _rounded(widths * low)
    left = count - int(np.sum(sizes))
    if left > 0:
        # The columns nearest to rounding the other way take what is left; where many are equally near, they are spread
        # by a low-discrepancy sequence (the golden ratio's, Kronecker) with a phase from the seed.
        spread = np.mod(np.arange(len(sizes)) * GOLDEN + random_fractions(1, seed)[0, 0], 1.0)
        order = np.lexsort((spread, np.round(sizes - widths * low, 9)))
        sizes[np.resize(order, left)] += 1
    return sizes


def _rounded(wanted: Floats) -> Longs:
    return np.maximum(1, np.floor(wanted + 0.5)).astype(np.int64)
