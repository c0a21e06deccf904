"""Cells rounded in plan: outlines with arcs of one radius, true on the ring, inside the walls of a tiling.

A cell's outline is where its relief begins. Moved in by the radius its sides lose those too short for the arc, as in
every offset loop; the corners of what is left are the centres of the arcs (the opening of the cell by a disc; Serra
1982, Image Analysis and Mathematical Morphology). The walls stay as they are, shared by neighbours and by the rails,
and level ground lies between them and the outlines.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.basics.tolerances import MIN_CORNER_MM, MIN_INSET_MM
from ringtex.pattern.tiling import Tiling
from ringtex.relief.cell_profile import CellProfile
from ringtex.relief.make_relief import Relief
from ringtex.solid.cells.offset_loops import (
    MAX_SHRINKS,
    OffsetLoops,
    WallFrames,
    mitred_loops,
    nested_cells,
    profile_plan,
    wall_frames,
)
from ringtex.solid.mesh.chord_length import cell_forms
from ringtex.solid.mesh.strip_triangulation import segments_of_sides
from ringtex.strip.strip_map import StripMap

LARGEST: Final = 0.97
"""Largest radius as a fraction of the distance from outline to centre: the rest is left of the sides between arcs."""

MIN_GROUND_MM: Final = 0.02
"""Ground between wall and outline, at least: half a printer's pixel on each side where no wall width is asked."""

ARC_SAGITTA: Final = 0.4
"""Fraction of the chord tolerance that an arc's segments may take; the rest is for what lies over and under them."""


PARALLEL: Final = 1e-3
"""Keeps an arc's centre from running away along sides that are nearly parallel: under it they count as one."""

MIN_TURN: Final = 1e-3
"""Angle, radians, from which a corner turns: that of a T-junction is far under it."""


@dataclass(frozen=True, eq=False)
class RoundedCells:
    """The rounded outlines of all cells of a tiling, and the ground round them.

    outlines  one cell inside each of the tiling's; they do not touch, so no side has a twin.
    key       (sides, 2) which part of the walls the start and the end of each side of the outlines face: half-edge
              number of the tiling plus a fraction of its length; a whole number for those of an arc, which face a
              corner. Rising within each cell.
    arc       (sides,) True for sides that start on an arc.
    radius_mm (cells,) radius of the arcs where the sharp foot of the flank would be, mm on the ring.
    ground    loops of the tiling itself: the walls, and the outlines before they are rounded; all at height 0.
    relief    what is left of the relief inside the outlines.
    """

    outlines: Tiling
    key: Floats
    arc: Bools
    radius_mm: Floats
    ground: OffsetLoops
    relief: Relief

    def facing_walls(self, tiling: Tiling, corner: Floats, count: int) -> Floats:
        """Points along the part of a loop that faces each half-edge, arcs at both its ends included.

        Parameters:
            tiling: the cells.
            corner: (sides, 2) a loop of the outlines.
            count: points wanted, evenly by the loop's corners.
        Returns: (half-edges, count, 2) positions on the strip, mm.
        """
        half_edge = np.arange(len(tiling.corner_cell))
        first = np.searchsorted(self.key[:, 0], half_edge, side="left")
        after = np.searchsorted(self.key[:, 0], half_edge, side="right")
        # The end's arcs are those at the next half-edge's start; the last half-edge of a cell ends where it began.
        end = np.roll(first, -1)
        end[-1] = len(self.key)
        end += (after - first)[tiling.next_corner]
        at = first[:, None] + np.linspace(0.0, 1.0, count) * (end - first)[:, None]
        low = np.floor(at).astype(np.int64)
        begin = self.outlines.cell_start[:-1][tiling.corner_cell].astype(np.int64)[:, None]
        sides = np.diff(self.outlines.cell_start)[tiling.corner_cell].astype(np.int64)[:, None]
        here, next_one = (corner[begin + (each - begin) % sides] for each in (low, low + 1))
        return np.asarray(here + (at - low)[..., None] * (next_one - here))


def rounded_cells(
    strip: StripMap, tiling: Tiling, relief: Relief, chord_mm: float, fraction: Floats | None = None
) -> RoundedCells:
    """Round all cells of a tiling.

    Parameters:
        strip, tiling, relief: those of one ring; the relief's options have the rounding.
        chord_mm: largest distance between an arc and its chords, with ARC_SAGITTA.
        fraction: (cells,) of the radius that each cell is given; all of it where left out.
    Returns: the outlines; cells that are too small or too bent for the radius have a smaller one.
    """
    walls, profile = wall_frames(strip, tiling), relief.profile
    clearance = np.minimum.reduceat(walls.centre_distance * walls.across, tiling.cell_start[:-1])
    requested, shrink = profile_plan(relief, clearance)
    loop = _foot_loop(profile)
    share = float(profile.share[loop])
    first = requested[:, loop] * shrink
    if share == 0.0:
        first = np.maximum(first, np.minimum(MIN_GROUND_MM, 0.1 * clearance))
    foot = np.maximum(profile.level_mm * shrink - first, 0.0) if share == 0.0 else np.zeros(tiling.cells)
    radius = relief.options.rounding * LARGEST * np.maximum((1.0 - share) * clearance - first - foot, 0.0)
    reach = (radius if fraction is None else fraction * radius) + foot
    inset = _inset_outlines(strip, tiling, walls, (share, first, reach), chord_mm)
    outlines, key, arc = inset.rounded
    level = np.zeros((tiling.cells, 2))
    ground = OffsetLoops(
        centre=walls.centre,
        corner=inset.corner[:, :2],
        alive=inset.alive[:, :2],
        height=level,
        rise=level[:, 0],
        shrunk=(shrink < 1.0) | (inset.first < first),
        along=walls.along,
        across=walls.across,
        level_corner=inset.corner[:, 1],
        level_alive=inset.alive[:, 1],
        inner_distance=(1.0 - share) * walls.centre_distance * walls.across - inset.first[tiling.corner_cell],
        level_width=np.maximum(share * walls.centre_distance * walls.across + inset.first[tiling.corner_cell], 0.0),
        forms=cell_forms(strip, tiling, walls.centre),
        smooth=False,
    )
    return RoundedCells(outlines, key, arc, np.maximum(inset.reach - foot, 0.0), ground, inside_outlines(relief))


def _foot_loop(profile: CellProfile) -> int:
    """The point of a profile where its level strip ends: the wall itself where that has no width."""
    return 1 if len(profile.share) > 1 and profile.height_mm[1] == 0.0 else 0


def inside_outlines(relief: Relief) -> Relief:
    """The relief with what is left of its profile inside the outlines: from the point on where the level strip ends."""
    profile = relief.profile
    loop = _foot_loop(profile)
    share, first = profile.share[loop], float(profile.inward_mm[loop])
    inner = replace(
        profile,
        inward_mm=profile.inward_mm[loop:] - first,
        share=(profile.share[loop:] - share) / (1.0 - share),
        # An arc at the foot ends before it is drawn from: on the outline, not outside of it, where nothing has room.
        touch_mm=np.maximum(profile.touch_mm[loop:] - first, 0.0),
        height_mm=profile.height_mm[loop:],
        level_mm=max(profile.level_mm - first, 0.0),
    )
    return replace(relief, profile=inner)


@dataclass(frozen=True, eq=False)
class _InsetOutlines:
    """Corners (half-edges, 3, 2) and living sides of wall, outline and the arcs' centres; how far inside the wall the
    outlines are and by how much more the centres (cells,), mm; the rounded outlines with their keys and arcs."""

    corner: Floats
    alive: Bools
    first: Floats
    reach: Floats
    rounded: tuple[Tiling, Floats, Bools]


def _inset_outlines(
    strip: StripMap, tiling: Tiling, walls: WallFrames, asked: tuple[float, Floats, Floats], chord_mm: float
) -> _InsetOutlines:
    """The outlines asked for; where they would cross, ever smaller radii, then ever narrower ground.

    asked: how far from wall to centre the outlines lie, as a share, and as in `_InsetOutlines` first and reach.
    """
    share, first, reach = asked[0], asked[1].copy(), asked[2].copy()
    shares = np.array([0.0, share, share])
    # A side beside an inward corner must stay: made longer, its neighbours would leave the cell.
    all_sides = np.logical_or.reduceat(_turns(tiling) < -MIN_TURN, tiling.cell_start[:-1])
    for attempt in range(2 * MAX_SHRINKS):
        offset_mm = np.column_stack((np.zeros(tiling.cells), first, first + reach))
        corner, alive = mitred_loops(tiling, walls, shares, offset_mm, all_sides, np.ones(tiling.cells, dtype=bool))
        rounded = _arcs(strip, tiling, corner, alive, np.where(reach > MIN_CORNER_MM, reach, 0.0), chord_mm)
        outside = _outside(tiling, corner[:, 1], alive[:, 1])
        crossing = ~nested_cells(tiling, corner, walls.centre) | ~_running_on(tiling, *rounded) | outside
        if not np.any(crossing):
            break
        # In a cell that stays odd, sides are let vanish no more.
        all_sides = all_sides | outside | (crossing & (attempt >= MAX_SHRINKS))
        first[crossing & (reach == 0.0)] *= 0.6
        reach[crossing] *= 0.75 if attempt < MAX_SHRINKS - 2 else 0.0
    return _InsetOutlines(corner, alive, first, reach, rounded)


def _outside(tiling: Tiling, corner: Floats, alive: Bools) -> Bools:
    """(cells,) those that lost a side of their outline whose neighbours, nearly parallel, then meet beyond its wall."""
    beyond = ~alive & (_inside_walls(tiling, np.arange(len(corner)), corner) < 0.0)
    found: Bools = np.logical_or.reduceat(beyond, tiling.cell_start[:-1])
    return found


def _inside_walls(tiling: Tiling, wall: Longs, points: Floats) -> Floats:
    """(n,) above 0 for points (n, 2) on the side of walls (n,) where their cells lie."""
    along = tiling.corners[tiling.next_corner[wall]] - tiling.corners[wall]
    away = points - tiling.corners[wall]
    return np.asarray(along[:, 0] * away[:, 1] - along[:, 1] * away[:, 0])


def _turns(tiling: Tiling) -> Floats:
    """(half-edges,) angle from the half-edge before to each, radians; negative at inward corners."""
    edge = tiling.corners[tiling.next_corner] - tiling.corners
    into = edge[tiling.previous_corner]
    turn = np.arctan2(into[:, 0] * edge[:, 1] - into[:, 1] * edge[:, 0], np.sum(into * edge, axis=1))
    return np.asarray(turn)


def _running_on(tiling: Tiling, outlines: Tiling, key: Floats, arc: Bools) -> Bools:
    """(cells,) straight sides of the outlines run as their walls do, and arcs turn outwards and stay in their cells."""
    edge = outlines.corners[outlines.next_corner] - outlines.corners
    sides = np.flatnonzero(key[:, 1] > np.floor(key[:, 0]))
    wall = np.floor(key[sides, 0]).astype(np.int64)
    along = tiling.corners[tiling.next_corner[wall]] - tiling.corners[wall]
    good = ~arc | (_turns(outlines) > -MIN_TURN)
    good[sides] &= np.sum(edge[sides] * along, axis=1) > 0.0
    # Where a dead side's scale is not that of the arc, the arc might reach over it.
    round_ones = np.flatnonzero(arc & (key[:, 1] == np.floor(key[:, 0])))
    faced = key[round_ones, 0].astype(np.int64)
    for wall in (faced, tiling.previous_corner[faced]):
        good[round_ones] &= _inside_walls(tiling, wall, outlines.corners[round_ones]) > 0.0
    running: Bools = np.logical_and.reduceat(good, outlines.cell_start[:-1])
    return running


def _arcs(
    strip: StripMap, tiling: Tiling, corner: Floats, alive: Bools, radius_mm: Floats, chord_mm: float
) -> tuple[Tiling, Floats, Bools]:
    """The outlines with their arcs, as in `RoundedCells`."""
    # Cells without an arc keep all sides that their outline has.
    living = np.where(radius_mm[tiling.corner_cell] > 0.0, alive[:, 2], alive[:, 1])
    side, before = _living_sides(tiling, living)
    cell = tiling.corner_cell[side]
    centre = corner[side, 2]
    e, f, g = strip.metric(*centre.T)
    start, end = corner[:, 1], corner[tiling.next_corner, 1]
    # In these coordinates, about the arc's centre, lengths are those on the ring.
    low = np.sqrt(e), f / np.sqrt(e), np.sqrt(np.maximum(g - f * f / e, 1e-300))

    def ways_to_sides() -> list[Floats]:
        feet = [_foot(start[h], end[h] - start[h], centre, (e, f, g)) - centre for h in (before, side)]
        return [np.column_stack((low[0] * w[:, 0] + low[1] * w[:, 1], low[2] * w[:, 1])) for w in feet]

    x, y = _to_equal_distance(ways_to_sides(), radius_mm[cell]).T
    centre = centre + np.column_stack(((x - low[1] * y / low[2]) / low[0], y / low[2]))
    ways = ways_to_sides()
    turn = np.arctan2(ways[0][:, 0] * ways[1][:, 1] - ways[0][:, 1] * ways[1][:, 0], np.sum(ways[0] * ways[1], axis=1))
    radius = np.hypot(*ways[0].T), np.hypot(*ways[1].T)
    count = _arc_segments(radius_mm[cell], np.minimum(*radius), turn, chord_mm)
    arc, number = segments_of_sides(count + 1)
    at = number / np.maximum(count[arc], 1)
    angle = np.arctan2(ways[0][arc, 1], ways[0][arc, 0]) + at * turn[arc]
    length = radius[0][arc] + at * (radius[1] - radius[0])[arc]
    x, y = length * np.cos(angle), length * np.sin(angle)
    v = y / low[2][arc]
    points = centre[arc] + np.column_stack(((x - low[1][arc] * v) / low[0][arc], v))
    sharp = count == 0
    points[sharp[arc]] = _sharp_corners(start, end, before[sharp], side[sharp])
    straight = number == count[arc]
    key = np.empty((len(arc), 2))
    key[straight] = _facing(tiling, side, points[straight], points[_next_starts(arc, cell)])
    key[~straight] = _faced_corners(tiling, before[arc], side[arc], (number + 0.5) / np.maximum(count[arc], 1))[
        ~straight, None
    ]
    return _assembled(tiling, cell[arc], points, key, ~sharp[arc])


def _arc_segments(radius_mm: Floats, least_mm: Floats, turn: Floats, chord_mm: float) -> Longs:
    """(n,) chords of each arc: within the tolerance, none shorter than a living side; 0 for sharp corners."""
    step = 2.0 * np.arccos(np.clip(1.0 - ARC_SAGITTA * chord_mm / np.maximum(radius_mm, 1e-9), 0.0, 1.0))
    count = np.ceil(turn / np.maximum(step, 1e-9)).astype(np.int64)
    count = np.minimum(count, (least_mm * turn / MIN_INSET_MM).astype(np.int64))
    return np.where((radius_mm > 0.0) & (turn > 0.0), np.maximum(count, 0), 0)


def _to_equal_distance(ways: list[Floats], radius_mm: Floats) -> Floats:
    """(n, 2) how far an arc's centre must move to lie its radius away from both sides, given the ways (n, 2) to them.

    Offset walls are as far apart as the scale at their own ends says, not as that at the arc. Nothing moves without a
    radius; between nearly parallel sides the centre goes as far as serves both.
    """
    length = [np.maximum(np.hypot(*way.T), 1e-12) for way in ways]
    first, second = (way / size[:, None] for way, size in zip(ways, length, strict=True))
    cosine, one = np.sum(first * second, axis=1), 1.0 + PARALLEL
    missing = [np.where(radius_mm > 0.0, size - radius_mm, 0.0) for size in length]
    determinant = one * one - cosine * cosine
    along_first = (one * missing[0] - cosine * missing[1]) / determinant
    along_second = (one * missing[1] - cosine * missing[0]) / determinant
    return np.asarray(along_first[:, None] * first + along_second[:, None] * second)


def _living_sides(tiling: Tiling, living: Bools) -> tuple[Longs, Longs]:
    """The living sides, and the living side before each in its cell."""
    side = np.flatnonzero(living)
    count = np.bincount(tiling.corner_cell[side], minlength=tiling.cells)
    last = np.cumsum(count) - 1
    before = np.roll(side, 1)
    before[last - count + 1] = side[last]
    return side, before


def _foot(start: Floats, along: Floats, point: Floats, metric: tuple[Floats, Floats, Floats]) -> Floats:
    """(n, 2) the point of each line that is nearest to a point by the ring's own lengths."""
    e, f, g = metric
    square_u, square_v = e * along[:, 0] + f * along[:, 1], f * along[:, 0] + g * along[:, 1]
    away = point - start
    square = square_u * along[:, 0] + square_v * along[:, 1]
    # A side that a try left without length is a point.
    ratio = (square_u * away[:, 0] + square_v * away[:, 1]) / np.where(square > 0.0, square, 1.0)
    return start + ratio[:, None] * along


def _sharp_corners(start: Floats, end: Floats, before: Longs, side: Longs) -> Floats:
    """(n, 2) where two sides of the outline meet; next to each other they share the corner."""
    first, second = end[before] - start[before], end[side] - start[side]
    cross = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    gap = start[side] - start[before]
    ratio = (gap[:, 0] * second[:, 1] - gap[:, 1] * second[:, 0]) / np.where(cross == 0.0, 1.0, cross)
    parallel = np.abs(cross) < 1e-3 * np.hypot(*first.T) * np.hypot(*second.T)
    return np.where(parallel[:, None], start[side], start[before] + ratio[:, None] * first)


def _next_starts(arc: Longs, cell: Ints) -> Longs:
    """(arcs,) the point where the side that starts after each arc ends: the first point of the cell's next arc."""
    first = np.flatnonzero(np.diff(arc, prepend=-1))
    after = np.roll(first, -1)
    count = np.bincount(cell)
    last = np.cumsum(count) - 1
    some = count > 0
    after[last[some]] = first[(last - count + 1)[some]]
    return after


def _facing(tiling: Tiling, side: Longs, start: Floats, end: Floats) -> Floats:
    """(n, 2) keys of sides from start to end, which run along the half-edges `side`."""
    origin = tiling.corners[side]
    along = tiling.corners[tiling.next_corner[side]] - origin
    square = np.sum(along * along, axis=1)
    parts = [np.sum((point - origin) * along, axis=1) / square for point in (start, end)]
    # A side that starts at its wall's very end would count as facing the next one.
    return np.asarray(side[:, None] + np.clip(np.stack(parts, axis=1), 0.0, 1.0 - 1e-9))


def _faced_corners(tiling: Tiling, before: Longs, side: Longs, part: Floats) -> Longs:
    """(n,) the half-edge at whose start a piece of an arc looks.

    The arc turns from half-edge `before` to `side`, and the piece has turned by `part` of that; where sides between
    the two are dead it looks at the first corner beyond which the walls have turned as far.
    """
    turn = _turns(tiling)
    total = np.zeros(len(side))
    at = before.copy()
    while np.any(moving := at != side):
        at[moving] = tiling.next_corner[at[moving]]
        total[moving] += turn[at[moving]]
    corner = tiling.next_corner[before].astype(np.int64)
    turned = turn[corner]
    while np.any(moving := (corner != side) & (turned < part * total)):
        corner[moving] = tiling.next_corner[corner[moving]]
        turned[moving] += turn[corner[moving]]
    return corner


def _assembled(tiling: Tiling, cell: Ints, points: Floats, key: Floats, arc: Bools) -> tuple[Tiling, Floats, Bools]:
    """The corners of all outlines in the order of their keys, each cell's beginning at its first wall."""
    order = np.lexsort((key[:, 0], cell))
    points, key, cell, arc = points[order], key[order], cell[order], arc[order]
    winding = np.floor(points[:, 0] / tiling.length).astype(np.int32)
    vertices = np.column_stack((points[:, 0] - winding * tiling.length, points[:, 1]))
    start = np.concatenate(([0], np.cumsum(np.bincount(cell, minlength=tiling.cells))))
    numbers = np.arange(len(points), dtype=np.int32)
    none = np.full(len(points), -1, dtype=np.int32)
    outlines = Tiling(
        tiling.length, tiling.lower, tiling.upper, vertices, start.astype(np.int32), numbers, winding, none
    )
    return outlines, key, arc
