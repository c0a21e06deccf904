"""Mitred offset loops of every cell: walls moved inwards by true distances on the ring, until they no longer nest."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bools, Floats, Longs, quantile
from ringtex.basics.caches import BoundedCache
from ringtex.basics.tolerances import DRAFT_CHORD_MM, MIN_INSET_MM, SQUEEZE_MARGIN
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import CellProfile
from ringtex.relief.make_relief import Relief
from ringtex.solid.cells.edge_events import drop_vanished_walls
from ringtex.solid.mesh.chord_length import CellForms, cell_forms
from ringtex.strip.strip_map import StripMap

SHALLOWEST_PLAN = 0.3
"""A shallower cell's flank narrows with its depth, but never under this fraction: thinner loops would need slivers."""

MAX_SHRINKS = 8
"""Times that a cell whose loops cross is made 0.6 of its size: down to 1.7 %, under which no relief is left to see."""


LEG_SAGITTA = 0.6
"""Fraction of the chord tolerance that the distance between two loops may take, across the walls."""

LEG_QUANTILE = 0.5
"""Fraction of the corners for whose ways between two level loops loops are planned, in final meshes: single edges of
the others are split, which takes fewer triangles than one loop more in every cell."""

MAX_CACHED: Final = 60_000
"""Half-edges of a tiling whose measures are kept, some 10 MB; larger ones are dragged step by step."""


@dataclass(frozen=True, eq=False)
class OffsetLoops:
    """Mitred offset loops of every cell on the strip; loop 0 is the wall.

    centre          (cells, 2) a position that sees the whole cell.
    corner          (half-edges, loops, 2) where the side of loop k along half-edge h starts.
    alive           (half-edges, loops) False where the side has shrunk to a point.
    height          (cells, loops) height of each loop, mm.
    rise            (cells,) height of the inner part above the last loop, mm.
    shrunk          (cells,) True where the whole profile was made smaller to fit (a shrink factor under 1).
    along, across   (half-edges,) mm on the ring per mm on the strip, along and square to the wall (the smaller end).
    level_corner    (half-edges, 2) the same as corner for the edge of the level top or floor, where its arc ends: at or
                    inside the last loop, and not part of the mesh.
    level_alive     (half-edges,) the same as alive for it.
    inner_distance  (half-edges,) distance on the ring from that edge to the centre, mm.
    level_width     (half-edges,) width of the level strip along the wall, mm (half a ridge or groove).
    forms           how sharply the outer face is curved over each cell.
    smooth          the inner part is a top of `SmoothTops`, which is curved along the loops as well.
    arc             (half-edges,) corners that stand for a smooth curve of the outline; None where there are none.
    level           (cells,) cells without relief, all of whose loops lie on the wall; None where there are none.
    """

    centre: Floats
    corner: Floats
    alive: Bools
    height: Floats
    rise: Floats
    shrunk: Bools
    along: Floats
    across: Floats
    level_corner: Floats
    level_alive: Bools
    inner_distance: Floats
    level_width: Floats
    forms: CellForms
    smooth: bool
    arc: Bools | None = None
    level: Bools | None = None


def offset_loops(strip: StripMap, tiling: Tiling, relief: Relief, chord_mm: float) -> OffsetLoops:
    """Offset every cell by the relief's profile, in true distances on the ring.

    Parameters:
        strip, tiling, relief: those of one ring.
        chord_mm: chord tolerance, mm.
    Returns: nested loops; where they would cross, the cell's profile is shrunk.
    """
    (walls, forms), cell = _measured(strip, tiling), tiling.corner_cell
    across = walls.across
    clearance_mm = np.minimum.reduceat(walls.centre_distance * across, tiling.cell_start[:-1])
    plan = np.maximum(np.abs(relief.depth_share), SHALLOWEST_PLAN)
    requested, shrink = profile_plan(relief, clearance_mm)
    profile = _fine_profile(tiling, relief, walls, forms, requested * shrink[:, None], chord_mm)
    # Where an arc ends, its true end is one loop more, which the mesh leaves out.
    drawn = len(profile.share)
    number = np.append(np.arange(drawn), drawn - 1) if profile.touch_mm[-1] > profile.inward_mm[-1] else slice(None)
    inward_mm, share = profile.inward_mm[number], profile.share[number]
    inward_mm[drawn:] = profile.touch_mm[-1]
    requested = _requested_loops(profile, inward_mm, plan)
    corner, alive, shrink = _nested_loops(tiling, walls, share, requested, shrink)
    if relief.level is not None:
        on_wall = relief.level[cell]
        corner[on_wall], alive[on_wall] = walls.start[on_wall, None], True
    return OffsetLoops(
        centre=walls.centre,
        corner=corner[:, :drawn],
        alive=alive[:, :drawn],
        height=profile.height_mm * (relief.depth_share * shrink)[:, None],
        rise=profile.rise_mm * relief.depth_share * shrink,
        shrunk=shrink < 1.0,
        along=walls.along,
        across=across,
        level_corner=corner[:, -1],
        level_alive=alive[:, -1],
        inner_distance=(1.0 - profile.share[-1]) * walls.centre_distance * across - (requested[:, -1] * shrink)[cell],
        level_width=_level_loop(relief, shrink[cell], plan[cell], walls.centre_distance * across),
        forms=forms,
        smooth=profile.is_smooth,
        level=relief.level,
    )


_measures: Final[BoundedCache[tuple[StripMap, Tiling], tuple[WallFrames, CellForms]]] = BoundedCache(2)


def _measured(strip: StripMap, tiling: Tiling) -> tuple[WallFrames, CellForms]:
    """Walls and cells measured on the ring; again those of the last tilings, for changes of the relief alone."""
    found = _measures.get((strip, tiling))
    if found is None:
        walls = wall_frames(strip, tiling)
        found = walls, cell_forms(strip, tiling, walls.centre)
        if len(tiling.corner_vertex) <= MAX_CACHED:
            _measures.put((strip, tiling), found)
    return found


def _nested_loops(
    tiling: Tiling, walls: WallFrames, share: Floats, requested: Floats, shrink: Floats
) -> tuple[Floats, Bools, Floats]:
    """Corners and living sides of loops as asked for, (cells, loops) mm inside the wall times shrink (cells,); where
    they would cross, of smaller ones; and what each cell was shrunk by in the end."""
    cell = tiling.corner_cell
    all_sides = np.zeros(tiling.cells, dtype=bool)
    corner, alive = mitred_loops(tiling, walls, share, requested * shrink[:, None], all_sides, ~all_sides)
    nested = nested_cells(tiling, corner, walls.centre)
    for attempt in range(MAX_SHRINKS):
        if np.all(nested):
            break
        shrink = np.where(nested, shrink, 0.6 * shrink)
        # In a cell that stays odd, walls are let vanish no more.
        all_sides |= ~nested & (2 * attempt >= MAX_SHRINKS)
        cells, changed = np.flatnonzero(~nested), np.flatnonzero(~nested[cell])
        own, own_walls = _cells_alone(tiling, cells), walls.of(changed, cells)
        offset_mm = (requested * shrink[:, None])[cells]
        made = mitred_loops(own, own_walls, share, offset_mm, all_sides[cells], np.ones(len(cells), dtype=bool))
        corner[changed], alive[changed] = made
        nested[cells] = nested_cells(own, made[0], own_walls.centre)
    return corner, alive, shrink


def _cells_alone(tiling: Tiling, cells: Longs) -> Tiling:
    """Some cells (k,) without what lies beyond their walls."""
    sizes = np.diff(tiling.cell_start)[cells]
    corner = np.flatnonzero(np.isin(tiling.corner_cell, cells))
    return replace(
        tiling, cell_start=np.append(0, np.cumsum(sizes)).astype(np.int32), corner_vertex=tiling.corner_vertex[corner],
        corner_winding=tiling.corner_winding[corner], twin=np.full(len(corner), -1, dtype=np.int32),
    )  # fmt: skip


def _fine_profile(
    tiling: Tiling, relief: Relief, walls: WallFrames, forms: CellForms, offset_mm: Floats, chord_mm: float
) -> CellProfile:
    """The profile in parts short enough for the surface's curvature across the walls.

    All cells have as many loops as most need. offset_mm (cells, points): how far inside the wall each
    point of the profile lies.
    """
    profile, cell = relief.profile, tiling.corner_cell
    to_centre = walls.centre[cell] - walls.start
    furthest = np.hypot(*to_centre.T)
    height = np.maximum(relief.depth_share[cell], 0.0)
    pieces = []
    for part in range(1, len(profile.share)):
        inward, share = (offset_mm[:, part] - offset_mm[:, part - 1])[cell], np.diff(profile.share)[part - 1]
        leg = inward[:, None] * walls.mitre + share * to_centre
        # A corner's way ends where its walls vanish, at sharp corners long before.
        leg *= np.minimum(1.0, furthest / np.maximum(np.hypot(*leg.T), 1e-12))[:, None]
        top = height * float(np.max(profile.height_mm[part - 1 : part + 1]))
        # Single edges of level parts are split later; heights on flanks are followed less well by splits.
        level = profile.height_mm[part] == profile.height_mm[part - 1] and chord_mm < DRAFT_CHORD_MM
        sagitta = quantile(forms.sagitta(cell, leg, top), LEG_QUANTILE if level else 1.0)
        pieces.append(math.ceil(math.sqrt(sagitta / (LEG_SAGITTA * chord_mm)) - 1e-6))
    knot = np.concatenate([[*(i + np.arange(max(n, 1)) / max(n, 1))] for i, n in enumerate(pieces)] + [[len(pieces)]])
    number = np.arange(len(profile.share))
    return replace(
        profile,
        inward_mm=np.interp(knot, number, profile.inward_mm),
        share=np.interp(knot, number, profile.share),
        touch_mm=np.interp(knot, number, profile.touch_mm),
        height_mm=np.interp(knot, number, profile.height_mm),
    )


def mitred_loops(
    tiling: Tiling, walls: WallFrames, share: Floats, offset_mm: Floats, all_sides: Bools, needed: Bools
) -> tuple[Floats, Bools]:
    """Corners and living sides of all loops.

    Parameters:
        tiling, walls: the cells and their walls.
        share: (loops,) how far from wall to centre each loop lies.
        offset_mm: (cells, loops) how much further inside, mm on the ring.
        all_sides: (cells,) those that preserve all sides.
        needed: (cells,) those whose loops are asked for; others need not be valid.
    Returns: corner and alive as in `OffsetLoops`.
    """
    cell = tiling.corner_cell
    corner = walls.start[:, None, :] + share[:, None] * (walls.centre[cell] - walls.start)[:, None, :]
    corner += offset_mm[cell, :, None] * walls.mitre[:, None, :]
    corner[:, 0] = walls.start
    alive = _alive_sides(tiling, corner, walls.tangent, walls.along) | all_sides[cell, None]
    if np.all(alive):
        return corner, alive
    return drop_vanished_walls(tiling, corner, alive, walls.tangent, walls.along, needed)


def profile_plan(relief: Relief, clearance_mm: Floats) -> tuple[Floats, Floats]:
    """(cells, points) how far inside the wall each point of the profile is asked to lie, mm, and (cells,) the factor by
    which that fits cells whose centres lie clearance_mm (cells,) from their walls."""
    plan = np.maximum(np.abs(relief.depth_share), SHALLOWEST_PLAN)
    rise = relief.profile.rise_mm * np.abs(relief.depth_share)
    reach = _requested_loops(relief.profile, relief.profile.touch_mm, plan)
    requested = _requested_loops(relief.profile, relief.profile.inward_mm, plan)
    return requested, _shrink_factors(relief.profile, reach, rise, clearance_mm)


def _requested_loops(profile: CellProfile, inward_mm: Floats, plan: Floats) -> Floats:
    """(cells, loops) how far each loop lies inside the wall, mm, if it does inward_mm (loops,) in the deepest cells:
    shallow cells preserve the level strip and narrow the flank."""
    level = 0.0 if profile.share[-1] > 0.0 else profile.level_mm
    on_flank = (inward_mm > level) | (inward_mm < 0.0)
    return np.asarray(np.where(on_flank, level + np.multiply.outer(plan, inward_mm - level), inward_mm))


def _shrink_factors(profile: CellProfile, requested: Floats, rise: Floats, clearance_mm: Floats) -> Floats:
    """(cells,) 1, or the factor by which the profile fits between wall and centre, `clearance_mm` apart."""
    # A bent top needs a base at least as wide as it is high: its flanks then stay under 76 degrees.
    needed = np.maximum(requested[:, -1] + 0.5 * np.abs(rise), 1e-12)
    # A top that is asked smaller than the margin leaves half of itself free.
    free = 1.0 - profile.share[-1]
    shrink = np.minimum(1.0, (free - min(SQUEEZE_MARGIN, 0.5 * free)) * clearance_mm / needed)
    for loop, share in enumerate(profile.share):
        outward = -requested[:, loop]
        limit = 0.6 * share * clearance_mm / np.maximum(outward, 1e-12)
        shrink = np.where(outward > 0.0, np.minimum(shrink, limit), shrink)
    return np.asarray(np.clip(shrink, 1e-3, 1.0))


def _alive_sides(tiling: Tiling, corner: Floats, tangent: Floats, along: Floats) -> Bools:
    """Sides of each loop that still have the direction of their wall and are longer than the shortest allowed."""
    edge = np.einsum("hki,hi->hk", corner[tiling.next_corner] - corner, tangent) * along[:, None]
    alive = edge > MIN_INSET_MM
    alive[:, 0] = True
    return np.logical_and.accumulate(alive, axis=1)


def _level_loop(relief: Relief, shrink: Floats, plan: Floats, centre_mm: Floats) -> Floats:
    profile = relief.profile
    if profile.level_share == 0.0:
        return profile.level_mm * shrink
    steps = 3 if relief.options.form == "step" else 1
    return np.maximum(profile.level_share * centre_mm - profile.flank_mm * shrink * plan, 0.0) / steps


POOR_CLEARANCE = 0.25
"""A centroid closer to a wall than this fraction of the cell's size is moved away from it."""

WALK_STEPS = 40
"""Steps of that walk; it settles within a hundredth of the cell's size."""


@dataclass(frozen=True, eq=False)
class WallFrames:
    """Per half-edge, in strip coordinates unless named otherwise.

    start, tangent, inward    (half-edges, 2) origin, unit direction, unit normal into the cell.
    across_start, across_end  (half-edges,) mm on the ring per mm on the strip square to it, at its two ends.
    along                     (half-edges,) the same along it, the larger of its ends.
    centre                    (cells, 2) a position that sees the whole cell, far from its nearest wall.
    centre_distance           (half-edges,) distance of that centre to the wall's line.
    mitre                     (half-edges, 2) how far its origin moves when both walls there are offset by 1 mm on the
    ring.
    """

    start: Floats
    tangent: Floats
    inward: Floats
    across_start: Floats
    across_end: Floats
    along: Floats
    centre: Floats
    centre_distance: Floats
    mitre: Floats

    def of(self, half_edges: Longs, cells: Longs) -> WallFrames:
        """Those of some cells (k,) and their half-edges (h,) alone."""
        each = {field.name: getattr(self, field.name)[half_edges] for field in fields(self) if field.name != "centre"}
        return WallFrames(**each, centre=self.centre[cells])

    @property
    def across(self) -> Floats:
        """(half-edges,) the smaller of the two scales square to the wall."""
        return np.minimum(self.across_start, self.across_end)


def wall_frames(strip: StripMap, tiling: Tiling) -> WallFrames:
    """Measure all walls of a tiling on its ring."""
    start, end = tiling.corners, tiling.corners[tiling.next_corner]
    tangent = (end - start) / np.hypot(*(end - start).T)[:, None]
    inward = np.stack((-tangent[:, 1], tangent[:, 0]), axis=1)
    across_start, across_end, along = _scales(strip, tiling, tangent)
    centre = deep_centres(tiling, inward)
    centre_distance = np.einsum("hi,hi->h", inward, centre[tiling.corner_cell] - start)
    mitre = _mitres(tiling, inward, across_start, across_end)
    return WallFrames(start, tangent, inward, across_start, across_end, along, centre, centre_distance, mitre)


def _scales(strip: StripMap, tiling: Tiling, tangent: Floats) -> tuple[Floats, Floats, Floats]:
    """Scale square to each half-edge at its start and at its end, and the larger scale along it."""
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
    """(cells, 2) for each cell a position that sees all its walls, far from the nearest: the centroid, or better.

    Cells whose centroid comes close to a wall (long or bent cells) walk away from their nearest wall, a little less at
    each step, and the best position on the way is taken; where even that does not see everything, the tiling's own
    kernel point is.
    """
    cell, first = tiling.corner_cell, tiling.cell_start[:-1]
    centre = tiling.centroids
    size = np.sqrt(tiling.areas)

    def clearance(position: Floats) -> Floats:
        away: Floats = np.einsum("hi,hi->h", inward, position[cell] - tiling.corners)
        return away

    distance = clearance(centre)
    best_clearance = np.minimum.reduceat(distance, first)
    poor = best_clearance < POOR_CLEARANCE * size
    if not np.any(poor):
        return centre
    best = centre.copy()
    for step in range(WALK_STEPS):
        nearest = distance == np.minimum.reduceat(distance, first)[cell]
        pull = np.add.reduceat(np.where(nearest[:, None], inward, 0.0), first, axis=0)
        centre = centre + np.where(poor[:, None], pull * (size * 0.15 / (1.0 + 0.35 * step))[:, None], 0.0)
        distance = clearance(centre)
        clearance_mm = np.minimum.reduceat(distance, first)
        better = clearance_mm > best_clearance
        best[better], best_clearance[better] = centre[better], clearance_mm[better]
    if np.any(best_clearance <= 0.0):
        best[best_clearance <= 0.0] = tiling.kernel[0][best_clearance <= 0.0]
    return best


def _mitres(tiling: Tiling, inward: Floats, across_start: Floats, across_end: Floats) -> Floats:
    """(half-edges, 2) how far the origin of each half-edge moves for an offset of 1 mm on the ring.

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
    """(half-edges,) the piece between each side of an outer loop and the same side of an inner one is convex.

    Parameters:
        tiling: the cells.
        outer, inner: (half-edges, 2) where each side starts; a side shrunk to a point makes the piece a triangle.
    Returns: (half-edges,) True where convex; triangles in other pieces would run backwards.
    """
    return np.asarray(_convex(tiling, np.stack((outer.T, inner.T), axis=1))[0])


def nested_cells(tiling: Tiling, corner: Floats, centre: Floats) -> Bools:
    """(cells,) all pieces between neighbouring loops are convex, and the centre sees all of the last loop.

    Parameters:
        tiling: the cells.
        corner, centre: (half-edges, loops, 2) and (cells, 2), as in `OffsetLoops`.
    Returns: (cells,) True where the loops nest.
    """
    good = np.all(_convex(tiling, np.ascontiguousarray(corner.transpose(2, 1, 0))), axis=0)
    good &= convex_between(tiling, corner[:, -1], centre[tiling.corner_cell])
    sound: Bools = np.logical_and.reduceat(good, tiling.cell_start[:-1])
    return sound


def _convex(tiling: Tiling, corner: Floats) -> Bools:
    """(loops - 1, half-edges) the same for corner (2, loops, half-edges): both sides turn left from both legs, which
    run from corner to corner of neighbouring loops.
    """
    following = tiling.next_corner
    u, v = corner
    good = np.ones((len(u) - 1, len(following)), dtype=bool)
    inner = _with_length(u[0][following] - u[0], v[0][following] - v[0])
    # Ring by ring: all of them at once no longer fit a processor's cache.
    for loop, turning in enumerate(good, start=1):
        outer, inner = inner, _with_length(u[loop][following] - u[loop], v[loop][following] - v[loop])
        leg = _with_length(u[loop] - u[loop - 1], v[loop] - v[loop - 1])
        for longest_leg in (leg, [part[following] for part in leg]):
            for edge in (outer, inner):
                cross = edge[0] * longest_leg[1] - edge[1] * longest_leg[0]
                size = edge[2] * longest_leg[2]
                turning &= (cross * np.abs(cross) > MIN_SINE**2 * size) | (size == 0.0)
    return good


def _with_length(along_u: Floats, along_v: Floats) -> list[Floats]:
    """Ways in u and in v, and the squares of their lengths."""
    return [along_u, along_v, along_u * along_u + along_v * along_v]
