"""Lloyd's relaxation: sites step to the centroids of their cells, and the cells even out.

Cells are cut straight at the borders by mirroring the sites there; areas and centroids are summed over walls, so no
cell is ever put together during the steps. Source: Lloyd 1982; over-relaxation as in Du, Faber and Gunzburger 1999.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.regular_triangulation import power_centres, regular_triangulation
from ringtex.pattern.cellular.sites import wrap_sites
from ringtex.pattern.patterned_part import PatternedPart

OVER_RELAXATION: Final = 1.6
"""A step goes this many times as far as the centroid: about halves the number of steps (measured: 1.5 to 1.7 is
best)."""


class CellSums(NamedTuple):
    """(n,) areas mm2 and (n, 2) centroids mm of the sites' cells."""

    areas: Floats
    centroids: Floats


def relax(part: PatternedPart, sites: Floats, steps: float, progress: Progress) -> Floats:
    """Sites after so many over-relaxed Lloyd steps; a fraction is a shorter last step, so the result depends on the
    number continuously. Raises Cancelled.
    """
    for step in range(math.ceil(steps)):
        progress.check()
        share = min(1.0, steps - step)
        sites = wrap_sites(part, sites + OVER_RELAXATION * share * (cell_sums(part, sites).centroids - sites))
    return sites


def cell_sums(part: PatternedPart, sites: Floats) -> CellSums:
    """Area and centroid of every site's cell, cut straight at the borders; centroids unwrapped beside their sites."""
    spacing = math.sqrt(part.area / len(sites))
    margin = 3.0 * spacing
    while True:
        points, _, real = mirrored_copies(part, sites, margin)
        triangles = regular_triangulation(points)
        triangles = triangles[np.any(real[triangles], axis=1)]
        centres = power_centres(points[triangles])
        radius = np.hypot(*(centres - points[triangles[:, 0]]).T)
        # Circles smaller than the margin cannot reach a copy that was left out.
        if np.max(radius) < margin or margin > 2.0 * (part.length + part.width):
            return _sums(len(sites), points, real, triangles, centres)
        margin = max(2.0 * margin, 1.1 * float(np.max(radius)))


def mirrored_copies(
    part: PatternedPart, sites: Floats, margin: float
) -> tuple[Floats, NDArray[np.int64], NDArray[np.bool_]]:
    """Sites first, then copies nearer than margin: mirrored in the borders and shifted round the ring.

    Returns: points (p, 2); home (p,), the site that each copies; real (p,), whether it is the site itself.
    """
    u, v = sites[:, 0], sites[:, 1]
    low, high = np.flatnonzero(v < part.lower + margin), np.flatnonzero(v > part.upper - margin)
    block = np.concatenate(
        [
            sites,
            np.column_stack([u[low], 2.0 * part.lower - v[low]]),
            np.column_stack([u[high], 2.0 * part.upper - v[high]]),
        ]
    )
    block_home = np.concatenate([np.arange(len(sites)), low, high])
    pieces, homes = [block], [block_home]
    for turn in range(1, math.ceil(margin / part.length) + 1):
        for shift in (turn * part.length, -turn * part.length):
            shifted = block[:, 0] + shift
            near = (shifted > -margin) & (shifted < part.length + margin)
            pieces.append(np.column_stack([shifted[near], block[near, 1]]))
            homes.append(block_home[near])
    points = np.concatenate(pieces)
    return points, np.concatenate(homes), np.arange(len(points)) < len(sites)


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
