"""A design in, a built ring out: the whole flow in order."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.checks.check_ring import SECONDS_A_TRIANGLE, Report, check_ring
from ringtex.design.design import Design
from ringtex.pattern.coarser_walls import with_coarser_walls
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.patterned_part import Pattern
from ringtex.pattern.zones import of_each_cell
from ringtex.relief.cell_edits import edited_depths
from ringtex.relief.depth_fades import faded_at_zone_borders, faded_by_curves, faded_to_plain_places
from ringtex.relief.make_relief import Relief, make_relief
from ringtex.relief.plain_outline import refuse_overlaps
from ringtex.solid.finishing.finish import FinishedRing, finish_ring
from ringtex.solid.mesh.ring_mesh import RingSolid
from ringtex.solid.solid_cache import cached_solid
from ringtex.strip.strip_map import StripMap
from ringtex.strip.unwrap import unwrap

FINEST_MM: Final = 0.0005
COARSEST_MM: Final = 0.1
"""A tenth of the final tolerance is beyond any printer; a third of a relief's depth leaves no relief."""

MOVED_FRACTION: Final = 0.025
"""Of a cell's size that its walls may be moved in a draft."""

MANY_CORNERS: Final = 700
"""Of a tiling, from which on drafts round the corners of its profile in fewer steps: a quarter of their time."""


@dataclass(frozen=True, eq=False)
class ShapedRing:
    """A ring and every stage on the way to it, not checked yet; seconds are those spent in each stage.

    solid is the ring with its relief, before it was hollowed and set; finished.mesh is the ring as it is made.
    """

    design: Design
    strip: StripMap
    pattern: Pattern
    relief: Relief
    solid: RingSolid
    finished: FinishedRing
    seconds: dict[str, float]


@dataclass(frozen=True, eq=False)
class BuiltRing(ShapedRing):
    """A ring that was checked."""

    report: Report


def make_ring(design: Design, tolerance_mm: float = FINAL_CHORD_MM, progress: Progress | None = None) -> BuiltRing:
    """Build and check the ring; to export it is the caller's choice.

    Parameters:
        design: the design.
        tolerance_mm: largest distance between mesh and true surface, mm.
        progress: told of the work and asked whether to stop.
    Returns: the built and checked ring.
    Raises: InputError where the design cannot be built; Cancelled.
    Guarantees: the same design and tolerance give the same mesh, bit for bit.
    """
    progress = progress or Progress()
    shaped = shape_ring(design, tolerance_mm, progress)
    with progress.stage("checks", 0.8):
        progress.expect(len(shaped.finished.mesh.faces) * SECONDS_A_TRIANGLE)
        report = check_ring(design, shaped.strip, shaped.pattern, shaped.solid, shaped.finished)
    seconds = dict(progress.seconds)
    return BuiltRing(
        design, shaped.strip, shaped.pattern, shaped.relief, shaped.solid, shaped.finished, seconds, report
    )


def shape_ring(design: Design, tolerance_mm: float, progress: Progress, is_draft: bool = False) -> ShapedRing:
    """The flow without its checks, which take most of the time: for a picture while a value is still being dragged.

    Raises and guarantees as `make_ring`; the progress ends at 0.65.

    Parameters:
        design: the design.
        tolerance_mm: largest distance between mesh and true surface, mm.
        progress: told of the work and asked whether to stop.
        is_draft: only for a picture: curved walls may lie off by as much again.
    Returns: the ring and every stage on the way to it.
    """
    refuse_tolerance(tolerance_mm)
    with progress.stage("band", 0.05):
        band = design.make_band()
    with progress.stage("strip", 0.25):
        strip = unwrap(band, design.strip.keep)
    with progress.stage("pattern", 0.45):
        edits = design.edits.sites
        pattern = make_pattern(
            strip, design.pattern, design.rails, progress, edits=edits, zones=design.zones, panels=design.panels
        )
        coarser = is_draft and _may_be_coarser(pattern, design)
        if coarser:
            pattern = _with_coarser_walls(pattern, tolerance_mm)
    with progress.stage("relief", 0.5):
        refuse_overlaps(strip, design.plain)
        given = edited_depths(design.edits.cells, pattern.tiling, strip.width)
        own = _of_zones(design, pattern)
        relief = make_relief(pattern.tiling.cells, design.relief, tolerance_mm, given, *own, pattern.level)
        if coarser and len(pattern.tiling.corner_vertex) >= MANY_CORNERS:
            relief = replace(relief, profile=relief.profile.in_fewer_points(tolerance_mm))
        relief = faded_at_zone_borders(relief, pattern, design.zones)
        relief = faded_by_curves(relief, strip, pattern.tiling)
        relief = faded_to_plain_places(relief, strip, pattern.tiling, design.plain)
    with progress.stage("solid", 0.6):
        solid = cached_solid(strip, pattern, relief, tolerance_mm, progress)
    with progress.stage("finish", 0.65):
        finished = finish_ring(strip, solid, design.finish, tolerance_mm, progress)
    return ShapedRing(design, strip, pattern, relief, solid, finished, dict(progress.seconds))


def _may_be_coarser(pattern: Pattern, design: Design) -> bool:
    """Whether a draft may have fewer steps, which halves its work; not where holes or rounded outlines depend on how
    narrow a cell is."""
    is_rounded = design.relief.rounding > 0.0 or any(part.rounding for part in design.zones + design.panels)
    return pattern.motif is None and design.relief.form != "pierced" and not is_rounded


def _with_coarser_walls(pattern: Pattern, tolerance_mm: float) -> Pattern:
    """The pattern with curved walls in fewer steps."""
    tiling = pattern.tiling
    size = math.sqrt(float(np.mean(tiling.areas)))
    return replace(
        pattern, tiling=with_coarser_walls(tiling, min(tolerance_mm + FINAL_CHORD_MM, MOVED_FRACTION * size))
    )


def _of_zones(design: Design, pattern: Pattern) -> tuple[Floats | None, Floats | None]:
    """(cells,) what depths are multiplied by and (cells,) roundings, where zones or panels have their own."""
    zones = design.zones
    if design.panels:
        return _of_panels(design, pattern)
    scale = of_each_cell(pattern, [zone.depth for zone in zones]) if any(zone.depth != 1.0 for zone in zones) else None
    rounding = [design.relief.rounding if zone.rounding is None else zone.rounding for zone in zones]
    return scale, of_each_cell(pattern, rounding) if any(r != design.relief.rounding for r in rounding) else None


def _of_panels(design: Design, pattern: Pattern) -> tuple[Floats, Floats | None]:
    """The same where there are panels, whose frames are level and sharp."""
    from ringtex.pattern.panels.panel_pattern import panel_of_cell

    where = panel_of_cell(pattern)
    own = design.relief.rounding
    depth, rounding = [1.0], [own]
    for panel in design.panels:
        depth += [panel.depth, 0.0]
        rounding += [own if panel.rounding is None else panel.rounding, 0.0]
    scale, rounded = (np.array(values)[where + 1] for values in (depth, rounding))
    return scale, rounded if np.any(rounded > 0.0) else None


def refuse_tolerance(tolerance_mm: float) -> None:
    """Raises: InputError for a tolerance that no ring can be built to."""
    if not (math.isfinite(tolerance_mm) and FINEST_MM <= tolerance_mm <= COARSEST_MM):
        message = f"{tolerance_mm:g} mm is no usable tolerance"
        raise InputError(message, f"Give {FINEST_MM} to {COARSEST_MM} mm; a finished ring has 0.005", "tolerance")
