"""How long the checks of a ring take beside building it: the ratio of the two in one run, by processor time."""

from __future__ import annotations

import time
from dataclasses import replace

from timing import print_table, seconds

from ringtex.basics.progress import Progress
from ringtex.basics.resources import demo_folder
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.design.design import Design
from ringtex.design.design_file import read_design
from ringtex.make_ring import make_ring, shape_ring


def rings() -> dict[str, Design]:
    """The demo rings, and 60 x 15 cells on the flat one."""
    demos = {path.name.split(".")[0]: read_design(path) for path in sorted(demo_folder().glob("*.ring.json"))}
    flat = demos["plain_flat"]
    return {**demos, "flat 60 x 15": replace(flat, pattern=replace(flat.pattern, around=60, across=15))}


def deeper(design: Design, step: int) -> Design:
    """The design with a relief of its own, so that no cache has its ring."""
    return replace(design, relief=replace(design.relief, depth_mm=design.relief.depth_mm + 1e-6 * step))


def main() -> None:
    rows = []
    for name, design in rings().items():
        steps = iter(range(1, 100))
        build = seconds(
            lambda design=design, steps=steps: shape_ring(deeper(design, next(steps)), FINAL_CHORD_MM, Progress()),
            5,
            time.process_time,
        )
        whole = seconds(
            lambda design=design, steps=steps: make_ring(deeper(design, next(steps)), FINAL_CHORD_MM, Progress()),
            5,
            time.process_time,
        )
        rows.append((name, 1e3 * build, 1e3 * (whole - build), (whole - build) / build))
    print_table("milliseconds of processor time, band unchanged", ("ring", "build", "checks", "checks / build"), rows)


if __name__ == "__main__":
    main()
