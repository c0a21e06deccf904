"""The inset rings of every cell: its walls moved inwards by true distances, with exact mitred corners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.tolerances import SHORTEST_INSET_MM, SQUEEZE_MARGIN
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import CellProfile
from ringtex.relief.make_relief import Relief
from ringtex.solid.chord_length import chord_length
from ringtex.solid.inset_collapse import drop_vanished_walls
from ringtex.strip.strip_map import StripMap

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

SHALLOWEST_PLAN = 0.3
"""A shallower cell's flank narrows with its depth, but never under this share: thinner rings would need slivers."""


@dataclass(frozen=True, eq=False)
class CellInsets:
    """Rings of every cell on the strip; ring 0 is the wall.

    centre        (cells, 2) a place that sees the whole cell.
    corner        (half walls, rings, 2) where ring k's side along half wall h starts.
    alive         (half walls, rings) False where the side has shrunk to a point.
    height        (cells, rings) height of each ring, mm.
    rise          (cells,) height of the inner part above the last ring, mm.
    squeezed      (cells,) True where the whole profile was made smaller to fit.
    along, across (half walls,) mm on the ring per mm on the strip, along and square to the wall (the smaller end).
    gap           (cells,) smallest slanted distance between two neighbouring rings, mm.
    inner_reach   (half walls,) distance on the ring from the last ring to the centre, mm.
    level_inset   (half walls,) width of the level strip along the wall, mm (half a ridge or groove).
    """

    centre: Floats
    corner: Floats
    alive: Bools
    height: Floats
    rise: Floats
    squeezed: Bools
    along: Floats
    across: Floats
    gap: Floats
    inner_reach: Floats
    level_inset: Floats


def cell_insets(strip: StripMap, tiling: Tiling, relief: Relief, chord_mm: float) -> CellInsets:
    """Inset every cell by the relief's profile, in true distances on the ring."""
    cell = tiling.corner_cell
    start, end = tiling.corners, tiling.corners[tiling.next_corner]
    length = np.hypot(*(end - start).T)
    tangent = (end - start) / length[:, None]
    inward = np.stack((-tangent[:, 1], tangent[:, 0]), axis=1)
    across_start, across_end, along = _scales(strip, tiling, tangent)
    across = np.minimum(across_start, across_end)
    centre = seeing_centres(tiling, start, inward)
    reach = np.einsum("hi,hi->h", inward, centre[cell] - start)

    room = np.minimum.reduceat(reach * across, tiling.cell_start[:-1])
    longest = float(np.quantile(chord_length(strip, tiling.vertices[:, 0], tiling.vertices[:, 1], chord_mm), 0.05))
    profile = relief.profile.with_parts_under(longest, float(np.median(room)))
    fit = _fit(profile, room)
    plan = np.maximum(relief.depth_share, SHALLOWEST_PLAN)
    # Shallow cells keep the level strip and narrow the flank; squeezed ones shrink as a whole.
    level = np.where(profile.share > 0.0, 0.0, profile.level_mm)
    inset_mm = np.minimum(profile.inward_mm, level) + np.multiply.outer(
        plan, np.maximum(profile.inward_mm - level, 0.0)
    )
    inset_mm[:, profile.inward_mm < 0.0] = np.multiply.outer(plan, profile.inward_mm[profile.inward_mm < 0.0])
    inset_mm *= fit[:, None]

    mitre = _mitres(tiling, inward, across_start, across_end)
    to_centre = centre[cell] - start
    corner = (
        start[:, None, :] + profile.share[:, None] * to_centre[:, None, :] + inset_mm[cell, :, None] * mitre[:, None, :]
    )
    corner[:, 0] = start
    alive = _alive_sides(tiling, corner, tangent, along)
    if not np.all(alive):
        corner, alive = drop_vanished_walls(tiling, corner, alive, tangent, along)

    last_inset = inset_mm[cell, -1] / across
    height = profile.height_mm * (relief.depth_share * fit)[:, None]
    return CellInsets(
        centre=centre,
        corner=corner,
        alive=alive,
        height=height,
        rise=profile.rise_mm * relief.depth_share * fit,
        squeezed=fit < 1.0,
        along=along,
        across=across,
        gap=_smallest_gap(profile.share, inset_mm, height, room),
        inner_reach=((1.0 - profile.share[-1]) * reach - last_inset) * across,
        level_inset=_level_inset(relief, fit[cell], plan[cell], reach * across),
    )


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


def seeing_centres(tiling: Tiling, start: Floats, inward: Floats) -> Floats:
    """For each cell a place from which all its walls are seen, far from the nearest: the centroid, or better.

    Cells whose centroid comes close to a wall (long or bent cells) walk away from their nearest wall, a little less at
    each step; the best place on the way is kept.
    """
    cell, first = tiling.corner_cell, tiling.cell_start[:-1]
    end = start[tiling.next_corner]
    cross = start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]
    six_areas = 3.0 * np.add.reduceat(cross, first)
    centre = np.stack([np.add.reduceat((start[:, i] + end[:, i]) * cross, first) / six_areas for i in (0, 1)], axis=1)

    def clearance(place: Floats) -> Floats:
        away: Floats = np.einsum("hi,hi->h", inward, place[cell] - start)
        return away

    distance = clearance(centre)
    best_room = np.minimum.reduceat(distance, first)
    width = np.sqrt(np.abs(six_areas) / 6.0)
    poor = best_room < 0.25 * width
    if not np.any(poor):
        return centre
    best = centre.copy()
    for step in range(40):
        nearest = distance == np.minimum.reduceat(distance, first)[cell]
        pull = np.stack([np.add.reduceat(np.where(nearest, inward[:, i], 0.0), first) for i in (0, 1)], axis=1)
        centre = centre + np.where(poor[:, None], pull * (width * 0.15 / (1.0 + 0.35 * step))[:, None], 0.0)
        distance = clearance(centre)
        room = np.minimum.reduceat(distance, first)
        better = room > best_room
        best[better], best_room[better] = centre[better], room[better]
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


def _fit(profile: CellProfile, room: Floats) -> Floats:
    """(cells,) 1, or by how much the whole profile must shrink so that it fits between wall and centre, `room` mm."""
    fit = np.ones(len(room))
    # A bent top needs a base at least as wide as it is high: its flanks then stay under 76 degrees.
    wanted = profile.inward_mm[-1] + 0.5 * abs(profile.rise_mm)
    if wanted > 0.0:
        fit = np.minimum(fit, (1.0 - profile.share[-1] - SQUEEZE_MARGIN) * room / wanted)
    for share, outward in zip(profile.share, -profile.inward_mm, strict=True):
        if outward > 0.0:
            fit = np.minimum(fit, 0.6 * share * room / outward)
    return np.clip(fit, 1e-3, 1.0)


def _alive_sides(tiling: Tiling, corner: Floats, tangent: Floats, along: Floats) -> Bools:
    """Sides of each ring that still run the way of their wall and are longer than the shortest allowed."""
    run = np.einsum("hki,hi->hk", corner[tiling.next_corner] - corner, tangent) * along[:, None]
    alive = run > SHORTEST_INSET_MM
    alive[:, 0] = True
    return np.logical_and.accumulate(alive, axis=1)


def _smallest_gap(share: Floats, inset_mm: Floats, height: Floats, room: Floats) -> Floats:
    """(cells,) smallest slanted distance between two neighbouring rings, mm; the cell's room where there is one
    ring."""
    if len(share) == 1:
        return room
    across = np.diff(inset_mm, axis=1) + np.multiply.outer(room, np.diff(share))
    gap: Floats = np.min(np.hypot(across, np.diff(height, axis=1)), axis=1)
    return gap


def _level_inset(relief: Relief, fit: Floats, plan: Floats, reach_mm: Floats) -> Floats:
    profile = relief.profile
    if profile.level_share == 0.0:
        return profile.level_mm * fit
    steps = 3 if relief.options.form == "step" else 1
    return np.maximum(profile.level_share * reach_mm - profile.flank_mm * fit * plan, 0.0) / steps
