"""The pattern of an own grey picture: how many repeats, and a grid of cells that carry depths and marks."""

from __future__ import annotations

from typing import Final

from ringtex.pattern.motif.grid_tiling import grid_tiling
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.motif.repeats import refuse_odd
from ringtex.pattern.pattern_options import PatternOptions, refuse_too_many
from ringtex.pattern.patterned_part import Pattern, PatternedPart
from ringtex.pattern.picture.picture_layout import PictureLayout

CELL_MM: Final = 1.2
"""About the size of a cell, whose depth goes over smoothly into its neighbours'."""


def picture_pattern(part: PatternedPart, options: PatternOptions, motif: MotifOptions) -> Pattern:
    """The repeats of a picture on the strip.

    Parameters:
        part: the patterned part of the strip.
        options: the pattern, whose counts are used.
        motif: its motif, which has a picture.
    Returns: the pattern.
    Raises: InputError for counts that do not close or are too many.
    """
    grey = motif.grey
    assert grey is not None
    around = 1 if grey.once else options.around
    refuse_odd(motif, around)
    wide = part.length / around
    proportion = motif.height_mm / motif.width_mm
    fitted = 1 if grey.once else max(1, round(part.width / (wide * proportion)))
    across = fitted if options.across == "auto" else options.across
    refuse_too_many(around, across)
    columns, rows = max(3, round(part.length / CELL_MM)), max(1, round(part.width / CELL_MM))
    layout = PictureLayout(part, motif, around, across, options.slide_mm, (columns, rows))
    tiling = grid_tiling(part, columns, rows, 0.0, False)
    stretch = 100.0 * (part.width / across / (wide * proportion) - 1.0)
    return Pattern(tiling, options.family, around, across, stretch, motif=layout)
