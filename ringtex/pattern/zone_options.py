"""What may be asked of zones: bands across the ring, each with a pattern of its own."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Annotated, Final

from ringtex.basics.errors import InputError
from ringtex.basics.limits import FRACTION, LEFT_OUT_WHEN_EMPTY, Within, require_limits
from ringtex.pattern.pattern_options import FREE_FORM_FAMILIES, MAX_SEED, PatternOptions

MAX_ZONES: Final = 15
"""On a band of 15 mm a zone a millimetre."""

MIN_ZONE_MM: Final = 0.1
"""A narrower zone holds nothing that could be cast (a printer's pixel is about 0.04)."""

MAX_BLEND_MM: Final = 20.0
"""As far as the widest band reaches."""

MAX_DEPTH: Final = 2.0
"""As of single cells: with the deepest relief of 1.0 mm this is 2.0 mm."""


@dataclass(frozen=True)
class ZoneOptions:
    """One band of the ring between two circles round it.

    pattern   its cells; None: the design's own pattern. Zones that share a pattern draw its random choices anew.
    width_mm  on the strip; None: an even part of what the rails and the other zones leave.
    rail_mm   the plain rail between it and the zone below; 0: they share a line, with a wall as between two cells. The
              lowest zone has none: it lies on the lower rail.
    blend_mm  how far to both sides of the border below it the relief of both zones fades, to the band's face at the
              border (at the rail, where there is one), by where each cell's centre lies; 0: a clean border. The lowest
              zone has none.
    mirrored  its pattern is turned over, lower edge up.
    depth     multiple of the relief's depth, -2 to 2: below 0 the cells go the other way.
    rounding  of its cells, as the relief's; None: the relief's own.

    Raises InputError naming the key when a value cannot be used.
    """

    pattern: PatternOptions | None = None
    width_mm: Annotated[float, Within(MIN_ZONE_MM, 100.0, "mm")] | None = None
    rail_mm: Annotated[float, Within(0.0, 100.0, "mm")] = 0.0
    mirrored: bool = False
    depth: Annotated[float, Within(-MAX_DEPTH, MAX_DEPTH, "", "the depth is a multiple of the relief's")] = 1.0
    rounding: Annotated[float, FRACTION] | None = None
    blend_mm: Annotated[float, Within(0.0, MAX_BLEND_MM, "mm")] = field(default=0.0, metadata=LEFT_OUT_WHEN_EMPTY)

    def __post_init__(self) -> None:
        require_limits(self, "")


def check_zones(zones: tuple[ZoneOptions, ...], pattern: PatternOptions) -> None:
    """Refuse zones that cannot stand together.

    Parameters:
        zones: from the lower edge up; none, or two or more, one of which has the design's own pattern.
        pattern: the design's own.
    Raises: InputError naming the key.
    """
    if not zones:
        return
    if len(zones) == 1:
        raise InputError("one zone alone is the whole pattern", "Give two or more, or none", "zones")
    if len(zones) > MAX_ZONES:
        raise InputError(f"{len(zones)} zones are too many", f"Use at most {MAX_ZONES}", "zones")
    if zones[0].rail_mm != 0.0:
        message = "the lowest zone lies on the lower rail and has no other below it"
        raise InputError(message, "Set rails.lower instead", "zones[0].rail")
    if zones[0].blend_mm != 0.0:
        message = "the lowest zone has no other below it to blend with"
        raise InputError(message, "Leave it out, or give it to the zone above", "zones[0].blend")
    if all(zone.pattern is not None for zone in zones):
        message = "no zone has the ring's own pattern"
        raise InputError(message, "Make one zone's pattern null: it then has the one under pattern", "zones")
    for number, zone in enumerate(zones):
        family = (zone.pattern or pattern).family
        if family in FREE_FORM_FAMILIES:
            where = "pattern.family" if zone.pattern is None else f"zones[{number}].pattern.family"
            message = f"{FREE_FORM_FAMILIES[family]} cannot be in a zone"
            raise InputError(message, "Choose another family, or leave out the zones", where)


def own_zone(zones: tuple[ZoneOptions, ...]) -> int:
    """The first zone that has the design's own pattern."""
    return next(number for number, zone in enumerate(zones) if zone.pattern is None)


def zone_pattern(zones: tuple[ZoneOptions, ...], number: int, pattern: PatternOptions) -> PatternOptions:
    """The options that a zone is drawn with: zones of the same pattern differ in their seeds.

    Parameters:
        zones: from the lower edge up.
        number: of the zone.
        pattern: the design's own.
    Returns: its options, with a seed of its own.
    """
    own = zones[number].pattern or pattern
    before = sum(zone.pattern == zones[number].pattern for zone in zones[:number])
    return replace(own, seed=(own.seed + before) % (MAX_SEED + 1)) if before else own
