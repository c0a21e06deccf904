"""Lattices fitted to a whole count round the ring.

A lattice repeats a cell complex by two steps: `along` a row and `up` to the next. It closes because a whole number of
steps (`count` along, `-twist` up) is exactly one turn; cells and vertices are numbered by steps, reduced by that
closing vector, so nothing is ever matched by place. A twist turns the whole lattice rigidly, so cells keep their shape.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs, next_in_loops
from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import SAME_PLACE_MM
from ringtex.pattern.clip import TangledError, clip_to_borders, snap_to_borders, without_unused_vertices, wrap
from ringtex.pattern.lattice.cell_complex import CellComplex
from ringtex.pattern.pattern_options import PatternOptions, refuse_too_many
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.quantisation import in_first_turn
from ringtex.pattern.star_shaped import star_shaped_parts
from ringtex.pattern.tiling import Tiling

STEEP_SHARE = 0.15
"""Both ends of a wall may be moved onto a border only if it stays at least this share of the shorter pitch long (of the
shortest wall, where that is shorter)."""


@dataclass(frozen=True)
class Lattice:
    """A cell complex fitted to a patterned part.

    across              rows of repeats.
    pitch, row_pitch    distances along and square to the rows, mm (row_pitch is seen square to the row, not along v).
    along, up           the two steps, mm.
    origin              of repeat (0, 0), mm.
    count, twist, lean  (count, -twist) steps are one turn; `up` is the complex's shift aside, to the side `lean` (+1 or
                        -1).
    """

    form: CellComplex
    across: int
    pitch: float
    row_pitch: float
    along: tuple[float, float]
    up: tuple[float, float]
    origin: tuple[float, float]
    count: int
    twist: int
    lean: int

    @property
    def stretch_percent(self) -> float:
        """How much longer across the band than regular a cell is, per cent."""
        if self.form.regular is None:
            return 0.0
        return 100.0 * (self.row_pitch / self.pitch / self.form.regular - 1.0)

    @property
    def square(self) -> tuple[float, float]:
        """One row pitch square to the rows, mm."""
        aside = self.form.shift * self.lean
        return self.up[0] - aside * self.along[0], self.up[1] - aside * self.along[1]


def fit_lattice(part: PatternedPart, form: CellComplex, options: PatternOptions) -> Lattice:
    """The lattice of a complex that closes round the part with the counts and twist asked for.

    The pitch is length / around exactly without twist, and as near to it as closing allows with one. Rows are spaced
    along v so that the wanted number fits the width exactly.

    Parameters:
        part: the rectangle between the rails.
        form: of the lattice family.
        options: counts, twist and slide.
    Returns: the fitted lattice.
    Raises: InputError when there are too many cells or the twist is too steep.
    """
    across = options.across if options.across != "auto" else _regular_rows(part, form, options.around)
    refuse_too_many(options.around, across, len(form.faces))
    spacing = part.width / (across + form.extra_rows)
    slope = options.twist * spacing / part.length
    if abs(slope) > 1.0:
        most = int(part.length / spacing)
        message = f"a twist of {options.twist} rows is steeper than 45 degrees"
        raise InputError(message, f"Give at most {most} rows of twist, or more rows across", "pattern.twist")
    cosine, sine = 1.0 / math.hypot(1.0, slope), slope / math.hypot(1.0, slope)
    # Rows half a pitch aside lean either way; others lean as they are given.
    lean = -1 if options.twist < 0 and (2.0 * form.shift).is_integer() else 1
    aside = form.shift * lean
    # count - aside * twist pitches along the row, seen in the row's own direction, must span length * cosine.
    count = max(1, math.ceil(options.around * cosine + aside * options.twist - 0.5))
    pitch = part.length * cosine / (count - aside * options.twist)
    row_pitch = spacing * cosine
    along = (pitch * cosine, pitch * sine)
    up = (aside * along[0] - row_pitch * sine, aside * along[1] + row_pitch * cosine)
    origin = (options.slide_mm[0], part.lower + form.first_row * spacing + options.slide_mm[1])
    return Lattice(form, across, pitch, row_pitch, along, up, origin, count, options.twist, lean)


def _regular_rows(part: PatternedPart, form: CellComplex, around: int) -> int:
    """The rows that keep cells nearest to regular; one where they may be of any height."""
    if form.regular is None:
        return 1
    rise_per_row = form.regular * part.length / around
    return _nearest_rows(part.width / rise_per_row - form.extra_rows)


def _nearest_rows(wanted: float) -> int:
    """The whole number of rows with the least stretch, compared as a ratio."""
    low = max(1, math.floor(wanted))
    return low + 1 if wanted > 0.0 and math.sqrt(low * (low + 1.0)) < wanted else low


def lattice_tiling(part: PatternedPart, lattice: Lattice) -> Tiling:
    """The lattice's cells on the patterned part, ending cleanly on both borders."""
    clipped = _ended_at_borders(_patch(part, lattice), _snap_reach(lattice))
    return in_first_turn(star_shaped_parts(clipped))


def _ended_at_borders(patch: Tiling, reach_mm: float) -> Tiling:
    """Cells clipped at the borders, vertices within reach moved onto them; within less where that turns the tip of a
    cell over, as in lattices that lean much."""
    while True:
        try:
            clipped = clip_to_borders(snap_to_borders(patch, reach_mm))
            if reach_mm == 0.0 or np.all(clipped.areas > 0.0):
                return clipped
        except TangledError:
            if reach_mm == 0.0:
                raise
        reach_mm = 0.5 * reach_mm if reach_mm > SAME_PLACE_MM else 0.0


def _corner_offsets(lattice: Lattice) -> Floats:
    """(m, 2) the corners of a repeat's cells seen from its origin, mm."""
    kind, i, j = _corner_steps(lattice)
    x, y = np.array(lattice.form.vertices)[kind].T
    along, up, square = np.array(lattice.along), np.array(lattice.up), np.array(lattice.square)
    place = i[:, None] * along + j[:, None] * up + y[:, None] * square + x[:, None] * along
    return np.asarray(place, dtype=np.float64)


def _corner_steps(lattice: Lattice) -> tuple[Longs, Longs, Longs]:
    kind, i, j = lattice.form.corners.T
    return kind, i + _lean_steps(lattice) * j, j


def _lean_steps(lattice: Lattice) -> int:
    """Steps along that a step up of the complex has more where the lattice leans to the other side."""
    return 0 if lattice.lean > 0 else round(2.0 * lattice.form.shift)


def _snap_reach(lattice: Lattice) -> float:
    """How far a vertex may move onto a border without a wall losing its length."""
    corners, form = _corner_offsets(lattice), lattice.form
    walls = np.abs(corners[next_in_loops(form.face_start)] - corners)
    shorter = min(lattice.pitch, lattice.row_pitch, form.shortest_wall * lattice.pitch)
    steep = walls[:, 0] < STEEP_SHARE * shorter
    least = float(np.min(walls[steep, 1])) if np.any(steep) else math.inf
    return min(form.snap_share * lattice.row_pitch, 0.49 * least)


def _patch(part: PatternedPart, lattice: Lattice) -> Tiling:
    """All cells of the repeats that touch the patterned part, not yet cut."""
    form = lattice.form
    i, j = touching_repeats(part, lattice, float(np.max(np.abs(_corner_offsets(lattice)[:, 1]))))
    kind, di, dj = _corner_steps(lattice)
    corner_i, corner_j, turn = _reduce(lattice, i[:, None] + di, j[:, None] + dj)
    low_j, rows = int(corner_j.min()), int(np.ptp(corner_j)) + 1
    key = (kind * rows + corner_j - low_j) * lattice.count + corner_i
    vertices, vertex_turn = _all_vertices(lattice, part.length, low_j, rows)
    flat_key = key.ravel()
    starts = len(kind) * np.arange(len(i))[:, None] + form.face_start[:-1]
    tiling = Tiling(
        length=part.length,
        lower=part.lower,
        upper=part.upper,
        vertices=vertices,
        cell_start=np.append(starts.ravel(), len(flat_key)).astype(np.int32),
        corner_vertex=flat_key.astype(np.int32),
        corner_winding=(turn.ravel() + vertex_turn[flat_key]).astype(np.int32),
        twin=_twins(lattice, i, j),
    )
    return without_unused_vertices(tiling)


def touching_repeats(part: PatternedPart, lattice: Lattice, half_height: float) -> tuple[Longs, Longs]:
    """Every repeat nearer than half_height to the patterned part, each once round the ring.

    Parameters:
        part: the rectangle between the rails.
        lattice: the fitted lattice.
        half_height: farthest that a repeat's cells lie over or under its origin, mm.
    Returns: steps (i, j), each (n,).
    """
    columns = np.arange(lattice.count)
    base = lattice.origin[1] + columns * lattice.along[1]
    low = np.floor((part.lower - half_height - base) / lattice.up[1]).astype(np.int64) + 1
    high = np.ceil((part.upper + half_height - base) / lattice.up[1]).astype(np.int64) - 1
    size = np.maximum(high - low + 1, 0)
    i = np.repeat(columns, size)
    j = np.arange(len(i)) - np.repeat(np.cumsum(size) - size, size) + np.repeat(low, size)
    return i, j


def _reduce(lattice: Lattice, i: Longs, j: Longs) -> tuple[Longs, Longs, Longs]:
    """The same place within one turn: 0 <= i < count, and the turns taken off."""
    turn = np.floor_divide(i, lattice.count)
    return i - turn * lattice.count, j + turn * lattice.twist, turn


def _origins(lattice: Lattice, i: Longs, j: Longs) -> Floats:
    """(n, 2) the origins of repeats, mm, not wrapped."""
    place = i[:, None] * np.array(lattice.along) + j[:, None] * np.array(lattice.up)
    return np.asarray(place + np.array(lattice.origin), dtype=np.float64)


def _all_vertices(lattice: Lattice, length: float, low_j: int, rows: int) -> tuple[Floats, Ints]:
    """Every vertex of a block of rows, in the order of the vertex key, and the turns taken off each."""
    j, i = np.divmod(np.arange(rows * lattice.count), lattice.count)
    origin = _origins(lattice, i, j + low_j)
    x, y = np.array(lattice.form.vertices).T[:, :, None, None]
    places = (origin[None] + y * np.array(lattice.square) + x * np.array(lattice.along)).reshape(-1, 2)
    places[:, 0], turn = wrap(places[:, 0], length)
    return places, turn


def _twins(lattice: Lattice, i: Longs, j: Longs) -> Ints:
    _, corner, di, dj = lattice.form.neighbours.T
    di = di + _lean_steps(lattice) * dj
    low_j = int(j.min())
    number = np.full((lattice.count, int(np.ptp(j)) + 1), -1, np.int64)
    number[i, j - low_j] = np.arange(len(i))
    other_i, other_j, _ = _reduce(lattice, i[:, None] + di, j[:, None] + dj)
    row = other_j - low_j
    there = (row >= 0) & (row < number.shape[1])
    repeat = np.where(there, number[other_i, np.where(there, row, 0)], -1)
    return np.where(repeat >= 0, repeat * len(corner) + corner, -1).astype(np.int32).ravel()
