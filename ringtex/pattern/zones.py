"""Where zones lie across the strip, and the one pattern that they make together."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from ringtex.basics.arrays import Bools, Floats
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.joined_tilings import joined, mirrored_across
from ringtex.pattern.pattern_options import MAX_CELLS, PatternOptions
from ringtex.pattern.patterned_part import Pattern, PatternedPart, Zone, kept_rail
from ringtex.pattern.zone_options import MIN_ZONE_MM, ZoneOptions, own_zone, zone_pattern


def zone_parts(part: PatternedPart, zones: Sequence[ZoneOptions]) -> list[PatternedPart]:
    """The part of the strip that each zone covers.

    Parameters:
        part: what the design's rails leave of the strip.
        zones: from the lower edge up.
    Returns: one part a zone, neighbours without a rail ending where the next begins, to the bit.
    Raises: InputError (where "zones") where they do not fit.
    """
    rails = [kept_rail(zone.rail_mm) for zone in zones]
    widths = [zone.width_mm for zone in zones]
    if None not in widths:
        # Where every zone has a width, the highest takes what is left.
        widths[-1] = None
    given = sum(width for width in widths if width is not None)
    left = part.width - sum(rails) - given
    if left < widths.count(None) * MIN_ZONE_MM - 1e-9:
        message = f"the zones and the rails between them take {part.width - left:.3g} mm of {part.width:.3g} mm"
        raise InputError(message, "Make zones or rails narrower, or the ring wider", "zones")
    even = left / widths.count(None)
    tops = part.lower + np.cumsum([rail + (width or even) for rail, width in zip(rails, widths, strict=True)])
    tops[-1] = part.upper
    bottoms = [part.lower, *(top + rail for top, rail in zip(tops[:-1].tolist(), rails[1:], strict=True))]
    return [PatternedPart(part.length, low, high) for low, high in zip(bottoms, tops.tolist(), strict=True)]


def zoned_pattern(
    part: PatternedPart,
    options: PatternOptions,
    zones: tuple[ZoneOptions, ...],
    make: Callable[[PatternedPart, PatternOptions], Pattern],
    progress: Progress,
) -> Pattern:
    """The patterns of all zones as one.

    Parameters:
        part: what the design's rails leave of the strip.
        options: the design's own pattern.
        zones: two or more, from the lower edge up.
        make: makes the pattern of one part.
        progress: asked whether to stop.
    Returns: the pattern; its counts are those of the first zone with the design's own pattern.
    Raises: InputError, its place the zone's where the zone has a pattern of its own; Cancelled.
    """
    made: list[Pattern] = []
    for number, place in enumerate(zone_parts(part, zones)):
        progress.check()
        try:
            pattern = make(place, zone_pattern(zones, number, options))
        except InputError as error:
            where = error.where if zones[number].pattern is None else f"zones[{number}].{error.where}"
            raise InputError(f"zone {number + 1}: {error.message}", error.advice, where) from None
        tiling = mirrored_across(pattern.tiling) if zones[number].mirrored else pattern.tiling
        made.append(
            Pattern(
                tiling, pattern.family, pattern.around, pattern.across, pattern.stretch_percent, level=pattern.level
            )
        )
    _refuse_too_many(made)
    first = np.cumsum([0, *(pattern.tiling.cells for pattern in made)]).tolist()
    own = own_zone(zones)
    main = made[own]
    return Pattern(
        joined([pattern.tiling for pattern in made]),
        main.family,
        main.around,
        main.across,
        main.stretch_percent,
        zones=tuple(Zone(pattern, at) for pattern, at in zip(made, first, strict=False)),
        own_zone=own,
        level=_level_cells(made),
    )


def _level_cells(made: Sequence[Pattern]) -> Bools | None:
    """(cells,) which cells of all zones have no relief; None where all have."""
    if all(pattern.level is None for pattern in made):
        return None
    return np.concatenate([
        np.zeros(pattern.tiling.cells, np.bool_) if pattern.level is None else pattern.level for pattern in made
    ])  # fmt: skip


def _refuse_too_many(made: Sequence[Pattern]) -> None:
    cells = sum(pattern.tiling.cells for pattern in made)
    if cells > MAX_CELLS:
        message = f"the zones have {cells} cells together, more than {MAX_CELLS}"
        raise InputError(message, "Give fewer repeats around or across", "zones")


def of_each_cell(pattern: Pattern, values: Sequence[float]) -> Floats:
    """(cells,) the value of each cell's zone, given one for each zone."""
    counts = [zone.pattern.tiling.cells for zone in pattern.zones]
    return np.repeat(np.asarray(values, dtype=np.float64), counts)
