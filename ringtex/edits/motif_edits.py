"""Put an own motif on a ring."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np

from ringtex.design.design import Design
from ringtex.design.edit_options import EditOptions
from ringtex.pattern.grown.grown_families import OUTLINE_FAMILIES
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.motif.repeats import alternates
from ringtex.relief.relief_options import forms_of

FIRST_AROUND: Final = 12
"""Repeats round the ring at first: some 5 mm each on a usual finger."""


MIN_TEXTS, MAX_TEXTS = 3, 200
"""Repeats of a text: three is the least of any pattern, so that a long line has smaller letters."""

ARRANGEMENT_KEYS: Final = ("fit", "size", "turn_deg", "arrangement", "alternate")
"""What a new motif takes over from the one before it."""


def text_around(design: Design, motif: MotifOptions) -> int:
    """How often a text stands round the ring where one row of it fills the width; even where repeats alternate."""
    band = design.make_band()
    width = 2.0 * float(np.mean(band.half_width(np.linspace(-math.pi, math.pi, 90))))
    width = max(width - design.rails.lower_mm - design.rails.upper_mm, 0.1)
    count = min(max(MIN_TEXTS, round(band.crown_length * motif.height_mm / (width * motif.width_mm))), MAX_TEXTS)
    return count + (count % 2) * alternates(motif)


def lost_to_motif(design: Design) -> tuple[str, ...]:
    """What of a design `with_motif` takes away, in words."""
    parts = (("zones", design.zones), ("panels", design.panels), ("changes of single cells", design.edits.cells))
    moved = (("moved sites", design.edits.sites),)
    grown = OUTLINE_FAMILIES.get(design.pattern.family, "")
    return tuple(name for name, given in (*parts, *moved, (grown, grown)) if given)


def with_motif(design: Design, motif: MotifOptions) -> Design:
    """The design with this motif in place of its cells; size, band, rails, stones and making stay.

    A motif that is there already gives the new one its arrangement, size and turn. What motifs do not have (scatter,
    evenness, density, twist) goes, and so do zones, panels and changes of single cells; a relief that they cannot have
    becomes raised.
    """
    old, before = design.pattern, design.pattern.motif
    if old.family == "motif" and before is not None and (before.grey is None) == (motif.grey is None):
        motif = replace(motif, **{key: getattr(before, key) for key in ARRANGEMENT_KEYS})
    around = old.around if old.family == "motif" else FIRST_AROUND
    if motif.text:
        around = text_around(design, motif)
    across = old.across if old.family == "motif" else "auto"
    if motif.text and (before is None or not before.text):
        # A long line has small letters, of which automatic rows would be several.
        across = 1
    pattern = replace(
        old, family="motif", motif=motif, around=around, across=across, scatter=0.0, evenness=0.0, density=None, twist=0
    )
    form = design.relief.form if design.relief.form in forms_of("motif", motif) else "raised"
    return replace(
        design, pattern=pattern, zones=(), panels=(), relief=replace(design.relief, form=form), edits=EditOptions()
    )
