"""What a design asks of the process that makes it."""

from __future__ import annotations

from ringtex.band.band import Band
from ringtex.checks.making.making import AskedMaking
from ringtex.checks.making.making_limits import Process
from ringtex.design.design import Design
from ringtex.solid.finishing.finish import FinishedRing

FLANKED = ("raised", "sunk", "step")
"""Forms whose cells have flanks."""


def asked_making(design: Design, band: Band, finished: FinishedRing) -> AskedMaking:
    """The design's relief, holes and shape, as `check_making` judges them."""
    relief = design.relief
    holes = [
        (f"stone {number}", each.stone.hole * each.stone.diameter_mm)
        for number, each in enumerate(finished.stones, start=1)
    ]
    if design.hollow is not None:
        holes += [(f"drain {number}", drain.diameter_mm) for number, drain in enumerate(design.hollow.drains, start=1)]
    flat = band.is_flat and design.hollow is None and design.bore.rise_mm == 0.0
    return AskedMaking(
        depth_mm=relief.depth_mm,
        flank_deg=relief.flank_deg if relief.form in FLANKED else None,
        polish_mm=design.make.polish_mm,
        holes=tuple(holes),
        flat_strip=flat if design.make.way is Process.ENGRAVE_FLAT else None,
    )
