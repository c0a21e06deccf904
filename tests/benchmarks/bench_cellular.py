"""A thousand irregular cells: new, and with only the relief changed. A draft has the cells of the final ring.

Aims: new cells with the final mesh under 2 s, relaxed cells used again.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count

from timing import print_table, seconds

from sample_rings import BANDS  # isort: skip

from ringtex.basics.progress import Progress  # isort: skip
from ringtex.basics.tolerances import DRAFT_CHORD_MM, FINAL_CHORD_MM  # isort: skip
from ringtex.pattern.make_pattern import make_pattern  # isort: skip
from ringtex.pattern.patterned_part import Pattern  # isort: skip
from ringtex.pattern.pattern_options import PatternOptions, RailOptions  # isort: skip
from ringtex.relief.make_relief import make_relief  # isort: skip
from ringtex.relief.relief_options import ReliefOptions  # isort: skip
from ringtex.solid.build_solid import build_solid  # isort: skip
from ringtex.solid.mesh.ring_mesh import RingSolid  # isort: skip
from ringtex.strip.strip_map import StripMap  # isort: skip
from ringtex.strip.unwrap import unwrap  # isort: skip

SEEDS: Iterator[int] = count(2)
"""Relaxed cells are remembered, so that every new pattern must have a seed of its own."""


def pattern_of(strip: StripMap, evenness: float, seed: int) -> Pattern:
    options = PatternOptions("cellular", 100, 10, seed=seed, evenness=evenness)
    return make_pattern(strip, options, RailOptions(0.5, 0.5), Progress())


def solid_of(strip: StripMap, pattern: Pattern, chord_mm: float) -> RingSolid:
    relief = make_relief(pattern.tiling.cells, ReliefOptions(wall_width_mm=0.2, depth_mm=0.2), chord_mm)
    return build_solid(strip, pattern.tiling, relief, chord_mm)


def measured(band: str, evenness: float) -> list[tuple[object, ...]]:
    strip = unwrap(BANDS[band], "shape")
    pattern = pattern_of(strip, evenness, 1)
    relaxed = seconds(lambda: pattern_of(strip, evenness, next(SEEDS)), 5)
    again = seconds(lambda: pattern_of(strip, evenness, 1), 5)
    draft_mesh = seconds(lambda: solid_of(strip, pattern, DRAFT_CHORD_MM), 7)
    final_mesh = seconds(lambda: solid_of(strip, pattern, FINAL_CHORD_MM), 5)
    steps = (
        ("first draft", relaxed, draft_mesh, ""),
        ("fully relaxed, final mesh", relaxed, final_mesh, 2000.0),
        ("only the relief changed, draft", again, draft_mesh, ""),
    )
    return [(band, evenness, name, 1e3 * a, 1e3 * b, 1e3 * (a + b), aim) for name, a, b, aim in steps]


def main() -> None:
    rows = [row for band, evenness in (("flat", 0.0), ("dome", 0.0), ("dome", 1.0)) for row in measured(band, evenness)]
    head = ("band", "evenness", "step", "cells ms", "mesh ms", "together", "aim")
    print_table("1000 cells, unwrapping left out", head, rows)


if __name__ == "__main__":
    main()
