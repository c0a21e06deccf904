"""Growth rings: the closed, slightly wavy rings of sawn logs, round a few piths on the strip.

The rings lie between contour lines of one smooth field: the distance to the nearest pith, its corners rounded where two
piths are equally near (log-sum-exp, the usual smooth minimum), stretched by a few harmonics round each pith and shifted
by slow waves, so that a bump of one ring runs on through its neighbours, as it does in wood.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any, Final

import numpy as np
import shapely
from scipy.spatial import cKDTree

from ringtex.basics.arrays import Floats
from ringtex.basics.caches import cached
from ringtex.basics.errors import InputError
from ringtex.pattern.grown.blue_noise import BORDER, blue_noise_sites, least_distance
from ringtex.pattern.grown.contour_lines import contour_lines
from ringtex.pattern.grown.ring_layout import GrowthRings
from ringtex.pattern.motif.grid_tiling import grid_tiling
from ringtex.pattern.pattern_options import PatternOptions
from ringtex.pattern.patterned_part import CACHED_PATTERNS, Pattern, PatternedPart

PITHS: Final = 1 / 24
"""Piths for each such cell: some eight rings lie between two of them."""

FILLET: Final = 0.35
"""Over how many widths of a ring the fields of two piths go over into each other."""

HARMONICS: Final = np.arange(2, 7)
LOBES: Final = (0.035, 0.08)
"""How far rings are from round, as a fraction of their radius, without scatter and with scatter 1."""

WAVES: Final = 40
WAVE_LENGTH: Final = 5.5
WAVE_HEIGHT: Final = (0.16, 0.32)
"""Slow waves, in widths of a ring."""

YEARS: Final = (0.16, 0.28)
"""Spread of the rings' widths (of their logarithms), good years following good ones."""
MEMORY: Final = 1.2
THINNEST: Final = 0.75
"""Of the mean width: the thinnest ring."""

AHEAD: Final = 1.2
"""Piths begin up to so many rings' widths apart, so that their first rings are not alike."""

STEPS: Final = 6
"""Of the grid, for each width of a ring."""

NEAREST: Final = 8
"""Piths that can count at any place."""

MAX_CELLS: Final = 2_500
"""Some 20 to 30 s of processor time on a dome."""


def growth_rings(part: PatternedPart, options: PatternOptions, across: int) -> Pattern:
    """The rings on the strip, whose cells only carry depths.

    Parameters:
        part: the rectangle between the rails.
        options: the pattern's options.
        across: rows of cells.
    Returns: the pattern.
    Raises: InputError for more rings than can be built.
    """
    if options.around * across > MAX_CELLS:
        message = f"{options.around} around by {across} across are more growth rings than can be built"
        raise InputError(message, f"Give counts whose product is at most {MAX_CELLS:,}", "pattern.around")
    rings = GrowthRings(part, options.around, across, options.seed, options.scatter, options.slide_mm[0])
    rings = replace(rings, count=_count(rings))
    tiling = grid_tiling(part, options.around, across, 0.0, False)
    return Pattern(tiling, options.family, options.around, across, 0.0, motif=rings)


def ring_bands(rings: GrowthRings) -> Any:
    """(k,) polygons, the rings without their edges, mm on the strip, as far round it as the walls go."""
    part, margin = rings.part, rings.margin
    frame = shapely.box(-margin, part.lower, part.length + margin, part.upper)
    edges = shapely.union_all(shapely.buffer(ring_walls(rings), rings.pinch, quad_segs=3))
    return shapely.get_parts(shapely.difference(frame, edges))


@cached(CACHED_PATTERNS)
def _count(rings: GrowthRings) -> int:
    """How many rings begin within the turn, or go all round."""
    low, _, high, _ = shapely.bounds(ring_bands(rings)).reshape(-1, 4).T
    length = rings.part.length
    return int(np.count_nonzero((low < length) & np.where(low < 0.0, high > length, True)))


@cached(CACHED_PATTERNS)
def ring_walls(rings: GrowthRings) -> Any:
    """(n,) the lines between neighbouring rings, mm on the strip, running on beyond seam and rails by a margin."""
    part, width, margin = rings.part, rings.width, rings.margin
    random = np.random.Generator(np.random.PCG64([rings.seed, 7]))
    columns = math.ceil(part.length / width * STEPS)
    step = part.length / columns
    rows = math.ceil((part.width + 2.0 * margin) / width * STEPS) + 1
    u: Floats = np.arange(columns, dtype=np.float64) * step
    v: Floats = np.linspace(part.lower - margin, part.upper + margin, rows)
    field = _field(rings, u, v, random)
    levels = _levels(rings, field, random)
    slide = rings.slide % part.length
    first, last = math.floor((-margin - slide) / step), math.ceil((part.length + margin - slide) / step)
    number = np.arange(first, last + 1)
    return contour_lines(field[number % columns], np.asarray(number * step + slide, dtype=np.float64), v, levels)


def _field(rings: GrowthRings, u: Floats, v: Floats, random: np.random.Generator) -> Floats:
    """(columns, rows) at the nodes of a grid: about the distance to the nearest pith, mm."""
    part, width = rings.part, rings.width
    piths = _piths(rings)
    lobes = random.normal(size=(len(piths), len(HARMONICS), 2)) * _between(LOBES, rings.scatter)
    lobes *= (HARMONICS[0] / HARMONICS)[:, None]
    ahead = random.uniform(0.0, AHEAD * width, len(piths))
    copies = np.concatenate([piths + np.array([turn * part.length, 0.0]) for turn in (-1, 0, 1)])
    places = np.stack(np.meshgrid(u, v, indexing="ij"), axis=-1).reshape(-1, 2)
    _, near = cKDTree(copies).query(places, k=np.arange(1, min(NEAREST, len(copies)) + 1))
    away = places[:, None, :] - copies[near]
    pith = near % len(piths)
    radius = np.hypot(away[..., 0], away[..., 1])
    direction = (away[..., 0] + 1j * away[..., 1]) / np.maximum(radius, 1e-12)
    turned, bulge = direction, np.zeros_like(radius)
    for number in range(len(HARMONICS)):
        turned = turned * direction
        bulge += lobes[pith, number, 0] * turned.real + lobes[pith, number, 1] * turned.imag
    # Round at the pith itself.
    far = radius * (1.0 + bulge * radius / (radius + width)) + ahead[pith]
    least = far.min(axis=1)
    fillet = FILLET * width
    field = least - fillet * np.log(np.sum(np.exp((least[:, None] - far) / fillet), axis=1))
    calm = np.minimum(0.5 * radius.min(axis=1) / width, 1.0)
    shape = len(u), len(v)
    return np.asarray(field.reshape(shape) + calm.reshape(shape) * _waves(rings, u, v, random))


def _piths(rings: GrowthRings) -> Floats:
    """(n, 2) two or more, also on and a little over the rails."""
    part = PatternedPart(rings.part.length, rings.part.lower, rings.part.upper)
    count = max(2, round(PITHS * rings.around * rings.across))
    distance = least_distance(part, count)
    more = BORDER * distance
    taller = PatternedPart(part.length, part.lower - more, part.upper + more)
    distance = min(least_distance(taller, max(2, round(count * taller.area / part.area))), 0.45 * part.length)
    return blue_noise_sites(taller, distance, rings.seed)


def _waves(rings: GrowthRings, u: Floats, v: Floats, random: np.random.Generator) -> Floats:
    """(columns, rows) a sum of plane waves that close round the ring, mm."""
    length, across = rings.part.length, 2.0 * math.pi / (WAVE_LENGTH * rings.width)
    most = round(1.3 * length * across / (2.0 * math.pi))
    turns, climb = random.integers(-most, most + 1, WAVES), random.normal(size=WAVES) * across
    phase = random.random(WAVES) * 2.0 * math.pi
    size = np.exp(-0.5 * ((2.0 * math.pi * turns / length) ** 2 + climb**2) / across**2)
    size *= _between(WAVE_HEIGHT, rings.scatter) * rings.width / math.sqrt(0.5 * float(np.sum(size**2)))
    along, up = np.outer(2.0 * math.pi * turns / length, u) + phase[:, None], np.outer(climb, v)
    # Sums, not products of a linear algebra library, whose bytes depend on its threads.
    total = np.einsum("k,ku,kv->uv", size, np.sin(along), np.cos(up))
    return np.asarray(total + np.einsum("k,ku,kv->uv", size, np.cos(along), np.sin(up)))


def _levels(rings: GrowthRings, field: Floats, random: np.random.Generator) -> Floats:
    """Values of the field at the walls: the borders of the years, from the piths outwards."""
    low, high = float(field.min()), float(field.max())
    count = math.ceil((high - low) / (THINNEST * rings.width)) + 1
    reach = math.ceil(4.0 * MEMORY)
    weight = np.exp(-0.5 * (np.arange(-reach, reach + 1) / MEMORY) ** 2)
    drawn = random.normal(size=count + 2 * reach)
    luck = np.convolve(drawn, weight / math.sqrt(float(np.sum(weight**2))), "valid")
    years = np.maximum(np.exp(_between(YEARS, rings.scatter) * luck), THINNEST)
    # Those that the field has room for are as wide as asked for, on average.
    years *= rings.width / np.mean(years[: max(1, round((high - low) / rings.width))])
    levels = low + np.cumsum(years)
    return np.asarray(levels[levels < high])


def _between(ends: tuple[float, float], scatter: float) -> float:
    return ends[0] + (ends[1] - ends[0]) * scatter
