"""Mitred offset loops of every cell: walls moved inwards by true distances on the ring, until they no longer nest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bools, Floats
from ringtex.basics.tolerances import MIN_INSET_MM, SQUEEZE_MARGIN
from ringtex.pattern.cell_kernel import centroids
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import CellProfile
from ringtex.relief.make_relief import Relief
from ringtex.solid.cells.edge_events import drop_vanished_walls
from ringtex.solid.mesh.chord_length import cell_curvature, longest_side
from ringtex.strip.strip_map import StripMap

SHALLOWEST_PLAN = 0.3
"""A shallower cell's flank narrows with its depth, but never under this share: thinner rings would need slivers."""

MAX_SQUEEZES = 8
"""Times that a cell whose rings cross is made 0.6 of its size: down to 1.7 %, under which no relief is left to see."""


@dataclass(frozen=True, eq=False)
class OffsetLoops:
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
    level_loop: Floats


def offset_loops(strip: StripMap, tiling: Tiling, relief: Relief, chord_mm: float) -> OffsetLoops:
    """Inset every cell by the relief's profile, in true distances on the ring."""
    walls, cell = wall_frames(strip, tiling), tiling.corner_cell
    across = walls.across
    room = np.minimum.reduceat(walls.reach * across, tiling.cell_start[:-1])
    profile = _fine_profile(strip, tiling, relief, walls, chord_mm)
    plan = np.maximum(np.abs(relief.depth_share), SHALLOWEST_PLAN)
    asked = _requested_loops(profile, plan)
    fit = _fit(profile, asked, profile.rise_mm * np.abs(relief.depth_share), room)
    offset_mm = asked * fit[:, None]
    whole = np.zeros(tiling.cells, dtype=bool)
    corner, alive = _rings(tiling, walls, profile.share, offset_mm, whole, ~whole)
    for attempt in range(MAX_SQUEEZES):
        nested = nested_cells(tiling, corner, walls.centre)
        if np.all(nested):
            break
        fit = np.where(nested, fit, 0.6 * fit)
        offset_mm = asked * fit[:, None]
        # In a cell that stays odd, walls are let vanish no more.
        whole |= ~nested & (2 * attempt >= MAX_SQUEEZES)
        again = _rings(tiling, walls, profile.share, offset_mm, whole, ~nested)
        changed = ~nested[cell]
        corner[changed], alive[changed] = again[0][changed], again[1][changed]
    height = profile.height_mm * (relief.depth_share * fit)[:, None]
    return OffsetLoops(
        centre=walls.centre,
        corner=corner,
        alive=alive,
        height=height,
        rise=profile.rise_mm * relief.depth_share * fit,
        squeezed=fit < 1.0,
        along=walls.along,
        across=across,
        gap=_smallest_gap(profile.share, offset_mm, height, room),
        inner_reach=(1.0 - profile.share[-1]) * walls.reach * across - offset_mm[cell, -1],
        level_loop=_level_loop(relief, fit[cell], plan[cell], walls.reach * across),
    )


def _fine_profile(strip: StripMap, tiling: Tiling, relief: Relief, walls: WallFrames, chord_mm: float) -> CellProfile:
    """The profile in parts short enough for the surface's bends.

    All cells have as many rings as all but a few need: where a face bends sharply, cells are mostly small.
    """
    shape = relief.profile
    top = relief.depth_share * max(float(np.max(shape.height_mm)), shape.height_mm[-1] + shape.rise_mm)
    longest = longest_side(cell_curvature(strip, tiling, walls.centre), chord_mm, top)
    # Corners run furthest where rings shrink towards the centre.
    run = np.hypot(*(walls.centre[tiling.corner_cell] - walls.start).T) * np.maximum(walls.along, walls.across)
    way = np.maximum.reduceat(run, tiling.cell_start[:-1])
    furthest = float(np.max(way))
    return relief.profile.with_parts_under(furthest / float(np.quantile(way / longest, 0.95)), furthest)


def _rings(
    tiling: Tiling, walls: WallFrames, share: Floats, offset_mm: Floats, whole: Bools, wanted: Bools
) -> tuple[Floats, Bools]:
    """Corners and living sides of all rings, as in `CellInsets`, right in the `wanted` cells; cells that are `whole`
    keep all sides."""
    cell = tiling.corner_cell
    corner = walls.start[:, None, :] + share[:, None] * (walls.centre[cell] - walls.start)[:, None, :]
    corner += offset_mm[cell, :, None] * walls.mitre[:, None, :]
    corner[:, 0] = walls.start
    alive = _alive_sides(tiling, corner, walls.tangent, walls.along) | whole[cell, None]
    if np.all(alive):
        return corner, alive
    return drop_vanished_walls(tiling, corner, alive, walls.tangent, walls.along, wanted)


def _requested_loops(profile: CellProfile, plan: Floats) -> Floats:
    """(cells, rings) how far each ring lies inside the wall, mm: shallow cells keep the level strip and narrow the
    flank."""
    level = 0.0 if profile.share[-1] > 0.0 else profile.level_mm
    beyond = profile.inward_mm - level
    on_flank = (profile.inward_mm > level) | (profile.inward_mm < 0.0)
    return np.asarray(np.where(on_flank, level + np.multiply.outer(plan, beyond), profile.inward_mm))


def _fit(profile: CellProfile, asked: Floats, rise: Floats, room: Floats) -> Floats:
    """(cells,) 1, or by how much the whole profile must shrink so that it fits between wall and centre, `room` mm."""
    # A bent top needs a base at least as wide as it is high: its flanks then stay under 76 degrees.
    wanted = np.maximum(asked[:, -1] + 0.5 * np.abs(rise), 1e-12)
    # A top that is asked smaller than the margin leaves half of itself free.
    left = 1.0 - profile.share[-1]
    fit = np.minimum(1.0, (left - min(SQUEEZE_MARGIN, 0.5 * left)) * room / wanted)
    for ring, share in enumerate(profile.share):
        outward = -asked[:, ring]
        limit = 0.6 * share * room / np.maximum(outward, 1e-12)
        fit = np.where(outward > 0.0, np.minimum(fit, limit), fit)
    return np.asarray(np.clip(fit, 1e-3, 1.0))


def _alive_sides(tiling: Tiling, corner: Floats, tangent: Floats, along: Floats) -> Bools:
    """Sides of each ring that still run the way of their wall and are longer than the shortest allowed."""
    run = np.einsum("hki,hi->hk", corner[tiling.next_corner] - corner, tangent) * along[:, None]
    alive = run > MIN_INSET_MM
    alive[:, 0] = True
    return np.logical_and.accumulate(alive, axis=1)


def _smallest_gap(share: Floats, offset_mm: Floats, height: Floats, room: Floats) -> Floats:
    """(cells,) smallest slanted distance between two neighbouring rings, mm; the cell's room where there is one
    ring."""
    if len(share) == 1:
        return room
    across = np.diff(offset_mm, axis=1) + np.multiply.outer(room, np.diff(share))
    gap: Floats = np.min(np.hypot(across, np.diff(height, axis=1)), axis=1)
    return gap


def _level_loop(relief: Relief, fit: Floats, plan: Floats, reach_mm: Floats) -> Floats:
    profile = relief.profile
    if profile.level_share == 0.0:
        return profile.level_mm * fit
    steps = 3 if relief.options.form == "step" else 1
    return np.maximum(profile.level_share * reach_mm - profile.flank_mm * fit * plan, 0.0) / steps


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


MIN_SINE = 1e-3
"""Sine of an angle, at least, for a corner to turn the right way: far over rounding, far under any of a sound cell."""


def convex_between(tiling: Tiling, outer: Floats, inner: Floats) -> Bools:
    """(half walls,) the piece between each side of an outer row of corners and the same side of an inner one is convex.

    outer, inner (half walls, 2): where each side starts; a side that has shrunk to a point makes the piece a triangle.
    """
    return np.asarray(_convex(tiling, np.stack((outer.T, inner.T), axis=1))[0])


def nested_cells(tiling: Tiling, corner: Floats, centre: Floats) -> Bools:
    """(cells,) all pieces between neighbouring rings are convex, and the centre sees all of the last ring.

    corner (half walls, rings, 2) and centre (cells, 2) as in `CellInsets`.
    """
    good = np.all(_convex(tiling, np.ascontiguousarray(corner.transpose(2, 1, 0))), axis=0)
    good &= convex_between(tiling, corner[:, -1], centre[tiling.corner_cell])
    sound: Bools = np.logical_and.reduceat(good, tiling.cell_start[:-1])
    return sound


def _convex(tiling: Tiling, corner: Floats) -> Bools:
    """(rings - 1, half walls) the same for corner (2, rings, half walls): both sides turn left from both legs, the ways
    from corner to corner of neighbouring rings."""
    following = tiling.next_corner
    u, v = corner
    good = np.ones((len(u) - 1, len(following)), dtype=bool)
    inner = _with_length(u[0][following] - u[0], v[0][following] - v[0])
    # Ring by ring: all of them at once no longer fit a processor's cache.
    for ring, turning in enumerate(good, start=1):
        outer, inner = inner, _with_length(u[ring][following] - u[ring], v[ring][following] - v[ring])
        leg = _with_length(u[ring] - u[ring - 1], v[ring] - v[ring - 1])
        for way in (leg, [part[following] for part in leg]):
            for run in (outer, inner):
                cross = run[0] * way[1] - run[1] * way[0]
                size = run[2] * way[2]
                turning &= (cross * np.abs(cross) > MIN_SINE**2 * size) | (size == 0.0)
    return good


def _with_length(along_u: Floats, along_v: Floats) -> list[Floats]:
    """Ways in u and in v, and the squares of their lengths."""
    return [along_u, along_v, along_u * along_u + along_v * along_v]
