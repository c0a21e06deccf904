"""Cells of equal area on the ring: ordered sites, relaxed by the local scale, then equalised by weights."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular import lloyd_relaxation as relaxing
from ringtex.pattern.cellular.area_density import AreaDensity
from ringtex.pattern.cellular.power_diagram import equal_weights, measure_cells
from ringtex.pattern.cellular.regular_triangulation import defects
from ringtex.pattern.cellular.sites import LAYOUTS, ColumnLayout, column_sites, ordered_sites, random_disc, wrap_sites
from ringtex.pattern.patterned_part import PatternedPart

OVER_RELAXATION: Final = 1.5
"""As in plain relaxing for cells wholly ordered; the density makes larger steps swing."""

TRIAL_STEPS: Final = 8
"""Relaxing steps after which layouts of columns are first compared."""

TRIAL_WORK: Final = 2000
"""Cells times layouts tried, so that the trials take a fifth of a second at most."""

FINALISTS: Final = 2
"""Layouts relaxed to the end."""

PERTURBATION: Final = 0.6
PERTURBATION_STEPS: Final = 4
PERTURBATION_WORK: Final = 7000
MAX_PERTURBATIONS: Final = 30
"""Cells with other than six sides are moved at random by up to 0.6 of a cell's size and relaxed by a few steps; what
has more six-sided cells stays. With 270 cells this raises their fraction from 0.87 to 0.89; with many it does
little, and costs more."""

MIN_SIX_SIDED: Final = 0.885
PATIENCE: Final = 3
"""Where fewer cells than this fraction have six sides after the usual perturbations, up to PATIENCE times as many are
tried."""

GOOD_EVENNESS: Final = 2e-3
"""Largest relative error of a cell's measure that is accepted from the equalising weights."""

MAX_ROUNDS: Final = 8
"""Rounds of a few more relaxing steps where sites stand too irregularly for weights to equalise their cells."""


TRIED_AT: Final = 0.2
RELAXED_AT: Final = 0.5
EQUALISING_FROM: Final = 0.8
"""How far the work is, roughly, when layouts are tried, when the best is relaxed, and when weights are sought."""


class EvenRequest(NamedTuple):
    """What even cells are grown from.

    cells   how many.
    steps   of relaxing.
    move    how far sites are first moved at random, in local cell sizes.
    seed    of that, and of random sites.
    draft   leave the cells as relaxing left them (a few per cent uneven).
    order   0 to 1: from sites as they would grow without evenness to ordered ones with cells of equal measure.
    rows    without evenness the sites stand in rows as a hexagon lattice's do; else they are strewn at random.
    """

    cells: int
    steps: float
    move: float
    seed: int
    draft: bool
    order: float = 1.0
    rows: bool = False


def equal_area_sites(
    part: PatternedPart, density: AreaDensity, request: EvenRequest, progress: Progress
) -> tuple[Floats, Floats | None]:
    """(count, 2) sites and (count,) weights, mm2, whose power cells have equal measure (no weights for a draft).

    Parameters:
        part: the rectangle between the rails.
        density: over the part.
        request: how many cells, and how they are grown.
        progress: asked whether to stop.
    Returns: the sites and their weights.
    Raises: Cancelled.
    """
    layouts = _layouts(request)
    if len(layouts) == 1:
        sites = _relaxed(part, density, _seeded(part, density, request, layouts[0]), request, progress)
    else:
        sites = _best_layout(part, density, request, layouts, progress)
    if request.draft:
        return sites, None
    for done in range(MAX_ROUNDS):
        progress.within(EQUALISING_FROM + (1.0 - EQUALISING_FROM) * done / MAX_ROUNDS)
        weights, error = equal_weights(part, sites, density, progress, request.order)
        if error <= GOOD_EVENNESS:
            break
        sites = _relaxed(part, density, sites, request._replace(steps=2.0), progress)
    return sites, weights


def _layouts(request: EvenRequest) -> tuple[ColumnLayout, ...]:
    """Those worth trying. On the way to order the first alone, for the choice of another would be a jump."""
    if request.draft or request.steps < TRIAL_STEPS or request.order < 1.0:
        return LAYOUTS[:1]
    return LAYOUTS[: max(2, TRIAL_WORK // request.cells)]


def _seeded(part: PatternedPart, density: AreaDensity, request: EvenRequest, layout: ColumnLayout) -> Floats:
    if request.rows:
        sites = column_sites(part, density, request.cells, layout)
    else:
        sites = ordered_sites(part, density, request.cells, layout, request.order, request.seed)
    local = (density.total / request.cells / density(sites)) ** 0.5
    move = request.move * local[:, None] * random_disc(request.cells, request.seed)
    return wrap_sites(part, sites + move)


def _best_layout(
    part: PatternedPart,
    density: AreaDensity,
    request: EvenRequest,
    layouts: tuple[ColumnLayout, ...],
    progress: Progress,
) -> Floats:
    """Relaxed sites of the layout that leaves most six-sided cells."""
    trial, rest = request._replace(steps=TRIAL_STEPS), request._replace(steps=request.steps - TRIAL_STEPS)
    starts = [_seeded(part, density, request, layout) for layout in layouts]
    trials = _ranked(part, [_relaxed(part, density, sites, trial, progress) for sites in starts])
    progress.within(TRIED_AT)
    best = _ranked(part, [_relaxed(part, density, sites, rest, progress) for sites in trials[:FINALISTS]])[0]
    return _perturbed(part, density, best, request, progress)


def _perturbed(
    part: PatternedPart, density: AreaDensity, sites: Floats, request: EvenRequest, progress: Progress
) -> Floats:
    """The sites after some tries to get rid of cells with other than six sides."""
    defective, best = defects(part, sites)
    short = request._replace(steps=PERTURBATION_STEPS)
    perturbations = min(MAX_PERTURBATIONS, PERTURBATION_WORK // request.cells)
    for perturbation in range(PATIENCE * perturbations):
        if perturbation >= perturbations and best >= MIN_SIX_SIDED:
            break
        progress.within(RELAXED_AT + (EQUALISING_FROM - RELAXED_AT) * min(1.0, perturbation / perturbations))
        reach = np.where(defective, PERTURBATION * (density.total / request.cells / density(sites)) ** 0.5, 0.0)
        moved = wrap_sites(part, sites + reach[:, None] * random_disc(request.cells, perturbation + 1))
        moved = _relaxed(part, density, moved, short, progress)
        moved_defective, fraction = defects(part, moved)
        if fraction >= best:
            sites, defective, best = moved, moved_defective, fraction
    return sites


def _ranked(part: PatternedPart, trials: list[Floats]) -> list[Floats]:
    """The trials, most six-sided cells first; equals keep their order."""
    return sorted(trials, key=lambda sites: -defects(part, sites)[1])


def _relaxed(
    part: PatternedPart, density: AreaDensity, sites: Floats, request: EvenRequest, progress: Progress
) -> Floats:
    far = relaxing.OVER_RELAXATION + request.order * (OVER_RELAXATION - relaxing.OVER_RELAXATION)
    for step in range(math.ceil(request.steps)):
        progress.check()
        fraction = min(1.0, request.steps - step)
        centroids = measure_cells(part, sites, None, density).centroids
        sites = wrap_sites(part, sites + far * fraction * (centroids - sites))
    return sites
