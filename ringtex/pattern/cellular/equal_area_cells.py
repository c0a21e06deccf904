"""Cells of equal area on the ring: ordered sites, relaxed by the local scale, then equalised by weights."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Longs
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular import lloyd_relaxation
from ringtex.pattern.cellular.area_density import AreaDensity
from ringtex.pattern.cellular.moving_diagram import MovingDiagram
from ringtex.pattern.cellular.power_diagram import CellMeasures, fitted_weights, relative_targets
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
from ringtex.pattern.cellular.vertex_areas import with_areas
from ringtex.pattern.measure import areas_on_ring
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.tiling import Tiling

SECONDS_A_CELL: Final = 3e-4
"""Processor time of even cells, measured with 12,000 of them."""

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
as the number of cells allows; what has fewer faults is kept."""

MAX_MORE: Final = ((300, 500, 1500, 5000), (18, 80, 80, 14))
"""Numbers of cells and perturbations that may follow while too many faults stay; none for scattered cells, which are
not meant to be regular."""

WANTED_SIX_SIDED: Final = ((300, 1000), (0.90, 0.93))
WANTED_ROUNDNESS: Final = 0.76
"""Numbers of cells and fractions of six-sided ones, and the least roundness, with which perturbing stops."""

WEIGHTS_MAY_COST: Final = 0.005
"""So much less six-sided share and roundness, together, is enough once cells are weighted."""

TRIES_BETWEEN: Final = 6
"""Perturbations before cells are weighted again, which costs as much."""

PATCH_CELLS: Final = 40
"""The ring is judged in patches of about so many cells, other ones each time."""

MIN_ROUNDNESS: Final = ((300, 1000), (0.77, 0.79))
ROUND_WEIGHT: Final = 100.0
"""Numbers of cells and the roundness (4 pi A / P^2) under which cells are faulty as well: by 2 where it is less by
0.02."""

CENTRINGS: Final = 3
"""Times that weighted cells' sites step to the centroids and are weighted again: weights take off roundness what this
gives back (centroidal power diagrams, de Goes and others 2012)."""

MOVES, PHASE, PERTURBATIONS = 1, 2, 3  # 4 is SIZES
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
    spread  coefficient of variation of the cells' measures.
    order   0 to 1: from sites as they would grow without evenness to ordered ones.
    rows    without evenness the sites stand in rows as a hexagon lattice's do; else they are strewn at random.
    ordered whether faults are worth more work: there is no scatter.
    """

    cells: int
    steps: float
    move: float
    seed: int
    spread: float
    order: float = 1.0
    rows: bool = False
    ordered: bool = False


def equal_area_diagram(
    part: PatternedPart, density: AreaDensity, request: EvenRequest, progress: Progress
) -> MovingDiagram:
    """Sites and weights whose power cells have measures as equal as requested.

    Parameters:
        part: the rectangle between the rails.
        density: over the part.
        request: how many cells, and how they are grown.
        progress: asked whether to stop.
    Returns: the weighted diagram.
    Raises: Cancelled.
    """
    progress.expect(request.cells * SECONDS_A_CELL)
    diagram = MovingDiagram(part, _seeded(part, density, request))
    diagram = _relaxed(diagram, density, request, progress)
    if request.order == 1.0 and request.steps >= PERTURBATION_STEPS:
        return _most_regular(diagram, density, request, progress)
    return _equalised(diagram, density, request, progress)[0]


def _most_regular(
    diagram: MovingDiagram, density: AreaDensity, request: EvenRequest, progress: Progress
) -> MovingDiagram:
    """The weighted cells with the fewest faults: weights may bring some, so that weighted cells are what is judged."""
    best: CellMeasures | None = None
    for perturbed in _perturbed(diagram, density, request, progress):
        weighted, error = _equalised(perturbed, density, request, progress)
        if error <= GOOD_EVENNESS:
            weighted = _centred(weighted, density, progress)
        state = CellMeasures(weighted, density)
        if best is None or _shortfall(state) < _shortfall(best):
            best = state
        if _shortfall(best)[0] <= WEIGHTS_MAY_COST:
            break
    assert best is not None
    return best.diagram


def _equalised(
    diagram: MovingDiagram, density: AreaDensity, request: EvenRequest, progress: Progress
) -> tuple[MovingDiagram, float]:
    """The cells with the measures requested, and their largest relative error."""
    for done in range(MAX_ROUNDS):
        progress.within(EQUALISING_FROM + (1.0 - EQUALISING_FROM) * done / MAX_ROUNDS)
        targets = relative_targets(CellMeasures(diagram, density).measures, request.spread, request.seed)
        weighted, error = fitted_weights(diagram, density, progress, targets)
        if error <= GOOD_EVENNESS:
            break
        diagram = _relaxed(diagram, density, request._replace(steps=2.0), progress)
    return weighted, error


def _centred(diagram: MovingDiagram, density: AreaDensity, progress: Progress) -> MovingDiagram:
    """Weighted cells whose sites stand nearer to their centroids, with the same measures; of all that the steps pass
    those with the fewest faults."""
    state = best = CellMeasures(diagram, density)
    targets = state.measures / np.mean(state.measures)
    for _ in range(CENTRINGS):
        moved = state.diagram.moved(wrap_sites(diagram.part, state.centroids), state.diagram.weights)
        weighted, error = fitted_weights(moved, density, progress, targets)
        if error > GOOD_EVENNESS:
            break
        state = CellMeasures(weighted, density)
        if _shortfall(state) <= _shortfall(best):
            best = state
    return best.diagram


def power_tiling(diagram: MovingDiagram, density: AreaDensity, short_wall: float) -> Tiling:
    """The power cells with short walls closed, and vertices moved so that closing takes nothing off the measures.

    Parameters:
        diagram: the weighted cells.
        density: over the part.
        short_wall: walls shorter than this fraction of their cells' size are closed.
    Returns: the tiling.
    """
    before = diagram.tiling()
    closed = close_short_walls(before, short_wall)
    if len(closed.vertices) == len(before.vertices):
        return closed
    return with_areas(closed, density, CellMeasures(diagram, density).measures)


def kept_measures(density: AreaDensity, before: Tiling, origin: Longs) -> Floats:
    """(n,) targets for edited cells: the sizes that they had, over the mean, and the mean for those that are new.

    Parameters:
        density: over the part.
        before: the tiling without the edits.
        origin: (n,) the cell of it that each one was; negative for new ones.
    Returns: the targets.
    """
    areas = areas_on_ring(before, density)
    kept = np.where(origin >= 0, areas[np.maximum(origin, 0)], np.mean(areas))
    return np.asarray(kept / np.mean(kept), dtype=np.float64)


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
    side = 1 if draw[1] < 0.5 else -1
    phase = request.order * (float(draw[0]) - 0.5) - 0.25 * side * (1.0 - request.order)
    if request.order < 1.0:
        return ColumnLayout(regular, phase, side)
    margin = max(1, math.floor(COLUMNS_TRIED * regular))
    tried = range(max(3, regular - margin), min(regular + margin, request.cells) + 1)
    return min(
        (ColumnLayout(columns, phase, side) for columns in tried),
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
    diagram: MovingDiagram, density: AreaDensity, request: EvenRequest, progress: Progress
) -> Iterator[MovingDiagram]:
    """Diagrams after tries to get rid of faulty cells, each patch of the ring judged by itself: first one that is good
    enough, then better ones for as long as the caller asks."""
    best = CellMeasures(diagram, density)
    rounds = max(2, min(MAX_PERTURBATIONS, PERTURBATION_WORK // request.cells))
    draw = np.random.Generator(np.random.PCG64([request.seed, PERTURBATIONS]))
    more = round(float(np.interp(request.cells, *MAX_MORE)))
    given: CellMeasures | None = None
    since = 0
    for number in range(rounds + (more if request.ordered else 0)):
        if not np.any(_faults(best)):
            break
        if number >= rounds and since >= TRIES_BETWEEN and best is not given and _shortfall(best)[0] == 0.0:
            yield best.diagram
            given, since = best, 0
        progress.within(RELAXED_AT + (EQUALISING_FROM - RELAXED_AT) * min(1.0, number / rounds))
        best = _perturbed_once(best, density, request, draw, number, progress)
        since += 1
    if best is not given:
        yield best.diagram


def _perturbed_once(
    best: CellMeasures,
    density: AreaDensity,
    request: EvenRequest,
    draw: np.random.Generator,
    number: int,
    progress: Progress,
) -> CellMeasures:
    """The cells after one more try, patch by patch where it took faults away."""
    sites = best.diagram.sites
    extent = np.where(_perturbable(best, number), PERTURBATION * density.spacing(sites), 0.0)
    disc = random_disc(request.cells, int(draw.integers(2**32)), PERTURBATIONS)
    moved = best.diagram.moved(wrap_sites(best.diagram.part, sites + extent[:, None] * disc))
    trial = CellMeasures(_relaxed(moved, density, request._replace(steps=PERTURBATION_STEPS), progress), density)
    patch = _patches(best.diagram, draw)
    gain = np.bincount(patch, _faults(best) - _faults(trial))
    mixed = np.where((gain >= 0.0)[patch][:, None], trial.diagram.sites, sites)
    for candidate in (trial, CellMeasures(trial.diagram.moved(mixed), density)):
        if np.sum(_faults(candidate)) <= np.sum(_faults(best)):
            best = candidate
    return best


def _patches(diagram: MovingDiagram, draw: np.random.Generator) -> Longs:
    """(n,) the patch of each site: the nearest of some sites taken at random."""
    from scipy.spatial import cKDTree

    part = diagram.part
    sites = np.column_stack([diagram.sites[:, 0], diagram.sites[:, 1] - part.lower])
    centres = draw.choice(diagram.count, max(1, diagram.count // PATCH_CELLS), replace=False)
    return np.asarray(cKDTree(sites[centres], boxsize=(part.length, 4.0 * part.width)).query(sites)[1])


def _perturbable(state: CellMeasures, number: int) -> Bools:
    """(n,) the faulty cells; every third time also those beside the ones far from round."""
    faulty = _faults(state) > 0.0
    if number % 3 == 2:
        far = state.roundness < WANTED_ROUNDNESS
        walls = state.flow
        faulty[walls.j[far[walls.i]]] = True
    return np.asarray(faulty)


def _shortfall(state: CellMeasures) -> tuple[float, float]:
    """How much six-sided share and roundness are less than wanted, and all faults, for what wants neither."""
    six_sided = float(np.interp(state.diagram.count, *WANTED_SIX_SIDED)) - state.six_sided
    roundness = WANTED_ROUNDNESS - float(np.min(state.roundness))
    return max(0.0, six_sided) + max(0.0, roundness), float(np.sum(_faults(state)))


def _faults(state: CellMeasures) -> Floats:
    """(n,) how faulty each cell is: 1 for a defect, more for one that is far from round."""
    least = float(np.interp(state.diagram.count, *MIN_ROUNDNESS))
    return np.asarray(state.defects + ROUND_WEIGHT * np.maximum(0.0, least - state.roundness), dtype=np.float64)


def _relaxed(diagram: MovingDiagram, density: AreaDensity, request: EvenRequest, progress: Progress) -> MovingDiagram:
    plain = lloyd_relaxation.OVER_RELAXATION
    over_relaxation = plain + request.order * (OVER_RELAXATION - plain)

    def centroids(moved: MovingDiagram) -> Floats:
        return CellMeasures(moved, density).centroids

    return lloyd_relaxation.relax(diagram, request.steps, progress, centroids, over_relaxation)
