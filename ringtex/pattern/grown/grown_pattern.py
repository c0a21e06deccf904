"""Patterns of grown families other than cellular: spiral rows, blue noise, cracked clay, bark, leaf veins,
wood grain."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.caches import cached
from ringtex.pattern.cellular.area_density import AreaDensity
from ringtex.pattern.cellular.cellular import cellular_rows, refuse_rows
from ringtex.pattern.cellular.short_walls import SHORT_WALL_FRACTION, close_short_walls
from ringtex.pattern.cellular.sites import random_disc, wrap_sites
from ringtex.pattern.cellular.voronoi_cells import meets_itself, voronoi_tiling
from ringtex.pattern.grown.blue_noise import blue_noise_sites, least_distance
from ringtex.pattern.grown.crack_splits import cracked
from ringtex.pattern.grown.growth_rings import growth_rings
from ringtex.pattern.grown.leaf_veins import leaf_veins
from ringtex.pattern.grown.wood_grain import with_flow
from ringtex.pattern.lattice.displaced_vertices import move_corners
from ringtex.pattern.pattern_options import PatternOptions
from ringtex.pattern.patterned_part import CACHED_PATTERNS, Pattern, PatternedPart
from ringtex.pattern.quantisation import rounded, with_vertices
from ringtex.pattern.tiling import Tiling

GOLDEN_ANGLE_DEG: Final = 180.0 * (3.0 - math.sqrt(5.0))
"""137.508 degrees: the smaller part of a turn divided by the golden ratio, between a leaf and the next one of many
plants (Vogel 1979, A better way to construct the sunflower head; from memory)."""

MAX_MOVE: Final = 0.45
"""Farthest move of a site at scatter 1, in roots of the mean area of a cell."""

FEWER: Final = 0.9
MAX_TRIES: Final = 40
"""Where so few sites fit that a cell meets itself round the ring, the least distance is this many times as large."""

CRACKED_PLATES: Final = 0.22
BARK_PLATES: Final = 0.6
BARK_STRETCH: Final = 3.2
"""Plates before they crack, as a fraction of all cells; how much longer bark is across the band than round it."""

GRAIN_STRETCH: Final = 5.0
"""How much longer a fibre of wood is round the ring than thick."""

BENT: Final = 0.45
"""Cracks bend by so much of the scatter of lattices, and by more with scatter."""


@cached(CACHED_PATTERNS)
def grown_pattern(part: PatternedPart, options: PatternOptions, density: AreaDensity | None = None) -> Pattern:
    """Around x across cells of a grown family, about as many in blue noise and wood; a few more where cells would meet
    themselves round the ring.

    Parameters:
        part: the rectangle between the rails.
        options: the pattern's options; its family is one of `GROWN_FAMILIES`, but not cellular.
        density: for growth rings, as there.
    Returns: the pattern, the same one for a repeated request; it has no sites that a hand could move.
    Raises: InputError for a twist or a slide across the strip, which do not apply here.
    """
    refuse_rows(options)
    across = cellular_rows(part, options)
    if options.family == "growth_rings":
        return growth_rings(part, options, across, density)
    count = options.around * across
    level = None
    make = {
        "phyllotaxis": _spiral_rows,
        "blue_noise": _apart_cells,
        "cracked": _cracked,
        "bark": _bark,
        "wood_grain": _wood_grain,
    }
    if options.family == "leaf_veins":
        tiling, level = leaf_veins(part, count, options.scatter, options.seed)
    else:
        tiling = make[options.family](part, options, count)
    tiling = with_vertices(tiling, tiling.vertices + np.array([options.slide_mm[0], 0.0]))
    return Pattern(rounded(tiling), options.family, options.around, across, 0.0, level=level)


def golden_spiral(part: PatternedPart, count: int) -> Floats:
    """(count, 2) points, mm, each the golden angle further round the ring and a little higher than the one before: the
    cylinder's form of a sunflower head. A turn closes it by itself, whatever the count."""
    number = np.arange(count)
    turns = np.mod(number * (GOLDEN_ANGLE_DEG / 360.0), 1.0)
    return np.column_stack([turns * part.length, part.lower + (number + 0.5) * part.width / count])


def _spiral_rows(part: PatternedPart, options: PatternOptions, count: int) -> Tiling:
    return _voronoi(part, _moved(part, golden_spiral(part, count), options))


def _cracked(part: PatternedPart, options: PatternOptions, count: int) -> Tiling:
    plates = _apart_cells(part, options, max(3, round(CRACKED_PLATES * count)))
    return _with_cracks(plates, options, count)


def _bark(part: PatternedPart, options: PatternOptions, count: int) -> Tiling:
    return _with_cracks(_drawn_out(part, options, max(3, round(BARK_PLATES * count)), BARK_STRETCH), options, count)


def _wood_grain(part: PatternedPart, options: PatternOptions, count: int) -> Tiling:
    thick = math.sqrt(part.area / count / GRAIN_STRETCH)
    return with_flow(
        _drawn_out(part, options, count, 1.0 / GRAIN_STRETCH), (GRAIN_STRETCH * thick, thick), options.seed
    )


def _drawn_out(part: PatternedPart, options: PatternOptions, count: int, stretch: float) -> Tiling:
    """Cells in a plane where they are as long as wide, drawn out across the band."""
    short = PatternedPart(part.length, part.lower / stretch, part.upper / stretch)
    cells = _apart_cells(short, options, count)
    v = cells.vertices[:, 1] * stretch
    for border, at in ((short.lower, part.lower), (short.upper, part.upper)):
        v[cells.vertices[:, 1] == border] = at
    return replace(cells, lower=part.lower, upper=part.upper, vertices=np.column_stack([cells.vertices[:, 0], v]))


def _with_cracks(plates: Tiling, options: PatternOptions, count: int) -> Tiling:
    random = np.random.Generator(np.random.PCG64([options.seed, 1]))
    return move_corners(cracked(plates, count, random), BENT + (1.0 - BENT) * options.scatter, options.seed)


def _apart_cells(part: PatternedPart, options: PatternOptions, count: int) -> Tiling:
    """Voronoi cells of about `count` points of blue noise, none of which meets itself round the ring."""
    distance = least_distance(part, count)
    for _ in range(MAX_TRIES):
        sites = blue_noise_sites(part, min(distance, 0.45 * part.length), options.seed)
        if len(sites) >= 3:
            tiling = _voronoi(part, _moved(part, sites, options))
            if not meets_itself(tiling):
                return tiling
        distance *= FEWER
    return tiling


def _voronoi(part: PatternedPart, sites: Floats) -> Tiling:
    return close_short_walls(voronoi_tiling(part, sites), SHORT_WALL_FRACTION)


def _moved(part: PatternedPart, sites: Floats, options: PatternOptions) -> Floats:
    """The sites moved at random by up to what the scatter allows."""
    reach = options.scatter * MAX_MOVE * math.sqrt(part.area / len(sites))
    return wrap_sites(part, sites + reach * random_disc(len(sites), options.seed, 2))
