"""The cellular family: seeded Voronoi cells, relaxed as far as scatter allows, with no wall too short to be made."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace
from typing import Final, NoReturn, cast

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.caches import BoundedCache
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.area_density import MeasuredStrip, area_density
from ringtex.pattern.cellular.equal_area_cells import EvenRequest, equal_area_diagram, kept_measures, power_tiling
from ringtex.pattern.cellular.lloyd_relaxation import relax, relax_near_edits
from ringtex.pattern.cellular.moving_diagram import MovingDiagram
from ringtex.pattern.cellular.power_diagram import fitted_weights
from ringtex.pattern.cellular.short_walls import SHORT_WALL_FRACTION, close_short_walls
from ringtex.pattern.cellular.site_edits import SiteEdits, edited_sites
from ringtex.pattern.cellular.sites import random_sites, wrap_sites
from ringtex.pattern.cellular.voronoi_cells import meets_itself, refuse_self_meeting, voronoi_tiling
from ringtex.pattern.grown.grown_families import GROWN_FAMILIES
from ringtex.pattern.pattern_options import PatternOptions, refuse_too_many
from ringtex.pattern.patterned_part import CACHED_PATTERNS, Pattern, PatternedPart, Strip
from ringtex.pattern.quantisation import rounded
from ringtex.pattern.tiling import Tiling

FULL_STEPS: Final = 60
"""Over-relaxed Lloyd steps at scatter 0: after these the areas' variation falls by under 1 % a step."""

SPREAD: Final = ((0.0, 0.25, 0.5, 0.75, 0.9, 1.0), (0.081, 0.096, 0.126, 0.202, 0.389, 0.547))
BY_ROWS: Final = (0.93, 1.3, 0.5)
"""Scatter, and the coefficient of variation of cell areas there at evenness 0 with 18 rows; with r rows 0.93 + 1.3 / (r
+ 0.5) times that, because cells on a border vary more, but for sites wholly at random."""

MAX_SELF_MEETING_STEPS: Final = 100
"""Relaxing steps tried to keep a cell from meeting itself round the ring (a few do)."""

EVEN_STEPS: Final = 20
"""Weighted steps at scatter 0 for even cells, which start from ordered columns."""

EVEN_SHORT_WALL_FRACTION: Final = 0.04
"""As SHORT_WALL_FRACTION for even cells: closing a wall of 0.07 shifts 3 % of area between its cells, of 0.04 only
1 %."""

STEP_SECONDS: Final = 2.7e-6
"""Processor time of a Lloyd step for each cell, measured with 8,000 cells."""

FEW_CELLS: Final = 200
"""With more cells than this none reaches round the ring to itself."""

MIN_MOVE: Final = 0.01
MAX_MOVE: Final = 1.2
"""Random move of even cells' sites at scatter 0 and 1, in local cell sizes: enough to tell seeds
apart, and all order gone."""


def cellular_pattern(strip: Strip, part: PatternedPart, options: PatternOptions, progress: Progress) -> Pattern:
    """Around x across cells grown from seeded sites.

    Scatter 1 leaves the sites as random as they fell (a Poisson process of known count); scatter s relaxes them by
    60 (1 - s)^2 Lloyd steps, so less scatter always means more even cells. A slide moves everything along the strip.

    With evenness e the sites go over to columns across the band, moved by scatter, and are relaxed by a density. Areas
    on the ring then vary by 1 - e of what they do at evenness 0; a requested density acts in the same way. Both set in
    without a jump. The strip then needs `metric` and a hash.

    Results are cached: a repeated request returns the same Pattern.

    Parameters:
        strip: the strip map; its metric is used by even cells only.
        part: the rectangle between the rails.
        options: the pattern's options.
        progress: asked whether to stop.
    Returns: the pattern.
    Raises: InputError for a twist or a slide across the strip, which do not apply here; Cancelled.
    """
    refuse_rows(options)
    across = cellular_rows(part, options)
    even_on = strip if options.uses_target_density else None
    key = (part, even_on, replace(options, across=across, slide_mm=(options.slide_mm[0], 0.0)))
    cached = _cache.get(key)
    if cached is not None:
        return cached
    sites, tiling = _grow(strip, part, replace(options, across=across), progress)
    pattern = Pattern(rounded(tiling), options.family, options.around, across, 0.0, sites)
    _cache.put(key, pattern)
    return pattern


def cellular_spread(scatter: float, rows: int) -> float:
    """Coefficient of variation of cell areas on the strip at evenness 0 (measured: medians of 4 to 8 seeds, 60 cells
    round, 1 to 20 rows)."""
    constant, share, shift = BY_ROWS
    by_rows = constant + share / (rows + shift)
    return float(np.interp(scatter, *SPREAD)) * (1.0 + (by_rows - 1.0) * (1.0 - scatter**4))


def short_wall_fraction(density_weight: float) -> float:
    """Walls shorter than this fraction of their cells' size are closed."""
    return SHORT_WALL_FRACTION + density_weight * (EVEN_SHORT_WALL_FRACTION - SHORT_WALL_FRACTION)


def refuse_rows(options: PatternOptions) -> None:
    """Raise InputError for a twist or a slide across the strip: grown cells have no rows."""
    label = GROWN_FAMILIES[options.family].label
    if options.twist != 0:
        message = f"a twist means nothing for {label} patterns, which have no rows to climb"
        raise InputError(message, "Set the twist to 0", "pattern.twist")
    if options.slide_mm[1] != 0.0:
        message = f"{label} patterns cannot slide across the strip, since they are grown to fit its borders"
        advice = "Set the second slide to 0; the first turns the pattern round the ring"
        raise InputError(message, advice, "pattern.slide")
    if options.uses_target_density and options.slide_mm[0] != 0.0:
        refuse_slide()


def refuse_slide() -> NoReturn:
    """Raise InputError: even cells fit where they are."""
    message = "even cells are grown to fit their places on the ring, so they cannot slide round it"
    raise InputError(message, "Set the slide to 0, or evenness to 0 and density to null", "pattern.slide")


def cellular_rows(part: PatternedPart, options: PatternOptions) -> int:
    """The wanted rows; auto makes cells that are as long across the band as round it, in rows of hexagons."""
    wanted = options.around * part.width / part.length * 2.0 / np.sqrt(3.0)
    across = max(1, round(float(wanted))) if options.across == "auto" else options.across
    refuse_too_many(options.around, across)
    return across


def _grow(strip: Strip, part: PatternedPart, options: PatternOptions, progress: Progress) -> tuple[Floats, Tiling]:
    """Sites, and cells none of which meets itself round the ring."""
    count, order = options.around * int(options.across), options.density_weight
    steps = (FULL_STEPS + order * (EVEN_STEPS - FULL_STEPS)) * (1.0 - options.scatter) ** 2
    short_wall = short_wall_fraction(order)
    if options.uses_target_density:
        density = area_density(cast(MeasuredStrip, strip), part, options.evenness, options.density)
        move = order * (MIN_MOVE + (MAX_MOVE - MIN_MOVE) * options.scatter)
        spread = (1.0 - options.evenness) * cellular_spread(options.scatter, int(options.across))
        request = EvenRequest(count, steps, move, options.seed, spread, order, ordered=options.scatter == 0.0)
        diagram = equal_area_diagram(part, density, request, progress)
        tiling = power_tiling(diagram, density, short_wall)
        if not meets_itself(tiling):
            return diagram.sites, tiling
        diagram = MovingDiagram(part, diagram.sites)
    else:
        progress.expect(count * steps * STEP_SECONDS)
        diagram = relax(MovingDiagram(part, random_sites(part, count, options.seed)), steps, progress)
    for _ in range(MAX_SELF_MEETING_STEPS):
        if count > FEW_CELLS or not meets_itself(diagram.tiling()):
            break
        diagram = relax(diagram, 1, progress)
    progress.check()
    if options.slide_mm[0]:
        diagram = diagram.moved(wrap_sites(part, diagram.sites + np.array([options.slide_mm[0], 0.0])))
    return diagram.sites, close_short_walls(diagram.tiling(), short_wall)


def edited_cellular(
    strip: Strip, part: PatternedPart, pattern: Pattern, options: PatternOptions, edits: SiteEdits, progress: Progress
) -> Pattern:
    """A cellular pattern with its sites changed by hand: only what lies near a change differs from `pattern`.

    Even cells (evenness over 0) have the sizes again that they had.

    Parameters:
        strip: the strip map.
        part: the rectangle between the rails.
        pattern: the pattern without edits.
        options: its options.
        edits: the changes of single sites.
        progress: asked whether to stop.
    Returns: the pattern with the edits.
    Raises: InputError where the remaining sites give no pattern; Cancelled.
    """
    assert pattern.sites is not None
    sites = relax_near_edits(part, edited_sites(part, pattern.sites, edits, strip.width), options.scatter, progress)
    short_wall = short_wall_fraction(options.density_weight)
    if options.uses_target_density:
        density = area_density(cast(MeasuredStrip, strip), part, options.evenness, options.density)
        targets = kept_measures(density, pattern.tiling, sites.origin)
        diagram, _ = fitted_weights(MovingDiagram(part, sites.places), density, progress, targets)
        tiling = power_tiling(diagram, density, short_wall)
    else:
        tiling = close_short_walls(voronoi_tiling(part, sites.places), short_wall)
    refuse_self_meeting(tiling)
    return replace(pattern, tiling=rounded(tiling), sites=sites.places, grown=sites)


_cache: Final[BoundedCache[Hashable, Pattern]] = BoundedCache(CACHED_PATTERNS)
