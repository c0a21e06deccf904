"""Growth rings: the closed, slightly wavy rings of sawn logs, round a few piths on the strip.

The rings lie between contour lines of one smooth field: the distance to the nearest pith, its corners rounded where two
piths are equally near (log-sum-exp, the usual smooth minimum), stretched by a few harmonics round each pith and shifted
by slow waves, so that a bump of one ring runs on through its neighbours, as it does in wood. Where the strip's scale
varies, these are lengths on the ring, so that rings are as wide everywhere on it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any, Final

import numpy as np
import shapely
from scipy import interpolate
from scipy.spatial import cKDTree

from ringtex.basics.arrays import Floats, Longs, short_way
from ringtex.basics.caches import cached
from ringtex.basics.errors import InputError
from ringtex.pattern.cellular.area_density import AreaDensity, MeasuredStrip, area_density, density_points
from ringtex.pattern.grown.blue_noise import BORDER, blue_noise_sites, least_distance
from ringtex.pattern.grown.contour_lines import contour_lines
from ringtex.pattern.grown.level_clearance import Grid, clear_of_levels
from ringtex.pattern.grown.ring_layout import PINCH, GrowthRings
from ringtex.pattern.grown.varied_offsets import offset_areas
from ringtex.pattern.motif.grid_tiling import grid_tiling
from ringtex.pattern.pattern_options import PatternOptions
from ringtex.pattern.patterned_part import CACHED_PATTERNS, Pattern, PatternedPart, Strip

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
THINNEST: Final = 0.82
"""Of the mean width: the thinnest ring."""

AHEAD: Final = 1.2
"""Piths begin up to so many rings' widths apart, so that their first rings are not alike."""

STEPS: Final = 6
"""Of the grid, for each width of a ring."""

NEAREST: Final = 8
"""Piths that can count at any place."""

MAX_CELLS: Final = 2_500
"""Some 20 to 30 s of processor time on a dome."""

SAME_SCALE: Final = 1.15
"""Where the strip's scale varies by less, from the least to the largest, its own lengths do: rings are as even then as
their years."""

SAMPLES: Final = 3
"""Of the scale along a way (Gauss-Legendre): exact for quintics, and it varies slowly over a ring's piths."""

CANDIDATES: Final = 60
"""Points from which each pith is chosen."""

SMOOTHED_ROWS: Final = 8
"""Of the table of scales, to both sides."""

NODES_AT_ONCE: Final = 200_000
"""Their temporaries take some 200 MB."""


def growth_rings(
    part: PatternedPart, options: PatternOptions, across: int, density: AreaDensity | None = None
) -> Pattern:
    """The rings on the strip, whose cells only carry depths.

    Parameters:
        part: the rectangle between the rails.
        options: the pattern's options.
        across: rows of cells.
        density: the ring's area for an area of strip, so that rings are as wide everywhere on the ring; None where it
            hardly varies.
    Returns: the pattern.
    Raises: InputError for more rings than can be built.
    """
    if options.around * across > MAX_CELLS:
        message = f"{options.around} around by {across} across are more growth rings than can be built"
        raise InputError(message, f"Give counts whose product is at most {MAX_CELLS:,}", "pattern.around")
    slide = options.slide_mm[0]
    scales = None if density is None else AreaDensity(part, np.sqrt(density.table))
    counts = options.around, across
    rings = GrowthRings(part, *counts, options.seed, options.scatter, slide, density=density, scales=scales)
    rings = replace(rings, count=_count(rings))
    tiling = grid_tiling(part, options.around, across, 0.0, False)
    return Pattern(tiling, options.family, options.around, across, 0.0, motif=rings)


def varied_density(strip: Strip, part: PatternedPart) -> AreaDensity | None:
    """The ring's area for an area of strip; None where the strip does not tell, or its scale hardly varies."""
    if not isinstance(strip, MeasuredStrip):
        return None
    density = area_density(strip, part, 1.0)
    return density if float(np.max(density.table)) > SAME_SCALE**2 * float(np.min(density.table)) else None


def _density(rings: GrowthRings) -> AreaDensity | None:
    """The ring's area for an area of strip, as it was given to `growth_rings`."""
    assert rings.density is None or isinstance(rings.density, AreaDensity)
    return rings.density


def ring_bands(rings: GrowthRings) -> Any:
    """(k,) polygons, the rings without their edges, mm on the strip, as far round it as the walls go."""
    if rings.density is not None:
        return offset_areas(ring_areas(rings), lambda points: -rings.on_strip(PINCH, points), 3)
    part, margin = rings.part, rings.margin
    frame = shapely.box(-margin, part.lower, part.length + margin, part.upper)
    edges = shapely.union_all(shapely.buffer(ring_walls(rings), PINCH * rings.width, quad_segs=3))
    return shapely.get_parts(shapely.difference(frame, edges))


@cached(CACHED_PATTERNS)
def _count(rings: GrowthRings) -> int:
    """How many rings begin within the turn, or go all round."""
    low, bottom, high, top = shapely.bounds(ring_bands(rings)).reshape(-1, 4).T
    length = rings.part.length
    begins = (low < length) & np.where(low < 0.0, high > length, True)
    return int(np.count_nonzero(begins & (bottom < rings.part.upper) & (top > rings.part.lower)))


def ring_walls(rings: GrowthRings) -> Any:
    """(n,) the lines between neighbouring rings, mm on the strip, running on beyond seam and rails by a margin."""
    return _walls(rings)[0]


@cached(CACHED_PATTERNS)
def ring_areas(rings: GrowthRings) -> Any:
    """(k,) polygons, the rings from wall to wall, mm on the strip, with what lies beyond seam and rails."""
    walls, (left, low, right, high) = _walls(rings)
    ends = shapely.get_coordinates(shapely.get_point(walls[~shapely.is_closed(walls)][:, None], [0, -1]))
    points = np.concatenate((ends, [[left, low], [right, low], [right, high], [left, high]]))
    u, v = points[:, 0] - left, points[:, 1] - low
    wide, tall = right - left, high - low
    # How far round the border each lies, counter-clockwise from the lower left corner.
    way = np.select([v == 0.0, u == wide, v == tall], [u, wide + v, 2.0 * wide + tall - u], 2.0 * (wide + tall) - v)
    border = points[np.argsort(way, kind="stable")]
    sides = shapely.linestrings(np.stack((border, np.roll(border, -1, axis=0)), axis=1))
    return shapely.get_parts(shapely.polygonize(np.concatenate((walls, sides))))


@cached(CACHED_PATTERNS)
def _walls(rings: GrowthRings) -> tuple[Any, tuple[float, float, float, float]]:
    """The lines between neighbouring rings, and the left, low, right and high border at which they end."""
    part, margin = rings.part, rings.margin
    random = np.random.Generator(np.random.PCG64([rings.seed, 7]))
    columns, column_at = _columns(rings)
    finest = rings.width if rings.scales is None else rings.width / float(np.max(rings.scales.table))
    rows = math.ceil((part.width + 2.0 * margin) / finest * STEPS) + 1
    v: Floats = np.linspace(part.lower - margin, part.upper + margin, rows)
    field = _field(rings, column_at(np.arange(columns, dtype=np.float64)), v, random)
    levels = _levels(rings, field, random)
    field = clear_of_levels(field, _grid(rings, column_at(np.arange(columns, dtype=np.float64)), v), levels)
    # Rings on a strip of varied scale slide with their piths.
    slide = rings.slide % part.length if rings.scales is None else 0.0
    number = np.arange(-2 * columns, 3 * columns + 1)
    at = column_at(number.astype(np.float64)) + slide
    first = np.searchsorted(at, -margin, side="right") - 1
    last = np.searchsorted(at, part.length + margin)
    number, at = number[first : last + 1], at[first : last + 1]
    lines = contour_lines(field[number % columns], number.astype(np.float64), v, levels)

    def placed(points: Floats) -> Floats:
        return np.column_stack((column_at(points[:, 0]) + slide, points[:, 1]))

    return shapely.transform(lines, placed), (float(at[0]), float(v[0]), float(at[-1]), float(v[-1]))


def _grid(rings: GrowthRings, u: Floats, v: Floats) -> Grid:
    """The nodes of the field, for those that change it."""
    scale = np.ones((len(u), len(v)))
    if rings.scales is not None:
        places = np.stack(np.meshgrid(u, v, indexing="ij"), axis=-1).reshape(-1, 2)
        scale = np.asarray(rings.scales(places)).reshape(scale.shape)
    return Grid(u, v, rings.part.length, scale, rings.width, (rings.part.lower, rings.part.upper))


def _columns(rings: GrowthRings) -> tuple[int, Callable[[Floats], Floats]]:
    """How many columns the grid has in a turn, and where each lies, mm, fractions too: even where the scale is, else
    as far apart as rings are wide where the scale is largest across."""
    length, scales = rings.part.length, rings.scales
    if scales is None:
        columns = math.ceil(length / rings.width * STEPS)
        return columns, lambda number: np.asarray(number * (length / columns))
    largest = np.max(scales.table, axis=1)
    row = np.arange(len(largest)) * (length / (len(largest) - 1))
    # The mean of neighbouring rows: the largest value has kinks.
    reach = np.ones(2 * SMOOTHED_ROWS + 1) / (2 * SMOOTHED_ROWS + 1)
    largest = np.convolve(np.pad(largest[:-1], SMOOTHED_ROWS, mode="wrap"), reach, "valid")
    largest = np.append(largest, largest[0])
    before = np.append(0.0, np.cumsum(0.5 * (largest[1:] + largest[:-1]) * np.diff(row)))
    columns = math.ceil(float(before[-1]) / rings.width * STEPS)
    even = before / before[-1]
    moved = interpolate.CubicSpline(even * columns, row - length * even, bc_type="periodic")
    return columns, lambda number: np.asarray(number * (length / columns) + moved(np.mod(number, columns)))


def _field(rings: GrowthRings, u: Floats, v: Floats, random: np.random.Generator) -> Floats:
    """(columns, rows) at the nodes of a grid: about the distance to the nearest pith, mm."""
    piths = _piths(rings)
    lobes = random.normal(size=(len(piths), len(HARMONICS), 2)) * _between(LOBES, rings.scatter)
    lobes *= (HARMONICS[0] / HARMONICS)[:, None]
    ahead = random.uniform(0.0, AHEAD * rings.width, len(piths))
    waves = _waves(rings, u, v, random)
    copies = np.concatenate([piths + np.array([turn * rings.part.length, 0.0]) for turn in (-1, 0, 1)])
    tree = cKDTree(copies)
    field = np.empty((len(u), len(v)))
    step = max(1, NODES_AT_ONCE // len(v))
    for first in range(0, len(u), step):
        columns = slice(first, first + step)
        places = np.stack(np.meshgrid(u[columns], v, indexing="ij"), axis=-1).reshape(-1, 2)
        distance, calm = _distances(rings, tree, lobes, ahead, places)
        shape = (-1, len(v))
        field[columns] = distance.reshape(shape) + calm.reshape(shape) * waves[columns]
    return field


def _distances(
    rings: GrowthRings, tree: cKDTree, lobes: Floats, ahead: Floats, places: Floats
) -> tuple[Floats, Floats]:
    """Distances from places to the nearest pith, and how far waves count there.

    Parameters:
        rings: the rings.
        tree: the piths, in three turns one after the other.
        lobes: (piths, harmonics, 2) of the rings round each.
        ahead: (piths,) what is added to distances from each, mm.
        places: (n, 2) mm on the strip.
    Returns: (n,) mm; (n,) 0 at a pith to 1.
    """
    _, near = tree.query(places, k=np.arange(1, min(NEAREST, tree.n) + 1))
    start = tree.data[near]
    away = places[:, None, :] - start
    pith = near % len(ahead)
    radius = np.hypot(away[..., 0], away[..., 1])
    direction = (away[..., 0] + 1j * away[..., 1]) / np.maximum(radius, 1e-12)
    radius = radius * _mean_scale(rings, start, away)
    turned, bulge = direction, np.zeros_like(radius)
    for number in range(len(HARMONICS)):
        turned = turned * direction
        bulge += lobes[pith, number, 0] * turned.real + lobes[pith, number, 1] * turned.imag
    # Round at the pith itself.
    far = radius * (1.0 + bulge * radius / (radius + rings.width)) + ahead[pith]
    least = far.min(axis=1)
    fillet = FILLET * rings.width
    field = least - fillet * np.log(np.sum(np.exp((least[:, None] - far) / fillet), axis=1))
    return np.asarray(field), np.minimum(0.5 * radius.min(axis=1) / rings.width, 1.0)


def _mean_scale(rings: GrowthRings, start: Floats, way: Floats) -> Floats | float:
    """(...) mean scale along straight ways (..., 2) on the strip from points (..., 2): its product with their length is
    their length on the ring, which grows with the way exactly as the scale at its end."""
    if rings.scales is None:
        return 1.0
    points, weights = np.polynomial.legendre.leggauss(SAMPLES)
    mean = np.zeros(way.shape[:-1])
    for point, weight in zip(points.tolist(), weights.tolist(), strict=True):
        at = start + (0.5 + 0.5 * point) * way
        mean += 0.5 * weight * rings.scales(at.reshape(-1, 2)).reshape(mean.shape)
    return mean


def _piths(rings: GrowthRings) -> Floats:
    """(n, 2) two or more, also on the rails, mm on the strip."""
    part = PatternedPart(rings.part.length, rings.part.lower, rings.part.upper)
    density, count = _density(rings), max(2, round(PITHS * rings.around * rings.across))
    if density is not None:
        length = float(density.distance[-1])
        part = PatternedPart(length, 0.0, density.total / length)
    distance = least_distance(part, count)
    more = BORDER * distance
    taller = PatternedPart(part.length, part.lower - more, part.upper + more)
    distance = min(least_distance(taller, max(2, round(count * taller.area / part.area))), 0.45 * part.length)
    if density is not None:
        return _varied_piths(rings, density, distance, count)
    return blue_noise_sites(taller, distance, rings.seed)


def _varied_piths(rings: GrowthRings, density: AreaDensity, distance: float, count: int) -> Floats:
    """Points of the ring no two of which are nearer than a distance, mm on the ring: of many at random, one after the
    other, those that are far enough from all before them. They slide by parts of the ring's area.

    Parameters:
        rings: the rings.
        density: the ring's area for an area of strip.
        distance: the least, mm on the ring.
        count: about how many are wanted.
    Returns: (n, 2) mm on the strip.
    """
    part = PatternedPart(rings.part.length, rings.part.lower, rings.part.upper)
    random = np.random.Generator(np.random.PCG64([rings.seed, 11]))
    left = density_points(part, density, random.random((CANDIDATES * count, 2)))
    chosen = []
    while len(left):
        chosen.append(left[0])
        way = left - left[0]
        way[:, 0] = short_way(way[:, 0], part.length)
        left = left[np.hypot(*way.T) * _mean_scale(rings, np.broadcast_to(left[0], way.shape), way) >= distance]
    piths = np.array(chosen)
    turn = np.mod(density.fraction_before(piths[:, 0]) + rings.slide / part.length, 1.0)
    row = np.interp(turn * density.cumulated[-1], density.cumulated, np.arange(len(density.cumulated)))
    piths[:, 0] = row * part.length / (len(density.cumulated) - 1)
    return piths


def _waves(rings: GrowthRings, u: Floats, v: Floats, random: np.random.Generator) -> Floats:
    """(columns, rows) a sum of plane waves that close round the ring, mm."""
    density = _density(rings)
    length = rings.part.length if density is None else float(density.distance[-1])
    across = 2.0 * math.pi / (WAVE_LENGTH * rings.width)
    most = round(1.3 * length * across / (2.0 * math.pi))
    turns, climb = random.integers(-most, most + 1, WAVES), random.normal(size=WAVES) * across
    phase = random.random(WAVES) * 2.0 * math.pi
    size = np.exp(-0.5 * ((2.0 * math.pi * turns / length) ** 2 + climb**2) / across**2)
    size *= _between(WAVE_HEIGHT, rings.scatter) * rings.width / math.sqrt(0.5 * float(np.sum(size**2)))
    if density is not None:
        return _varied_waves(density, (turns, climb, phase, size), u, v)
    along, up = np.outer(2.0 * math.pi * turns / length, u) + phase[:, None], np.outer(climb, v)
    # Sums, not products of a linear algebra library, whose bytes depend on its threads.
    total = np.einsum("k,ku,kv->uv", size, np.sin(along), np.cos(up))
    return np.asarray(total + np.einsum("k,ku,kv->uv", size, np.cos(along), np.sin(up)))


def _varied_waves(density: AreaDensity, waves: tuple[Longs, Floats, Floats, Floats], u: Floats, v: Floats) -> Floats:
    """The waves as long everywhere on the ring: by lengths along its middle, and across from there.

    Parameters:
        density: the ring's area for an area of strip.
        waves: (k,) turns, 1/mm across, phases and sizes.
        u, v: nodes, mm.
    Returns: (columns, rows) mm.
    """
    part = density.part
    row = np.mod(u / part.length, 1.0) * (len(density.distance) - 1)
    number = np.arange(len(density.distance))
    turn = np.interp(row, number, density.distance / density.distance[-1]) * 2.0 * math.pi
    scale = np.interp(row, number, np.mean(np.sqrt(density.table), axis=1))
    over = scale[:, None] * (v - 0.5 * (part.lower + part.upper))
    total = np.zeros(over.shape)
    for turns, climb, phase, size in zip(*(each.tolist() for each in waves), strict=True):
        total += size * np.sin((turns * turn + phase)[:, None] + climb * over)
    return total


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
