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
from ringtex.pattern.cellular.equal_area_cells import EvenRequest, equal_area_sites
from ringtex.pattern.cellular.lloyd_relaxation import relax, relax_near_edits
from ringtex.pattern.cellular.power_diagram import equal_weights
from ringtex.pattern.cellular.short_walls import SHORT_WALL_FRACTION, close_short_walls
from ringtex.pattern.cellular.site_edits import SiteEdits, edited_sites
from ringtex.pattern.cellular.sites import random_sites, wrap_sites
from ringtex.pattern.cellular.voronoi_cells import meets_itself, refuse_self_meeting, voronoi_tiling
from ringtex.pattern.pattern_options import PatternOptions, refuse_too_many
from ringtex.pattern.patterned_part import CACHED_PATTERNS, Pattern, PatternedPart, Strip
from ringtex.pattern.quantisation import rounded

FULL_STEPS: Final = 60
"""Over-relaxed Lloyd steps at scatter 0: after these the areas' variation falls by under 1 % a step."""

DRAFT_STEPS: Final = 6
"""Steps of a first draft: the look is there (area variation 0.15 of the 0.53 it starts from)."""

EVEN_DRAFT_STEPS: Final = 3
"""Of even cells, which start from ordered columns: areas vary by 4 % after 3 steps as after 6."""

MAX_SELF_MEETING_STEPS: Final = 100
"""Relaxing steps tried to keep a cell from meeting itself round the ring (a few do)."""

EVEN_STEPS: Final = 32
"""Weighted steps at scatter 0 for even cells, which start from ordered columns."""

EVEN_SHORT_WALL_FRACTION: Final = 0.04
"""As SHORT_WALL_FRACTION for even cells: closing a wall of 0.07 shifts 3 % of area between its cells, of 0.04 only
1 %."""

FEW_CELLS: Final = 200
"""With more cells than this none reaches round the ring to itself."""

MIN_MOVE: Final = 0.01
MAX_MOVE: Final = 1.2
"""Random move of even cells' sites at scatter 0 and 1, in local cell sizes: enough to tell seeds
apart, and all order gone."""


def cellular_pattern(
    strip: Strip, part: PatternedPart, options: PatternOptions, progress: Progress, *, draft: bool = False
) -> Pattern:
    """Around x across cells grown from seeded sites.

    Scatter 1 leaves the sites as random as they fell (a Poisson process of known count); scatter s relaxes them by
    60 (1 - s)^2 Lloyd steps, so less scatter always means more even cells. A slide moves everything along the strip.

    With evenness e the sites go over to columns across the band, moved by scatter, and are relaxed so that cells have
    equal integrals of (area scale)^e: at 1, equal area on the ring; a density asked for acts in the same way. Both set
    in without a jump. The strip then needs `metric` and a hash.

    A draft takes at most 6 steps. Results are cached: a repeated request returns the same Pattern.

    Parameters:
        strip: the strip map; its metric is used by even cells only.
        part: the rectangle between the rails.
        options: the pattern's options.
        progress: asked whether to stop.
        draft: relax by a few steps only.
    Returns: the pattern.
    Raises: InputError for a twist or a slide across the strip, which do not apply here; Cancelled.
    """
    _refuse_meaningless(options)
    across = _rows(part, options)
    even, density_weight = options.uses_target_density, options.density_weight
    steps = (FULL_STEPS + density_weight * (EVEN_STEPS - FULL_STEPS)) * (1.0 - options.scatter) ** 2
    shortened = draft and (even or steps > DRAFT_STEPS)
    even_on = strip if even else None
    key = (part, even_on, replace(options, across=across, slide_mm=(options.slide_mm[0], 0.0)))
    cached = _cache.get((key, False)) or (_cache.get((key, True)) if shortened else None)
    if cached is not None:
        return cached
    exact = replace(options, across=across)
    steps = min(steps, EVEN_DRAFT_STEPS if density_weight == 1.0 else DRAFT_STEPS) if shortened else steps
    sites, weights = _grow(strip, part, exact, steps, progress, draft=shortened)
    sites = wrap_sites(part, sites + np.array([options.slide_mm[0], 0.0]))
    tiling = rounded(close_short_walls(voronoi_tiling(part, sites, weights), short_wall_fraction(density_weight)))
    pattern = Pattern(tiling, options.family, options.around, across, 0.0, sites)
    _cache.put((key, shortened), pattern)
    return pattern


def short_wall_fraction(density_weight: float) -> float:
    """Walls shorter than this fraction of their cells' size are closed."""
    return SHORT_WALL_FRACTION + density_weight * (EVEN_SHORT_WALL_FRACTION - SHORT_WALL_FRACTION)


def _refuse_meaningless(options: PatternOptions) -> None:
    if options.twist != 0:
        message = "a twist means nothing for cellular patterns, which have no rows to climb"
        raise InputError(message, "Set the twist to 0", "pattern.twist")
    if options.slide_mm[1] != 0.0:
        message = "cellular patterns cannot slide across the strip, since they are grown to fit its borders"
        advice = "Set the second slide to 0; the first turns the pattern round the ring"
        raise InputError(message, advice, "pattern.slide")
    if options.uses_target_density and options.slide_mm[0] != 0.0:
        refuse_slide()


def refuse_slide() -> NoReturn:
    """Raise InputError: even cells fit where they are."""
    message = "even cells are grown to fit their places on the ring, so they cannot slide round it"
    raise InputError(message, "Set the slide to 0, or evenness to 0 and density to null", "pattern.slide")


def _rows(part: PatternedPart, options: PatternOptions) -> int:
    """The wanted rows; auto makes cells that are as long across the band as round it, in rows of hexagons."""
    wanted = options.around * part.width / part.length * 2.0 / np.sqrt(3.0)
    across = max(1, round(float(wanted))) if options.across == "auto" else options.across
    refuse_too_many(options.around, across)
    return across


def _grow(
    strip: Strip, part: PatternedPart, options: PatternOptions, steps: float, progress: Progress, *, draft: bool
) -> tuple[Floats, Floats | None]:
    """Sites and weights of cells none of which meets itself round the ring."""
    count = options.around * int(options.across)
    weights = None
    if options.uses_target_density:
        density = area_density(cast(MeasuredStrip, strip), part, options.evenness, options.density)
        move = options.density_weight * (MIN_MOVE + (MAX_MOVE - MIN_MOVE) * options.scatter)
        request = EvenRequest(count, steps, move, options.seed, draft, options.density_weight)
        sites, weights = equal_area_sites(part, density, request, progress)
    else:
        sites = relax(part, random_sites(part, count, options.seed), steps, progress)
    for _ in range(MAX_SELF_MEETING_STEPS):
        if count > FEW_CELLS or not meets_itself(voronoi_tiling(part, sites, weights)):
            break
        sites = relax(part, sites, 1, progress)
    progress.check()
    return sites, weights


def edited_cellular(
    strip: Strip,
    part: PatternedPart,
    pattern: Pattern,
    options: PatternOptions,
    edits: SiteEdits,
    progress: Progress,
    *,
    draft: bool = False,
) -> Pattern:
    """A cellular pattern with its sites changed by hand: only what lies near a change differs from `pattern`.

    Even cells (evenness over 0) are made even again, except in a draft.

    Parameters:
        strip: the strip map.
        part: the rectangle between the rails.
        pattern: the pattern without edits.
        options: its options.
        edits: the changes of single sites.
        progress: asked whether to stop.
        draft: leave out the weights of even cells.
    Returns: the pattern with the edits.
    Raises: InputError where the remaining sites give no pattern; Cancelled.
    """
    assert pattern.sites is not None
    sites = relax_near_edits(part, edited_sites(part, pattern.sites, edits, strip.width), options.scatter, progress)
    weights = None
    if options.uses_target_density and not draft:
        density = area_density(cast(MeasuredStrip, strip), part, options.evenness, options.density)
        weights, _ = equal_weights(part, sites.places, density, progress, options.density_weight)
    tiling = voronoi_tiling(part, sites.places, weights)
    refuse_self_meeting(tiling)
    tiling = rounded(close_short_walls(tiling, short_wall_fraction(options.density_weight)))
    return replace(pattern, tiling=tiling, sites=sites.places, grown=sites)


_cache: Final[BoundedCache[Hashable, Pattern]] = BoundedCache(CACHED_PATTERNS)
