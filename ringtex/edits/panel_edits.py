"""Where a new panel goes, and panels moved."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.edits.zone_edits import first_zone_pattern
from ringtex.pattern.make_pattern import patterned_part
from ringtex.pattern.panels.panel_options import MAX_PANELS, Panel
from ringtex.pattern.panels.panel_pattern import panel_boxes
from ringtex.pattern.pattern_options import MIN_AROUND
from ringtex.pattern.patterned_part import Strip
from ringtex.strip.unwrap import unwrap

PLACES: Final = (0.5, 0.0, 0.25, 0.75, 0.375, 0.625, 0.125, 0.875)
"""Shares of the strip where panels are put, one after the other: head, palm, shoulders, and between them."""

MAX_FIRST_AROUND: Final = 6
"""Repeats of the first panel, where cells as large as those round it are so small."""

FIRST_SHARE: Final = 0.1
"""Of the ring, for the width of the first panel: eight of them leave some room between each other."""


def next_panel(design: Design) -> Panel:
    """A panel like the last one at the first place with room; the first one at the head, half the ring's width high.

    Raises: InputError where the ring has as many as it can, or no place has room.
    """
    if len(design.panels) >= MAX_PANELS:
        raise InputError(f"a ring has at most {MAX_PANELS} panels", "Take one away first", "panels")
    if design.panels:
        panel = design.panels[-1]
    else:
        width = round(max(2.0, FIRST_SHARE * design.make_band().crown_length), 1)
        height = round(max(1.5, 0.5 * design.band.stations[0].width_mm), 1)
        panel = Panel(0.5, 0.5, width, height, pattern=first_zone_pattern(design))
        # Cells about as large as those round it; a zone's are half as large.
        pitch = design.make_band().crown_length / (0.5 * panel.pattern.around)
        around = min(max(round((width - 2.0 * panel.frame_mm) / pitch), MIN_AROUND), MAX_FIRST_AROUND)
        panel = replace(panel, pattern=replace(panel.pattern, around=around))
    strip = unwrap(design.make_band(), design.strip.keep)
    size = strip.length / max(design.pattern.around, 1)
    for place in PLACES:
        tried = replace(panel, u=place)
        try:
            panel_boxes(strip, patterned_part(strip, design.rails), (*design.panels, tried), size)
        except InputError as error:
            refusal = error
        else:
            return tried
    if not design.panels:
        raise refusal
    raise InputError("there is no room for one more panel", "Make the panels narrower, or move them", "panels")


def with_panel_moved(design: Design, strip: Strip, size_mm: float, number: int, middle: tuple[float, float]) -> Design:
    """The design with a panel's middle elsewhere.

    Parameters:
        design: the design before the change.
        strip: its length and width.
        size_mm: of the cells round the panels.
        number: of the panel.
        middle: (u, v), mm; u of any turn, v is brought onto the strip.
    Returns: the changed design.
    Raises: InputError where it would touch another panel, or leave the pattern.
    """
    u = round(middle[0] / strip.length % 1.0, 4) % 1.0
    v = round(min(max(middle[1] / strip.width, 0.0), 1.0), 4)
    panels = list(design.panels)
    panels[number] = replace(panels[number], u=u, v=v)
    panel_boxes(strip, patterned_part(strip, design.rails), panels, size_mm)
    return replace(design, panels=tuple(panels))
