"""The repeats of an own motif, drawn or a picture, over the strip."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.errors import InputError
from ringtex.pattern.motif.motif_options import MotifOptions


class Part(Protocol):
    """The patterned part of the strip, mm."""

    @property
    def length(self) -> float:
        """Length of one turn."""

    @property
    def lower(self) -> float:
        """Where it begins across."""

    @property
    def upper(self) -> float:
        """Where it ends."""

    @property
    def width(self) -> float:
        """Between the two."""


@dataclass(frozen=True, eq=False)
class Repeats:
    """Equal rectangles in columns round the ring and rows across it.

    part            the patterned part of the strip.
    options         the motif.
    around, across  repeats.
    slide           (2,) how far all repeats are moved, mm.
    """

    part: Part
    options: MotifOptions
    around: int
    across: int
    slide: tuple[float, float]

    @property
    def tile(self) -> tuple[float, float]:
        """Length and width of one repeat, mm."""
        return self.part.length / self.around, self.part.width / self.across

    @property
    def counted(self) -> tuple[int, str]:
        """How many repeats there are."""
        return self.around * self.across, "repeats"

    @property
    def is_brick(self) -> bool:
        """Every other row is moved by half a repeat."""
        return self.options.arrangement == "brick"

    @property
    def is_half_drop(self) -> bool:
        """Every other column is moved by half a repeat."""
        return self.options.arrangement == "half_drop"

    @property
    def columns(self) -> int:
        """Repeats round the ring after which the pattern is the same again."""
        return 2 if alternates(self.options) else 1

    def row_shift(self, row: Floats | Longs | int) -> Floats:
        """How far rows are moved round the ring, in repeats."""
        return np.asarray(0.5 * (row % 2) * self.is_brick, dtype=np.float64)

    def column_shift(self, column: Floats | Longs | int) -> Floats:
        """How far columns are moved across the ring, in repeats."""
        return np.asarray(0.5 * (column % 2) * self.is_half_drop, dtype=np.float64)

    def repeat_at(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Which repeat points lie in, and where in it.

        Parameters:
            u, v: (n,) positions on the strip, mm.
        Returns: (n,) column and row, whole numbers; (n,) how far from the repeat's left and from below, 0 to 1.
        """
        wide, high = self.tile
        along, up = (u - self.slide[0]) / wide, (v - self.part.lower - self.slide[1]) / high
        if self.is_half_drop:
            column = np.floor(along)
            up = up - self.column_shift(column)
            row = np.floor(up)
        else:
            row = np.floor(up)
            along = along - self.row_shift(row)
            column = np.floor(along)
        return column, row, along - column, up - row


def alternates(options: MotifOptions) -> bool:
    """Whether neighbours round the ring differ, so that only an even number of them closes."""
    return options.alternate != "none" or options.arrangement == "half_drop"


def refuse_odd(options: MotifOptions, around: int) -> None:
    """Raises: InputError where repeats that differ by turns do not close round the ring."""
    if alternates(options) and around % 2:
        what = "repeats that alternate do" if options.alternate != "none" else "a half-drop does"
        key = "alternate" if options.alternate != "none" else "arrangement"
        message = f"{what} not close round the ring with {around} repeat{'' if around == 1 else 's'}"
        where = "pattern.around" if around > 1 else f"pattern.motif.{key}"
        raise InputError(message, "Give an even number around, or let all be alike", where)


def dropped_cell(column: Longs, row: Longs, across: int) -> Longs:
    """The cells of a half-drop: column after column, every other one with one cell more.

    Parameters:
        column: (n,) columns.
        row: (n,) cells from below.
        across: whole rectangles in a column.
    Returns: (n,) cells.
    """
    return np.asarray(column // 2 * (2 * across + 1) + column % 2 * across + row)
