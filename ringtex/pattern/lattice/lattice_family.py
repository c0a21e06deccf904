"""What makes a lattice family: its repeat, and how it is shown to the designer."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.pattern.lattice.cell_complex import CellComplex

MIN_STEPS: Final = 2
MAX_STEPS: Final = 16
"""Straight steps of a curve between two corners: fewer would be no curve; with more the largest cells that fit a ring
are no rounder than its mesh."""


@dataclass(frozen=True)
class LatticeFamily:
    """One lattice family.

    label          its name on the screen.
    hint           one line about its cells.
    make           gives its cell complex; where walls are curved, with so many straight steps a curve.
    sample_around  repeats round a strip of 24 mm that show it well in a small picture.
    usual_around   repeats with which it begins on a flat band of 7 mm, where 24 hexagons go round a usual finger: its
                   smallest cells and its whole motifs both show (judged by eye on rings).
    sagitta        how far a curve drawn in one step would lie from its chord, in pitches; 0 where all walls are
                   straight.
    """

    label: str
    hint: str
    make: Callable[..., CellComplex]
    sample_around: int
    usual_around: int
    sagitta: float = 0.0

    def steps_at(self, pitch_mm: float) -> int:
        """Straight steps that keep a curve within the chord tolerance of a finished ring; 0 without curves."""
        if self.sagitta == 0.0:
            return 0
        wanted = math.ceil(math.sqrt(self.sagitta * pitch_mm / FINAL_CHORD_MM))
        return min(max(wanted, MIN_STEPS), MAX_STEPS)
