"""`ringtex compare`: the same design under each way of laying the pattern on the band."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ringtex.command.console import Console
    from ringtex.document.compare_mappings import ComparedMapping

SIDE = 420
"""Pixels of each picture's side."""

HEAD = (
    f"{'':<12}{'cells':>6}{'area varies':>13}{'smallest':>10}{'largest':>9}{'angle error':>19}{'six-sided':>11}"
    f"{'roundness':>11}"
)


def add_to(commands: Any) -> None:
    """Add this command to the parser's subcommands."""
    parser = commands.add_parser(
        "compare", help="what each way of laying the pattern on the band does to its cells", allow_abbrev=False
    )
    parser.add_argument("design", help="the design file (*.ring.json)")
    parser.add_argument("--picture", metavar="FILE", help="draw the ring under each of them, side by side (.png)")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace, console: Console) -> int:
    """Print the table and draw the picture. Raises: InputError, OutputError, Cancelled."""
    from ringtex.basics.progress import Progress
    from ringtex.command.console import stop_on_interrupt
    from ringtex.design.design_file import read_design
    from ringtex.document.compare_mappings import compare_mappings, mapping_caption, mapping_pictures
    from ringtex.document.ring_files import refuse_unusable_targets
    from ringtex.export.picture.picture import write_side_by_side

    if arguments.picture is not None:
        refuse_unusable_targets([], arguments.picture)
    design = read_design(Path(arguments.design))
    progress = Progress(console.progress)
    with stop_on_interrupt(progress):
        compared = compare_mappings(design, progress)
        if arguments.picture is not None:
            pictures = mapping_pictures(compared, design, SIDE, progress)
            write_side_by_side(pictures, [mapping_caption(way) for way in compared], arguments.picture)
    console.clear()
    console.give({"name": design.name, "picture": arguments.picture, "mappings": [_values(way) for way in compared]})
    console.say(HEAD)
    for way in compared:
        console.say(_row(way))
    console.say("Areas are the cells' own on the ring, over their mean; angle error: mean over the ring, worst.")
    if arguments.picture is not None:
        console.say(f"Wrote {arguments.picture}")
    return 0


def _values(way: ComparedMapping) -> dict[str, Any]:
    areas, regular = way.cells.areas, way.regularity
    return {
        "mapping": way.name,
        "cells": way.pattern.counted[0],
        "cell_area": {"min": areas.smallest, "mean": areas.mean, "max": areas.largest, "cv": areas.cv},
        "stretch": {"min": float(way.cells.stretch_min.min()), "max": float(way.cells.stretch_max.max())},
        "angle_error_degrees": {"mean": way.cells.mean_angle_error_deg, "worst": way.cells.worst_angle_error_deg},
        "regularity": {
            "six_sided_share": regular.six_sided_share,
            "mean_roundness": regular.mean_roundness,
            "least_roundness": regular.least_roundness,
        },
    }


def _row(way: ComparedMapping) -> str:
    from ringtex.pattern.measure import percent_words

    areas, regular = way.cells.areas, way.regularity
    angles = f"{way.cells.mean_angle_error_deg:.2f}, {way.cells.worst_angle_error_deg:.1f} deg"
    return (
        f"{way.name:<12}{way.pattern.counted[0]:>6}{100.0 * areas.cv:>11.2f} %{areas.smallest / areas.mean:>10.3f}"
        f"{areas.largest / areas.mean:>9.3f}{angles:>19}{percent_words(regular.six_sided_share):>11}"
        f"{regular.mean_roundness:>11.3f}"
    )
