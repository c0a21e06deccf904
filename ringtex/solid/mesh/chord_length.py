"""The second fundamental form of the outer face, and how far it rises over straight edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Longs, sorted_unique
from ringtex.basics.caches import cached
from ringtex.pattern.tiling import Tiling
from ringtex.strip.strip_map import StripMap

COLUMNS = 96
"""Places round the ring at which a band that varies is looked at."""

ROW_MM = 0.02
"""Distance of the samples across the strip: creases have a radius of 0.2 mm."""

MAX_ROWS = 1024

STEP_MM = 2e-3
"""Distance of the positions whose differences give a form: rounding is then 1e-9 of it, and any crease is wider."""

SMALL_BEND = 2.0
"""Radius of a bend over the chord tolerance, under which its triangles need be no shorter: a bend of radius r by an
angle a lies r (1 - cos(a / 2)) off its chord, at a right angle 0.29 r. A cell 60 mm long took the sharpest bend of the
band for all of itself: three braids round a ring 346,000 triangles at 0.1 mm."""

EDGE_ROLL_MM = 0.15
"""A rounded section may roll over at the very edge with a radius of some hundredths. Cells that reach into the last
0.15 mm are not meshed for that radius all over: drafts follow the edge itself to about 0.01 mm, and in final meshes
single edges are split there (`face_splits.py`). A rail follows it fully."""


def chord_length(strip: StripMap, u: Floats, v: Floats, chord_mm: float) -> Floats:
    """Longest triangle edge that stays within the chord tolerance of the outer face.

    Parameters:
        strip: the strip map.
        u, v: (n,) positions on the strip, mm.
        chord_mm: chord tolerance, mm.
    Returns: (n,) mm on the ring.
    """
    return longest_edge(strip.max_curvature(u, v), chord_mm)


def longest_edge(curvature: Floats, chord_mm: float, height_mm: Floats | float = 0.0) -> Floats:
    """Longest triangle edge, mm at height 0, on a surface of a curvature, for what lies up to a height over it.

    A square of side s on a surface of curvature k lies s^2 k / 4 under it along its diagonal. At height h it is 1 + h k
    times as long, and the surface that much less curved.

    Parameters:
        curvature: (n,) largest normal curvature, 1/mm.
        chord_mm: chord tolerance, mm.
        height_mm: height over the surface, mm.
    Returns: (n,) mm.
    """
    clamped = np.clip(curvature, 1e-3, 1.0 / (SMALL_BEND * chord_mm))
    return np.asarray(np.sqrt(4.0 * chord_mm / (clamped * (1.0 + np.maximum(height_mm, 0.0) * clamped))))


@dataclass(frozen=True, eq=False)
class CellForms:
    """Largest second fundamental form of the outer face over each cell, in strip coordinates.

    uu, uv, vv   (cells,) sizes of its coefficients, mm on the ring per square mm on the strip.
    side_u       (cells,) the same within the surface: how far a line along u bends sideways (its geodesic curvature).
    side_v       (cells,) that of a line along v.
    curvature    (cells,) the largest principal curvature, 1/mm.
    """

    uu: Floats
    uv: Floats
    vv: Floats
    side_u: Floats
    side_v: Floats
    curvature: Floats

    def sagitta(self, cell: NDArray[np.integer], edge: Floats, height_mm: Floats | float = 0.0) -> Floats:
        """How far the surface rises over the middle of straight edges at a height over it.

        At height h a curve of curvature k is 1 + h k times as long, and that much less curved.

        Parameters:
            cell: (n,) the cell of each edge.
            edge: (n, 2) edge vectors on the strip, mm.
            height_mm: (n,) or one for all; below the surface that of the surface itself is taken.
        Returns: (n,) mm, an upper bound.
        """
        du, dv = np.abs(edge[:, 0]), np.abs(edge[:, 1])
        form = self.uu[cell] * du * du + 2.0 * self.uv[cell] * du * dv + self.vv[cell] * dv * dv
        return np.asarray(form * (1.0 + np.maximum(height_mm, 0.0) * self.curvature[cell]) / 8.0)

    def line_sagitta(self, cell: NDArray[np.integer], edge: Floats, height_mm: Floats | float = 0.0) -> Floats:
        """The same of a line on the surface, whose sideways bend counts too: where a flank begins or ends.

        Parameters:
            cell: (n,) the cell of each edge.
            edge: (n, 2) edge vectors on the strip, mm.
            height_mm: (n,) or one for all.
        Returns: (n,) mm.
        """
        sideways = self.side_u[cell] * edge[:, 0] ** 2 + self.side_v[cell] * edge[:, 1] ** 2
        return np.asarray(np.hypot(self.sagitta(cell, edge, height_mm), sideways / 8.0))


def cell_forms(strip: StripMap, tiling: Tiling, centre: Floats) -> CellForms:
    """Largest forms of the outer face over each cell's height, also along a crease that no corner touches.

    Parameters:
        strip, tiling: the strip map and its cells.
        centre: (cells, 2) a position inside each; columns are looked at there, at the corners and half-way between.
    Returns: the forms.
    """
    table = _form_table(strip)
    rows = table.rows
    first, cell = tiling.cell_start[:-1], tiling.corner_cell
    low, high = (kind.reduceat(tiling.corners[:, 1], first) for kind in (np.minimum, np.maximum))
    scale = (rows - 1) / strip.width
    bottom = np.clip(np.floor(low * scale).astype(np.int64), 0, rows - 1)
    top = np.clip(np.ceil(high * scale).astype(np.int64), bottom, rows - 1)
    at_corner = table.largest(tiling.corners[:, 0] / strip.length, bottom[cell], top[cell])
    half_way = 0.5 * (tiling.corners[:, 0] + centre[cell, 0])
    at_half = table.largest(half_way / strip.length, bottom[cell], top[cell])
    at_centre = table.largest(centre[:, 0] / strip.length, bottom, top)
    largest = np.maximum.reduceat(np.maximum(at_corner, at_half), first, axis=0)
    return CellForms(*np.ascontiguousarray(np.maximum(largest, at_centre).T))


def second_form(strip: StripMap, u: Floats, v: Floats) -> Floats:
    """(6, n) the fields of `CellForms` at positions of the strip, but signed: positive where the face is convex.

    By differences of positions, STEP_MM apart; at an edge those just inside it.

    Parameters:
        strip: the strip map.
        u, v: (n,) positions on the strip, mm.
    Returns: uu, uv, vv, side_u, side_v and curvature.
    """
    inside = np.clip(v, STEP_MM, strip.width - STEP_MM)
    step = STEP_MM * np.array([-1.0, 0.0, 1.0])
    beside_u, beside_v = np.broadcast_arrays(u + step[:, None, None], inside + step[:, None])
    steps = strip.point(beside_u.ravel(), beside_v.ravel()).reshape(3, 3, len(u), 3)
    normal = strip.shell_map(u, inside, np.ones(len(u))) - steps[1, 1]
    return _forms(steps, normal, STEP_MM, STEP_MM)


def _forms(points: Floats | Sequence[Sequence[Floats]], normal: Floats, du: float, dv: float) -> Floats:
    """(6, ...) the forms at the middle of 3 x 3 points (..., 3) that lie du and dv apart, by the unit normals there."""
    before, here, after = points
    by_u, by_v = (after[1] - before[1]) / (2.0 * du), (here[2] - here[0]) / (2.0 * dv)
    second = (
        (after[1] - 2.0 * here[1] + before[1]) / du**2,
        (after[2] - after[0] - before[2] + before[0]) / (4.0 * du * dv),
        (here[2] - 2.0 * here[1] + here[0]) / dv**2,
    )
    uu, uv, vv = (np.einsum("...i,...i->...", each, normal) for each in second)
    e, f, g = (np.einsum("...i,...i->...", a, b) for a, b in ((by_u, by_u), (by_u, by_v), (by_v, by_v)))
    area = np.maximum(e * g - f * f, 1e-12)
    mean = 0.5 * (e * vv - 2.0 * f * uv + g * uu) / area
    spread = np.sqrt(np.maximum(mean * mean - (uu * vv - uv * uv) / area, 0.0))
    side_u, side_v = (_sideways(second[i], by, normal) for i, by in ((0, by_u), (2, by_v)))
    return np.stack((-uu, -uv, -vv, side_u, side_v, np.abs(mean) + spread))


def _sideways(second: Floats, tangent: Floats, normal: Floats) -> Floats:
    """(...) size of a second derivative within the surface, square to the line it belongs to."""
    side = np.cross(normal, tangent)
    length = np.sqrt(np.maximum(np.einsum("...i,...i->...", side, side), 1e-300))
    return np.asarray(np.abs(np.einsum("...i,...i->...", second, side)) / length)


@cached(8)
def _form_table(strip: StripMap) -> _RunMaxima:
    """The largest forms in runs of rows of the whole strip."""
    # An even number of steps: sections are symmetric, so that rows up to one past the crown line are enough.
    half = int(np.clip(strip.width / ROW_MM, 64, MAX_ROWS)) // 2
    around = 1 if strip.band.is_revolution else COLUMNS
    du, dv = (STEP_MM if around == 1 else strip.length / around), 0.5 * strip.width / half
    u: Floats = du * (np.arange(3 if around == 1 else around, dtype=np.float64) - (around == 1))
    grid, normal = strip.frames_on_grid(u, dv * np.arange(half + 2.0))
    turned = [np.roll(grid, shift, axis=0) for shift in (1, 0, -1)]
    steps = [[each[:, j : half + j] for j in range(3)] for each in turned]
    forms = _forms(steps, normal[:, 1:-1], du, dv)
    forms = np.abs(forms[:, 1:2] if around == 1 else forms)
    forms = np.concatenate((forms, forms[..., -2::-1]), axis=2)
    return _RunMaxima(_without_edge_roll(strip, u[:around], forms, dv))


def _without_edge_roll(strip: StripMap, u: Floats, forms: Floats, dv: float) -> Floats:
    """(6, columns, rows) forms of all rows: an edge's own roll counts as far as its inner end."""
    rows = forms.shape[2] + 2
    roll = EDGE_ROLL_MM / np.sqrt(strip.metric(u, np.full(len(u), 0.02 * strip.width))[2])
    first = np.clip(np.ceil(np.minimum(roll, 0.25 * strip.width) / dv).astype(np.int64), 1, rows // 2)[:, None]
    row = np.clip(np.arange(rows), first, rows - 1 - first) - 1
    return np.asarray(np.take_along_axis(forms, row[None], axis=2))


class _RunMaxima:
    """The largest values in any run of rows of a grid, from those in runs of 2^level rows."""

    def __init__(self, values: Floats) -> None:
        """Of values (fields, columns, rows)."""
        self._levels = [np.ascontiguousarray(np.moveaxis(values, 0, 2))]

    @property
    def rows(self) -> int:
        """How many there are."""
        return int(self._levels[0].shape[1])

    def _level(self, level: int) -> Floats:
        """(columns, rows, fields) the largest in the 2^level rows from each row upwards; made when they are asked."""
        # A list of its own, put in place at last: two threads that ask at once would both add the same level.
        levels = self._levels
        while len(levels) <= level:
            half = 1 << (len(levels) - 1)
            wider = levels[-1].copy()
            np.maximum(wider[:, :-half], levels[-1][:, half:], out=wider[:, :-half])
            levels = [*levels, wider]
        self._levels = levels
        return levels[level]

    def largest(self, turn: Floats, bottom: Longs, top: Longs) -> Floats:
        """(n, fields) the largest in the rows from bottom to top (n,) of the columns nearest to turns (n,)."""
        columns, _, fields = self._levels[0].shape
        column = np.rint(turn * columns).astype(np.int64) % columns
        # Two overlapping runs cover the range.
        number = np.log2(top - bottom + 1).astype(np.int64)
        found = np.empty((len(turn), fields))
        for level in sorted_unique(number):
            at = np.flatnonzero(number == level)
            values = self._level(int(level))
            second = top[at] + 1 - (1 << level)
            found[at] = np.maximum(values[column[at], bottom[at]], values[column[at], second])
        return found
