"""Fill of smooth tops, which are curved along the loops too: triangles of equal sides, as long as the rise allows."""

from __future__ import annotations

import math

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.basics.tolerances import DRAFT_CHORD_MM, FINAL_CHORD_MM
from ringtex.pattern.tiling import Tiling
from ringtex.relief.smooth_tops import SmoothTops
from ringtex.solid.cells.loop_fill import LastLoop, LoopFill
from ringtex.solid.cells.medial_segments import MedialSegment, smooth_top_segments
from ringtex.solid.cells.offset_loops import OffsetLoops
from ringtex.solid.mesh.chord_length import longest_edge

MAX_FAN = 18
"""Segments of a loop whose points may all be joined to the centre: 20 degrees each."""

MIN_FAN_ROUNDNESS = 0.7
"""Nearest over furthest side of a loop that may be joined to the centre: in longer cells angles would be sharp."""

MAX_COUNT_RATIO = 3
"""Segments of one loop over those of the next further in: more would make the triangles between needle-like."""

LONG = 6.0
"""Longest over shortest way from the last loop to the medial segment in a long cell. From 3 on, loops of cells with
arms or a blunt end lay so far apart there that triangles missed the top by five tolerances."""

GROWTH, FAR_ROW = 0.35, 0.75
"""At the far ends of long cells the next loop lies so many times as far on as the wall is away, at most so many times
the shortest way: there a top is curved as its distance from the walls lets it."""

NARROW_ROW = 1.05
"""Nor more than so many times as far as its loop's sides are: ends are narrower than the middle."""

ROW_HEIGHT = 0.87
"""Distance of loops over the length of their segments: sqrt(3) / 2 makes triangles of equal sides."""

NEEDLE = 24.0
"""Furthest corner over nearest side of a cell whose triangles may be longer than wide: in one 250 times as long as
wide, equal sides made 450,000 triangles. A top falls off so much more slowly along a needle than across it. Ordinary
long cells (a rib of 22 x 0.9 mm) are left alone: their blunt ends need small triangles."""

SHORTEST_MM = 1e-6
"""Sides and distances in a cell count as no shorter, so that one without room inside has a fill as well."""

RISING, DRAFT_RISING = 1.5, 0.9
"""Longest edge over the spacing of loops: most edges then keep the tolerance, and `split_long_edges` sees to those that
do not. Drafts are shaded while they are dragged, and stay a little finer; between the two tolerances the ratio rises
late, or normals at tips of diamonds would turn further at 0.01 than at 0.02 mm."""

ALONG = 1.5
"""Segments of a wall over the longest edge, in final meshes: near a wall a top is curved across it alone. The ratio
falls to 1 at the centre. Drafts keep triangles of equal sides, which are shaded better."""


class SmoothFill(LoopFill):
    """As `LoopFill`, for the heights of `SmoothTops`."""

    def __init__(self, last: LastLoop, all_corners: Bools, finer: Floats, tops: SmoothTops) -> None:
        self.tops, self.limit = tops, longest_edges(last.tiling, last.loops, last.chord_mm) * np.sqrt(finer)
        super().__init__(last, all_corners, finer)

    def _medial_segments(self, living: Longs) -> MedialSegment:
        return smooth_top_segments(self.tiling, self.loops, living, self.limit, self.all_corners)

    def _plan_levels(self) -> None:
        """How many loops each cell has, how far inside each is, and how long its segments should be.

        Segments grow from those of the last offset loop up to the limit, twice as long from loop to loop, and loops lie
        as far apart as their segments are long, so that no triangle is a needle.
        """
        first, alive = self.tiling.cell_start[:-1], self.loops.alive[:, -1]
        edge = np.hypot(*(self.corner[self.tiling.next_corner] - self.corner).T) * self.loops.along
        living = np.where(alive, self.rows.count, 0)
        distance = np.maximum.reduceat(self.medial_segment.distance, first)
        segment = np.add.reduceat(edge, first) / np.maximum(np.add.reduceat(living, first), 1)
        segment = np.maximum(segment, SHORTEST_MM)
        longest = np.minimum(self.limit, loop_spacing(self.tiling, self.loops, self.chord_mm) / ROW_HEIGHT)
        doublings = np.ceil(np.log2(np.maximum(np.max(longest / segment), 2.0)))
        max_levels = int(np.ceil(np.max(np.maximum(distance / (ROW_HEIGHT * longest), 0.0))) + doublings) + 2
        growth = 2.0 ** np.minimum(np.arange(max_levels), 40)
        self.segment = np.minimum(np.multiply.outer(segment, growth), longest[:, None])
        depth = self._depths(distance)
        fan = (np.add.reduceat(living, first) <= MAX_FAN) & (distance <= longest)
        fan &= self.nearest >= MIN_FAN_ROUNDNESS * distance
        self.levels = 1 + np.where(fan, 0, np.sum(depth < distance[:, None] - 1e-12, axis=1))
        total_depth = np.take_along_axis(depth, self.levels[:, None] - 1, axis=1)
        self.fraction = np.minimum(depth / total_depth, 1.0)

    def _depths(self, distance: Floats) -> Floats:
        """(cells, levels) how far each loop lies inside the last one on its longest way (cells,) to the medial segment,
        mm: as far apart as their segments are long, in long cells further."""
        row = ROW_HEIGHT * self.segment
        depth = np.cumsum(row, axis=1)
        long = distance > LONG * self.nearest
        stretched = self.nearest * _stretch(self.tiling, self.loops, self.nearest)
        at, near, far = np.zeros(int(np.sum(long))), stretched[long], distance[long]
        for level in range(row.shape[1] if len(at) else 0):
            least = row[long, level]
            most = near * np.minimum(FAR_ROW, NARROW_ROW * at / far)
            at = at + np.clip(GROWTH * at, least, np.maximum(least, most))
            depth[long, level] = at
        return depth

    def _counts(self, level: int, fraction: Floats, outer: Longs) -> Longs:
        """Segments of each side of a loop: by its length, at least three in all, never far fewer than in the loop
        before."""
        tiling, alive = self.tiling, self.loops.alive[:, -1]
        cell = tiling.corner_cell
        shrunk = self._shrunk(fraction)
        side_mm = np.hypot(*(shrunk[tiling.next_corner] - shrunk).T) * self.loops.along
        longer = 1.0 + (along_ratio(self.chord_mm) - 1.0) * (1.0 - fraction[cell])
        count = np.ceil(side_mm / (longer * self.segment[cell, level]) - 0.2).astype(np.int64)
        count = np.maximum(count, self.medial_steps)
        count = np.where(alive, np.clip(count, -(-outer // MAX_COUNT_RATIO), outer), 0)
        count = np.where(alive & self.all_corners[cell], np.maximum(count, np.minimum(outer, 1)), count)
        few = np.add.reduceat(count, tiling.cell_start[:-1]) < 3
        return np.where(few[cell] & alive, outer, count)

    def _height(self, flat: Floats, cell: Ints, fraction: Floats) -> Floats:
        base: Floats = self.loops.height[cell, -1] + self.loops.rise[cell] * self.tops.height(flat, cell)
        return base


def along_ratio(chord_mm: float) -> float:
    """Length of a wall's segments over the longest edge of equal-sided triangles, by the chord tolerance."""
    return ALONG if chord_mm < DRAFT_CHORD_MM else 1.0


def longest_edges(tiling: Tiling, loops: OffsetLoops, chord_mm: float) -> Floats:
    """(cells,) longest triangle edge of a smooth top, mm: for its own rise and for the surface under it.

    At its corners the height goes by a power of the distance under two: edges there must shrink faster than the root of
    the tolerance.

    Parameters:
        tiling, loops: the cells and their offset loops.
        chord_mm: chord tolerance, mm.
    Returns: (cells,) mm.
    """
    steps = math.log(DRAFT_CHORD_MM / chord_mm) / math.log(DRAFT_CHORD_MM / FINAL_CHORD_MM)
    ratio = DRAFT_RISING + (RISING - DRAFT_RISING) * float(np.clip(steps, 0.0, 1.0)) ** 2
    rising = loop_spacing(tiling, loops, chord_mm) * ratio * min(1.0, math.pow(chord_mm / FINAL_CHORD_MM, 0.2))
    top_mm = np.maximum(np.max(loops.height, axis=1), loops.height[:, -1] + loops.rise)
    return np.asarray(np.minimum(rising, longest_edge(loops.forms.curvature, chord_mm, top_mm)))


def loop_spacing(tiling: Tiling, loops: OffsetLoops, chord_mm: float) -> Floats:
    """(cells,) largest distance, mm, of loops inside the last one that follows a curved top; infinite for level tops.

    A parabola of height d in n steps is followed within d / (4 n^2). Rounded up, two or three steps make twice the
    triangles that the tolerance needs: coarser meshes than drafts, which only the window draws, do without.

    Parameters:
        tiling, loops: the cells and their offset loops.
        chord_mm: chord tolerance, mm.
    Returns: (cells,) mm.
    """
    nearest = nearest_sides(tiling, loops)
    rise = np.abs(loops.rise)
    steps = np.sqrt(rise / (2.0 * chord_mm))
    if chord_mm <= DRAFT_CHORD_MM:
        steps = np.ceil(steps)
    return np.where(rise > 0.0, nearest * _stretch(tiling, loops, nearest) / np.maximum(steps, 1.0), np.inf)


def _stretch(tiling: Tiling, loops: OffsetLoops, nearest: Floats) -> Floats:
    """(cells,) how many times longer than wide triangles may be, by how far the last loop's corners lie from the centre
    and how near (cells,) its sides do, mm."""
    away = np.hypot(*(loops.corner[:, -1] - loops.centre[tiling.corner_cell]).T) * loops.along
    furthest = np.maximum.reduceat(away, tiling.cell_start[:-1])
    return np.asarray(np.maximum(furthest / (NEEDLE * nearest), 1.0))


def nearest_sides(tiling: Tiling, loops: OffsetLoops) -> Floats:
    """(cells,) distance from the centre to the nearest side of the last loop, mm."""
    distance = np.where(loops.alive[:, -1], loops.inner_distance, np.inf)
    return np.asarray(np.maximum(np.minimum.reduceat(distance, tiling.cell_start[:-1]), SHORTEST_MM))
