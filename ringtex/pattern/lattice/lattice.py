"""Lattices fitted to a whole count round the ring.

A lattice is two steps: `along` a row and `up` to the next, half a pitch aside. It closes because a whole number of
steps (`count` along, `-twist` up) is exactly one turn; cells and vertices are numbered by steps, reduced by that
closing vector, so nothing is ever matched by place. A twist turns the whole lattice rigidly, so cells keep their shape.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.basics.errors import InputError
from ringtex.pattern.clip import clip_to_borders, snap_to_borders, without_unused_vertices, wrap
from ringtex.pattern.pattern_options import PatternOptions, refuse_too_many
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.quantisation import in_first_turn
from ringtex.pattern.tiling import Tiling

STEEP_SHARE = 0.15
"""Both ends of a wall may be moved onto a border only if it stays at least this share of the cell's shorter pitch
long."""


@dataclass(frozen=True)
class CellForm:
    """What tells one lattice family from another.

    kinds         height of each kind of vertex over its cell's centre, in row pitches.
    corners       (kind, steps along, steps up) of each corner, counter-clockwise.
    neighbours    (steps along, steps up) to the cell behind the wall that starts at each corner; the opposite wall is
                  its twin.
    regular       row pitch / pitch along the row of a regular cell.
    first_row     height of the first row's centre over the lower border, in row pitches.
    extra_rows    row pitches in the patterned width beyond the number of rows.
    snap_share    how close to a border a vertex is moved onto it, in row pitches.
    """

    kinds: tuple[float, ...]
    corners: tuple[tuple[int, int, int], ...]
    neighbours: tuple[tuple[int, int], ...]
    regular: float
    first_row: float
    extra_rows: int
    snap_share: float


@dataclass(frozen=True)
class Lattice:
    """A form fitted to a patterned part.

    pitch, row_pitch    distances along and square to the rows, mm (row_pitch is seen square to the row, not along v).
    along, up           the two steps, mm.
    origin              centre of cell (0, 0), mm.
    count, twist, lean  (count, -twist) steps are one turn; `up` leans half a pitch to the side `lean` (+1 or -1).
    """

    form: CellForm
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
        return 100.0 * (self.row_pitch / self.pitch / self.form.regular - 1.0)

    @property
    def square(self) -> tuple[float, float]:
        """One row pitch square to the rows, mm."""
        return self.up[0] - 0.5 * self.lean * self.along[0], self.up[1] - 0.5 * self.lean * self.along[1]


def fit_lattice(part: PatternedPart, form: CellForm, options: PatternOptions) -> Lattice:
    """The lattice of a form that closes round the part with the counts and twist asked for.

    The pitch is length / around exactly without twist, and as near to it as closing allows with one. Rows are spaced
    along v so that the wanted number fits the width exactly.

    Parameters:
        part: the rectangle between the rails.
        form: the lattice family.
        options: counts, twist and slide.
    Returns: the fitted lattice.
    Raises: InputError when there are too many cells or the twist is too steep.
    """
    rise_per_row = form.regular * part.length / options.around
    across = options.across if options.across != "auto" else _nearest_rows(part.width / rise_per_row - form.extra_rows)
    refuse_too_many(options.around, across)
    spacing = part.width / (across + form.extra_rows)
    slope = options.twist * spacing / part.length
    if abs(slope) > 1.0:
        most = int(part.length / spacing)
        message = f"a twist of {options.twist} rows is steeper than 45 degrees"
        raise InputError(message, f"Give at most {most} rows of twist, or more rows across", "pattern.twist")
    cosine, sine = 1.0 / math.hypot(1.0, slope), slope / math.hypot(1.0, slope)
    # count - |twist| / 2 pitches along the row, seen in the row's own direction, must span length * cosine.
    count = math.ceil(options.around * cosine + 0.5 * abs(options.twist) - 0.5)
    pitch = part.length * cosine / (count - 0.5 * abs(options.twist))
    row_pitch = spacing * cosine
    lean = -1 if options.twist < 0 else 1
    along = (pitch * cosine, pitch * sine)
    up = (0.5 * lean * along[0] - row_pitch * sine, 0.5 * lean * along[1] + row_pitch * cosine)
    origin = (options.slide_mm[0], part.lower + form.first_row * spacing + options.slide_mm[1])
    return Lattice(form, across, pitch, row_pitch, along, up, origin, count, options.twist, lean)


def _nearest_rows(wanted: float) -> int:
    """The whole number of rows with the least stretch, compared as a ratio."""
    low = max(1, math.floor(wanted))
    return low + 1 if wanted > 0.0 and math.sqrt(low * (low + 1.0)) < wanted else low


def lattice_tiling(part: PatternedPart, lattice: Lattice) -> Tiling:
    """The lattice's cells on the patterned part, ending cleanly on both borders."""
    patch = _patch(part, lattice)
    return in_first_turn(clip_to_borders(snap_to_borders(patch, _snap_reach(lattice))))


def _corner_offsets(lattice: Lattice) -> Floats:
    """(k, 2) the corners of a cell seen from its centre, mm."""
    kind, i, j = _corner_steps(lattice)
    height = np.array(lattice.form.kinds)[kind][:, None]
    place = i[:, None] * np.array(lattice.along) + j[:, None] * np.array(lattice.up) + height * np.array(lattice.square)
    return np.asarray(place, dtype=np.float64)


def _corner_steps(lattice: Lattice) -> tuple[Longs, Longs, Longs]:
    kind, i, j = np.array(lattice.form.corners).T
    return kind, (i if lattice.lean > 0 else i + j), j


def _snap_reach(lattice: Lattice) -> float:
    """How far a vertex may move onto a border without a wall losing its length."""
    corners = _corner_offsets(lattice)
    walls = np.abs(np.roll(corners, -1, axis=0) - corners)
    steep = walls[:, 0] < STEEP_SHARE * min(lattice.pitch, lattice.row_pitch)
    least = float(np.min(walls[steep, 1])) if np.any(steep) else math.inf
    return min(lattice.form.snap_share * lattice.row_pitch, 0.49 * least)


def _patch(part: PatternedPart, lattice: Lattice) -> Tiling:
    """All cells that touch the patterned part, not yet cut."""
    i, j = touching_cells(part, lattice, float(np.max(np.abs(_corner_offsets(lattice)[:, 1]))))
    kind, di, dj = _corner_steps(lattice)
    corner_i, corner_j, turn = _reduce(lattice, i[:, None] + di, j[:, None] + dj)
    low_j, rows = int(corner_j.min()), int(np.ptp(corner_j)) + 1
    key = (kind * rows + corner_j - low_j) * lattice.count + corner_i
    vertices, vertex_turn = _all_vertices(lattice, part.length, low_j, rows)
    flat_key = key.ravel()
    tiling = Tiling(
        length=part.length,
        lower=part.lower,
        upper=part.upper,
        vertices=vertices,
        cell_start=np.arange(0, len(flat_key) + 1, len(kind), dtype=np.int32),
        corner_vertex=flat_key.astype(np.int32),
        corner_winding=(turn.ravel() + vertex_turn[flat_key]).astype(np.int32),
        twin=_twins(lattice, i, j),
    )
    return without_unused_vertices(tiling)


def touching_cells(part: PatternedPart, lattice: Lattice, half_height: float) -> tuple[Longs, Longs]:
    """Every cell nearer than half_height to the patterned part, each cell once round the ring.

    Parameters:
        part: the rectangle between the rails.
        lattice: the fitted lattice.
        half_height: of a cell, mm.
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


def centres(lattice: Lattice, i: Longs, j: Longs) -> Floats:
    """Centres of cells.

    Parameters:
        lattice: the fitted lattice.
        i, j: (n,) steps along and up.
    Returns: (n, 2) mm, not wrapped.
    """
    place = i[:, None] * np.array(lattice.along) + j[:, None] * np.array(lattice.up)
    return np.asarray(place + np.array(lattice.origin), dtype=np.float64)


def _all_vertices(lattice: Lattice, length: float, low_j: int, rows: int) -> tuple[Floats, Ints]:
    """Every vertex of a block of rows, in the order of the vertex key, and the turns taken off each."""
    j, i = np.divmod(np.arange(rows * lattice.count), lattice.count)
    middle = centres(lattice, i, j + low_j)
    height = np.array(lattice.form.kinds)[:, None, None]
    places = (middle[None] + height * np.array(lattice.square)).reshape(-1, 2)
    places[:, 0], turn = wrap(places[:, 0], length)
    return places, turn


def _twins(lattice: Lattice, i: Longs, j: Longs) -> Ints:
    sides = len(lattice.form.neighbours)
    di, dj = np.array(lattice.form.neighbours).T
    if lattice.lean < 0:
        di = di + dj
    low_j = int(j.min())
    number = np.full((lattice.count, int(np.ptp(j)) + 1), -1, np.int64)
    number[i, j - low_j] = np.arange(len(i))
    other_i, other_j, _ = _reduce(lattice, i[:, None] + di, j[:, None] + dj)
    row = other_j - low_j
    there = (row >= 0) & (row < number.shape[1])
    cell = np.where(there, number[other_i, np.where(there, row, 0)], -1)
    opposite = (np.arange(sides) + sides // 2) % sides
    return np.where(cell >= 0, cell * sides + opposite, -1).astype(np.int32).ravel()
