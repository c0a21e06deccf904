"""How long a draft takes while a value is dragged: one value changed, the band (and its strip) as before.

Timed: pattern, relief and solid. Aims: under 33 ms on the plain band and 60 ms on the dome.
"""

from __future__ import annotations

import statistics
import time
from dataclasses import replace
from itertools import cycle
from typing import Any

from timing import print_table

from sample_rings import BANDS  # isort: skip

from ringtex.basics.progress import Progress  # isort: skip
from ringtex.basics.tolerances import DRAFT_CHORD_MM  # isort: skip
from ringtex.pattern.make_pattern import make_pattern  # isort: skip
from ringtex.pattern.pattern_options import PatternOptions, RailOptions  # isort: skip
from ringtex.relief.make_relief import make_relief  # isort: skip
from ringtex.relief.relief_options import ReliefOptions  # isort: skip
from ringtex.solid.build_solid import build_solid  # isort: skip
from ringtex.strip.unwrap import unwrap  # isort: skip

CHANGES: dict[str, list[dict[str, Any]]] = {
    "depth": [{"depth_mm": value} for value in (0.25, 0.3, 0.35, 0.4)],
    "ridge": [{"wall_width_mm": value} for value in (0.3, 0.35, 0.4, 0.45)],
    "around": [{"around": value} for value in (22, 23, 24, 25)],
    "seed": [{"seed": value, "scatter": 0.5} for value in range(1, 29)],
}
RUNS, WARM = 24, 4


def draft_seconds(band: str, changes: list[dict[str, Any]]) -> tuple[float, float, int]:
    """Median and slowest seconds, and triangles."""
    strip = unwrap(BANDS[band], "shape")
    pattern = PatternOptions("hexagon", 24, 6 if band == "flat" else "auto")
    relief, taken, triangles = ReliefOptions(), [], 0
    for number, change in zip(range(RUNS + WARM), cycle(changes), strict=False):
        start = time.perf_counter()
        of_relief = "depth_mm" in change or "wall_width_mm" in change
        asked, wished = (pattern, replace(relief, **change)) if of_relief else (replace(pattern, **change), relief)
        tiling = make_pattern(strip, asked, RailOptions(0.5, 0.5), Progress()).tiling
        solid = build_solid(strip, tiling, make_relief(tiling.cells, wished, DRAFT_CHORD_MM), DRAFT_CHORD_MM)
        if number >= WARM:
            taken.append(time.perf_counter() - start)
        triangles = len(solid.mesh.faces)
    return statistics.median(taken), max(taken), triangles


def main() -> None:
    rows = []
    for band, aim in (("flat", 33.0), ("dome", 60.0)):
        for name, changes in CHANGES.items():
            median, slowest, triangles = draft_seconds(band, changes)
            rows.append((band, name, triangles, 1e3 * median, 1e3 * slowest, aim))
    head = ("band", "changed", "triangles", "median ms", "slowest", "aim")
    print_table("Drafts of hexagons, 24 around, band unchanged", head, rows)


if __name__ == "__main__":
    main()
