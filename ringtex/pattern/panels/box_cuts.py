"""Cells cut by a rectangle: what lies inside of it, or outside, ending cleanly on its sides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final, NamedTuple

import numpy as np
import shapely

from ringtex.basics.arrays import Bools, Floats, Longs, sorted_unique
from ringtex.basics.errors import InputError

ROUNDS: Final = 12
"""Of taking back moved vertices that fold a cell; each takes back at least one."""

ROUNDING_MM: Final = 1e-7
"""Corners so near to a side lie on it."""

MERGE: Final = 0.4
"""Of the reach: corners on a side that are nearer to each other become one."""


class Box(NamedTuple):
    """A rectangle on the strip, mm."""

    left: float
    low: float
    right: float
    high: float

    @property
    def wide(self) -> float:
        """Its length round the ring."""
        return self.right - self.left

    @property
    def tall(self) -> float:
        """Its width across the ring."""
        return self.high - self.low

    def inset(self, by: float) -> Box:
        """The rectangle within a border."""
        return Box(self.left + by, self.low + by, self.right - by, self.high - by)

    @property
    def corners(self) -> Floats:
        """(4, 2) counter-clockwise from the lower left."""
        left, low, right, high = self
        return np.array([[left, low], [right, low], [right, high], [left, high]])


@dataclass(frozen=True, eq=False)
class CutCells:
    """points (n, 2) mm; loops: the corners of each cell that is left, counter-clockwise; origin: the cell that each was
    cut from; sides: the corners on the bottom, right, top and left of the box, counter-clockwise, box corners at both
    ends of each."""

    points: Floats
    loops: list[Longs]
    origin: list[int]
    sides: list[Longs]


def cut_by_box(points: Floats, loops: Sequence[Longs], box: Box, reach_mm: float, inside: bool) -> CutCells:
    """Cut cells by a box; first corners near its sides are moved onto them, so that no sliver is left.

    Parameters:
        points: (n, 2) corners, mm. Cells share them.
        loops: corners of each cell by number, counter-clockwise.
        box: the rectangle; points on its lower and upper line that lie on the pattern's border stay there.
        reach_mm: how near a corner must be to be moved onto a side.
        inside: whether what lies inside is kept, or what lies outside.
    Returns: the cells that are left; the points keep their numbers, new ones follow.
    Raises: InputError where a cell surrounds the box.
    """
    points = _snapped(points, loops, box, reach_mm)
    points = np.vstack((points, box.corners))
    corner_ids = np.arange(len(points) - 4, len(points))
    points, loops = _with_crossings(points, loops, box, MERGE * reach_mm)
    points, same = _merged(points, box, corner_ids, MERGE * reach_mm)
    loops = [_without_spikes(same[loop]) for loop in loops]
    on_side = _on_sides(points, box)
    ring = _ring(points, box, np.union1d(corner_ids, same[np.flatnonzero(on_side)]))
    chosen = [number for number, loop in enumerate(loops) if len(loop) >= 3]
    cells = [loops[number] for number in chosen]
    parts, origin = _parts(points, cells, shapely.Polygon(points[ring]), box, ring, inside)
    used = np.zeros(len(points), dtype=np.bool_)
    used[np.concatenate(parts) if parts else ring[:0]] = True
    used[corner_ids] = True
    ring = ring[used[ring]]
    at = [int(np.flatnonzero(ring == corner)[0]) for corner in corner_ids]
    turned = np.concatenate((ring[at[0] :], ring[: at[0] + 1]))
    stops = [int(np.flatnonzero(turned == corner)[0]) for corner in corner_ids] + [len(turned) - 1]
    sides = [turned[first : last + 1] for first, last in pairwise(stops)]
    return CutCells(points, parts, [chosen[number] for number in origin], sides)


def thinnest(points: Floats, loops: Sequence[Longs]) -> float:
    """The least area over half the outline of cells, mm; 0 where one is folded."""
    if not len(loops):
        return 0.0
    shapes = np.array([shapely.Polygon(points[loop]) for loop in loops], dtype=object)
    if not np.all(shapely.is_valid(shapes)):
        return 0.0
    return float(np.min(2.0 * shapely.area(shapes) / shapely.length(shapes)))


def without_slivers(cut: CutCells, least: float) -> CutCells:
    """The cells with those thinner than this joined to the neighbour that they share the longest wall with."""
    loops, origin = list(cut.loops), list(cut.origin)
    for thin in [loop for loop in loops if thinnest(cut.points, [loop]) < least]:
        if not any(loop is thin for loop in loops):
            # Another sliver was joined to it before.
            continue
        walls = {(int(b), int(a)) for a, b in zip(thin, np.roll(thin, -1), strict=True)}
        shared = [
            sum(
                float(np.linalg.norm(cut.points[a] - cut.points[b]))
                for a, b in zip(loop.tolist(), np.roll(loop, -1).tolist(), strict=True)
                if (a, b) in walls
            )
            for loop in loops
        ]
        other = int(np.argmax(shared))
        if shared[other] == 0.0:
            continue
        both = shapely.union(*(shapely.Polygon(cut.points[loop]) for loop in (thin, loops[other])))
        if both.geom_type != "Polygon" or len(both.interiors):
            continue
        ids = np.concatenate((thin, loops[other])).tolist()
        known = {tuple(place): number for number, place in zip(ids, cut.points[ids].tolist(), strict=True)}
        loops[other] = _named(both, known)
        at = next(number for number, loop in enumerate(loops) if loop is thin)
        del loops[at], origin[at]
    return CutCells(cut.points, loops, origin, cut.sides)


def _snapped(points: Floats, loops: Sequence[Longs], box: Box, reach: float) -> Floats:
    """The points, those near a side on it, where no cell is folded by that."""
    # What lies on a side but for rounding does so in any case.
    points = _pulled(points, box, ROUNDING_MM)
    moved = _pulled(points, box, reach)
    before = [_signed_area(points[loop]) for loop in loops]
    for _ in range(ROUNDS):
        changed = np.any(moved != points, axis=1)
        wrong = [
            loop
            for loop, area in zip(loops, before, strict=True)
            if np.any(changed[loop]) and not _is_sound(moved[loop], area)
        ]
        if not wrong:
            break
        back = np.concatenate(wrong)
        moved[back] = points[back]
    return moved


def _pulled(points: Floats, box: Box, reach: float) -> Floats:
    x, y = points.T
    moved = points.copy()
    along_x = (x >= box.left - reach) & (x <= box.right + reach)
    along_y = (y >= box.low - reach) & (y <= box.high + reach)
    for line in (box.left, box.right):
        moved[(np.abs(x - line) <= reach) & along_y, 0] = line
    for line in (box.low, box.high):
        moved[(np.abs(y - line) <= reach) & along_x, 1] = line
    return moved


def _signed_area(corners: Floats) -> float:
    x, y = (corners - corners[0]).T
    return 0.5 * float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))


def _is_sound(corners: Floats, before: float) -> bool:
    """Whether a cell is a polygon still, most of what it was, or a sliver that is gone wholly."""
    kept = corners[np.any(corners != np.roll(corners, 1, axis=0), axis=1)]
    if len(kept) < 3:
        return True
    area = _signed_area(kept)
    return area > 0.2 * before and bool(shapely.Polygon(kept).is_valid)


def _with_crossings(points: Floats, loops: Sequence[Longs], box: Box, near: float) -> tuple[Floats, list[Longs]]:
    """The points where walls cross the box's sides put into them, the same one on both sides of a wall."""
    start = np.concatenate(loops)
    end = np.concatenate([np.roll(loop, -1) for loop in loops])
    ends = sorted_unique(np.minimum(start, end) * len(points) + np.maximum(start, end))
    edge, at, place = _crossings(points, ends, box, near)
    order = np.lexsort((at, edge))
    edge, new = edge[order], place[order]
    first, last = np.searchsorted(edge, ends, "left"), np.searchsorted(edge, ends, "right")
    inner = {int(key): (low, high) for key, low, high in zip(ends, first, last, strict=True) if high > low}
    made = []
    for loop in loops:
        pieces: list[int] = []
        for one, two in zip(loop.tolist(), np.roll(loop, -1).tolist(), strict=True):
            pieces.append(one)
            low, high = inner.get(min(one, two) * len(points) + max(one, two), (0, 0))
            between = range(len(points) + low, len(points) + high)
            pieces += between if one < two else reversed(between)
        made.append(np.array(pieces, dtype=np.int64))
    return np.vstack((points, new)), made


def _crossings(points: Floats, ends: Longs, box: Box, near: float) -> tuple[Longs, Floats, Floats]:
    """Where walls cross the sides, or pass a corner closely: the wall, how far along it, and the point."""
    a, b = np.divmod(ends, len(points))
    found_edge, found_at, found_point = [], [], []
    for axis, line in ((0, box.left), (0, box.right), (1, box.low), (1, box.high)):
        one, two = points[a, axis] - line, points[b, axis] - line
        crossing = np.flatnonzero(one * two < 0.0)
        share = one[crossing] / (one[crossing] - two[crossing])
        other = 1 - axis
        across = points[a[crossing], other] + share * (points[b[crossing], other] - points[a[crossing], other])
        lowest, highest = (box.low, box.high) if axis == 0 else (box.left, box.right)
        hit = (across >= lowest) & (across <= highest)
        place = np.empty((int(np.count_nonzero(hit)), 2))
        place[:, axis], place[:, other] = line, across[hit]
        found_edge.append(ends[crossing[hit]])
        found_at.append(share[hit])
        found_point.append(place)
    # A wall that passes a corner of the box closely goes through it: between the two would be a needle.
    for corner in box.corners:
        way = points[b] - points[a]
        share = np.sum((corner - points[a]) * way, axis=1) / np.maximum(np.sum(way * way, axis=1), 1e-30)
        away = np.linalg.norm(points[a] + share[:, None] * way - corner, axis=1)
        close = np.flatnonzero((away < near) & (share > 0.02) & (share < 0.98))
        found_edge.append(ends[close])
        found_at.append(share[close])
        found_point.append(np.tile(corner, (len(close), 1)))
    return np.concatenate(found_edge), np.concatenate(found_at), np.concatenate(found_point)


def _on_sides(points: Floats, box: Box) -> Bools:
    x, y = points.T
    within_x, within_y = (x >= box.left) & (x <= box.right), (y >= box.low) & (y <= box.high)
    return np.asarray(
        (((x == box.left) | (x == box.right)) & within_y) | (((y == box.low) | (y == box.high)) & within_x)
    )


def _along(points: Floats, box: Box) -> Floats:
    """How far round the box, counter-clockwise from its lower left corner, points on its sides lie, mm."""
    x, y = points.T
    wide, tall = box.wide, box.tall
    along = np.select(
        [(y == box.low) & (x < box.right), (x == box.right) & (y < box.high), (y == box.high) & (x > box.left)],
        [x - box.left, wide + y - box.low, wide + tall + box.right - x],
        2.0 * wide + tall + box.high - y,
    )
    return np.asarray(along % (2.0 * (wide + tall)), dtype=np.float64)


def _merged(points: Floats, box: Box, corner_ids: Longs, gap: float) -> tuple[Floats, Longs]:
    """Points on the sides that nearly coincide as one; the box's corners stay. Also the number that each has now."""
    same = np.arange(len(points))
    on = np.flatnonzero(_on_sides(points, box))
    round_ = _along(points[on], box)
    is_corner = np.isin(on, corner_ids)
    order = np.lexsort((~is_corner, round_))
    on, round_, is_corner = on[order], round_[order], is_corner[order]
    total = 2.0 * (box.right - box.left + box.high - box.low)
    corners = np.append(round_[is_corner], total)
    ids = np.append(on[is_corner], on[is_corner][:1])
    last, at = -1, -np.inf
    for place, number, fixed in zip(round_.tolist(), on.tolist(), is_corner.tolist(), strict=True):
        nearest = int(np.argmin(np.abs(corners - place)))
        if fixed:
            last, at = number, place
        elif abs(corners[nearest] - place) <= gap:
            same[number] = ids[nearest]
        elif place - at <= gap and last >= 0:
            same[number] = last
        else:
            last, at = number, place
    return points, same


def _without_spikes(loop: Longs) -> Longs:
    """A loop without corners that repeat, and without tips from which it goes back to the corner it came from: the two
    walls of a cell's tip may cross a side at points that became one. The cells round the tip then share the wall."""
    while True:
        loop = loop[loop != np.roll(loop, 1)]
        tips = np.flatnonzero(np.roll(loop, 1) == np.roll(loop, -1))
        if len(loop) < 3 or not len(tips):
            return np.asarray(loop)
        loop = np.delete(loop, [tips[0], (tips[0] + 1) % len(loop)])


def _ring(points: Floats, box: Box, ids: Longs) -> Longs:
    """Points on the sides in their order round the box."""
    return ids[np.argsort(_along(points[ids], box), kind="stable")]


def _parts(
    points: Floats, cells: list[Longs], outline: Any, box: Box, ring: Longs, inside: bool
) -> tuple[list[Longs], list[int]]:
    """What is left of each cell, and the cell that each part comes from."""
    shapes = np.array([shapely.Polygon(points[cell]) for cell in cells], dtype=object)
    overlap = shapely.area(shapely.intersection(shapes, shapely.box(*box)))
    areas = shapely.area(shapes)
    name = {tuple(place): number for number, place in zip(ring.tolist(), points[ring].tolist(), strict=True)}
    parts, origin = [], []
    for number, (cell, shape, common, area) in enumerate(zip(cells, shapes, overlap, areas, strict=True)):
        whole, none = common > area * (1.0 - 1e-9), common < 1e-9 * area
        if whole or none:
            left = [cell] if whole == inside else []
        else:
            cut = shapely.intersection(shape, outline) if inside else shapely.difference(shape, outline)
            known = name | {tuple(place): key for key, place in zip(cell.tolist(), points[cell].tolist(), strict=True)}
            left = [_named(part, known) for part in shapely.get_parts(cut) if part.geom_type == "Polygon"]
        parts += left
        origin += [number] * len(left)
    return parts, origin


def _named(part: Any, known: dict[tuple[float, ...], int]) -> Longs:
    """The corners of a part by number. Raises: InputError where it surrounds the box."""
    if len(part.interiors):
        raise InputError("a cell is larger than the panel", "Make the panel larger, or use more repeats", "panels")
    places = shapely.get_coordinates(shapely.orient_polygons(part).exterior)[:-1].tolist()
    return np.array([known[tuple(place)] for place in places], dtype=np.int64)
