"""`ringtex sizes`: one finger size in every scale."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from ringtex.band.finger_size import SCALES, FingerSize, SizeReading, size_in_every_scale
from ringtex.command.size_argument import scale_and_value

if TYPE_CHECKING:
    from ringtex.command.console import Console


def add_to(commands: Any) -> None:
    """Add this command to the parser's subcommands."""
    parser = commands.add_parser("sizes", help="the same finger size in every scale", allow_abbrev=False)
    parser.add_argument("value", help='the size, such as 54, "us 6.75" or "uk L 1/2"')
    parser.add_argument("--scale", default="iso", help=f"the scale of the value: {', '.join(SCALES)} (default: iso)")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace, console: Console) -> int:
    """Print the table. Raises: InputError for a value that is not on the scale."""
    size = FingerSize(*scale_and_value(arguments.value, arguments.scale.lower()))
    readings = size_in_every_scale(size.circumference_mm)
    console.give(
        {
            "scale": size.scale,
            "value": size.value,
            "circumference_mm": size.circumference_mm,
            "diameter_mm": size.diameter_mm,
            "sizes": [asdict(reading) for reading in readings],
        }
    )
    console.say(f"{size.label}: inner circumference {size.circumference_mm:.2f} mm, diameter {size.diameter_mm:.2f} mm")
    console.say()
    console.say("scale  nearest mark  its circumference  this size is")
    for reading in readings:
        console.say(_row(reading))
    console.say()
    for reading in readings:
        note = f". {reading.note}" if reading.note else ""
        console.say(f"{reading.scale}: {reading.definition}{note}.")
    return 0


def _row(reading: SizeReading) -> str:
    off = "the same" if abs(reading.off_mm) < 0.005 else f"{abs(reading.off_mm):.2f} mm "
    if off != "the same":
        off += "larger" if reading.off_mm > 0 else "smaller"
    return f"{reading.scale:<5}  {reading.mark:>12}  {reading.marked_circumference_mm:14.2f} mm  {off}"
