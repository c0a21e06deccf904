"""The cellular family: seeded Voronoi cells, relaxed as far as scatter allows, with no wall too short to be made."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Hashable
from typing import Final

import numpy as np

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.pattern_options import PatternOptions, refuse_too_many
from ringtex.pattern.patterned_part import Pattern, PatternedPart
from ringtex.pattern.place_rounding import rounded
from ringtex.pattern.relaxing import relax
from ringtex.pattern.short_walls import close_short_walls
from ringtex.pattern.sites import random_sites, wrap_sites
from ringtex.pattern.tiling import Floats, Tiling
from ringtex.pattern.voronoi_cells import voronoi_tiling

FULL_STEPS: Final = 60
"""Over-relaxed Lloyd steps at scatter 0: after these the areas' variation falls by under 1 % a step."""

DRAFT_STEPS: Final = 6
"""Steps of a first draft: the look is there (area variation 0.15 of the 0.53 it starts from)."""

SHORT_WALL_SHARE: Final = 0.07
"""Walls shorter than this share of a cell's size are closed: on a 2 mm cell 0.14 mm, under any ridge that casts."""

MOST_SELF_MEETING_STEPS: Final = 100
"""Relaxing steps tried to keep a cell from meeting itself round the ring (a few do)."""

KEPT_RESULTS: Final = 8
"""Patterns kept for re-use while only the relief changes; one of 1000 cells takes about 0.3 MB."""


def cellular_pattern(
    part: PatternedPart, options: PatternOptions, progress: Progress, *, draft: bool = False
) -> Pattern:
    """Around x across cells grown from seeded random sites.

    Scatter 1 leaves the sites as random as they fell (a Poisson process of known count); scatter s relaxes them by 60
    (1 - s)^2 Lloyd steps, so less scatter always means more even cells. A slide moves everything along the strip. A
    draft takes at most 6 steps. Results are kept: asked again, the same Pattern comes back at once. Raises InputError
    for a twist, evenness or a slide across the strip, which mean nothing here; Cancelled.
    """
    _refuse_meaningless(options)
    across = _rows(part, options)
    key = (part, options.around, across, options.seed, options.scatter, options.slide_mm[0])
    steps = FULL_STEPS * (1.0 - options.scatter) ** 2
    kept = _KEPT.get((*key, "full")) or (_KEPT.get((*key, "draft")) if draft and steps > DRAFT_STEPS else None)
    if kept is not None:
        return kept
    shortened = draft and steps > DRAFT_STEPS
    tiling, sites = _grow(part, options, options.around * across, DRAFT_STEPS if shortened else steps, progress)
    pattern = Pattern(tiling, options.family, options.around, across, 0.0, sites)
    _KEPT.put((*key, "draft" if shortened else "full"), pattern)
    return pattern


def _refuse_meaningless(options: PatternOptions) -> None:
    if options.twist != 0:
        message = "a twist means nothing for cellular patterns, which have no rows to climb"
        raise InputError(message, "Set the twist to 0", "pattern.twist")
    if options.slide_mm[1] != 0.0:
        message = "cellular patterns cannot slide across the strip, since they are grown to fit its borders"
        advice = "Set the second slide to 0; the first turns the pattern round the ring"
        raise InputError(message, advice, "pattern.slide")
    if options.evenness != 0.0:
        message = "evenness other than 0 is not available for cellular patterns"
        raise InputError(message, "Set evenness to 0", "pattern.evenness")


def _rows(part: PatternedPart, options: PatternOptions) -> int:
    """The wanted rows; auto makes cells that are as long across the band as round it, in rows of hexagons."""
    wanted = options.around * part.width / part.length * 2.0 / np.sqrt(3.0)
    across = max(1, round(float(wanted))) if options.across == "auto" else options.across
    refuse_too_many(options.around, across)
    return across


def _grow(
    part: PatternedPart, options: PatternOptions, count: int, steps: float, progress: Progress
) -> tuple[Tiling, Floats]:
    sites = relax(part, random_sites(part, count, options.seed), steps, progress)
    tiling = voronoi_tiling(part, sites)
    for _ in range(MOST_SELF_MEETING_STEPS):
        if not _meets_itself(tiling):
            break
        sites = relax(part, sites, 1, progress)
        tiling = voronoi_tiling(part, sites)
    progress.check()
    sites = wrap_sites(part, sites + np.array([options.slide_mm[0], 0.0]))
    tiling = voronoi_tiling(part, sites)
    return rounded(close_short_walls(tiling, SHORT_WALL_SHARE)), sites


def _meets_itself(tiling: Tiling) -> bool:
    inner = np.flatnonzero(tiling.twin >= 0)
    return bool(np.any(tiling.corner_cell[inner] == tiling.corner_cell[tiling.twin[inner]]))


class _KeptPatterns:
    """The last few patterns by what they were asked for with; safe to use from several threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: OrderedDict[Hashable, Pattern] = OrderedDict()

    def get(self, key: Hashable) -> Pattern | None:
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def put(self, key: Hashable, pattern: Pattern) -> None:
        with self._lock:
            self._kept[key] = pattern
            while len(self._kept) > KEPT_RESULTS:
                self._kept.popitem(last=False)


_KEPT: Final = _KeptPatterns()
