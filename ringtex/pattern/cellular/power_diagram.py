"""Power cells of equal measure: sums over cells weighted by a density, and the weights that make them equal."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.area_density import AreaDensity
from ringtex.pattern.cellular.regular_triangulation import mirrored_copies, power_centres, regular_triangulation
from ringtex.pattern.patterned_part import PatternedPart

MAX_NEWTON_STEPS: Final = 25
GOOD_ENOUGH: Final = 1e-4
"""Largest relative error of a cell's measure at which Newton's method stops: a twentieth of what can be weighed."""


class CellMeasures(NamedTuple):
    """measures (n,): integral of the density over each cell; centroids (n, 2): of the density squared, as Lloyd's steps
    need them; walls: i, j (w,) sites beside each wall and flow (w,), the change of measure per change of weight.
    """

    measures: Floats
    centroids: Floats
    i: Longs
    j: Longs
    flow: Floats


def measure_cells(part: PatternedPart, sites: Floats, weights: Floats | None, density: AreaDensity) -> CellMeasures:
    """Sums over all cells, cut straight at the borders.

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) positions on the strip, mm.
        weights: (n,) mm2; None for Voronoi cells.
        density: over the part.
    Returns: the sums.
    """
    margin = 3.0 * math.sqrt(part.area / len(sites))
    while True:
        points, home, real = mirrored_copies(part, sites, margin)
        triangles = regular_triangulation(points, None if weights is None else weights[home])
        triangles = triangles[np.any(real[triangles], axis=1)]
        corner_weights = None if weights is None else weights[home[triangles]]
        centres = power_centres(points[triangles], corner_weights)
        radius = np.hypot(*(centres - points[triangles[:, 0]]).T)
        if np.max(radius) < margin or margin > 2.0 * (part.length + part.width):
            break
        margin = max(2.0 * margin, 1.1 * float(np.max(radius)))
    side, other, start, end = _half_edges(triangles, centres, real)
    return _sum_up(len(sites), points, home, density, (side, other, start, end))


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
) -> CellMeasures:
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
    flow = along / 6.0 * length / (2.0 * np.hypot(*(points[other] - site).T))
    far = home[other]
    return CellMeasures(sums[0], centroids, near[near != far], far[near != far], flow[near != far])


def equal_weights(
    part: PatternedPart, sites: Floats, density: AreaDensity, progress: Progress, fraction: float = 1.0
) -> tuple[Floats, float]:
    """Weights (n,), mm2, that give every power cell the same measure, and the largest error left over their mean.

    Damped Newton's method: no cell may shrink under half of the smallest initial measure (Kitagawa, Merigot and
    Thibert 2019).

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) positions on the strip, mm.
        density: over the part.
        progress: asked whether to stop.
        fraction: 0 keeps the measures of the cells without weights, 1 makes all equal; linear between.
    Returns: (n,) weights and the largest relative error.
    Raises: Cancelled.
    """
    weights = np.zeros(len(sites))
    state = measure_cells(part, sites, weights, density)
    mean = float(np.sum(state.measures)) / len(sites)
    target = state.measures + fraction * (mean - state.measures)
    floor = 0.5 * float(np.min(state.measures))
    error = float(np.max(np.abs(state.measures - target)))
    for _ in range(MAX_NEWTON_STEPS):
        progress.check()
        if error <= GOOD_ENOUGH * mean:
            break
        step = _newton_step(state, target)
        fraction = 1.0
        while fraction > 1e-3:
            trial = measure_cells(part, sites, weights + fraction * step, density)
            trial_error = float(np.max(np.abs(trial.measures - target)))
            if float(np.min(trial.measures)) > floor and trial_error <= (1.0 - 0.5 * fraction) * error + 1e-12:
                break
            fraction *= 0.5
        else:
            break
        weights, state, error = weights + fraction * step, trial, trial_error
    return weights, error / mean


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
