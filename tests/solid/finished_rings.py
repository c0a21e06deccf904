"""Rings to finish: a plain flat band of closed forms, and the dome."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from zoo import DOME, band, plain_design, station

from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.design.design_file import design_from_json
from ringtex.make_ring import ShapedRing, shape_ring

RADIUS_MM = 54.0 / (2.0 * 3.141592653589793)
"""Bore radius of size 54."""

THICK_MM, WIDE_MM = 4.0, 10.0
"""The flat band: smooth in its rails, with a hair of relief in one row."""


@lru_cache(maxsize=24)
def _shaped(text: str, tolerance_mm: float) -> ShapedRing:
    import json

    return shape_ring(design_from_json(json.loads(text)), tolerance_mm, Progress())


def shaped(design: dict[str, Any], tolerance_mm: float = FINAL_CHORD_MM) -> ShapedRing:
    """The ring of a design's JSON; remembered."""
    import json

    return _shaped(json.dumps(design, sort_keys=True), tolerance_mm)


def thick_flat(**changes: Any) -> dict[str, Any]:
    """A flat band 10 wide and 4 high whose patterned part is a narrow row in its middle."""
    return plain_design(
        **{
            "band": band("flat", station(0, WIDE_MM, THICK_MM, THICK_MM)),
            "rails": {"lower": 4.5, "upper": 4.5},
            "pattern": {"family": "brick", "around": 60, "across": 1},
            "relief": {"form": "raised", "depth": 0.05, "wall_width": 0.2, "corner": 0},
            **changes,
        }
    )


def dome(**changes: Any) -> dict[str, Any]:
    """The dome ring with rails."""
    return plain_design(
        **{"band": DOME, "rails": {"lower": 0.5, "upper": 0.5}, "pattern": {"across": "auto"}, **changes}
    )
