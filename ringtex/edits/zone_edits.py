"""Zones added, removed, ordered and made wider: designs in, changed designs out.

Raises InputError, as the options do, where the change cannot be made.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.edits.pattern_ties import allowed_around, around_of_family
from ringtex.edits.strip_edits import snapped_rail
from ringtex.pattern.make_pattern import patterned_part
from ringtex.pattern.pattern_options import FREE_FORM_FAMILIES, PatternOptions
from ringtex.pattern.patterned_part import Strip
from ringtex.pattern.zone_options import MAX_ZONES, MIN_ZONE_MM, ZoneOptions
from ringtex.pattern.zones import zone_parts

FIRST_BAND_MM: Final = 1.6
FIRST_RAIL_MM: Final = 0.3
"""A band that can be told from what lies beside it, and a rail that can be cast (common practice, no source)."""


def why_no_zone(design: Design) -> str:
    """A sentence that says why the design cannot have one more zone; empty where it can."""
    if len(design.zones) >= MAX_ZONES:
        return f"A ring has at most {MAX_ZONES} zones."
    if design.panels:
        return "A ring has zones or panels, not both: remove the panels first."
    family = design.pattern.family
    if family in FREE_FORM_FAMILIES:
        return f"A ring of {FREE_FORM_FAMILIES[family]} has no zones: choose a family of cells first."
    return ""


def first_zone_pattern(design: Design) -> PatternOptions:
    """What a zone is given when it gets a pattern of its own: smaller cells than the design's, of another family."""
    own = design.pattern
    family = "diamond" if own.family in ("hexagon", "cellular") else "hexagon"
    around = own.around if family == "diamond" else around_of_family(design, family, is_part=True)
    return PatternOptions(family, allowed_around(2 * around))


def first_band_pattern(design: Design) -> PatternOptions:
    """A single row of cells about as long as the band is wide: whole ones, so that none is too small to make.

    Of 16 starting points 9 keep a ring without errors or warnings about detail with it, and none did with two rows of
    diamonds, half of which are cut through at the band's borders.
    """
    around = allowed_around(round(design.make_band().crown_length / FIRST_BAND_MM))
    return PatternOptions("hexagon" if design.pattern.family == "square" else "square", around)


def with_zone_added(design: Design) -> Design:
    """One zone more, uppermost, with the pattern of the one two below it; without zones a band in the middle."""
    zones = design.zones
    if zones:
        like = zones[-2]
        return replace(design, zones=(*zones, replace(like, rail_mm=zones[-1].rail_mm, blend_mm=zones[-1].blend_mm)))
    band = ZoneOptions(first_band_pattern(design), FIRST_BAND_MM, FIRST_RAIL_MM)
    return replace(design, zones=(ZoneOptions(), band, ZoneOptions(rail_mm=FIRST_RAIL_MM, mirrored=True)))


def without_zone(design: Design, number: int) -> Design:
    """The design without a zone. Where none keeps the design's own pattern, that becomes the lowest zone's; where only
    one is left, it is the whole pattern.

    Raises: InputError.
    """
    zones = list(design.zones[:number] + design.zones[number + 1 :])
    zones[0] = replace(zones[0], rail_mm=0.0, blend_mm=0.0)
    pattern = design.pattern
    if all(zone.pattern is not None for zone in zones):
        pattern = zones[0].pattern or pattern
        zones = [replace(zone, pattern=None) if zone.pattern == pattern else zone for zone in zones]
    return replace(design, pattern=pattern, zones=tuple(zones) if len(zones) > 1 else ())


def with_blends(design: Design, blend_mm: float) -> Design:
    """The design with every border between zones blended so far. Raises: InputError without zones."""
    if not design.zones:
        raise InputError("there are no zones to blend", "Choose a pattern with zones", "zones")
    lowest, *others = design.zones
    return replace(design, zones=(lowest, *(replace(zone, blend_mm=blend_mm) for zone in others)))


def with_zone_moved(design: Design, number: int, step: int) -> Design:
    """The zone one place up (step 1) or down (-1); rails and blends stay where they are. At an end nothing changes.

    Parameters:
        design: the design before the change.
        number: of the zone, from the lower edge.
        step: 1 or -1.
    Returns: the changed design.
    """
    other = number + step
    if not 0 <= other < len(design.zones):
        return design
    zones = list(design.zones)
    one, two = zones[number], zones[other]
    zones[number] = replace(two, rail_mm=one.rail_mm, blend_mm=one.blend_mm)
    zones[other] = replace(one, rail_mm=two.rail_mm, blend_mm=two.blend_mm)
    return replace(design, zones=tuple(zones))


def with_zone_top(design: Design, strip: Strip, number: int, v: float) -> Design:
    """The upper border of a zone at v, mm: it or the one above it becomes wider, and what has no width gives way.

    Of both the one with a width changes it; where neither has one, this one is given one.

    Parameters:
        design: the design before the change.
        strip: its length and width.
        number: of the zone, from the lower edge; not the highest.
        v: where its upper border is to be, mm.
    Returns: the changed design; the border is as near as its width, in whole steps, can be.
    Raises: InputError where the zones would not fit.
    """
    part = patterned_part(strip, design.rails)
    widths = [zone.width for zone in zone_parts(part, design.zones)]
    above = number + 1
    chosen = above if design.zones[number].width_mm is None and design.zones[above].width_mm is not None else number
    if chosen == above == len(widths) - 1 and all(zone.width_mm is not None for zone in design.zones[:-1]):
        # The highest takes what is left, whatever its width.
        chosen = number

    def made(width: float) -> Design:
        zones = list(design.zones)
        zones[chosen] = replace(zones[chosen], width_mm=width)
        return replace(design, zones=tuple(zones))

    def top(width: float) -> float:
        return zone_parts(part, made(width).zones)[number].upper

    width, step = widths[chosen], -0.5 * min(widths[chosen], 0.2)
    slope = (top(width + step) - top(width)) / step
    wanted = width + (v - top(width)) / slope if slope else width
    snapped = max(snapped_rail(wanted), MIN_ZONE_MM)
    found = made(snapped)
    zone_parts(part, found.zones)
    return found


def with_zone_rail(design: Design, strip: Strip, number: int, rail_mm: float) -> Design:
    """Another width of the rail below a zone, mm, snapped.

    Parameters:
        design: the design before the change.
        strip: its length and width.
        number: of the zone, from the lower edge; not the lowest.
        rail_mm: the width wanted, mm.
    Returns: the changed design.
    Raises: InputError where the zones would not fit.
    """
    zones = list(design.zones)
    zones[number] = replace(zones[number], rail_mm=snapped_rail(max(rail_mm, 0.0)))
    found = replace(design, zones=tuple(zones))
    zone_parts(patterned_part(strip, design.rails), found.zones)
    return found
