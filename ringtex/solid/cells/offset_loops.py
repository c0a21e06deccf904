"""The inset rings of every cell: its walls moved inwards by true distances, with exact mitred corners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Bools, Floats
from ringtex.basics.tolerances import MIN_INSET_MM, SQUEEZE_MARGIN
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import CellProfile
from ringtex.relief.make_relief import Relief
from ringtex.solid.cells.cell_curvature import cell_curvature
from ringtex.solid.cells.edge_events import drop_vanished_walls
from ringtex.solid.cells.loop_nesting import nested_cells
from ringtex.solid.cells.wall_frames import WallFrames, wall_frames
from ringtex.solid.mesh.chord_length import longest_side
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
