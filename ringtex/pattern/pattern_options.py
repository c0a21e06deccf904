"""What may be asked of a pattern, checked on the spot."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Final, Literal, TypeAlias

from ringtex.basics.errors import InputError
from ringtex.basics.known_names import unknown_name
from ringtex.basics.limits import FRACTION, Within, require_limits
from ringtex.basics.smooth_curve import smooth_step
from ringtex.pattern.density_options import DensityOptions
from ringtex.pattern.grown.grown_families import OUTLINE_FAMILIES
from ringtex.pattern.lattice.families import ALL_FAMILIES
from ringtex.pattern.motif.motif_options import MotifOptions

FAMILIES: Final = tuple(ALL_FAMILIES)
"""Every family of cells that can be asked for by name."""

OWN_FAMILIES: Final = ("motif",)
"""What is drawn by the designer: the file carries it."""

FREE_FORM_FAMILIES: Final = {**dict.fromkeys(OWN_FAMILIES, "own motifs"), **OUTLINE_FAMILIES}
"""Families without cells, whose relief is made of outlines over the whole strip, and what messages call them. They have
fewer forms, no zones and no panels."""

CELL_FAMILIES: Final = tuple(family for family in FAMILIES if family not in FREE_FORM_FAMILIES)
"""The families of cells."""

MIN_AROUND: Final = 3
"""With fewer repeats a cell would meet itself, or one neighbour twice, round the ring."""

MAX_AROUND: Final = 2000
"""On the largest finger this is a cell of 0.04 mm, one pixel of a printer; more is a slip of the keyboard."""

MAX_CELLS: Final = 300_000
"""About the number of cells whose mesh still fits an ordinary machine's memory."""

MAX_SLIDE_MM: Final = 500.0
"""Several turns of the largest ring; more is a slip of the keyboard."""

Slide: TypeAlias = Annotated[float, Within(-MAX_SLIDE_MM, MAX_SLIDE_MM, "mm")]

MAX_SEED: Final = 2**53 - 1
"""The largest whole number that every JSON reader keeps exactly."""

FULL_ORDER: Final = 0.4
"""Evenness from which cells are wholly ordered: by then a dome's areas vary too much for one lattice."""


@dataclass(frozen=True)
class PatternOptions:
    """Which cells cover the strip.

    family    one that `ringtex families` lists (`FAMILIES`), or "motif" (`OWN_FAMILIES`).
    around    repeats round the ring; of families with several cells a repeat they are whole repeats, not cells.
    across    rows of repeats from rail to rail, or "auto": the whole number that keeps cells nearest to regular.
    seed      start of every random choice; the same seed gives the same pattern.
    scatter   irregularity, 0 (as even as the family gets) to 1.
    slide_mm  shift of the pattern along and across the strip; along, it wraps.
    twist     rows climbed in one turn, a whole number so that the pattern closes; negative climbs the other way.
    evenness  0: cells follow the local scale of the strip; 1: cells have equal area on the ring.
    density   where cells are to be closer or wider apart; None everywhere alike.
    motif     the own motif of the family motif; None, or not used, with every other one.

    Raises InputError naming the key when a value cannot be used.
    """

    family: str = "hexagon"
    around: Annotated[int, Within(MIN_AROUND, MAX_AROUND)] = 24
    across: Annotated[int, Within(1, MAX_CELLS)] | Literal["auto"] = "auto"
    seed: Annotated[int, Within(0, MAX_SEED)] = 1
    scatter: Annotated[float, FRACTION] = 0.0
    slide_mm: tuple[Slide, Slide] = (0.0, 0.0)
    twist: Annotated[int, Within(-MAX_AROUND, MAX_AROUND)] = 0
    evenness: Annotated[float, FRACTION] = 0.0
    density: DensityOptions | None = None
    motif: MotifOptions | None = None

    def __post_init__(self) -> None:
        if self.family not in FAMILIES + OWN_FAMILIES:
            message = f"there is no family of patterns called {self.family!r}"
            titles = {name: family.label for name, family in ALL_FAMILIES.items()}
            raise unknown_name(message, self.family, FAMILIES + OWN_FAMILIES, "pattern.family", titles=titles)
        if self.family == "motif" and self.motif is None:
            raise InputError("there is no motif yet", "Import a drawing first", "pattern.motif")
        if not isinstance(self.slide_mm, tuple) or len(self.slide_mm) != 2:
            message = f"slide must be two lengths, along and across the strip, not {self.slide_mm!r}"
            raise InputError(message, "Give two numbers in millimetres", "pattern.slide")
        require_limits(self, "pattern")
        if self.across != "auto":
            refuse_too_many(self.around, self.across)
        if abs(self.twist) > self.around:
            advice = f"Give a twist from -{self.around} to {self.around}, or more repeats around"
            raise InputError(f"a twist of {self.twist} rows is more than the repeats around", advice, "pattern.twist")

    @property
    def uses_target_density(self) -> bool:
        """Cells are not to follow the strip's own scale alone: evenness or a density is asked for."""
        return self.evenness > 0.0 or (self.density is not None and not self.density.even)

    @property
    def density_weight(self) -> float:
        """How far cells go over, 0 to 1, from what grows without evenness to ordered cells of equal measure: smoothly,
        and fully from an evenness of FULL_ORDER or a density that varies twofold on.
        """
        steepness = 0.0 if self.density is None else self.density.steepness
        return smooth_step(min(1.0, self.evenness / FULL_ORDER + steepness / math.log(2.0)))


@dataclass(frozen=True)
class RailOptions:
    """Plain borders along the strip's two edges.

    lower_mm, upper_mm  their widths on the strip.

    Raises InputError when one cannot be used.
    """

    lower_mm: Annotated[float, Within(0.0, 100.0, "mm")] = 0.0
    upper_mm: Annotated[float, Within(0.0, 100.0, "mm")] = 0.0

    def __post_init__(self) -> None:
        require_limits(self, "rails")


def refuse_too_many(around: int, across: int, cells: int = 1) -> None:
    """Raise InputError when around x across repeats are more than can be built.

    Parameters:
        around, across: repeats each way.
        cells: in a repeat.
    Raises: InputError (where "pattern.across").
    """
    if around * across * cells > MAX_CELLS:
        message = f"{around} around by {across} across are {around * across * cells} cells, more than {MAX_CELLS}"
        advice = f"With {around} around, give at most {max(1, MAX_CELLS // (around * cells))} across"
        raise InputError(message, advice, "pattern.across")
