"""Tops of pillows and dishes: a height that is smooth inside the cell and meets its outline in a true profile.

The distance to the nearest wall has a crease along the medial axis. Its place takes the mean value distance: the
harmonic mean of the distances to the outline in all directions, which near a wall is the distance to that wall and is
smooth everywhere inside (Belyaev, Fayolle and Pasko 2013, Signed Lp-distance fields, with p = 1; for polygons its sum
over sides is that of the mean value coordinates, Floater 2003). It knows nothing of how a wall is cut into pieces.
At a corner its gradient turns abruptly; a factor that vanishes there, by a power of the distance that grows with the
corner's turn as that of a membrane does, levels the corners, so that normals are continuous up to the outline, but for
its re-entrant corners, from where the outline's own turn can be seen.
"""

from __future__ import annotations

from functools import cached_property
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, Ints, Longs
from ringtex.basics.tolerances import SAME_PLACE_MM
from ringtex.pattern.tiling import Tiling

POWER_PER_TURN: Final = 2.0 / np.pi
"""Power of the distance to a corner per radian that the outline turns there: 1 at a right angle, as of a membrane."""

CORNER_REACH: Final = 0.4
"""A corner of a right angle or more is levelled within about this fraction of the distance from the top to the nearest
wall."""

MAX_SHARP_REACH: Final = 8.0
"""A sharper corner is levelled further, by the inverse square of the sine of half its angle, at most so many times as
far: a membrane over a narrow wedge rises by the square of the distance from its tip. A ridge as steep as the walls
would be too sharp for a mesh."""

MAX_ARC_TURN: Final = 0.7
"""Angle, radians, that an arc's corner may turn; where an arc has shrunk to a point its corner turns further."""

NODES: Final = 24
"""Intervals of the table that makes the profile true along the steepest line."""

_HALVES: Final = (16, 8, 4, 2, 1)
"""Steps of a binary search among fewer than 32 intervals."""

ASCENTS: Final = 24
"""Steps, at most, to the highest point; Newton's method needs four to six."""

CHUNK: Final = 16384
"""Corners of outlines treated at once: their temporaries stay in the processor's cache."""


class SmoothTops:
    """Heights over the outlines of many cells, as fractions of each cell's rise.

    Parameters: tiling; corner (half-edges, 2), where each side of the outlines starts, unwrapped; alive (half-edges,),
    False for sides that are a point; centre (cells, 2), which sees the whole outline; arc (half-edges,), corners that
    stand for a smooth curve where they turn little, and are not levelled.
    Guarantees: 0 on the outline, 1 at one point `summit` (cells, 2), with continuous first derivatives between; along
    the straight line to it from the side where it is steepest the height is that of a parabola, 1 - (1 - s)^2 at the
    fraction s of the way.
    """

    def __init__(self, tiling: Tiling, corner: Floats, alive: Bools, centre: Floats, arc: Bools | None = None) -> None:
        self._origin = centre
        self._outline, self._power, self._reach, self._clearance = _padded_outlines(tiling, corner, alive, centre, arc)
        every = np.arange(tiling.cells)
        summit, self._peak = self._summits(every)
        self.summit: Floats = centre + summit
        self._x, self._y, self._slope = self._profiles(every, summit)

    def height(self, points: Floats, cell: Longs | Ints) -> Floats:
        """(n,) fraction of the rise at points (n, 2) of cells (n,)."""
        return self._height(points - self._origin[cell], cell)

    def gradient(self, points: Floats, cell: Longs | Ints) -> Floats:
        """(n, 2) change of the fraction per mm, by differences."""
        step = 1e-4 * self._clearance[cell]
        found = np.empty((len(points), 2))
        for axis in (0, 1):
            aside = np.zeros((len(points), 2))
            aside[:, axis] = step
            found[:, axis] = (self.height(points + aside, cell) - self.height(points - aside, cell)) / (2.0 * step)
        return found

    def _height(self, points: Floats, cell: Longs | Ints) -> Floats:
        x = np.clip(1.0 - np.exp(self._log_distance(points, cell) - self._peak[cell]), 0.0, 1.0)
        nodes, slope, y = self._x.ravel(), self._slope.ravel(), self._y
        row = cell.astype(np.int64) * (NODES + 1)
        k = np.zeros(len(x), dtype=np.int64)
        for half in _HALVES:
            further = np.minimum(k + half, NODES - 1)
            k = np.where(x >= nodes[row + further], further, k)
        at = row + k
        low, high = nodes[at], nodes[at + 1]
        step, rise = high - low, y[k + 1] - y[k]
        t = (x - low) / step
        first, last = slope[at] * step, slope[at + 1] * step
        value = y[k] + t * (first + t * (3.0 * rise - 2.0 * first - last + t * (first + last - 2.0 * rise)))
        return np.asarray(1.0 - value)

    def _log_distance(self, points: Floats, cell: Longs | Ints) -> Floats:
        """(n,) logarithm of the levelled mean value distance at points seen from the centres; -inf on the outline."""
        found = np.empty(len(points))
        step = max(1, CHUNK // self._outline.shape[1])
        for start in range(0, len(points), step):
            part = slice(start, start + step)
            found[part] = self._log_distance_of(points[part], cell[part])
        return found

    def _log_distance_of(self, points: Floats, cell: Longs | Ints) -> Floats:
        """The same of few points."""
        (x, y), power, reach = self._by_side
        u, v = np.take(x, cell, axis=1) - points[:, 0], np.take(y, cell, axis=1) - points[:, 1]
        square = u * u + v * v
        near = np.sqrt(square)
        (u, u_next), (v, v_next), (near, near_next) = ((part[:-1], part[1:]) for part in (u, v, near))
        square = square[:-1]
        with np.errstate(divide="ignore", invalid="ignore"):
            cross, dot, both = u * v_next - v * u_next, u * u_next + v * v_next, near * near_next
            # Tangent of half the angle that a side is seen under, by the form that does not cancel.
            half_tangent = np.where(dot < 0.0, (both - dot) / cross, cross / (both + dot))
            total = np.sum((near + near_next) / both * half_tangent, axis=0)
            levelled = np.log(square / (square + np.take(reach, cell, axis=1)))
            levelled *= np.take(power, cell, axis=1)
            found = 0.5 * np.sum(levelled, axis=0) - np.log(total)
        return np.where((total > 0.0) & np.isfinite(found), found, -np.inf)

    @cached_property
    def _by_side(self) -> tuple[Floats, Floats, Floats]:
        """The outlines (2, sides + 1, cells), closed, their powers and reaches (sides, cells): sums run over few long
        rows."""
        closed = np.concatenate((self._outline, self._outline[:, :1]), axis=1)
        outline, power, reach = (np.ascontiguousarray(part.T) for part in (closed, self._power, self._reach))
        return outline, power, reach

    def _summits(self, cell: Longs) -> tuple[Floats, Floats]:
        """(cells, 2) the highest point of each cell, seen from its centre, and (cells,) the logarithm there."""
        at = np.zeros((len(cell), 2))
        best = self._log_distance(at, cell)
        active = cell
        for _ in range(ASCENTS):
            step = self._ascent(at[active], active, best[active])
            for _ in range(8):
                value = self._log_distance(at[active] + step, active)
                better = value > best[active]
                if np.all(better):
                    break
                step[~better] *= 0.35
            at[active[better]] += step[better]
            best[active[better]] = value[better]
            active = active[better & (np.hypot(*step.T) > 1e-7 * self._clearance[active])]
            if not len(active):
                break
        return at, best

    def _ascent(self, at: Floats, cell: Longs, here: Floats) -> Floats:
        """(n, 2) Newton's step where the function is concave, else a step uphill; at most a third of the clearance."""
        h = 1e-3 * self._clearance[cell]

        def beside(right: float, up: float) -> Floats:
            return self._log_distance(at + np.column_stack((right * h, up * h)), cell)

        right, left, up, down = beside(1.0, 0.0), beside(-1.0, 0.0), beside(0.0, 1.0), beside(0.0, -1.0)
        g_u, g_v = 0.5 * (right - left), 0.5 * (up - down)
        h_uu, h_vv = right + left - 2.0 * here, up + down - 2.0 * here
        h_uv = 0.25 * (beside(1.0, 1.0) + beside(-1.0, -1.0) - beside(1.0, -1.0) - beside(-1.0, 1.0))
        determinant = h_uu * h_vv - h_uv * h_uv
        concave = (h_uu < 0.0) & (determinant > 0.0)
        safe = np.where(concave, determinant, 1.0)
        newton = np.column_stack((h_uv * g_v - h_vv * g_u, h_uv * g_u - h_uu * g_v)) / safe[:, None]
        uphill = np.column_stack((g_u, g_v))
        uphill *= 200.0 / np.maximum(np.hypot(g_u, g_v), 1e-300)[:, None]
        step = np.where(concave[:, None], newton, uphill)
        longest = np.hypot(*step.T)
        return np.asarray(step * (h * np.minimum(1.0, 300.0 / np.maximum(longest, 1e-300)))[:, None])

    def _profiles(self, cell: Longs, summit: Floats) -> tuple[Floats, Floats, Floats]:
        """Tables of y = (1 - s)^2 against x = 1 - distance / that at the summit, along each cell's steepest line:
        x (cells, NODES + 1), y (NODES + 1,), and dy / dx (cells, NODES + 1), limited so that they rise throughout.
        """
        foot = self._steepest_feet(cell, summit)
        left = np.arange(NODES + 1) / NODES
        y = left * left
        x = np.zeros((len(cell), NODES + 1))
        for node in range(1, NODES):
            line = summit + left[node] * (foot - summit)
            x[:, node] = 1.0 - np.exp(self._log_distance(line, cell) - self._peak)
        x[:, NODES] = 1.0
        x = np.maximum.accumulate(np.clip(x, 0.0, 1.0) + 1e-9 * np.arange(NODES + 1), axis=1) / (1.0 + 1e-9 * NODES)
        secant = np.diff(y) / np.diff(x, axis=1)
        slope = np.empty_like(x)
        # Three-point differences in x; at the ends those of the outer parabola (Fritsch and Carlson 1980 limit them).
        before, after = np.diff(x, axis=1)[:, :-1], np.diff(x, axis=1)[:, 1:]
        slope[:, 1:-1] = (after * secant[:, :-1] + before * secant[:, 1:]) / (before + after)
        slope[:, 0] = 2.0 * secant[:, 0] - slope[:, 1]
        slope[:, -1] = 2.0 * secant[:, -1] - slope[:, -2]
        most = np.full_like(x, np.inf)
        most[:, :-1] = np.minimum(most[:, :-1], 3.0 * secant)
        most[:, 1:] = np.minimum(most[:, 1:], 3.0 * secant)
        return x, y, np.clip(slope, 0.0, most)

    def _steepest_feet(self, cell: Longs, summit: Floats) -> Floats:
        """(cells, 2) the point of each outline, opposite the summit on one of its sides, where the height rises most
        steeply to the summit."""
        start = self._outline
        edge = np.roll(start, -1, axis=1) - start
        length = np.maximum(np.hypot(edge[..., 0], edge[..., 1]), SAME_PLACE_MM)
        along = np.sum((summit[:, None, :] - start) * edge, axis=2) / length**2
        feet = start + np.clip(along, 0.0, 1.0)[..., None] * edge
        distance = np.hypot(*np.moveaxis(summit[:, None, :] - feet, 2, 0))
        gap = feet[:, :, None, :] - start[:, None, :, :]
        square = np.sum(gap * gap, axis=3)
        reach = self._reach[:, None, :]
        levelled = 0.5 * np.sum(self._power[:, None, :] * np.log(np.maximum(square / (square + reach), 1e-300)), axis=2)
        # A foot at a side's end is taken only where no side has one within.
        rate = levelled - np.log(np.maximum(distance, SAME_PLACE_MM)) - np.where(np.abs(along - 0.5) <= 0.5, 0.0, 1e6)
        rate = np.where(length > SAME_PLACE_MM, rate, -np.inf)
        return np.asarray(feet[cell, np.argmax(rate, axis=1)])


def _padded_outlines(
    tiling: Tiling, corner: Floats, alive: Bools, centre: Floats, arc: Bools | None
) -> tuple[Floats, Floats, Floats, Floats]:
    """Corners (cells, most sides, 2) seen from the centres, the last one repeated; (cells, most sides) their powers, 0
    for those repeated, and the squares of their reach; and (cells,) the distance from the centre to the nearest side.
    """
    living = np.flatnonzero(alive)
    cell = tiling.corner_cell[living]
    sides = np.bincount(cell, minlength=tiling.cells)
    first = np.cumsum(sides) - sides
    number = np.minimum(np.arange(int(sides.max()))[None, :], sides[:, None] - 1)
    half_edge = living[first[:, None] + number]
    outline = corner[half_edge] - centre[:, None, :]
    here = outline[np.arange(tiling.cells)[:, None], number]
    after = here[np.arange(tiling.cells)[:, None], np.where(number + 1 < sides[:, None], number + 1, 0)]
    edge = after - here
    into = edge[np.arange(tiling.cells)[:, None], np.where(number > 0, number - 1, sides[:, None] - 1)]
    turn = np.arctan2(into[..., 0] * edge[..., 1] - into[..., 1] * edge[..., 0], np.sum(into * edge, axis=2))
    real = np.arange(number.shape[1])[None, :] < sides[:, None]
    levelled = real if arc is None else real & ~(arc[half_edge] & (turn < MAX_ARC_TURN))
    power = np.where(levelled, POWER_PER_TURN * np.maximum(turn, 0.0), 0.0)
    length = np.maximum(np.hypot(edge[..., 0], edge[..., 1]), 1e-300)
    distance = (edge[..., 1] * here[..., 0] - edge[..., 0] * here[..., 1]) / length
    clearance = np.maximum(np.min(np.where(real, distance, np.inf), axis=1), 1e-9)
    sharp = 0.5 / np.maximum(np.square(np.cos(0.5 * np.maximum(turn, 0.0))), 1e-9)
    reach = CORNER_REACH * clearance[:, None] * np.clip(sharp, 1.0, MAX_SHARP_REACH)
    return outline, power, reach * reach, clearance
