"""Power cells of equal measure: sums over cells weighted by a density, and the weights that make them equal."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.area_density import AreaDensity
from ringtex.pattern.cellular.regular_triangulation import count_sides, periodic_triangulation
from ringtex.pattern.patterned_part import PatternedPart

MAX_NEWTON_STEPS: Final = 25
GOOD_ENOUGH: Final = 1e-4
"""Largest relative error of a cell's measure at which Newton's method stops: a twentieth of what can be weighed."""


class CellMeasures(NamedTuple):
    """measures (n,): integral of the density over each cell; centroids (n, 2): of the density squared, as Lloyd's steps
    need them; walls: i, j (w,) sites beside each wall and flow (w,), the change of measure per change of weight;
    roundness (n,): 4 pi A / P^2 on the strip; defects (n,) and six_sided as in `count_sides`.
    """

    measures: Floats
    centroids: Floats
    i: Longs
    j: Longs
    flow: Floats
    roundness: Floats
    defects: NDArray[np.bool_]
    six_sided: float


def measure_cells(part: PatternedPart, sites: Floats, weights: Floats | None, density: AreaDensity) -> CellMeasures:
    """Sums over all cells, cut straight at the borders.

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) positions on the strip, mm.
        weights: (n,) mm2; None for Voronoi cells.
        density: over the part.
    Returns: the sums.
    """
    copies, triangles, centres = periodic_triangulation(part, sites, density.spacing(sites), weights)
    points, home, real = copies
    side, other, start, end = _half_edges(triangles, centres, real)
    sums = _sum_up(len(sites), points, home, density, (side, other, start, end))
    return CellMeasures(*sums, *count_sides(copies, triangles, len(sites)))


def _half_edges(triangles: Longs, centres: Floats, real: NDArray[np.bool_]) -> tuple[Longs, Longs, Floats, Floats]:
    """For every real point and neighbour: the two points and the wall between them, seen from the first."""
    a = np.concatenate([triangles[:, k] for k in range(3)])
    b = np.concatenate([triangles[:, (k + 1) % 3] for k in range(3)])
    face = np.tile(np.arange(len(triangles)), 3)
    most = int(triangles.max()) + 1
    key, back = a * most + b, b * most + a
    order = np.argsort(key)
    # Seen from a with its triangle on the left of a -> b, the wall runs from the right triangle's centre to the left's.
    found = np.minimum(np.searchsorted(key[order], back), len(key) - 1)
    mate = order[found]
    both = (key[mate] == back) & real[a]
    return a[both], b[both], centres[face[mate[both]]], centres[face[both]]


def _sum_up(
    count: int, points: Floats, home: Longs, density: AreaDensity, walls: tuple[Longs, Longs, Floats, Floats]
) -> tuple[Floats, Floats, Longs, Longs, Floats, Floats]:
    side, other, start, end = walls
    site = points[side]
    first, second = start - site, end - site
    area = 0.5 * (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
    measure, total = np.zeros(len(side)), np.zeros(len(side))
    moment = np.zeros((len(side), 2))
    # Middles of the three sides: exact for quadratics (Strang and Fix 1973, degree 2).
    for x, y in ((0.5, 0.0), (0.0, 0.5), (0.5, 0.5)):
        offset = x * first + y * second
        value = density(site + offset)
        part_of = area / 3.0 * value
        measure += part_of
        total += part_of * value
        moment += (part_of * value)[:, None] * offset
    near = home[side]
    sums: list[Floats] = [
        np.bincount(near, values, count).astype(np.float64) for values in (measure, total, moment[:, 0], moment[:, 1])
    ]
    centroids = points[:count] + np.column_stack(sums[2:]) / np.where(sums[1] == 0.0, 1.0, sums[1])[:, None]
    along = density(start) + 4.0 * density(0.5 * (start + end)) + density(end)
    length = np.hypot(*(end - start).T)
    # A cell that a trial's weights leave without area has no perimeter either; its roundness is 0.
    perimeter = np.bincount(near, length, count)
    roundness = 4.0 * np.pi * np.bincount(near, area, count) / np.where(perimeter == 0.0, 1.0, perimeter) ** 2
    flow = along / 6.0 * length / (2.0 * np.hypot(*(points[other] - site).T))
    far = home[other]
    return sums[0], centroids, near[near != far], far[near != far], flow[near != far], roundness


def equal_weights(
    part: PatternedPart, sites: Floats, density: AreaDensity, progress: Progress, spread: float = 0.0
) -> tuple[Floats, float]:
    """Weights whose power cells have measures as equal as asked for (capacity-constrained Voronoi, equal-area power
    diagram: Aurenhammer, Hoffmann and Aronov 1998; Balzer, Schloemer and Deussen 2009).

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) positions on the strip, mm.
        density: over the part.
        progress: asked whether to stop.
        spread: largest coefficient of variation left; cells without weights that vary less stay as they are.
    Returns: (n,) weights, mm2, and the largest relative error.
    Raises: Cancelled.
    """
    state = measure_cells(part, sites, np.zeros(len(sites)), density)
    return fitted_weights(part, sites, density, progress, relative_targets(state.measures, spread))


def relative_targets(measures: Floats, spread: float) -> Floats:
    """(n,) the measures (n,) over their mean, drawn towards 1 until they vary by no more than the spread."""
    relative = measures / np.mean(measures) - 1.0
    return np.asarray(1.0 + relative * min(1.0, spread / max(float(np.std(relative)), 1e-12)), dtype=np.float64)


def fitted_weights(
    part: PatternedPart,
    sites: Floats,
    density: AreaDensity,
    progress: Progress,
    targets: Floats,
    weights: Floats | None = None,
) -> tuple[Floats, float]:
    """Weights that give every power cell its target: damped Newton's method, in which no cell may shrink under half of
    the smallest initial measure (Kitagawa, Merigot and Thibert 2019).

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) positions on the strip, mm.
        density: over the part.
        progress: asked whether to stop.
        targets: (n,) measures over their mean.
        weights: (n,) to begin with, mm2; None for 0.
    Returns: (n,) weights, mm2, and the largest relative error.
    Raises: Cancelled.
    """
    weights = np.zeros(len(sites)) if weights is None else weights
    state = measure_cells(part, sites, weights, density)
    floor = 0.5 * min(float(np.min(state.measures)), float(np.min(targets) * np.mean(state.measures)))
    error = _largest_error(state, targets)
    for _ in range(MAX_NEWTON_STEPS):
        progress.check()
        if error <= GOOD_ENOUGH:
            break
        # The sum of all measures changes by a quadrature error with the cells, so the targets follow it.
        step = _newton_step(state, targets * np.mean(state.measures))
        damping = 1.0
        while damping > 1e-3:
            trial = measure_cells(part, sites, weights + damping * step, density)
            trial_error = _largest_error(trial, targets)
            if float(np.min(trial.measures)) > floor and trial_error <= (1.0 - 0.5 * damping) * error + 1e-12:
                break
            damping *= 0.5
        else:
            break
        weights, state, error = weights + damping * step, trial, trial_error
    return weights, error


def _largest_error(state: CellMeasures, targets: Floats) -> float:
    return float(np.max(np.abs(state.measures / np.mean(state.measures) - targets)))


def _newton_step(state: CellMeasures, target: Floats) -> Floats:
    from scipy.sparse import coo_matrix
    from scipy.sparse.linalg import spsolve

    count = len(state.measures)
    flow = np.bincount(state.i, state.flow, count)
    row = np.concatenate([np.arange(count), state.i])
    column = np.concatenate([np.arange(count), state.j])
    laplacian = coo_matrix((np.concatenate([flow, -state.flow]), (row, column)), shape=(count, count)).tocsc()
    # Only differences of weights matter: the first stays.
    step = np.zeros(count)
    step[1:] = spsolve(laplacian[1:, 1:], (target - state.measures)[1:])
    return step
