"""Cells of equal area on the ring: columns of sites, relaxed by the local scale, then equalised by weights."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final, NamedTuple

from ringtex.basics.progress import Progress
from ringtex.pattern.area_density import AreaDensity, MeasuredStrip
from ringtex.pattern.column_sites import LAYOUTS, ColumnLayout, column_sites
from ringtex.pattern.measure import six_sided_share
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.power_cells import equal_weights, measure_cells
from ringtex.pattern.sites import random_disc, wrap_sites
from ringtex.pattern.tiling import Floats
from ringtex.pattern.voronoi_cells import voronoi_tiling

OVER_RELAXATION: Final = 1.5
"""As in plain relaxing; the density makes larger steps swing."""


TRIAL_STEPS: Final = 8
"""Relaxing steps after which layouts of columns are first compared."""

TRIAL_WORK: Final = 2000
"""Cells times layouts tried, so that the trials take a fifth of a second at most."""

FINALISTS: Final = 2
"""Layouts relaxed to the end."""

GOOD_EVENNESS: Final = 2e-3
"""Largest relative error of a cell's measure that is accepted from the equalising weights."""

MOST_ROUNDS: Final = 8
"""Rounds of a few more relaxing steps where sites stand too irregularly for weights to equalise their cells."""


@lru_cache(maxsize=4)
def area_density(strip: MeasuredStrip, part: PatternedPart, evenness: float) -> AreaDensity:
    """The density's table, kept for the last few strips, since it depends on neither seed nor count."""
    return AreaDensity(strip, part, evenness)


class EvenRequest(NamedTuple):
    """What even cells are grown from: how many; steps of relaxing; move: how far sites are first moved at random, in
    local cell sizes; seed; draft: leave the cells as relaxing left them (a few per cent uneven).
    """

    cells: int
    steps: float
    move: float
    seed: int
    draft: bool


def even_sites(
    part: PatternedPart, density: AreaDensity, request: EvenRequest, progress: Progress
) -> tuple[Floats, Floats | None]:
    """(count, 2) sites and (count,) weights, mm2, whose power cells have equal measure (no weights for a draft).

    Raises Cancelled.
    """
    if request.draft or request.steps < TRIAL_STEPS:
        start = _seeded(part, density, request, LAYOUTS[0])
        sites = _relaxed(part, density, start, request.steps, progress)
    else:
        sites = _best_layout(part, density, request, progress)
    if request.draft:
        return sites, None
    for _ in range(MOST_ROUNDS):
        weights, error = equal_weights(part, sites, density, progress)
        if error <= GOOD_EVENNESS:
            break
        sites = _relaxed(part, density, sites, 2, progress)
    return sites, weights


def _seeded(part: PatternedPart, density: AreaDensity, request: EvenRequest, layout: ColumnLayout) -> Floats:
    sites = column_sites(part, density, request.cells, layout)
    local = (density.total / request.cells / density(sites)) ** 0.5
    move = request.move * local[:, None] * random_disc(request.cells, request.seed)
    return wrap_sites(part, sites + move)


def _best_layout(part: PatternedPart, density: AreaDensity, request: EvenRequest, progress: Progress) -> Floats:
    """Relaxed sites of the layout that leaves most six-sided cells."""
    layouts = LAYOUTS[: max(2, min(len(LAYOUTS), TRIAL_WORK // request.cells))]
    trials = [_seeded(part, density, request, layout) for layout in layouts]
    trials = _ranked(part, [_relaxed(part, density, sites, TRIAL_STEPS, progress) for sites in trials])
    rest = request.steps - TRIAL_STEPS
    return _ranked(part, [_relaxed(part, density, sites, rest, progress) for sites in trials[:FINALISTS]])[0]


def _ranked(part: PatternedPart, trials: list[Floats]) -> list[Floats]:
    """The trials, most six-sided cells first; equals keep their order."""
    return sorted(trials, key=lambda sites: -six_sided_share(voronoi_tiling(part, sites)))


def _relaxed(part: PatternedPart, density: AreaDensity, sites: Floats, steps: float, progress: Progress) -> Floats:
    for step in range(math.ceil(steps)):
        progress.check()
        share = min(1.0, steps - step)
        centroids = measure_cells(part, sites, None, density).centroids
        sites = wrap_sites(part, sites + OVER_RELAXATION * share * (centroids - sites))
    return sites
