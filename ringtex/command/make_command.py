"""`ringtex make`: build a design's ring, check it, write it."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringtex.basics.tolerances import FINAL_CHORD_MM

if TYPE_CHECKING:
    from ringtex.command.console import Console
    from ringtex.design.design import Design


def add_to(commands: Any) -> None:
    """Add this command to the parser's subcommands."""
    parser = commands.add_parser("make", help="build, check and write a ring", allow_abbrev=False)
    parser.add_argument("design", help="the design file (*.ring.json)")
    parser.add_argument(
        "--out",
        action="append",
        default=[],
        metavar="FILE",
        help="the mesh to write; its ending picks the format, such as .stl; may be given again. "
        "Where the design asks for shrinkage or finishing, the name is marked so",
    )
    parser.add_argument("--picture", metavar="FILE", help="also draw the ring (.png)")
    parser.add_argument("--stones", metavar="FILE", help="also write the stones apart, as a mesh in their places")
    parser.add_argument(
        "--tolerance",
        type=float,
        default=FINAL_CHORD_MM,
        metavar="MM",
        help=f"largest distance between mesh and true surface (default: {FINAL_CHORD_MM})",
    )
    parser.add_argument("--size", metavar="SIZE", help='another finger size, such as 56 or "us 6.75"')
    parser.add_argument(
        "--price", type=float, metavar="NUMBER", help="what a gram of the alloy costs, to tell what the metal costs"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace, console: Console) -> int:
    """Make the ring: 0 where it is clean, 1 where it was written but has errors.

    Raises: InputError for an unusable design or option, or a ring that would not be a sound body; OutputError where a
    file cannot be written; Cancelled.
    """
    from ringtex.basics.progress import Progress
    from ringtex.checks.making.weights import checked_price
    from ringtex.command.console import stop_on_interrupt
    from ringtex.command.results import errors_among, ring_results, summary_lines, weight_lines, weight_values
    from ringtex.document.ring_files import (
        refuse_stones_of_none,
        refuse_unsound,
        refuse_unusable_targets,
        write_files,
        write_stones,
    )
    from ringtex.export.mesh_files.casting_pattern import casting_name
    from ringtex.make_ring import make_ring

    design = _design(arguments)
    meshes = [casting_name(name, design.make) for name in arguments.out]
    refuse_unusable_targets([*meshes, *([arguments.stones] if arguments.stones else [])], arguments.picture)
    if arguments.stones is not None:
        refuse_stones_of_none(design)
    if arguments.price is not None:
        checked_price(arguments.price)
    progress = Progress(console.progress)
    with stop_on_interrupt(progress):
        built = make_ring(design, arguments.tolerance, progress)
        refuse_unsound(built.report.findings)
        files = write_files(built, meshes, arguments.picture, progress)
        if arguments.stones is not None:
            files.append(write_stones(built, arguments.stones, progress))
    console.clear()
    results = ring_results(built, files, progress.seconds)
    weights = weight_values(built, arguments.price)
    console.give({**results, **weights})
    for line in (*weight_lines(built, weights), *summary_lines(built, results)):
        console.say(line)
    return 1 if errors_among(built.report.findings) else 0


def _design(arguments: argparse.Namespace) -> Design:
    from ringtex.command.sizes_command import size_from_words
    from ringtex.design.design_file import read_design

    design = read_design(Path(arguments.design))
    return design if arguments.size is None else replace(design, size=size_from_words(arguments.size))
