"""Lloyd's relaxation: sites step to the centroids of their cells, and the cells even out.

Cells are cut straight at the borders by mirroring the sites there; areas and centroids are summed over walls, so no
cell is ever put together during the steps. Source: Lloyd 1982; over-relaxation as in Du, Faber and Gunzburger 1999.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.regular_triangulation import periodic_triangulation
from ringtex.pattern.cellular.site_edits import apart
from ringtex.pattern.cellular.sites import wrap_sites
from ringtex.pattern.patterned_part import GrownSites, PatternedPart

OVER_RELAXATION: Final = 1.6
"""A step goes this many times as far as the centroid: about halves the number of steps (measured: 1.5 to 1.7 is
best)."""


class CellSums(NamedTuple):
    """(n,) areas mm2 and (n, 2) centroids mm of the sites' cells."""

    areas: Floats
    centroids: Floats


def relax(part: PatternedPart, sites: Floats, steps: float, progress: Progress) -> Floats:
    """Sites after so many over-relaxed Lloyd steps; a fraction is a shorter last step, so the result depends on the
    number continuously.

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) positions on the strip, mm.
        steps: how many.
        progress: asked whether to stop.
    Returns: (n, 2) relaxed sites, mm.
    Raises: Cancelled.
    """
    for step in range(math.ceil(steps)):
        progress.check()
        fraction = min(1.0, steps - step)
        sites = wrap_sites(part, sites + OVER_RELAXATION * fraction * (cell_sums(part, sites).centroids - sites))
    return sites


def cell_sums(part: PatternedPart, sites: Floats) -> CellSums:
    """Area and centroid of every site's cell, cut straight at the borders; centroids unwrapped beside their sites."""
    spacing = np.full(len(sites), math.sqrt(part.area / len(sites)))
    copies, triangles, centres = periodic_triangulation(part, sites, spacing)
    return _sums(len(sites), copies.points, copies.real, triangles, centres)


def _sums(
    count: int, points: Floats, real: NDArray[np.bool_], triangles: NDArray[np.int64], centres: Floats
) -> CellSums:
    """Sum each corner's kite: site, middle of one triangle side, triangle's centre, middle of the other side."""
    area = np.zeros(count)
    moment = np.zeros((count, 2))
    for k in range(3):
        own = real[triangles[:, k]]
        mine = triangles[own, k]
        site, centre = points[mine], centres[own] - points[mine]
        for side, sign in ((triangles[own, (k + 1) % 3], 1.0), (triangles[own, (k + 2) % 3], -1.0)):
            middle = 0.5 * (points[side] - site)
            half = 0.5 * sign * (middle[:, 0] * centre[:, 1] - middle[:, 1] * centre[:, 0])
            area += np.bincount(mine, half, count)
            for axis in range(2):
                moment[:, axis] += np.bincount(mine, half * (middle[:, axis] + centre[:, axis]) / 3.0, count)
    return CellSums(area, points[:count] + moment / area[:, None])


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
    places = sites.places
    for step in range(math.ceil(steps)):
        progress.check()
        fraction = OVER_RELAXATION * min(1.0, steps - step) * weights[:, None]
        moved = places + fraction * (cell_sums(part, places).centroids - places)
        places = np.where(weights[:, None] > 0.0, wrap_sites(part, moved), places)
    return replace(sites, places=places)


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
