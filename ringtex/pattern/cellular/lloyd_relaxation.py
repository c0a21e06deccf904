"""Lloyd's relaxation: sites step to the centroids of their cells, and the cells even out.

Centroids are summed over walls, so no cell is ever put together during the steps. Source: Lloyd
1982; over-relaxation as in Du, Faber and Gunzburger 1999.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.moving_diagram import MovingDiagram
from ringtex.pattern.cellular.site_edits import apart
from ringtex.pattern.cellular.sites import wrap_sites
from ringtex.pattern.patterned_part import GrownSites, PatternedPart

OVER_RELAXATION: Final = 1.6
"""A step goes this many times as far as the centroid: about halves the number of steps (measured: 1.5 to 1.7 is
best)."""


def relax(
    diagram: MovingDiagram,
    steps: float,
    progress: Progress,
    centroids: Callable[[MovingDiagram], Floats] | None = None,
    over_relaxation: float = OVER_RELAXATION,
) -> MovingDiagram:
    """The diagram after so many over-relaxed Lloyd steps; a fraction is a shorter last step, so the result depends on
    the number continuously.

    Parameters:
        diagram: of the sites.
        steps: how many.
        progress: asked whether to stop.
        centroids: gives those that the sites (n, 2) step to, mm; of their cells' areas on the strip where left out.
        over_relaxation: how many times as far as the centroid a step goes.
    Returns: the diagram of the relaxed sites.
    Raises: Cancelled.
    """
    centroids = centroids or cell_centroids
    for step in range(math.ceil(steps)):
        progress.check()
        fraction = over_relaxation * min(1.0, steps - step)
        sites = diagram.sites
        diagram = diagram.moved(wrap_sites(diagram.part, sites + fraction * (centroids(diagram) - sites)))
    return diagram


def cell_centroids(diagram: MovingDiagram) -> Floats:
    """(n, 2) centroid of every site's cell, mm, beside its site."""
    half, count = diagram.half_edges, diagram.count
    home, start, end = diagram.origin[half], diagram.starts[half], diagram.ends[half]
    double = start.real * end.imag - start.imag * end.real
    moment = double * (start + end)
    total = 3.0 * np.bincount(home, double, count)
    mean = [np.bincount(home, part, count) / total for part in (moment.real, moment.imag)]
    return np.asarray(diagram.sites + np.column_stack(mean))


MAX_STEPS: Final = 12
"""Relaxing steps at scatter 0; after these the neighbours hardly move."""

EXTENT: Final = 3.0
"""How far an edit acts, in mean distances of sites."""

MOVED_FRACTION: Final = 0.01
"""A site that is held within this fraction of the usual distance from where it grew has not moved."""


def relax_near_edits(part: PatternedPart, sites: GrownSites, scatter: float, progress: Progress) -> GrownSites:
    """Relax the sites near an edit by Lloyd's steps, the fewer the more scatter; held sites stay where they are.

    Parameters:
        part: the rectangle between the rails.
        sites: after the edits.
        scatter: 0 to 1.
        progress: asked whether to stop.
    Returns: the relaxed sites.
    Raises: Cancelled.
    """
    weights = _weights(part, sites)
    steps = MAX_STEPS * (1.0 - scatter) ** 2 if np.any(weights > 0.0) else 0.0
    if steps == 0.0:
        return sites
    diagram = MovingDiagram(part, sites.places)
    for step in range(math.ceil(steps)):
        progress.check()
        places = diagram.sites
        fraction = OVER_RELAXATION * min(1.0, steps - step) * weights[:, None]
        moved = wrap_sites(part, places + fraction * (cell_centroids(diagram) - places))
        diagram = diagram.moved(np.where(weights[:, None] > 0.0, moved, places))
    return replace(sites, places=diagram.sites)


def _weights(part: PatternedPart, sites: GrownSites) -> Floats:
    """(n,) how fully each site follows: 1 beside a change, 0 beyond its reach and for held sites."""
    spacing = math.sqrt(part.area / len(sites.places))
    weights = np.zeros(len(sites.places))
    for place in _changes(part, sites, MOVED_FRACTION * spacing):
        away = np.hypot(*apart(part, sites.places - place).T) / (EXTENT * spacing)
        np.maximum(weights, np.clip(1.0 - away * away, 0.0, 1.0), out=weights)
    weights[sites.fixed] = 0.0
    return weights


def _changes(part: PatternedPart, sites: GrownSites, tolerance_mm: float) -> Floats:
    """(k, 2) where a site came or went, and the old and the new place of each that moved."""
    known = np.flatnonzero(sites.origin >= 0)
    before = sites.grown[sites.origin[known]]
    moved = np.hypot(*apart(part, sites.places[known] - before).T) > tolerance_mm
    gone = np.setdiff1d(np.arange(len(sites.grown)), sites.origin[known])
    added = sites.places[sites.origin < 0]
    return np.concatenate([before[moved], sites.places[known[moved]], sites.grown[gone], added])
