"""What makes a lattice family: its repeat, and how it is shown to the designer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ringtex.pattern.lattice.cell_complex import CellComplex


@dataclass(frozen=True)
class LatticeFamily:
    """One lattice family.

    label          its name on the screen.
    hint           one line about its cells.
    make           gives its cell complex; called once, when the family is first used.
    sample_around  repeats round a strip of 24 mm that show it well in a small picture.
    """

    label: str
    hint: str
    make: Callable[[], CellComplex]
    sample_around: int
