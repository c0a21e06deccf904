"""What every family costs: some 10,000 cells on a plain flat band at final tolerance.

    python tests/benchmarks/bench_families.py [FAMILY ...]

Seconds of processor time for pattern, relief and mesh; the bar is 1.5 s each.
"""

from __future__ import annotations

import sys
import time

from timing import print_table

from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.pattern.lattice.families import LATTICE_FAMILIES, lattice_complex
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import CELL_FAMILIES, PatternOptions, RailOptions
from ringtex.relief.make_relief import make_relief
from ringtex.relief.relief_options import ReliefOptions
from ringtex.solid.build_solid import build_solid
from ringtex.strip.unwrap import unwrap

CELLS = 10_000


def main() -> int:
    from sample_rings import BANDS

    strip = unwrap(BANDS["flat"], "length")
    relief_options = ReliefOptions(depth_mm=0.05, wall_width_mm=0.03, corner_mm=0.0)
    rows = []
    for family in sys.argv[1:] or CELL_FAMILIES:
        grown = family not in LATTICE_FAMILIES
        form = lattice_complex("hexagon" if grown else family)
        start = time.process_time()
        if form.regular is None:
            options = PatternOptions(family, 2000, 5)
        else:
            # around x across x faces = CELLS, with regular cells on a strip of this shape.
            repeats = CELLS / len(form.faces)
            around = max(3, round((repeats * form.regular * strip.length / strip.width) ** 0.5))
            options = PatternOptions(family, around)
        pattern = make_pattern(strip, options, RailOptions(), Progress())
        patterned = time.process_time()
        relief = make_relief(pattern.tiling.cells, relief_options, FINAL_CHORD_MM, level=pattern.level)
        mesh = build_solid(strip, pattern.tiling, relief, FINAL_CHORD_MM).mesh
        ended = time.process_time()
        rows.append((family, pattern.tiling.cells, len(mesh.faces), patterned - start, ended - start))
    print_table("Lattice families", ("family", "cells", "triangles", "pattern s", "all s"), rows)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
