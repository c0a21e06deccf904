"""`ringtex sizes`: a finger size in every scale; and a size as given on the command line."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from ringtex.band.finger_size import SCALES, FingerSize, SizeReading, size_in_every_scale
from ringtex.basics.errors import InputError

if TYPE_CHECKING:
    from ringtex.command.console import Console


def scale_and_value(words: str, otherwise: str = "iso") -> tuple[str, str]:
    """The scale that stands before a value, as in "us 6.75", whether it is known or not; else `otherwise`.

    >>> scale_and_value("US 6.75"), scale_and_value("L 1/2", "uk"), scale_and_value("fr 54")
    (('us', '6.75'), ('uk', 'L 1/2'), ('fr', '54'))
    """
    first, _, rest = words.strip().partition(" ")
    # A UK size begins with one letter, a scale has two or more.
    named = len(first) > 1 and first.isalpha() and rest.strip()
    return (first.lower(), rest.strip()) if named else (otherwise, words.strip())


def size_from_words(words: str) -> FingerSize:
    """ "56" is ISO; otherwise the scale comes first: "us 6.75", "uk L 1/2".

    Raises: InputError with what the scale expects.
    """
    scale, value = scale_and_value(words)
    try:
        return FingerSize(scale, value)
    except InputError as error:
        advice = error.advice
        if error.where != "size.scale":
            advice += f'; for another scale write it first, as in "us 6.75" ({", ".join(SCALES)})'
        raise InputError(error.message, advice, "--size") from None


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
