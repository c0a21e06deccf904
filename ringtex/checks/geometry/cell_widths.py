"""How wide the walls and the insides of cells are, measured between the offset loops where they lie on the ring.

A wall's width is the least distance, straight through, between the feet of the two cells beside it: what a gauge tells,
and less than along the face where a wall lies over a knife edge. A foot is where the flank, made longer in a straight
line, meets the band's face, so that an arc at the foot does not count. Insides are in `inside_widths.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from threading import Lock
from typing import Final
from weakref import WeakKeyDictionary

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs, dots, lengths, quantile, sorted_unique
from ringtex.basics.tolerances import LEVEL_MM
from ringtex.checks.geometry.inside_widths import inside_widths
from ringtex.checks.strip_geometry import ShellView
from ringtex.pattern.tiling import Tiling
from ringtex.solid.cells.offset_loops import OffsetLoops
from ringtex.solid.cells.rounded_cells import RoundedCells
from ringtex.solid.mesh.ring_mesh import RingSolid
from ringtex.solid.mesh.strip_triangulation import segments_of_sides

SIDE_POINTS: Final = 5
"""Points on each side of a loop: sides are straight on the strip and may be bent on the ring."""

ROUNDED_POINTS: Final = 17
"""Points on each part of a rounded outline that faces a wall of a cell of at most USUAL_SIDES sides; cells of many
short sides, which follow a curve, have fewer on each."""

USUAL_SIDES: Final = 6.0

NEARER_FRACTION: Final = 0.98
"""Of a wall's width: feet as far from their walls as its own are no nearer over a corner."""

AT_ONCE: Final = 2_000_000
"""Projections worked on at a time."""

_MEASURING: Final = Lock()
_KNOWN: Final[WeakKeyDictionary[RingSolid, CellWidths]] = WeakKeyDictionary()


@dataclass(frozen=True, eq=False)
class CellWidths:
    """Widths on the ring, mm.

    wall    (half-edges,) of the ridge or groove between the two cells of each wall; a cell's narrowest is that to any
            cell that it meets, in a corner also; infinite along a rail or an edge.
    inside  (cells,) of the level top or floor of each cell, at its narrowest; infinite where none is known.
    cell    (half-edges,) the cell that each half-edge belongs to.
    """

    wall: Floats
    inside: Floats
    cell: Ints

    @property
    def narrowest_walls(self) -> Floats:
        """(cells,) the narrowest wall of each cell; infinite where no wall has a level strip."""
        return _narrowest(len(self.inside), self.cell, self.wall)


NO_WIDTHS: Final = CellWidths(np.zeros(0), np.zeros(0), np.zeros(0, dtype=np.int32))
"""Of a ring without cells."""


def cell_widths(strip: ShellView, tiling: Tiling, solid: RingSolid) -> CellWidths:
    """Measure all cells of a ring; asked again for the same ring, the answer is at hand.

    Parameters:
        strip, tiling: those that the solid was built of.
        solid: with its offset loops.
    Returns: widths of walls and insides.
    """
    with _MEASURING:
        if solid not in _KNOWN:
            walls, insides = np.full(len(tiling.corner_cell), np.inf), np.full(tiling.cells, np.inf)
            if solid.loops is not None:
                outlines = tiling if solid.rounded is None else solid.rounded.outlines
                walls = _wall_widths(strip, tiling, solid.loops, solid.rounded)
                insides = inside_widths(strip, outlines, solid.loops)
                if solid.loops.level is not None:
                    # What has no relief is no floor.
                    insides[solid.loops.level] = np.inf
            _KNOWN[solid] = CellWidths(walls, insides, tiling.corner_cell)
        return _KNOWN[solid]


def _wall_widths(strip: ShellView, tiling: Tiling, loops: OffsetLoops, rounded: RoundedCells | None) -> Floats:
    if rounded is None:
        sides, level_mm = tiling, loops.level_width
        foot = _feet(tiling, loops)
        along = _points_on_sides(tiling, foot)
    else:
        sides, level_mm = rounded.outlines, rounded.ground.level_width
        foot = _feet(sides, loops)
        along = rounded.facing_walls(tiling, foot, _side_points(tiling)).transpose(2, 1, 0).copy()
    width = np.full(along.shape[2], np.inf)
    inner = np.flatnonzero(tiling.twin >= 0)
    twin = tiling.twin[inner].astype(np.int64)
    width[inner] = _distances(strip, along, _on_face(strip, along), inner, twin)
    width[inner] = np.minimum(width[inner], width[twin])
    if loops.level is not None:
        # What has no relief goes on over its walls.
        own = loops.level[tiling.corner_cell]
        width[own | ((tiling.twin >= 0) & own[tiling.twin])] = np.inf
    # A wall without a level strip is a crease.
    width = np.where(level_mm > LEVEL_MM, width, 0.0)
    narrowest = _narrowest(tiling.cells, tiling.corner_cell, width)
    nearest = _nearest_feet(strip, tiling, (sides, foot), _levels(tiling, loops, level_mm), narrowest)
    at_narrowest = width == narrowest[tiling.corner_cell]
    return np.where(at_narrowest, np.minimum(width, nearest[tiling.corner_cell]), width)


def _narrowest(cells: int, cell: Ints, width: Floats) -> Floats:
    """(cells,) the narrowest wall of each cell, given the cell and the width of each half-edge; infinite where no wall
    has a level strip."""
    narrowest = np.full(cells, np.inf)
    np.minimum.at(narrowest, cell, np.where(width > 0.0, width, np.inf))
    return narrowest


def _levels(tiling: Tiling, loops: OffsetLoops, level_mm: Floats) -> Floats:
    """(cells,) the least distance of each foot from its walls (half-edges,), 0 where it touches one; infinite in cells
    without relief."""
    least = np.minimum.reduceat(np.where(level_mm > LEVEL_MM, level_mm, 0.0), tiling.cell_start[:-1])
    return least if loops.level is None else np.where(loops.level, np.inf, least)


def _nearest_feet(
    strip: ShellView, tiling: Tiling, feet: tuple[Tiling, Floats], level_mm: Floats, narrowest: Floats
) -> Floats:
    """(cells,) least distance of each cell's foot from those of the cells that it meets, on any of their sides;
    infinite where it is known to be no smaller than that across a wall.

    Only feet at different distances from their walls, of a top that is a part of its cell, can be so near elsewhere.

    feet: cells with a half-edge for each side of the feet, and where it starts. level_mm, narrowest: (cells,) least
    distances of feet from their walls, and narrowest walls.
    """
    sides, foot = feet
    nearest = np.full(tiling.cells, np.inf)
    first, second = _meeting_cells(tiling)
    limit = NEARER_FRACTION * np.maximum(narrowest[first], narrowest[second])
    level = level_mm[first], level_mm[second]
    near = (level[0] > 0.0) & (level[1] > 0.0) & (level[0] + level[1] < limit)
    first, second, limit = first[near], second[near], limit[near]
    if not len(first):
        return nearest
    lines = _points_on_sides(sides, foot)
    points = _on_face(strip, lines)
    middle = points[:, SIDE_POINTS // 2]
    half = 0.5 * np.sum(lengths(np.diff(points, axis=1)), axis=0)
    start, count = sides.cell_start[:-1].astype(np.int64), np.diff(sides.cell_start).astype(np.int64)
    ways = np.cumsum(count[first] * count[second])
    for pair in np.split(np.arange(len(first)), np.searchsorted(ways, np.arange(AT_ONCE, ways[-1], AT_ONCE))):
        row, number = segments_of_sides(count[first[pair]] * count[second[pair]])
        row = pair[row]
        one = start[first[row]] + number // count[second[row]]
        other = start[second[row]] + number % count[second[row]]
        apart = lengths(middle[:, one] - middle[:, other])
        close = apart - half[one] - half[other] < limit[row]
        one, other, row = one[close], other[close], row[close]
        distance = _distances(strip, lines, points, one, other)
        for cell in (first, second):
            np.minimum.at(nearest, cell[row], distance)
    return nearest


def _meeting_cells(tiling: Tiling) -> tuple[Longs, Longs]:
    """Pairs of different cells with a corner in common, each pair once."""
    order = np.argsort(tiling.corner_vertex, kind="stable")
    vertex = tiling.corner_vertex[order]
    row, step = segments_of_sides(np.bincount(tiling.corner_vertex, minlength=len(tiling.vertices))[vertex])
    cell = tiling.corner_cell[order].astype(np.int64)
    one, other = cell[row], cell[np.searchsorted(vertex, vertex)[row] + step]
    pairs = sorted_unique((one * tiling.cells + other)[one < other])
    first, second = np.divmod(pairs, tiling.cells)
    return first, second


def _points_on_sides(sides: Tiling, corner: Floats) -> Floats:
    """(2, SIDE_POINTS, half-edges) positions along the sides between corners (half-edges, 2).

    Points run along the axis before the last one, here and below: few of them would make short rows.
    """
    ratio = np.linspace(0.0, 1.0, SIDE_POINTS)[:, None]
    start = corner.T[:, None]
    return np.asarray(start + ratio * (corner[sides.next_corner].T[:, None] - start))


def _distances(strip: ShellView, lines: Floats, points: Floats, one: Longs, other: Longs) -> Floats:
    """(n,) least distances, straight through, of lines `one` from lines `other`; between chords, and then between those
    of shorter pieces where these are nearest.

    lines: (2, points on each, k) strip positions, mm. points: (3, points on each, k) where they lie on the face.
    """
    found = np.empty(len(one))
    batch = AT_ONCE // lines.shape[1] ** 2
    for first in range(0, len(one), batch):
        own, far = one[first : first + batch], other[first : first + batch]
        place, number, ratio = _shortest_ways(points.take(own, axis=2), points.take(far, axis=2))
        pieces = _pieces(lines.take(own, axis=2), place), _pieces(lines.take(far, axis=2), number + ratio)
        place, number, ratio = _shortest_ways(*(_on_face(strip, piece) for piece in pieces))
        row = np.arange(len(own))
        start, end = pieces[1][:, number, row], pieces[1][:, number + 1, row]
        ends = np.stack((pieces[0][:, place, row], start + ratio * (end - start)), axis=1)
        start, end = _on_face(strip, ends).transpose(1, 0, 2)
        found[first : first + batch] = lengths(end - start)
    return found


def _pieces(line: Floats, at: Longs | Floats) -> Floats:
    """(2, SIDE_POINTS, n) the parts of lines (2, k, n) from the point before to the one after positions (n,), counted
    in points."""
    last = line.shape[1] - 1
    wanted = np.clip(at + np.linspace(-1.0, 1.0, SIDE_POINTS)[:, None], 0.0, last)
    low = np.minimum(wanted.astype(np.int64), last - 1)
    ratio = wanted - low
    low *= len(at)
    low += np.arange(len(at))
    starts = line.reshape(2, -1).take(low, axis=1)
    ends = line.reshape(2, -1).take(low + len(at), axis=1)
    return np.asarray(starts + ratio * (ends - starts))


def _on_face(strip: ShellView, positions: Floats) -> Floats:
    """(3, ...) points on the band's face at strip positions (2, ...), mm."""
    u, v = positions.reshape(2, -1)
    return np.ascontiguousarray(strip.shell_map(u, v, 0.0).T).reshape(3, *positions.shape[1:])


def _feet(sides: Tiling, loops: OffsetLoops) -> Floats:
    """(half-edges, 2) strip positions where each side of the foot begins."""
    height = loops.height[int(np.argmax(np.abs(loops.height[:, -1])))]
    flat = np.abs(height) <= LEVEL_MM
    last_flat = int(np.argmin(flat)) - 1 if not np.all(flat) else len(height) - 1
    corner = loops.corner
    if last_flat + 1 >= len(height):
        return corner[:, last_flat]
    first = _steepest(corner, height, last_flat)
    low = loops.height[sides.corner_cell, first]
    rise = loops.height[sides.corner_cell, first + 1] - low
    beyond = np.where(np.abs(rise) > LEVEL_MM, low / np.where(rise == 0.0, 1.0, rise), 0.0)
    return np.asarray(corner[:, first] - beyond[:, None] * (corner[:, first + 1] - corner[:, first]))


def _steepest(corner: Floats, height: Floats, last_flat: int) -> int:
    """Number of the loop where the straight part of the first flank begins."""
    rises = np.abs(np.diff(height))
    flank = [last_flat]
    while flank[-1] + 1 < len(rises) and rises[flank[-1] + 1] > LEVEL_MM:
        flank.append(flank[-1] + 1)
    x, y = (corner[:, flank[0] : flank[-1] + 2, axis].T.copy() for axis in (0, 1))
    ways = np.sqrt(np.square(np.diff(x, axis=0)) + np.square(np.diff(y, axis=0)))
    plan = np.array([quantile(way, 0.5) for way in ways])
    return flank[int(np.argmax(rises[flank] / np.maximum(plan, 1e-12)))]


def _side_points(tiling: Tiling) -> int:
    """Points on each part of a rounded outline."""
    few = ROUNDED_POINTS * USUAL_SIDES * tiling.cells / len(tiling.corner_cell)
    return round(min(max(few, SIDE_POINTS), ROUNDED_POINTS))


def _shortest_ways(points: Floats, other: Floats) -> tuple[Longs, Longs, Floats]:
    """From which point of one line to which segment of the other the way is shortest, and where on that segment it
    ends; both lines (3, k, n)."""
    start = other[:, :-1]
    edge = np.diff(other, axis=1)
    squared = np.maximum(dots(edge, edge), 1e-300)
    shape = (points.shape[1], *squared.shape)
    distance, ratio = np.empty(shape), np.empty(shape)
    for place, point in enumerate(points.transpose(1, 0, 2)):
        away = point[:, None] - start
        np.clip(dots(away, edge) / squared, 0.0, 1.0, out=ratio[place])
        away -= ratio[place] * edge
        np.sqrt(dots(away, away), out=distance[place])
    best = np.argmin(distance.reshape(-1, shape[2]), axis=0)
    place, number = np.divmod(best, shape[1])
    return place, number, ratio[place, number, np.arange(len(best))]
