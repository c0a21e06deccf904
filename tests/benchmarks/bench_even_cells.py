"""Even cells on the dome (size 54, 18 to 5 wide, 9 to 1.5 high): evenness, regularity and time against their bars, the
variation of areas by evenness on several bands, and the same ring under the naive wrap.

Bars: area varies by 0.15 % at most; with 1000 inner cells 92 % six-sided and every 4 pi A / P^2 at least 0.75; time
50, 50 and 33 times that of one power diagram assembled from nothing, in the same run (200, 1000, 5000 cells); with 1000
cells without evenness 12 times. Areas are added up from triangles between places on the ring.
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
from ringtex.pattern.cellular.area_density import AreaDensity, area_density  # isort: skip
from ringtex.pattern.cellular.moving_diagram import MovingDiagram  # isort: skip
from ringtex.pattern.cellular.power_diagram import CellMeasures  # isort: skip
from ringtex.pattern.cellular.sites import random_sites  # isort: skip
from ringtex.pattern.make_pattern import make_pattern, patterned_part  # isort: skip
from ringtex.pattern.measure import on_border, six_sided_share  # isort: skip
from ringtex.pattern.pattern_options import PatternOptions, RailOptions  # isort: skip
from ringtex.pattern.measure import measure_regularity  # isort: skip
from ringtex.pattern.patterned_part import PatternedPart  # isort: skip
from ringtex.strip.unwrap import unwrap  # isort: skip
from seam_statistics import BANDS, strip_of  # isort: skip

COUNTS = ((27, 10, 50.0), (107, 11, 50.0), (260, 21, 33.0))
SEEDS = 3
DESIGN = Design(FingerSize("iso", "54"), preset_named("dome").options, pattern=PatternOptions("hexagon", 60))


def assembly_seconds(part: PatternedPart, density: AreaDensity, count: int) -> float:
    """Processor time of one power diagram from nothing, with the measures of its cells: the least of five runs."""
    sites, weights, taken = random_sites(part, count, 1), np.zeros(count), []
    for _ in range(5):
        began = time.process_time()
        _ = CellMeasures(MovingDiagram(part, sites, weights), density).measures
        taken.append(time.process_time() - began)
    return min(taken)


def evenness() -> None:
    strip = unwrap(DESIGN.make_band(), "shape")
    rails = RailOptions(0.3, 0.3)
    part = patterned_part(strip, rails)
    make_pattern(strip, PatternOptions("cellular", 10, 3, evenness=1.0), rails, Progress())
    rows = []
    for family, wanted in (("hexagon", 1.0), ("cellular", 1.0), ("cellular", 0.0)):
        for around, across, bar in COUNTS:
            assembly = assembly_seconds(part, area_density(strip, part, 1.0), around * across)
            spread, six, least, seconds = [], [], [], []
            for seed in range(1, SEEDS + 1):
                options = PatternOptions(family, around, across, seed=seed, evenness=wanted)
                began = time.process_time()
                tiling = make_pattern(strip, options, rails, Progress()).tiling
                seconds.append(time.process_time() - began)
                regular = measure_regularity(tiling, strip)
                spread.append(100.0 * measure_cell_distortion(tiling, strip, 10).areas.cv)
                six.append(six_sided_share(tiling))
                least.append(regular.least_roundness)
            rows.append(
                [family, f"{wanted:g}", tiling.cells, int(np.sum(~on_border(tiling))), f"{max(spread):.3f}",
                 f"{min(six):.3f}", f"{np.mean(six):.3f}", f"{min(least):.3f}", f"{np.mean(least):.3f}",
                 f"{np.median(seconds):.3f}", f"{1e3 * assembly:.1f}", f"{np.median(seconds) / assembly:.0f}",
                 f"{bar:g}" if wanted else "12"]
            )  # fmt: skip
    head = ["family", "evenness", "cells", "inner", "area %", "six-sided", "mean", "least round", "mean", "cpu s",
            "assembly ms", "ratio", "bar"]  # fmt: skip
    print_table(f"Cells on the dome: the worst and mean of {SEEDS} seeds, the median time", head, rows)


def by_evenness() -> None:
    """Coefficient of variation at each evenness over that at 0, whose aim is 1 - evenness."""
    levels = (0.1, 0.3, 0.5, 0.8, 1.0)
    rows = []
    for band in (*BANDS, "large dome"):
        strip = unwrap(DESIGN.make_band(), "shape") if band == "large dome" else strip_of(band)
        for family in ("hexagon", "cellular"):
            for scatter in (0.0, 0.5):
                spread = []
                for evenness in (0.0, *levels):
                    options = PatternOptions(family, 40, 6, scatter=scatter, evenness=evenness)
                    tiling = make_pattern(strip, options, RailOptions(0.3, 0.3), Progress()).tiling
                    spread.append(measure_cell_distortion(tiling, strip, 8).areas.cv)
                ratios = [f"{value / spread[0]:.3f}" if spread[0] > 1e-3 else "-" for value in spread[1:]]
                rows.append([band, family, f"{scatter:g}", f"{100.0 * spread[0]:.2f}", *ratios])
    print_table(
        "Variation of areas over that at evenness 0", ["band", "family", "scatter", "at 0, %", *map(str, levels)], rows
    )


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
    by_evenness()
    naive()
