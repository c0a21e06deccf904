"""Whole rings, hollowed and set, with their reports."""

from __future__ import annotations

import json
from functools import lru_cache
from typing import Any

from zoo import DOME, band, plain_design, station

from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.design.design_file import design_from_json
from ringtex.make_ring import BuiltRing, make_ring


@lru_cache(maxsize=32)
def _built(text: str, tolerance_mm: float) -> BuiltRing:
    return make_ring(design_from_json(json.loads(text)), tolerance_mm)


def built(tolerance_mm: float = DRAFT_CHORD_MM, **changes: Any) -> BuiltRing:
    """The dome ring with rails and what is asked."""
    design = plain_design(
        **{"band": DOME, "rails": {"lower": 0.5, "upper": 0.5}, "pattern": {"across": "auto"}, **changes}
    )
    return _built(json.dumps(design, sort_keys=True), tolerance_mm)


def built_flat(height: float = 3.0, **changes: Any) -> BuiltRing:
    """A flat band 8 mm wide with a row of low bricks."""
    flat = {
        "band": band("flat", station(0, 8, height, height)),
        "rails": {"lower": 1.0, "upper": 1.0},
        "pattern": {"family": "brick", "around": 30, "across": 2},
        "relief": {"depth": 0.15, "wall_width": 0.4},
    }
    return built(**{**flat, **changes})


def kinds(ring: BuiltRing) -> set[str]:
    return {finding.kind.value for finding in ring.report.findings}
