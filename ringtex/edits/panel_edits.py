"""Where a new panel goes."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from ringtex.design.design import Design
from ringtex.edits.zone_edits import first_zone_pattern
from ringtex.pattern.panels.panel_options import Panel

PLACES: Final = (0.5, 0.0, 0.25, 0.75, 0.375, 0.625, 0.125, 0.875)
"""Shares of the strip where panels are put, one after the other: head, palm, shoulders, and between them."""

FIRST_AROUND: Final = 6
FIRST_SHARE: Final = 0.1
"""Of the ring, for the width of the first panel: eight of them leave some room between each other."""


def next_panel(design: Design) -> Panel:
    """A panel like the last one at the first free place; the first one at the head, half the ring's width high."""
    taken = [panel.u % 1.0 for panel in design.panels]
    free = [place for place in PLACES if all(min(abs(place - u), 1.0 - abs(place - u)) > 0.06 for u in taken)]
    place = free[0] if free else 0.0
    if design.panels:
        return replace(design.panels[-1], u=place)
    band = design.make_band()
    width = round(max(2.0, FIRST_SHARE * band.crown_length), 1)
    height = round(max(1.5, 0.5 * design.band.stations[0].width_mm), 1)
    return Panel(place, 0.5, width, height, pattern=replace(first_zone_pattern(design), around=FIRST_AROUND))
