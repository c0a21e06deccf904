"""Cells of equal area on the ring: ordered sites, relaxed by the local scale, then equalised by weights."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular import lloyd_relaxation
from ringtex.pattern.cellular.area_density import AreaDensity
from ringtex.pattern.cellular.power_diagram import CellMeasures, equal_weights, fitted_weights, measure_cells
from ringtex.pattern.cellular.short_walls import close_short_walls
from ringtex.pattern.cellular.sites import (
    ColumnLayout,
    column_fractions,
    column_sites,
    ordered_sites,
    random_disc,
    regular_columns,
    wrap_sites,
)
from ringtex.pattern.cellular.voronoi_cells import voronoi_tiling
from ringtex.pattern.measure import areas_on_ring
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.tiling import Tiling

OVER_RELAXATION: Final = 1.5
"""As in plain relaxing for cells wholly ordered; the density makes larger steps swing."""

COLUMNS_TRIED: Final = 0.06
"""Numbers of columns within this fraction of the regular one are tried; cells are stretched by up to twice that."""

STRETCH_COST: Final = 1600.0
"""Dislocations that a number of columns may save, by the square of its relative difference from the regular one."""

PERTURBATION: Final = 0.6
PERTURBATION_STEPS: Final = 4
PERTURBATION_WORK: Final = 6000
MAX_PERTURBATIONS: Final = 12
"""Faulty cells are moved at random by up to 0.6 of a cell's size and relaxed by a few steps, several times over as far
as the number of cells allows; what has fewer faults stays."""

WANTED_SIX_SIDED: Final = ((300, 1000), (0.89, 0.922))
PATIENCE: Final = 2
"""Numbers of cells, and fractions of six-sided ones under which up to twice as many perturbations are tried."""

SECTOR_CELLS: Final = 40
"""The ring is judged in sectors of about so many cells, which start at a random angle each time."""

MIN_ROUNDNESS: Final = 0.77
ROUND_WEIGHT: Final = 100.0
"""Cells under this roundness (4 pi A / P^2) are faulty as well: by 2 where it is less by 0.02."""

MOVES, PHASE, PERTURBATIONS = 1, 2, 3
"""Streams of random numbers, each independent of the others and of the random sites."""

GOOD_EVENNESS: Final = 2e-3
"""Largest relative error of a cell's measure that is accepted from the equalising weights."""

MAX_ROUNDS: Final = 8
"""Rounds of a few more relaxing steps where sites stand too irregularly for weights to equalise their cells."""

RELAXED_AT: Final = 0.5
EQUALISING_FROM: Final = 0.8
"""How far the work is, roughly, when sites are relaxed, and when weights are sought."""


class EvenRequest(NamedTuple):
    """What even cells are grown from.

    cells   how many.
    steps   of relaxing.
    move    how far sites are first moved at random, in local cell sizes.
    seed    of all random choices.
    spread  coefficient of variation that the cells' measures may keep.
    order   0 to 1: from sites as they would grow without evenness to ordered ones.
    rows    without evenness the sites stand in rows as a hexagon lattice's do; else they are strewn at random.
    """

    cells: int
    steps: float
    move: float
    seed: int
    spread: float
    order: float = 1.0
    rows: bool = False


def equal_area_sites(
    part: PatternedPart, density: AreaDensity, request: EvenRequest, progress: Progress
) -> tuple[Floats, Floats]:
    """(count, 2) sites and (count,) weights, mm2, whose power cells have measures as equal as requested.

    Parameters:
        part: the rectangle between the rails.
        density: over the part.
        request: how many cells, and how they are grown.
        progress: asked whether to stop.
    Returns: the sites and their weights.
    Raises: Cancelled.
    """
    sites = _relaxed(part, density, _seeded(part, density, request), request, progress)
    if request.order == 1.0 and request.steps >= PERTURBATION_STEPS:
        sites = _perturbed(part, density, sites, request, progress)
    for done in range(MAX_ROUNDS):
        progress.within(EQUALISING_FROM + (1.0 - EQUALISING_FROM) * done / MAX_ROUNDS)
        weights, error = equal_weights(part, sites, density, progress, request.spread)
        if error <= GOOD_EVENNESS:
            break
        sites = _relaxed(part, density, sites, request._replace(steps=2.0), progress)
    return sites, weights


def power_tiling(
    part: PatternedPart, sites: Floats, weights: Floats, density: AreaDensity, short_wall: float, progress: Progress
) -> Tiling:
    """The power cells with short walls closed, weighted once more so that closing takes nothing off the measures.

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) positions on the strip, mm.
        weights: (n,) mm2.
        density: over the part.
        short_wall: walls shorter than this fraction of their cells' size are closed.
        progress: asked whether to stop.
    Returns: the tiling.
    Raises: Cancelled; InputError where cells do not close.
    """
    before = voronoi_tiling(part, sites, weights)
    closed = close_short_walls(before, short_wall)
    if closed.cells != len(sites) or len(closed.vertices) == len(before.vertices):
        return closed
    measures = measure_cells(part, sites, weights, density).measures
    targets = (2.0 * measures - areas_on_ring(closed, density)) / np.mean(measures)
    if float(np.min(targets)) <= 0.0:
        return closed
    corrected, _ = fitted_weights(part, sites, density, progress, targets, weights)
    return close_short_walls(voronoi_tiling(part, sites, corrected), short_wall)


def best_layout(part: PatternedPart, density: AreaDensity, request: EvenRequest) -> ColumnLayout:
    """The number of columns that needs fewest dislocations for its stretch, at a phase from the seed.

    On the way to order the regular number alone, for the choice of another would be a jump.

    Parameters:
        part: the rectangle between the rails.
        density: over the part.
        request: how many cells, and how they are grown.
    Returns: the layout.
    """
    draw = np.random.Generator(np.random.PCG64([request.seed, PHASE])).random(2)
    regular = regular_columns(density, request.cells)
    phase = request.order * (float(draw[0]) - 0.5)
    if request.order < 1.0:
        return ColumnLayout(regular, phase)
    margin = max(1, math.floor(COLUMNS_TRIED * regular))
    tried = range(max(3, regular - margin), min(regular + margin, request.cells) + 1)
    return min(
        (ColumnLayout(columns, phase) for columns in tried),
        key=lambda layout: _cost(part, density, request, layout, regular),
    )


def _cost(part: PatternedPart, density: AreaDensity, request: EvenRequest, layout: ColumnLayout, regular: int) -> float:
    _, sizes = column_fractions(part, density, request.cells, layout, request.seed)
    dislocations = int(np.sum(np.abs(sizes - np.roll(sizes, 1))))
    return dislocations + STRETCH_COST * (layout.columns / regular - 1.0) ** 2


def _seeded(part: PatternedPart, density: AreaDensity, request: EvenRequest) -> Floats:
    layout = best_layout(part, density, request)
    if request.rows:
        sites = column_sites(part, density, request.cells, layout, request.seed)
    else:
        sites = ordered_sites(part, density, request.cells, layout, request.order, request.seed)
    move = request.move * density.spacing(sites)[:, None] * random_disc(request.cells, request.seed, MOVES)
    return wrap_sites(part, sites + move)


def _perturbed(
    part: PatternedPart, density: AreaDensity, sites: Floats, request: EvenRequest, progress: Progress
) -> Floats:
    """The sites after some tries to get rid of faulty cells, each sector of the ring judged by itself."""
    best = measure_cells(part, sites, None, density)
    short = request._replace(steps=PERTURBATION_STEPS)
    rounds = max(2, min(MAX_PERTURBATIONS, PERTURBATION_WORK // request.cells))
    sectors = max(1, request.cells // SECTOR_CELLS)
    draw = np.random.Generator(np.random.PCG64([request.seed, PERTURBATIONS]))
    wanted = float(np.interp(request.cells, *WANTED_SIX_SIDED))
    for number in range(PATIENCE * rounds):
        if number >= rounds and best.six_sided >= wanted:
            break
        progress.within(RELAXED_AT + (EQUALISING_FROM - RELAXED_AT) * min(1.0, number / rounds))
        extent = np.where(_faults(best) > 0.0, PERTURBATION * density.spacing(sites), 0.0)
        disc = random_disc(request.cells, int(draw.integers(2**32)), PERTURBATIONS)
        trial = _relaxed(part, density, wrap_sites(part, sites + extent[:, None] * disc), short, progress)
        state = measure_cells(part, trial, None, density)
        passed = density.fraction_before(sites[:, 0]) + float(draw.random())
        sector = np.floor(np.mod(passed, 1.0) * sectors).astype(np.int64)
        gain = np.bincount(sector, _faults(best) - _faults(state), sectors)
        mixed = np.where((gain >= 0.0)[sector][:, None], trial, sites)
        mixed_state = measure_cells(part, mixed, None, density)
        for candidate, measured in ((trial, state), (mixed, mixed_state)):
            if np.sum(_faults(measured)) <= np.sum(_faults(best)):
                sites, best = candidate, measured
    return sites


def _faults(state: CellMeasures) -> Floats:
    """(n,) how faulty each cell is: 1 for a defect, more for one that is far from round."""
    return np.asarray(state.defects + ROUND_WEIGHT * np.maximum(0.0, MIN_ROUNDNESS - state.roundness), dtype=np.float64)


def _relaxed(
    part: PatternedPart, density: AreaDensity, sites: Floats, request: EvenRequest, progress: Progress
) -> Floats:
    plain = lloyd_relaxation.OVER_RELAXATION
    over_relaxation = plain + request.order * (OVER_RELAXATION - plain)
    for step in range(math.ceil(request.steps)):
        progress.check()
        fraction = min(1.0, request.steps - step)
        centroids = measure_cells(part, sites, None, density).centroids
        sites = wrap_sites(part, sites + over_relaxation * fraction * (centroids - sites))
    return sites
