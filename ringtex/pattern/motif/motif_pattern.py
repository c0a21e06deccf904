"""The pattern of an own motif: how many repeats, and their rectangles as cells."""

from __future__ import annotations

from typing import Final

import shapely

from ringtex.basics.errors import InputError
from ringtex.pattern.motif.grid_tiling import grid_tiling, half_drop_tiling
from ringtex.pattern.motif.motif_layout import MotifLayout, proportion
from ringtex.pattern.motif.motif_options import decoded_outline
from ringtex.pattern.motif.repeats import refuse_odd
from ringtex.pattern.pattern_options import PatternOptions, refuse_too_many
from ringtex.pattern.patterned_part import Pattern, PatternedPart

MAX_POINTS: Final = 1_000_000
"""Of all repeats of an outline together: some 6 million triangles at final tolerance."""


def motif_pattern(part: PatternedPart, options: PatternOptions) -> Pattern:
    """The repeats of a motif on the strip; their cells are rectangles, one a repeat.

    Raises: InputError for counts that do not close or are too many, and for values that own motifs do not have.
    """
    motif = options.motif
    assert motif is not None
    for key, value in (("scatter", options.scatter), ("twist", options.twist), ("evenness", options.evenness)):
        if value:
            raise InputError(f"{key} does not apply to own motifs", "Set it to 0", f"pattern.{key}")
    if motif.grey is not None:
        from ringtex.pattern.picture.picture_pattern import picture_pattern

        return picture_pattern(part, options, motif)
    refuse_odd(motif, options.around)
    wide = part.length / options.around
    fitted = max(1, round(part.width / (wide * proportion(motif))))
    across = fitted if options.across == "auto" else options.across
    refuse_too_many(options.around, across)
    points = int(shapely.get_num_coordinates(decoded_outline(motif.outline))) * options.around * across
    if points > MAX_POINTS:
        message = f"{options.around} by {across} repeats of this outline have {points:,} points"
        raise InputError(message, "Use fewer repeats, or a simpler drawing", "pattern.around")
    layout = MotifLayout(part, motif, options.around, across, options.slide_mm)
    if layout.is_half_drop:
        tiling = half_drop_tiling(part, options.around, across, options.slide_mm[0])
    else:
        tiling = grid_tiling(part, options.around, across, options.slide_mm[0], layout.is_brick)
    stretch = 0.0
    if motif.fit == "page":
        stretch = 100.0 * (part.width / across / (wide * proportion(motif)) - 1.0)
    return Pattern(tiling, options.family, options.around, across, stretch, motif=layout)
