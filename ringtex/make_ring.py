"""A design in, a built ring out: the whole flow in order."""

from __future__ import annotations

from dataclasses import dataclass, field

from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.checks.check_ring import check_ring
from ringtex.checks.finding import Finding
from ringtex.design.design import Design
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.patterned_part import Pattern
from ringtex.relief.make_relief import Relief, make_relief
from ringtex.solid.build_solid import build_solid
from ringtex.solid.ring_mesh import RingSolid
from ringtex.strip.strip_map import StripMap, unwrap


@dataclass(frozen=True, eq=False)
class BuiltRing:
    """A ring and every stage on the way to it.

    findings are sorted worst first; seconds are those spent in each stage.
    """

    design: Design
    strip: StripMap
    pattern: Pattern
    relief: Relief
    solid: RingSolid
    findings: list[Finding]
    seconds: dict[str, float] = field(default_factory=dict)


def make_ring(design: Design, tolerance_mm: float = FINAL_CHORD_MM, progress: Progress | None = None) -> BuiltRing:
    """Build and check the ring; export is the caller's choice.

    Parameters: the design; tolerance_mm, the largest distance between mesh and true surface; progress, told of each stage
    and asked whether to stop.
    Raises: InputError where the design cannot be built; Cancelled.
    Guarantees: the same design and tolerance give the same mesh, bit for bit.
    """
    progress = progress or Progress()
    with progress.stage("band", 0.05):
        band = design.make_band()
    with progress.stage("strip", 0.3):
        strip = unwrap(band, design.strip.keep)
    with progress.stage("pattern", 0.5):
        pattern = make_pattern(strip, design.pattern, design.rails, progress)
    with progress.stage("relief", 0.55):
        relief = make_relief(pattern.tiling.cells, design.relief, tolerance_mm)
    with progress.stage("solid", 0.8):
        solid = build_solid(strip, pattern.tiling, relief, tolerance_mm, progress)
    with progress.stage("checks", 1.0):
        findings = check_ring(design, strip, pattern, relief, solid)
    return BuiltRing(design, strip, pattern, relief, solid, findings, dict(progress.seconds))
