"""`ringtex sheet`: the workshop sheet of a design."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ringtex.command.console import Console


def add_to(commands: Any) -> None:
    """Add this command to the parser's subcommands."""
    parser = commands.add_parser("sheet", help="write a design's workshop sheet", allow_abbrev=False)
    parser.add_argument("design", help="the design file (*.ring.json)")
    parser.add_argument("--out", required=True, metavar="FILE", help="the sheet to write (.pdf or .html)")
    parser.add_argument("--paper", default="a4", help="a4 or letter (default: a4)")
    parser.add_argument("--date", default="", metavar="TEXT", help="a date to stand in the corner; none unless given")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace, console: Console) -> int:
    """Write the sheet: 0 where the ring is clean, 1 where it has errors (they stand on the sheet).

    Raises: InputError for an unusable design or option; OutputError where it cannot be written; Cancelled.
    """
    from ringtex.basics.progress import Progress
    from ringtex.command.console import stop_on_interrupt
    from ringtex.command.results import errors_among, finding_lines
    from ringtex.design.design_file import read_design
    from ringtex.document.workshop_sheet import refuse_unusable_sheet, write_sheet
    from ringtex.make_ring import make_ring

    refuse_unusable_sheet(arguments.out, arguments.paper)
    design = read_design(Path(arguments.design))
    progress = Progress(console.progress)
    with stop_on_interrupt(progress):
        built = make_ring(design, progress=progress)
        with progress.stage("sheet", 1.0):
            size = write_sheet(built, arguments.out, arguments.paper, arguments.date, progress)
    console.clear()
    errors = errors_among(built.report.findings)
    console.give({"file": arguments.out, "bytes": size, "paper": arguments.paper, "errors": errors})
    for line in finding_lines(built.report.findings):
        console.say(line)
    console.say(f"Wrote {arguments.out} ({size / 1e6:.2f} MB)")
    return 1 if errors else 0
