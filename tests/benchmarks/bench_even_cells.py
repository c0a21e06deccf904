"""Even cells on the dome (size 54, 18 to 5 wide, 9 to 1.5 high): evenness, regularity and time against their bars, and
the same ring under the naive wrap.

Bars: area varies by 0.5 % at most with 200 and 1000 inner cells and 1 % with 5000; 88 % six-sided; every 4 pi A / P^2
at least 0.68; 0.7, 2 and 6 s on two cores. Areas are added up from triangles between places on the ring.
"""

from __future__ import annotations

import time

import numpy as np
from timing import print_table

from ringtex.band.presets import preset_named  # isort: skip
from ringtex.basics.progress import Progress  # isort: skip
from ringtex.checks.geometry.cell_measures import measure_cell_distortion  # isort: skip
from ringtex.design.design import Design  # isort: skip
from ringtex.band.finger_size import FingerSize  # isort: skip
from ringtex.document.compare_mappings import compare_mappings  # isort: skip
from ringtex.pattern.make_pattern import make_pattern  # isort: skip
from ringtex.pattern.measure import on_border, six_sided_share  # isort: skip
from ringtex.pattern.pattern_options import PatternOptions, RailOptions  # isort: skip
from ringtex.pattern.measure import measure_regularity  # isort: skip
from ringtex.strip.unwrap import unwrap  # isort: skip

COUNTS = ((27, 10, 0.5, 0.7), (107, 11, 0.5, 2.0), (260, 21, 1.0, 6.0))
SEEDS = 3
DESIGN = Design(FingerSize("iso", "54"), preset_named("dome").options, pattern=PatternOptions("hexagon", 60))


def evenness() -> None:
    strip = unwrap(DESIGN.make_band(), "shape")
    rails = RailOptions(0.3, 0.3)
    make_pattern(strip, PatternOptions("cellular", 10, 3, evenness=1.0), rails, Progress())
    rows = []
    for family in ("hexagon", "cellular"):
        for around, across, bar, limit in COUNTS:
            spread, six, least, mean, seconds, wall = [], [], [], [], [], []
            for seed in range(1, SEEDS + 1):
                options = PatternOptions(family, around, across, seed=seed, evenness=1.0)
                began, on_clock = time.process_time(), time.perf_counter()
                tiling = make_pattern(strip, options, rails, Progress()).tiling
                seconds.append(time.process_time() - began)
                wall.append(time.perf_counter() - on_clock)
                regular = measure_regularity(tiling, strip)
                spread.append(100.0 * measure_cell_distortion(tiling, strip, 10).areas.cv)
                six.append(six_sided_share(tiling))
                least.append(regular.least_roundness)
                mean.append(regular.mean_roundness)
            inner = int(np.sum(~on_border(tiling)))
            rows.append(
                [family, tiling.cells, inner, f"{max(spread):.3f}", f"{bar:g}", f"{min(six):.3f}", f"{min(least):.3f}",
                 f"{min(mean):.3f}", f"{min(seconds):.2f}", f"{min(wall):.2f}", f"{limit:g}"]
            )  # fmt: skip
    head = ["family", "cells", "inner", "area %", "bar", "six-sided", "least round", "mean", "cpu s", "wall s", "bar"]
    print_table(f"Even cells on the dome, the worst of {SEEDS} seeds, the quickest run", head, rows)


def blend() -> None:
    strip = unwrap(DESIGN.make_band(), "shape")
    rows = []
    for evenness in (0.0, 0.01, 0.05, 0.1, 0.2, 0.3, 0.4, 0.6, 0.8, 1.0):
        row: list[object] = [f"{evenness:g}"]
        for family in ("hexagon", "cellular"):
            options = PatternOptions(family, 60, 9, evenness=evenness)
            tiling = make_pattern(strip, options, RailOptions(), Progress()).tiling
            spread = 100.0 * measure_cell_distortion(tiling, strip).areas.cv
            row += [f"{spread:.2f}", f"{six_sided_share(tiling):.3f}"]
        rows.append(row)
    head = ["evenness", "hexagon: area %", "six-sided", "cellular: area %", "six-sided"]
    print_table("From one lattice, graded, to even cells", head, rows)


def naive() -> None:
    rows = []
    for way in compare_mappings(DESIGN, Progress()):
        areas = way.cells.areas
        rows.append(
            [way.name, f"{100.0 * areas.cv:.2f}", f"{areas.smallest / areas.mean:.3f}",
             f"{areas.largest / areas.mean:.3f}", f"{way.cells.mean_angle_error_deg:.2f}",
             f"{way.cells.worst_angle_error_deg:.1f}"]
        )  # fmt: skip
    head = ["mapping", "area %", "smallest", "largest", "mean angle", "worst angle"]
    print_table("The same dome, 60 hexagons round, under each mapping", head, rows)


if __name__ == "__main__":
    evenness()
    blend()
    naive()
