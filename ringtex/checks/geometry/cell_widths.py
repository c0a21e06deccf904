"""How wide the walls and the insides of cells are, measured between the offset loops where they lie on the ring.

A wall's width is the least distance, straight through, between the feet of the two cells beside it: what a gauge tells,
and less than along the face where a wall lies over a knife edge. A foot is where the flank, made longer in a straight
line, meets the band's face, so that an arc at the foot does not count. The width of an inside (a level top or floor,
within its arcs) is the least width across: the smallest distance between two parallel lines that the loop, rolled flat,
fits between. It has one of them along two corners of the loop's hull (rotating calipers; Toussaint 1983), so that every
pair of corners is tried.
"""

from __future__ import annotations

from dataclasses import dataclass
from threading import Lock
from typing import Final, Protocol
from weakref import WeakKeyDictionary

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.basics.tolerances import LEVEL_MM
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


class ShellView(Protocol):
    """The strip's way on to the ring."""

    def shell_map(self, u: Floats, v: Floats, h: Floats | float) -> Floats:
        """(n, 3) points on the ring, mm.

        Parameters:
            u: (n,) round the ring, mm.
            v: (n,) across, mm.
            h: (n,) heights over the outer face, mm.
        Returns: (n, 3) points on the ring, mm.
        """


@dataclass(frozen=True, eq=False)
class CellWidths:
    """Widths on the ring, mm.

    wall    (half-edges,) of the ridge or groove between the two cells of each wall, or between two that meet only in
            the corner where it begins, if those are nearer; infinite along a rail or an edge.
    inside  (cells,) of the level top or floor of each cell, at its narrowest; infinite where none is known.
    cell    (half-edges,) the cell that each half-edge belongs to.
    """

    wall: Floats
    inside: Floats
    cell: Ints

    @property
    def narrowest_walls(self) -> Floats:
        """(cells,) the narrowest wall of each cell; infinite where no wall has a level strip."""
        narrowest = np.full(len(self.inside), np.inf)
        np.minimum.at(narrowest, self.cell, np.where(self.wall > 0.0, self.wall, np.inf))
        return narrowest


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
                insides = _inside_widths(strip, outlines, solid.loops)
                if (level := solid.loops.level) is not None:
                    # What has no relief is no floor, and goes on over its walls.
                    insides[level] = np.inf
                    inner = tiling.twin >= 0
                    walls[level[tiling.corner_cell] | (inner & level[tiling.corner_cell[tiling.twin]])] = np.inf
            _KNOWN[solid] = CellWidths(walls, insides, tiling.corner_cell)
        return _KNOWN[solid]


def _wall_widths(strip: ShellView, tiling: Tiling, loops: OffsetLoops, rounded: RoundedCells | None) -> Floats:
    if rounded is None:
        foot, next_foot = _feet(tiling, loops)
        share = np.linspace(0.0, 1.0, SIDE_POINTS)[None, :, None]
        along, level_mm = foot[:, None, :] + share * (next_foot - foot)[:, None, :], loops.level_width
    else:
        foot, _ = _feet(rounded.outlines, loops)
        along, level_mm = rounded.facing_walls(tiling, foot, _side_points(tiling)), rounded.ground.level_width
    points = _on_face(strip, along)
    width = np.full(len(along), np.inf)
    inner = np.flatnonzero(tiling.twin >= 0)
    twin = tiling.twin[inner]
    ends = np.zeros((len(inner), 2, 2))
    batch = AT_ONCE // along.shape[1] ** 2
    for first in range(0, len(inner), batch):
        own, other = inner[first : first + batch], twin[first : first + batch]
        place, number, ratio = _shortest_ways(points[own], points[other])
        start, end = along[other, number], along[other, number + 1]
        ends[first : first + batch, 0] = along[own, place]
        ends[first : first + batch, 1] = start + ratio[:, None] * (end - start)
    width[inner] = _straight_distances(strip, ends)
    width[inner] = np.minimum(width[inner], width[twin])
    if rounded is None:
        width[inner] = np.minimum(width, _corner_widths(strip, tiling, foot, level_mm, width))[inner]
    # A wall without a level strip is a crease.
    return np.where(level_mm > LEVEL_MM, width, 0.0)


def _corner_widths(strip: ShellView, tiling: Tiling, foot: Floats, level_mm: Floats, width: Floats) -> Floats:
    """(half-edges,) least distance between the feet of cells that meet in the corner where each begins, but share no
    wall there; infinite where the walls (widths given) are narrower.

    Only feet at different distances from their walls, of a top that is a part of its cell, can be so near.
    """
    least, before = np.full(len(foot), np.inf), tiling.previous_corner
    one, other = _across_corners(tiling, before)
    narrowest = np.full(len(tiling.vertices), np.inf)
    np.minimum.at(narrowest, tiling.corner_vertex, np.minimum(width, width[before]))
    level = np.minimum(level_mm, level_mm[before])
    limit = NEARER_FRACTION * narrowest[tiling.corner_vertex[one]]
    near = (level[one] + level[other] < limit) & (limit > LEVEL_MM)
    one, other = one[near], other[near]
    if not len(one):
        return least
    share = np.linspace(0.0, 1.0, SIDE_POINTS)[None, :, None]
    into = foot[before][:, None] + share * (foot - foot[before])[:, None]
    out = foot[:, None] + share[:, 1:] * (foot[tiling.next_corner] - foot)[:, None]
    line = np.concatenate((into, out), axis=1)
    place, number, ratio = _shortest_ways(_on_face(strip, line[one]), _on_face(strip, line[other]))
    row = np.arange(len(one))
    start = line[other][row, number]
    ends = np.stack((line[one][row, place], start + ratio[:, None] * (line[other][row, number + 1] - start)), axis=1)
    np.minimum.at(least, one, _straight_distances(strip, ends))
    np.minimum.at(least, other, least[one])
    return least


def _across_corners(tiling: Tiling, before: Ints) -> tuple[Longs, Longs]:
    """Ordered pairs of half-edges that begin in the same vertex and whose cells share no wall there."""
    order = np.argsort(tiling.corner_vertex, kind="stable")
    count = np.bincount(tiling.corner_vertex, minlength=len(tiling.vertices))
    # Three cells in a corner share walls all round, unless it lies on a border.
    more = count > 3
    at_border = np.flatnonzero(tiling.twin < 0)
    more[tiling.corner_vertex[np.concatenate((at_border, tiling.next_corner[at_border]))]] = True
    order = order[more[tiling.corner_vertex[order]]]
    size = count[tiling.corner_vertex[order]]
    first = np.searchsorted(tiling.corner_vertex[order], tiling.corner_vertex[order])
    row, step = segments_of_sides(size)
    one, other = order[row], order[first[row] + step]
    beside = [np.where(tiling.twin[each] < 0, -1, tiling.corner_cell[tiling.twin[each]]) for each in (one, before[one])]
    cell = tiling.corner_cell
    apart = (cell[one] != cell[other]) & (cell[other] != beside[0]) & (cell[other] != beside[1])
    return one[apart], other[apart]


def _on_face(strip: ShellView, positions: Floats) -> Floats:
    """(..., 3) points on the band's face at strip positions (..., 2), mm."""
    u, v = positions[..., 0].ravel(), positions[..., 1].ravel()
    return strip.shell_map(u, v, 0.0).reshape(*positions.shape[:-1], 3)


def _straight_distances(strip: ShellView, ends: Floats) -> Floats:
    """(n,) distances through space between places on the face, ends (n, 2, 2), mm."""
    start, end = (_on_face(strip, ends[:, number]) for number in (0, 1))
    return np.asarray(np.linalg.norm(end - start, axis=1))


def _feet(tiling: Tiling, loops: OffsetLoops) -> tuple[Floats, Floats]:
    """(half-edges, 2) strip positions where each side of the foot begins, and where it ends."""
    height = loops.height[int(np.argmax(np.abs(loops.height[:, -1])))]
    flat = np.abs(height) <= LEVEL_MM
    last_flat = int(np.argmin(flat)) - 1 if not np.all(flat) else len(height) - 1
    corner = loops.corner
    if last_flat + 1 >= len(height):
        foot = corner[:, last_flat]
    else:
        first = _steepest(corner, height, last_flat)
        low = loops.height[tiling.corner_cell, first]
        rise = loops.height[tiling.corner_cell, first + 1] - low
        beyond = np.where(np.abs(rise) > LEVEL_MM, low / np.where(rise == 0.0, 1.0, rise), 0.0)
        foot = corner[:, first] - beyond[:, None] * (corner[:, first + 1] - corner[:, first])
    return foot, foot[tiling.next_corner]


def _steepest(corner: Floats, height: Floats, last_flat: int) -> int:
    """Number of the loop where the straight part of the first flank begins."""
    rises = np.abs(np.diff(height))
    flank = [last_flat]
    while flank[-1] + 1 < len(rises) and rises[flank[-1] + 1] > LEVEL_MM:
        flank.append(flank[-1] + 1)
    plan = np.median(np.linalg.norm(np.diff(corner, axis=1), axis=2), axis=0)
    return flank[int(np.argmax(rises[flank] / np.maximum(plan[flank], 1e-12)))]


def _side_points(tiling: Tiling) -> int:
    """Points on each part of a rounded outline."""
    few = ROUNDED_POINTS * USUAL_SIDES * tiling.cells / len(tiling.corner_cell)
    return round(min(max(few, SIDE_POINTS), ROUNDED_POINTS))


def _shortest_ways(points: Floats, other: Floats) -> tuple[Longs, Longs, Floats]:
    """From which point of one line to which segment of the other the way is shortest, and where on that segment it
    ends; both lines (n, k, 3)."""
    # Lines run along the last axis: few points make short rows.
    p, start = (each.transpose(1, 2, 0).copy() for each in (points, other))
    edge = np.diff(start, axis=0)
    squared = np.maximum(_dot(edge, edge), 1e-300)
    least, ratio = np.full(len(points), np.inf), np.zeros(len(points))
    best = np.zeros((2, len(points)), dtype=np.int64)
    for place in range(len(p)):
        away = p[place] - start[:-1]
        where = np.clip(_dot(away, edge) / squared, 0.0, 1.0)
        off = away - where[:, None] * edge
        for number, distance in enumerate(np.sqrt(_dot(off, off))):
            nearer = np.flatnonzero(distance < least)
            least[nearer], ratio[nearer] = distance[nearer], where[number, nearer]
            best[:, nearer] = [[place], [number]]
    return best[0], best[1], ratio


def _dot(a: Floats, b: Floats) -> Floats:
    """(k, n) scalar products of vectors (k, 3, n)."""
    return np.asarray(a[:, 0] * b[:, 0] + a[:, 1] * b[:, 1] + a[:, 2] * b[:, 2])


def _inside_widths(strip: ShellView, tiling: Tiling, loops: OffsetLoops) -> Floats:
    corner, cell = loops.level_corner, tiling.corner_cell
    middle = 0.5 * (corner + corner[tiling.next_corner])
    height = loops.height[cell, -1]
    # The sides of an arc are too short to bend.
    places = (corner, middle) if loops.arc is None else (corner,)
    inner, outer = (
        np.stack([strip.shell_map(each[:, 0], each[:, 1], height + lift) for each in places], axis=1)
        for lift in (0.0, 1.0)
    )
    width = np.full(tiling.cells, np.inf)
    corners = np.diff(tiling.cell_start)
    for count in np.unique(corners):
        cells = np.flatnonzero(corners == count)
        batch = max(1, AT_ONCE // int(4 * count * count * count))
        for start in range(0, len(cells), batch):
            chosen = cells[start : start + batch]
            at = tiling.cell_start[chosen][:, None] + np.arange(count)
            points, beyond = (each[at].reshape(len(chosen), -1, 3) for each in (inner, outer))
            width[chosen] = least_widths(*rolled_flat(points, beyond - points))
    return width


def rolled_flat(loop: Floats, outwards: Floats) -> tuple[Floats, Floats]:
    """Closed loops with the ring rolled out, each point at its own radius: long cells may go far round it.

    Parameters:
        loop: (c, n, 3) their points, mm; the ring's axis is z.
        outwards: (c, n, 3) the face's direction at each.
    Returns: (c, n, 3) mm round the ring, away from the axis and along it; (c, 3) the face's mean direction there, by
        the length of the sides. (Newell's normals of long loops of few points lean far.)
    """
    middle = np.sum(loop[..., :2], axis=1, keepdims=True)
    radius = np.linalg.norm(loop[..., :2], axis=2)
    x, y = (loop[..., axis] for axis in (0, 1))
    angle = np.arctan2(middle[..., 0] * y - middle[..., 1] * x, middle[..., 0] * x + middle[..., 1] * y)
    flat = np.stack((radius * angle, radius, loop[..., 2]), axis=2)
    out_x, out_y, out_z = np.moveaxis(outwards, 2, 0)
    turned = np.stack(((out_y * x - out_x * y) / radius, (out_x * x + out_y * y) / radius, out_z), axis=2)
    side = np.linalg.norm(np.roll(flat, -1, axis=1) - flat, axis=2)
    return flat, np.sum(turned * (side + np.roll(side, 1, axis=1))[..., None], axis=1)


def least_widths(loop: Floats, normal: Floats) -> Floats:
    """(c,) least width of each loop (c, n, 3) seen along a direction (c, 3), mm."""
    # Loops run along the last axis: few points make short rows.
    x, y = np.moveaxis(_in_plane(loop, normal), 0, 2).transpose(1, 0, 2).copy()
    first, second = np.triu_indices(len(x), 1)
    edge_x, edge_y = x[second] - x[first], y[second] - y[first]
    length = np.sqrt(edge_x * edge_x + edge_y * edge_y)
    square_x, square_y = (-edge_y / np.maximum(length, 1e-300), edge_x / np.maximum(length, 1e-300))
    low, high = np.full(length.shape, np.inf), np.full(length.shape, -np.inf)
    for point_x, point_y in zip(x, y, strict=True):
        at = square_x * point_x + square_y * point_y
        np.minimum(low, at, out=low)
        np.maximum(high, at, out=high)
    return np.asarray(np.min(np.where(length > 1e-9, high - low, np.inf), axis=0))


def _in_plane(loop: Floats, normal: Floats) -> Floats:
    """(c, n, 2) the loops in planes square to normals (c, 3)."""
    centred = loop - loop.mean(axis=1, keepdims=True)
    normal = normal / np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    helper = np.where(np.abs(normal[:, 2:]) < 0.9, [[0.0, 0.0, 1.0]], [[1.0, 0.0, 0.0]])
    right = np.cross(helper, normal)
    right /= np.linalg.norm(right, axis=1)[:, None]
    up = np.cross(normal, right)
    return np.stack((np.einsum("cni,ci->cn", centred, right), np.einsum("cni,ci->cn", centred, up)), axis=2)
