"""What the pattern's values ask of each other: changed together, so that one choice is never refused by another."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from ringtex.design.design import Design
from ringtex.design.design_file import PatternSheet
from ringtex.pattern.density_options import DensityOptions
from ringtex.pattern.grown.grown_families import GROWN_FAMILIES
from ringtex.pattern.motif.repeats import alternates
from ringtex.pattern.pattern_options import FREE_FORM_FAMILIES
from ringtex.relief.relief_options import forms_of

EVEN_FAMILIES: Final = ("hexagon", "cellular")
"""The others are lattices, whose rows cannot change their number of cells, or have sites of their own."""

SOME_SCATTER: Final = 0.3
"""What is offered where a seed has nothing to draw: enough to be seen."""

ALWAYS_GRADED: Final = (
    "These cells stand in whole rows or have places of their own, so they are always graded: choose hexagons or "
    "cellular for even cells."
)
"""Shown with every family but those."""


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


def tied_to_pattern(design: Design, key: str, value: Any) -> dict[str, Any]:
    """What changes with a key of the pattern: families that stand in whole rows have neither evenness nor density,
    grown cells no rows that could climb, even cells can neither climb nor slide, and repeats of a motif that alternate
    close in even numbers only.

    Parameters:
        design: the design before the change.
        key: of the value in the design file.
        value: the new value.
    Returns: the values that change with it, by key.
    """
    pattern = design.pattern
    tied: dict[str, Any] = {}
    if key == "pattern.family" and value == "motif":
        tied = {"pattern.evenness": 0.0, "pattern.density": None, "pattern.twist": 0, "pattern.scatter": 0.0}
    elif key == "pattern.family" and value not in EVEN_FAMILIES and pattern.uses_target_density:
        tied = {"pattern.evenness": 0.0, "pattern.density": None}
    if key == "pattern.family" and value in GROWN_FAMILIES:
        tied = {"pattern.twist": 0, "pattern.slide": (pattern.slide_mm[0], 0.0)}
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
        "pattern.slide": pattern.slide_mm, "pattern.around": pattern.around,
        "pattern.scatter": pattern.scatter, "relief.form": design.relief.form,
    }  # fmt: skip
    return {name: wanted for name, wanted in tied.items() if now[name] != wanted}
