"""One period of the strip on an integer grid: lines are wrapped into it and cut where it ends, so that both ends have
the same points and periods join by index."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import shapely

from ringtex.basics.arrays import Floats, Longs
from ringtex.solid.free_form.constrained_delaunay import ConstrainedDelaunay

GRID_MM: Final = 2e-5
"""Step of the grid: far under any tolerance; the strip of the largest ring has under 2^24 steps."""

SNAP: Final = 100
"""Points nearer to the end of the period than this, in steps (2 micrometres), are put on it: no sliver lies between."""

SPECK_MM: Final = 0.01
"""Length of lines that are left out."""

JOINED: Final = 250
"""How far, in steps, ends of lines on both sides of the period's end are apart at most."""


@dataclass(frozen=True)
class PeriodicPlane:
    """The rectangle [0, period) x [lower, upper], mm, as a grid of size (columns, rows) steps."""

    period: float
    lower: float
    upper: float

    @property
    def size(self) -> tuple[int, int]:
        """Steps along u and v."""
        return round(self.period / GRID_MM), round((self.upper - self.lower) / GRID_MM)

    @property
    def step(self) -> Floats:
        """(2,) mm."""
        return np.array([self.period, self.upper - self.lower]) / self.size

    def to_grid(self, places: Floats) -> Longs:
        """(n, 2) whole steps of places in mm; u may lie in any period."""
        steps = np.rint((places - [0.0, self.lower]) / self.step).astype(np.int64)
        ends = np.rint(steps[:, 0] / self.size[0]).astype(np.int64) * self.size[0]
        steps[:, 0] = np.where(np.abs(steps[:, 0] - ends) <= SNAP, ends, steps[:, 0])
        steps[:, 1] = np.where(steps[:, 1] < SNAP, 0, steps[:, 1])
        steps[:, 1] = np.where(steps[:, 1] > self.size[1] - SNAP, self.size[1], steps[:, 1])
        return steps

    def to_strip(self, steps: Longs) -> Floats:
        """(n, 2) places in mm; the borders come out exactly."""
        places = steps * self.step + [0.0, self.lower]
        places[:, 1] = np.where(steps[:, 1] == self.size[1], self.upper, places[:, 1])
        return places

    def lines(self, lines: Any, tolerance: Floats) -> Any:
        """Lines within the period, cut at its ends and then simplified, so that what crosses an end goes on in the same
        points.

        Parameters:
            lines: (n,) lines of the period and its neighbours, mm.
            tolerance: (n,) of simplifying, mm.
        Returns: (k,) lines; specks are left out.
        """
        box = shapely.box(0.0, self.lower - 1.0, self.period, self.upper + 1.0)
        parts, owner = shapely.get_parts(shapely.intersection(lines, box), return_index=True)
        is_line = shapely.length(parts) > SPECK_MM
        made = shapely.simplify(parts[is_line], np.broadcast_to(tolerance, len(lines))[owner[is_line]])
        return shapely.remove_repeated_points(made, SNAP * GRID_MM)

    def joined_at_ends(self, start: Longs, end: Longs) -> tuple[Longs, Longs]:
        """Segments, (n, 2) and (n, 2) within the period, whose points at its end are moved to the nearest ones at its
        start where these lie within 5 micrometres: lines that cross an end were simplified on both sides."""
        points = np.concatenate((start, end))
        first = np.unique(points[points[:, 0] == 0, 1])
        if len(first):
            last = np.flatnonzero(points[:, 0] == self.size[0])
            v = points[last, 1]
            at = np.clip(np.searchsorted((first[1:] + first[:-1]) // 2, v), 0, len(first) - 1)
            points[last, 1] = np.where(np.abs(first[at] - v) <= JOINED, first[at], v)
        return points[: len(start)], points[len(start) :]

    def wrapped(self, start: Longs, end: Longs) -> Longs:
        """(k, 2, 2) the segments, cut at the ends of periods and moved into the first one. Segments, (n, 2) each, are
        shorter than a period; those along its ends are left out."""
        width = self.size[0]
        swap = start[:, 0] > end[:, 0]
        low, high = np.where(swap[:, None], end, start), np.where(swap[:, None], start, end)
        cut = (low[:, 0] // width + 1) * width
        crosses = cut < high[:, 0]
        at = cut[crosses]
        a, b = low[crosses], high[crosses]
        ratio = (at - a[:, 0]) / (b[:, 0] - a[:, 0])
        middle = np.column_stack((at, np.rint(a[:, 1] + ratio * (b[:, 1] - a[:, 1])).astype(np.int64)))
        pieces = np.concatenate(
            (
                np.stack((low[~crosses], high[~crosses]), axis=1),
                np.stack((a, middle), axis=1),
                np.stack((middle, b), axis=1),
            )
        )
        pieces[:, :, 0] -= (pieces[:, 0, 0] // width * width)[:, None]
        upright = (pieces[:, 0, 0] == pieces[:, 1, 0]) & (pieces[:, 0, 0] % width == 0)
        return np.asarray(pieces[~upright])

    def triangulated(self, segments: Longs, points: Longs, ends: Longs) -> ConstrainedDelaunay:
        """Triangulate the period.

        Parameters:
            segments: (k, 2, 2) wrapped segments.
            points: (n, 2) more points inside.
            ends: (e,) more places across the strip, at both ends of the period, in steps.
        Returns: the triangles; the two ends have the same points.
        """
        width, height = self.size
        flat = np.concatenate((segments.reshape(-1, 2), points)).astype(np.int64)
        at_end = flat[flat[:, 0] % width == 0, 1]
        across = np.unique(np.concatenate((at_end, ends, [0, height])))
        sides = [np.column_stack((np.full(len(across), u), across)) for u in (0, width)]
        flat = np.concatenate((flat, *sides))
        _, first, index = np.unique(flat[:, 0] * (height + 1) + flat[:, 1], return_index=True, return_inverse=True)
        pairs = index.ravel()[: 2 * len(segments)].reshape(-1, 2)
        return ConstrainedDelaunay(flat[first], pairs, self.size)

    def partners(self, points: Longs) -> Longs:
        """(n,) the point at the period's start of each one at its end; -1 for all others."""
        partner = np.full(len(points), -1, dtype=np.int64)
        first, last = (np.flatnonzero(points[:, 0] == u) for u in (0, self.size[0]))
        partner[last[np.argsort(points[last, 1])]] = first[np.argsort(points[first, 1])]
        return partner
