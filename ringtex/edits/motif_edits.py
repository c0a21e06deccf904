"""Put an own motif on a ring."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from ringtex.design.design import Design
from ringtex.design.edit_options import EditOptions
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.relief.relief_options import own_motif_forms

FIRST_AROUND: Final = 12
"""Repeats round the ring at first: some 5 mm each on a usual finger."""


def with_motif(design: Design, motif: MotifOptions) -> Design:
    """The design with this motif in place of its cells; size, band, rails, stones and making stay.

    A motif that is there already gives the new one its arrangement, size and turn. What motifs do not have (scatter,
    evenness, density, twist) goes, and so do zones and changes of single cells; a relief that they cannot have becomes
    raised.
    """
    old, before = design.pattern, design.pattern.motif
    if old.family == "motif" and before is not None and (before.grey is None) == (motif.grey is None):
        motif = replace(
            before,
            outline=motif.outline,
            name=motif.name,
            width_mm=motif.width_mm,
            height_mm=motif.height_mm,
            grey=motif.grey,
        )
    around = old.around if old.family == "motif" else FIRST_AROUND
    across = old.across if old.family == "motif" else "auto"
    pattern = replace(
        old, family="motif", motif=motif, around=around, across=across, scatter=0.0, evenness=0.0, density=None, twist=0
    )
    form = design.relief.form if design.relief.form in own_motif_forms(motif) else "raised"
    return replace(design, pattern=pattern, zones=(), relief=replace(design.relief, form=form), edits=EditOptions())
