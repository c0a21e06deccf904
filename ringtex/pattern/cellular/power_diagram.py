"""Power cells of equal measure: sums over cells weighted by a density, and the weights that make them equal."""

from __future__ import annotations

import math
from functools import cached_property
from typing import Final, NamedTuple

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Longs
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.area_density import AreaDensity
from ringtex.pattern.cellular.moving_diagram import MovingDiagram, Points

MAX_NEWTON_STEPS: Final = 25
GOOD_ENOUGH: Final = 1e-4
"""Largest relative error of a cell's measure at which Newton's method stops: a twentieth of what can be weighed."""


SIZES: Final = 4
"""Stream of random numbers for cells' sizes, independent of the other streams of a seed."""


class Flow(NamedTuple):
    """i, j (w,) the sites beside each wall, and (w,) the change of i's measure per change of a weight."""

    i: Longs
    j: Longs
    flow: Floats


class CellMeasures:
    """Sums over the cells of a diagram by a density, each added up when first asked for."""

    def __init__(self, diagram: MovingDiagram, density: AreaDensity) -> None:
        self.diagram, self.density = diagram, density
        self._half = diagram.half_edges
        self._home = diagram.origin[self._half]
        self._site = diagram.places[self._half]
        self._start, self._end = diagram.starts[self._half], diagram.ends[self._half]

    def _density_at(self, points: Points) -> Floats:
        return self.density(points.view(np.float64).reshape(-1, 2))

    @property
    def measures(self) -> Floats:
        """(n,) integral of the density over each cell."""
        return self._sums[0]

    @property
    def centroids(self) -> Floats:
        """(n, 2) centroids by the density squared, as Lloyd's steps need them; beside their sites."""
        return self._sums[1]

    @cached_property
    def _area(self) -> Floats:
        """Of the triangle between each wall and its site."""
        return np.asarray(0.5 * (self._start.real * self._end.imag - self._start.imag * self._end.real))

    @cached_property
    def _sums(self) -> tuple[Floats, Floats]:
        # Middles of the triangles' sides: exact for quadratics (Strang and Fix 1973, degree 2). The side to a wall's
        # start is also the side to the end of the wall before.
        by_end = self._density_at(self._site + 0.5 * self._end)
        every = np.empty(len(self.diagram.origin))
        every[self._half] = by_end
        by_start = every[self.diagram.before(self._half)]
        middle = self._density_at(self._site + 0.5 * (self._start + self._end))
        third, count = self._area / 3.0, self.diagram.count
        measure: Floats = np.bincount(self._home, third * (by_start + by_end + middle), count).astype(np.float64)
        by_start, by_end, middle = third * by_start**2, third * by_end**2, third * middle**2
        total: Floats = np.bincount(self._home, by_start + by_end + middle, count).astype(np.float64)
        moment = 0.5 * ((by_start + middle) * self._start + (by_end + middle) * self._end)
        total[total == 0.0] = 1.0
        mean = [np.bincount(self._home, part, count) / total for part in (moment.real, moment.imag)]
        return measure, self.diagram.sites + np.column_stack(mean)

    @cached_property
    def flow(self) -> Flow:
        """Of every wall between two cells, from both sides."""
        far = self.diagram.targets
        inner = np.flatnonzero((far < self.diagram.count) & (far != self._home))
        start, end, site = self._start[inner], self._end[inner], self._site[inner]
        along = self._density_at(site + 0.5 * (start + end)) * 4.0
        along += self._density_at(site + start) + self._density_at(site + end)
        apart = np.abs(self.diagram.edges[inner])
        return Flow(self._home[inner], far[inner], along / 6.0 * np.abs(end - start) / (2.0 * apart))

    @cached_property
    def roundness(self) -> Floats:
        """(n,) 4 pi A / P^2 on the strip."""
        count = self.diagram.count
        # A cell that a trial's weights leave without area has no perimeter either; its roundness is 0.
        perimeter = np.bincount(self._home, np.abs(self._end - self._start), count)
        area = np.bincount(self._home, self._area, count)
        return np.asarray(4.0 * np.pi * area / np.where(perimeter == 0.0, 1.0, perimeter) ** 2)

    @cached_property
    def defects(self) -> Bools:
        """(n,) which cells are defects: inner and not six-sided."""
        return np.asarray(~self.diagram.on_border & (self.diagram.sides != 6))

    @property
    def six_sided(self) -> float:
        """The fraction of six-sided cells among inner ones; 0 where there are none."""
        inner = int(np.sum(~self.diagram.on_border))
        return 1.0 - float(np.sum(self.defects)) / inner if inner else 0.0


def relative_targets(measures: Floats, spread: float, seed: int) -> Floats:
    """(n,) measures over their mean that vary by the spread: these measures drawn towards 1 where they vary more, else
    with random differences added.

    Parameters:
        measures: (n,) of the cells as they are.
        spread: the coefficient of variation wanted.
        seed: of the random differences, which are uniform.
    Returns: (n,) the targets.
    """
    relative = measures / np.mean(measures) - 1.0
    found = float(np.std(relative))
    if found >= spread:
        return np.asarray(1.0 + relative * (spread / max(found, 1e-12)), dtype=np.float64)
    noise = np.random.Generator(np.random.PCG64([seed, SIZES])).uniform(-1.0, 1.0, len(measures))
    added = 1.0 + relative + math.sqrt(3.0 * (spread**2 - found**2)) * noise
    return np.asarray(added / np.mean(added), dtype=np.float64)


def fitted_weights(
    diagram: MovingDiagram, density: AreaDensity, progress: Progress, targets: Floats
) -> tuple[MovingDiagram, float]:
    """The diagram with weights that give every power cell its target (capacity-constrained Voronoi, equal-area power
    diagram: Aurenhammer, Hoffmann and Aronov 1998; Balzer, Schloemer and Deussen 2009): damped Newton's method, in
    which no cell may shrink under half of the smallest initial measure (Kitagawa, Merigot and Thibert 2019).

    Parameters:
        diagram: of the sites; its weights are those to begin with.
        density: over the part.
        progress: asked whether to stop.
        targets: (n,) measures over their mean.
    Returns: the weighted diagram, and the largest relative error.
    Raises: Cancelled.
    """
    state = CellMeasures(diagram, density)
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
            trial = _reweighted(state, damping * step)
            if trial is not None and float(np.min(trial.measures)) > floor:
                trial_error = _largest_error(trial, targets)
                if trial_error <= (1.0 - 0.5 * damping) * error + 1e-12:
                    break
            damping *= 0.5
        else:
            break
        assert trial is not None
        state, error = trial, trial_error
    return state.diagram, error


def _reweighted(state: CellMeasures, step: Floats) -> CellMeasures | None:
    """The cells with other weights; None where some cell would vanish."""
    before = state.diagram
    diagram = before.reweighted(step if before.weights is None else before.weights + step)
    return None if diagram is None else CellMeasures(diagram, state.density)


def _largest_error(state: CellMeasures, targets: Floats) -> float:
    return float(np.max(np.abs(state.measures / np.mean(state.measures) - targets)))


def _newton_step(state: CellMeasures, target: Floats) -> Floats:
    from scipy.sparse import coo_matrix
    from scipy.sparse.linalg import spsolve

    count, walls = state.diagram.count, state.flow
    flow = np.bincount(walls.i, walls.flow, count)
    row = np.concatenate([np.arange(count), walls.i])
    column = np.concatenate([np.arange(count), walls.j])
    laplacian = coo_matrix((np.concatenate([flow, -walls.flow]), (row, column)), shape=(count, count)).tocsc()
    # Only differences of weights matter: the first stays.
    step = np.zeros(count)
    step[1:] = spsolve(laplacian[1:, 1:], (target - state.measures)[1:])
    return step
