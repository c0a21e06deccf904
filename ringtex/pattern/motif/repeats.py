"""The repeats of an own motif, drawn or a picture, over the strip."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from ringtex.basics.arrays import Floats, Longs
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
    def is_brick(self) -> bool:
        """Every other row is moved by half a repeat."""
        return self.options.arrangement == "brick"

    def row_shift(self, row: Floats | Longs | int) -> Floats:
        """How far rows are moved round the ring, in repeats."""
        return np.asarray(0.5 * (row % 2) * self.is_brick, dtype=np.float64)
