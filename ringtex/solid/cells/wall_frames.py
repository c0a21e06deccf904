"""The walls of all cells with their directions, inner normals and true scales on the ring."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.pattern.cell_kernel import centroids
from ringtex.pattern.tiling import Tiling
from ringtex.strip.strip_map import StripMap

POOR_ROOM = 0.25
"""A centroid closer to a wall than this share of the cell's size is moved away from it."""

STEPS_AWAY = 40
"""Steps of that walk; it settles within a hundredth of the cell's size."""


@dataclass(frozen=True, eq=False)
class WallFrames:
    """Per half wall, in strip coordinates unless named otherwise.

    start, tangent, inward (half walls, 2): where it starts, unit direction, unit normal into the cell.
    across_start, across_end (half walls,): mm on the ring per mm on the strip square to it, at its two ends.
    along (half walls,): the same along it, the larger of its ends.
    centre (cells, 2): a place that sees the whole cell, far from its nearest wall.
    reach (half walls,): distance of that centre to the wall's line.
    mitre (half walls, 2): how far its start moves when both walls there are inset by 1 mm on the ring.
    """

    start: Floats
    tangent: Floats
    inward: Floats
    across_start: Floats
    across_end: Floats
    along: Floats
    centre: Floats
    reach: Floats
    mitre: Floats

    @property
    def across(self) -> Floats:
        """(half walls,) the smaller of the two scales square to the wall."""
        return np.minimum(self.across_start, self.across_end)


def wall_frames(strip: StripMap, tiling: Tiling) -> WallFrames:
    """Measure all walls of a tiling on its ring."""
    start, end = tiling.corners, tiling.corners[tiling.next_corner]
    tangent = (end - start) / np.hypot(*(end - start).T)[:, None]
    inward = np.stack((-tangent[:, 1], tangent[:, 0]), axis=1)
    across_start, across_end, along = _scales(strip, tiling, tangent)
    centre = deep_centres(tiling, inward)
    reach = np.einsum("hi,hi->h", inward, centre[tiling.corner_cell] - start)
    mitre = _mitres(tiling, inward, across_start, across_end)
    return WallFrames(start, tangent, inward, across_start, across_end, along, centre, reach, mitre)


def _scales(strip: StripMap, tiling: Tiling, tangent: Floats) -> tuple[Floats, Floats, Floats]:
    """Scale square to each half wall at its start and at its end, and the larger scale along it."""
    e, f, g = strip.metric(tiling.vertices[:, 0], tiling.vertices[:, 1])
    area = np.sqrt(np.maximum(e * g - f * f, 0.0))
    tu, tv = tangent[:, 0], tangent[:, 1]

    def at(vertex: NDArray[np.int32]) -> tuple[Floats, Floats]:
        along = np.sqrt(e[vertex] * tu * tu + 2.0 * f[vertex] * tu * tv + g[vertex] * tv * tv)
        return area[vertex] / along, along

    across_start, along_start = at(tiling.corner_vertex)
    across_end, along_end = at(tiling.corner_vertex[tiling.next_corner])
    return across_start, across_end, np.maximum(along_start, along_end)


def deep_centres(tiling: Tiling, inward: Floats) -> Floats:
    """(cells, 2) for each cell a place that sees all its walls, far from the nearest: the centroid, or better.

    Cells whose centroid comes close to a wall (long or bent cells) walk away from their nearest wall, a little less at
    each step, and keep the best place on the way; where even that does not see everything, the tiling's own kernel
    point is taken.
    """
    cell, first = tiling.corner_cell, tiling.cell_start[:-1]
    centre = centroids(tiling)
    size = np.sqrt(tiling.areas)

    def clearance(place: Floats) -> Floats:
        away: Floats = np.einsum("hi,hi->h", inward, place[cell] - tiling.corners)
        return away

    distance = clearance(centre)
    best_room = np.minimum.reduceat(distance, first)
    poor = best_room < POOR_ROOM * size
    if not np.any(poor):
        return centre
    best = centre.copy()
    for step in range(STEPS_AWAY):
        nearest = distance == np.minimum.reduceat(distance, first)[cell]
        pull = np.add.reduceat(np.where(nearest[:, None], inward, 0.0), first, axis=0)
        centre = centre + np.where(poor[:, None], pull * (size * 0.15 / (1.0 + 0.35 * step))[:, None], 0.0)
        distance = clearance(centre)
        room = np.minimum.reduceat(distance, first)
        better = room > best_room
        best[better], best_room[better] = centre[better], room[better]
    if np.any(best_room <= 0.0):
        best[best_room <= 0.0] = tiling.kernel[0][best_room <= 0.0]
    return best


def _mitres(tiling: Tiling, inward: Floats, across_start: Floats, across_end: Floats) -> Floats:
    """(half walls, 2) how far the corner at the start of each half wall moves for an inset of 1 mm on the ring.

    Each of the two walls moves by its own strip distance, so the moved corner is where the moved walls meet. Walls in
    one line (a T-junction) just move square to themselves.
    """
    before = tiling.previous_corner
    n1, n2 = inward[before], inward
    o1, o2 = 1.0 / across_end[before], 1.0 / across_start
    cosine = np.einsum("hi,hi->h", n1, n2)
    common = (0.5 * (o1 + o2) / np.maximum(1.0 + cosine, 0.05))[:, None] * (n1 + n2)
    turning = 1.0 - cosine
    uneven = np.where(turning > 1e-3, 0.5 * (o2 - o1) / np.maximum(turning, 1e-3), 0.0)
    mitres: Floats = common + uneven[:, None] * (n2 - n1)
    return mitres
