"""What the pattern's values ask of each other: changed together, so that one choice is never refused by another."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any, Final

import numpy as np

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.design.design_file import PatternSheet
from ringtex.pattern.density_options import DensityOptions
from ringtex.pattern.grown.grown_families import GROWN_FAMILIES
from ringtex.pattern.lattice.families import ALL_FAMILIES, LATTICE_FAMILIES, lattice_complex
from ringtex.pattern.lattice.lattice import fit_lattice
from ringtex.pattern.make_pattern import patterned_part
from ringtex.pattern.motif.repeats import alternates
from ringtex.pattern.pattern_options import FREE_FORM_FAMILIES, MAX_AROUND, MIN_AROUND, PatternOptions
from ringtex.relief.relief_options import forms_of
from ringtex.strip.unwrap import unwrap

EVEN_FAMILIES: Final = ("hexagon", "cellular")
"""The others are lattices, whose rows cannot change their number of cells, or have sites of their own."""

SOME_SCATTER: Final = 0.3
"""What is offered where a seed has nothing to draw: enough to be seen."""

ALWAYS_GRADED: Final = (
    "These cells stand in whole rows or have places of their own, so they are always graded: choose hexagons or "
    "cellular for even cells."
)
"""Shown with every family but those."""


MAX_REFIT: Final = 1.5
NEAR: Final = 1.25
"""By the first ratio a count may be moved so that whole rows leave cells regular; a count nearer by the second to the
one with which its family begins counts as that one."""

UNSEEN_STRETCH: Final = 0.05
SIZE_WEIGHT: Final = 0.5
"""A stretch by so much is not seen; a change of size by one per cent is seen half as well as one more of stretch."""


def can_be_even(design: Design) -> bool:
    """Whether the design's family can have even cells and a density."""
    return design.pattern.family in EVEN_FAMILIES


def seed_has_effect(design: Design) -> bool:
    """Whether anything of the design's pattern is random."""
    pattern = design.pattern
    grown = GROWN_FAMILIES.get(pattern.family)
    return (grown is not None and grown.is_random) or pattern.uses_target_density or pattern.scatter > 0.0


def can_scatter(design: Design) -> bool:
    """Whether the design's cells can be scattered: an own motif stands as it is repeated."""
    return design.pattern.family != "motif"


def with_scatter(design: Design) -> Design:
    """The design with scattered cells, so that its seed has an effect."""
    return replace(design, pattern=replace(design.pattern, scatter=SOME_SCATTER))


def with_pattern_of(design: Design, other: Design) -> Design:
    """The design with the other's pattern, zones, rails and relief; size, band, stones and making stay, and so does its
    name.

    Changes of single cells go with the pattern that they were made on.
    """
    return PatternSheet.of(other, design.name).on(design)


def usual_around(design: Design, family: str) -> float:
    """Repeats round the design's ring with which a family begins, not yet a whole number.

    Where the head is drawn out, as on a dome, curves, fibres and repeats of several cells are read only when they are
    not too large there: their count lies half-way (in ratio) between the same count and the same size at the head.
    """
    usual = float(ALL_FAMILIES[family].usual_around)
    if not _is_read_as_a_whole(family):
        return usual
    strip = unwrap(design.make_band(), design.strip.keep)
    squared, _, _ = strip.metric(np.array([0.5 * strip.length]), np.array([0.5 * strip.width]))
    return usual * math.sqrt(math.sqrt(float(squared[0])))


def _is_read_as_a_whole(family: str) -> bool:
    """Whether a family shows more than single straight cells."""
    if family in GROWN_FAMILIES:
        return GROWN_FAMILIES[family].spans_cells
    return LATTICE_FAMILIES[family].sagitta > 0.0 or len(lattice_complex(family).faces) > 1


def around_of_family(design: Design, family: str, *, is_part: bool = False) -> int:
    """Repeats round the ring of a family that takes the place of the design's own: as many more or fewer than it
    usually has as those have, and moved a little so that whole rows leave its cells regular.

    Parameters:
        design: the design before the change.
        family: the new one.
        is_part: the pattern is a zone's or a panel's, not the whole strip's.
    Returns: the count; the design's own between families that have the same one.
    """
    pattern = design.pattern
    if any(name not in ALL_FAMILIES for name in (family, pattern.family)):
        return pattern.around
    before, after = usual_around(design, pattern.family), usual_around(design, family)
    if before == after:
        return pattern.around
    share = pattern.around / before
    wanted = after * (1.0 if 1.0 / NEAR <= share <= NEAR else share)
    if is_part or design.zones or family not in LATTICE_FAMILIES:
        return allowed_around(round(wanted))
    return _with_regular_rows(design, family, wanted)


def _with_regular_rows(design: Design, family: str, wanted: float) -> int:
    part = patterned_part(unwrap(design.make_band(), design.strip.keep), design.rails)

    def cost(around: int) -> float:
        stretch = fit_lattice(part, lattice_complex(family), PatternOptions(family, around)).stretch_percent
        seen = max(abs(math.log1p(stretch / 100.0)) - UNSEEN_STRETCH, 0.0)
        return seen + SIZE_WEIGHT * abs(math.log(around / wanted))

    low, high = allowed_around(math.ceil(wanted / MAX_REFIT)), allowed_around(math.floor(wanted * MAX_REFIT))
    try:
        return min(range(low, max(low, high) + 1), key=cost)
    except InputError:
        # Too many cells: said when the ring is built.
        return allowed_around(round(wanted))


def allowed_around(around: int) -> int:
    """The nearest count of repeats that a design may have."""
    return min(max(around, MIN_AROUND), MAX_AROUND)


def _tied_counts(design: Design, family: str, *, is_part: bool) -> dict[str, Any]:
    """Counts that a new family begins with: rows and twist belong to the count round the ring."""
    pattern = design.pattern
    around = around_of_family(design, family, is_part=is_part)
    if around == pattern.around:
        return {}
    return {
        "pattern.around": around, "pattern.across": "auto",
        "pattern.twist": round(pattern.twist * around / pattern.around),
    }  # fmt: skip


def _tied_scatter(design: Design, family: str) -> dict[str, Any]:
    """The scatter that a new family begins with, in place of the one that the family before it began with."""
    pattern = design.pattern
    before, after = (
        GROWN_FAMILIES[name].usual_scatter if name in GROWN_FAMILIES else 0.0 for name in (pattern.family, family)
    )
    return {"pattern.scatter": after} if pattern.scatter == before and not pattern.uses_target_density else {}


def tied_to_pattern(design: Design, key: str, value: Any, *, is_part: bool = False) -> dict[str, Any]:
    """What changes with a key of the pattern: a family begins with its own counts and scatter; families that stand in
    whole rows have neither evenness nor density, grown cells no rows that could climb, even cells can neither climb nor
    slide, and repeats of a motif that alternate close in even numbers only.

    Parameters:
        design: the design before the change.
        key: of the value in the design file.
        value: the new value.
        is_part: the pattern is a zone's or a panel's, not the whole strip's.
    Returns: the values that change with it, by key.
    """
    pattern = design.pattern
    tied: dict[str, Any] = {}
    if key == "pattern.family":
        tied = _tied_counts(design, value, is_part=is_part) | _tied_scatter(design, value)
    if key == "pattern.family" and value == "motif":
        tied |= {"pattern.evenness": 0.0, "pattern.density": None, "pattern.twist": 0, "pattern.scatter": 0.0}
    elif key == "pattern.family" and value not in EVEN_FAMILIES and pattern.uses_target_density:
        tied |= {"pattern.evenness": 0.0, "pattern.density": None}
    if key == "pattern.family" and value in GROWN_FAMILIES:
        tied |= {"pattern.twist": 0, "pattern.slide": (pattern.slide_mm[0], 0.0)}
    if key == "pattern.family" and value in FREE_FORM_FAMILIES:
        forms = forms_of(value, pattern.motif)
        tied["relief.form"] = design.relief.form if design.relief.form in forms else "raised"
    dense = isinstance(value, DensityOptions) and not value.even
    if (key == "pattern.evenness" and value > 0.0) or (key.startswith("pattern.density") and (dense or "[" in key)):
        tied = {"pattern.twist": 0, "pattern.slide": (0.0, 0.0)}
    if key in ("pattern.motif.arrangement", "pattern.motif.alternate") and pattern.motif is not None:
        motif = replace(pattern.motif, **{key.rpartition(".")[2]: value})
        tied = {"pattern.around": pattern.around + pattern.around % 2 * alternates(motif)}
    now = {
        "pattern.evenness": pattern.evenness, "pattern.density": pattern.density, "pattern.twist": pattern.twist,
        "pattern.slide": pattern.slide_mm, "pattern.around": pattern.around, "pattern.across": pattern.across,
        "pattern.scatter": pattern.scatter, "relief.form": design.relief.form,
    }  # fmt: skip
    return {name: wanted for name, wanted in tied.items() if now[name] != wanted}
