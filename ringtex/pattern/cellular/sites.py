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
    """Sites with u in [0, length) and v kept off the borders by a hair, so that each keeps a cell of its own."""
    hair = 1e-6 * part.width
    u = np.mod(sites[:, 0], part.length)
    u[u >= part.length] = 0.0
    return np.column_stack([u, np.clip(sites[:, 1], part.lower + hair, part.upper - hair)])


def random_disc(count: int, seed: int) -> Floats:
    """(count, 2) points spread evenly over the unit disc, from PCG64."""
    draw = np.random.Generator(np.random.PCG64(seed)).random((count, 2))
    radius, angle = np.sqrt(draw[:, 0]), 2.0 * np.pi * draw[:, 1]
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])


class ColumnLayout(NamedTuple):
    """How columns are set out.

    fewer   how many fewer columns than regular hexagons want.
    aside   sites stand this many column widths to either side in turn, so that those of one height make rows round the
            band.
    middle  the turns are counted from the middle of a column, not from its lower end.
    """

    fewer: int
    aside: float
    middle: bool = False


LAYOUTS: Final = (
    ColumnLayout(0, 0.25),
    *(
        ColumnLayout(fewer, aside, middle)
        for fewer, aside in ((1, 0.25), (0, 0.15), (-1, 0.2), (-2, 0.15))
        for middle in (False, True)
    ),
)
"""Worth trying; which of them meets the borders with most six-sided cells depends on the band. The first is a lattice
of hexagons wherever the density is even."""


def column_sites(part: PatternedPart, density: AreaDensity, count: int, layout: ColumnLayout = LAYOUTS[0]) -> Floats:
    """Sites that each stand for an equal fraction of the density, in zigzag columns.

    Parameters:
        part: the rectangle between the rails.
        density: over the part.
        count: how many.
        layout: how the columns stand.
    Returns: (count, 2) positions, mm.
    """
    fractions, _ = column_fractions(part, density, count, layout)
    return density_points(part, density, fractions)


def ordered_sites(
    part: PatternedPart, density: AreaDensity, count: int, layout: ColumnLayout, order: float, seed: int
) -> Floats:
    """Sites between random ones (order 0) and columns (order 1), interpolated as fractions of the density.

    Each random site is assigned to one in the columns: sorted by u into columns, then by v; so all move continuously.

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
    fractions, sizes = column_fractions(part, density, count, layout)
    column = np.repeat(np.arange(len(sizes)), sizes)
    by_u = np.argsort(start[:, 0], kind="stable")
    place = by_u[np.lexsort((start[by_u, 1], column))]
    mixed = start.copy()
    mixed[place] += order * (fractions - start[place])
    return density_points(part, density, mixed)


def column_fractions(
    part: PatternedPart, density: AreaDensity, count: int, layout: ColumnLayout
) -> tuple[Floats, Longs]:
    """Columns as fractions of the density.

    Parameters:
        part: the rectangle between the rails.
        density: over the part.
        count: how many sites.
        layout: how the columns stand.
    Returns: (count, 2) fractions of the density before each site (round the ring, and across there), column by column;
        (c,) how many sites each column has.
    """
    pitch = math.sqrt(2.0 * density.total / (math.sqrt(3.0) * count))
    # Lengths go with the root of the area scale.
    across = density.across_sums(0.5)
    along = part.length * np.mean(density.table[:-1] ** 0.5, axis=1) / len(across)
    columns = max(3, min(round(float(np.sum(along)) / pitch) - layout.fewer, count))
    distance = np.append(0.0, np.cumsum(along))
    middle = np.interp((np.arange(columns) + 0.5) / columns * distance[-1], distance, np.arange(len(distance)))
    widths = np.interp(middle, np.arange(len(across) + 1), np.append(across, across[0]))
    sizes = _column_sizes(widths, count)
    column = np.repeat(np.arange(columns), sizes)
    row = np.arange(count) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    turn = row - sizes[column] // 2 + sizes[0] // 2 if layout.middle else row
    # A quarter column back, so that an even density puts the first row's first site on the seam, as in the lattice.
    aside = 0.5 + np.where(turn % 2 == 0, -layout.aside, layout.aside) - 0.25
    before = (np.cumsum(sizes) - sizes)[column] + aside * sizes[column]
    return np.column_stack([before / count, (row + 0.5) / sizes[column]]), sizes


def _column_sizes(widths: Floats, count: int) -> Longs:
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


def _rounded(wanted: Floats) -> Longs:
    return np.maximum(1, np.floor(wanted + 0.5)).astype(np.int64)
