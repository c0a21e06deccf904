"""What a hand on the strip does to the design: each a design in, a changed design out.

Raises InputError, as the options do, where the change cannot be made.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.design.edit_options import EditOptions
from ringtex.make_ring import ShapedRing
from ringtex.pattern.cellular.site_edits import MovedSite, SitePosition
from ringtex.pattern.grown.grown_families import GROWN_FAMILIES
from ringtex.pattern.lattice.families import LATTICE_FAMILIES, lattice_complex
from ringtex.pattern.pattern_options import MAX_AROUND, MIN_AROUND

RAIL_STEP_MM: Final = 0.05
"""A dragged rail snaps to this: a step that can just be seen on a finished ring."""

SLIDE_STEP_MM: Final = 0.01


def slid(design: Design, strip: tuple[float, float], along: float, across: float) -> Design:
    """The pattern moved by along and across, mm, with what was done by hand to its cells and sites.

    strip: length and width, mm. Along, the slide wraps to within half a turn; grown cells slide along only.

    Parameters:
        design: the design before the change.
        strip: length and width, mm.
        along: mm round the ring.
        across: mm across it.
    Returns: the changed design.
    """
    length, width = strip
    pattern = design.pattern
    if pattern.uses_target_density:
        message = "Even cells are grown to fit their places on the ring, so they do not slide"
        raise InputError(message, "Choose graded cells to slide the pattern", "pattern.slide")
    if pattern.family in GROWN_FAMILIES:
        across = 0.0
    su = pattern.slide_mm[0] + along
    su -= length * math.floor(su / length + 0.5)
    slide = (round(su, 4) + 0.0, round(pattern.slide_mm[1] + across, 4) + 0.0)
    return replace(
        design,
        pattern=replace(pattern, slide_mm=slide),
        edits=_moved_edits(design, along / length, across / width),
    )


def _moved_edits(design: Design, along: float, across: float) -> EditOptions:
    edits = design.edits
    if not edits:
        return edits

    def u_of(u: float) -> float:
        return (u + along) % 1.0

    def v_of(v: float) -> float:
        return min(max(v + across, 0.0), 1.0)

    def place(site: SitePosition) -> SitePosition:
        return SitePosition(u_of(site.u), v_of(site.v))

    sites = replace(
        edits.sites,
        pinned=tuple(place(site) for site in edits.sites.pinned),
        added=tuple(place(site) for site in edits.sites.added),
        removed=tuple(place(site) for site in edits.sites.removed),
        moved=tuple(MovedSite(u_of(m.u), v_of(m.v), u_of(m.to_u), v_of(m.to_v)) for m in edits.sites.moved),
    )
    cells = tuple(replace(cell, u=u_of(cell.u), v=v_of(cell.v)) for cell in edits.cells)
    return replace(edits, cells=cells, sites=sites)


def with_around(design: Design, around: int) -> Design:
    """Another number of repeats round the ring, held within what can be built."""
    held = min(max(around, MIN_AROUND, abs(design.pattern.twist)), MAX_AROUND)
    return replace(design, pattern=replace(design.pattern, around=held))


def with_across(design: Design, across: int) -> Design:
    """Another number of rows, one or more."""
    return replace(design, pattern=replace(design.pattern, across=max(1, across)))


def with_twist(design: Design, twist: int, steepest: int) -> Design:
    """Another twist in whole rows, held to `steepest` either way; grown and even cells have none.

    Parameters:
        design: the design before the change.
        twist: rows climbed in one turn.
        steepest: largest twist either way.
    Returns: the changed design.
    """
    if design.pattern.family in GROWN_FAMILIES or design.pattern.uses_target_density:
        return design
    most = min(steepest, design.pattern.around)
    return replace(design, pattern=replace(design.pattern, twist=min(max(twist, -most), most)))


def steepest_twist(built: ShapedRing) -> int:
    """The most rows that the pattern can climb in a turn without being steeper than 45 degrees."""
    return max(0, int(built.strip.length / row_spacing(built)))


def row_spacing(built: ShapedRing) -> float:
    """Distance of two rows across the strip, mm."""
    tiling = built.pattern.own_tiling
    return (tiling.upper - tiling.lower) / (built.pattern.across + extra_rows(built.pattern.family))


def extra_rows(family: str) -> int:
    """Row pitches that a family has in the patterned width beyond its number of rows."""
    return lattice_complex(family).extra_rows if family in LATTICE_FAMILIES else 0


def with_rails(design: Design, width: float, lower: float | None, upper: float | None) -> Design:
    """Other rails, mm, snapped, and held so that a tenth of the strip at least is left for the pattern.

    Parameters:
        design: the design before the change.
        width: of the strip, mm.
        lower: new lower rail, mm, or None.
        upper: new upper rail, mm, or None.
    Returns: the changed design.
    """
    rails = design.rails
    most = 0.9 * width
    low = (
        rails.lower_mm
        if lower is None
        else snapped_rail(min(max(lower, 0.0), most - (rails.upper_mm if upper is None else 0.0)))
    )
    high = rails.upper_mm if upper is None else snapped_rail(min(max(upper, 0.0), most - low))
    return replace(design, rails=replace(rails, lower_mm=max(low, 0.0), upper_mm=max(high, 0.0)))


def snapped_rail(value: float) -> float:
    """The nearest whole step of a rail's or a zone's width, mm."""
    return round(round(value / RAIL_STEP_MM) * RAIL_STEP_MM, 4)


def with_seed(design: Design, step: int) -> Design:
    """The design with the seeds of pattern and relief moved on. Raises: InputError beyond the last seed."""
    pattern = replace(design.pattern, seed=design.pattern.seed + step)
    return replace(design, pattern=pattern, relief=replace(design.relief, seed=design.relief.seed + step))
