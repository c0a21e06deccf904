"""`ringtex new`: a valid design to start from."""

from __future__ import annotations

import argparse
import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringtex.band.presets import PRESETS, preset_named
from ringtex.basics.errors import InputError, OutputError
from ringtex.basics.resources import demo_folder, resource

if TYPE_CHECKING:
    from ringtex.command.console import Console
    from ringtex.pattern.motif.import_motif import ImportedMotif

PATTERN_ENDING = ".pattern.json"


def add_to(commands: Any) -> None:
    """Add this command to the parser's subcommands."""
    parser = commands.add_parser("new", help="write a valid starting design", allow_abbrev=False)
    parser.add_argument("--out", required=True, metavar="FILE", help="the design file to write (*.ring.json)")
    parser.add_argument(
        "--from",
        dest="pattern",
        metavar="PATTERN",
        help="a *.pattern.json file, or the name of a pattern that comes with the program",
    )
    parser.add_argument(
        "--band",
        metavar="NAME",
        help=f"a band to begin with: {', '.join(preset.name for preset in PRESETS)}",
    )
    parser.add_argument(
        "--panel",
        action="append",
        default=[],
        metavar="FAMILY",
        help="a framed rectangle with cells of this family, at the head first; may be repeated",
    )
    parser.add_argument(
        "--blend", type=float, metavar="MM", help="fade the relief so far to both sides of each border between zones"
    )
    motif = parser.add_mutually_exclusive_group()
    motif.add_argument(
        "--motif",
        metavar="FILE",
        help="an SVG drawing or a grey PNG or TIFF picture to repeat round the ring; the design keeps it",
    )
    motif.add_argument("--motif-text", metavar="TEXT", help="a line of text to repeat round the ring")
    parser.add_argument("--font", metavar="FILE", help="the .ttf or .otf file of --motif-text (default: DejaVu Sans)")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace, console: Console) -> int:
    """Write the design. Raises: InputError for an unusable pattern, OutputError where the file cannot be written."""
    from ringtex.design.design_file import read_design, read_pattern, write_design

    out = Path(arguments.out)
    if os.path.lexists(out):
        raise OutputError("there is already such a file or folder", "Choose another name", arguments.out)
    design = read_design(resource("starting_design.ring.json"))
    if arguments.band is not None:
        design = replace(design, band=preset_named(arguments.band).options)
    if arguments.pattern is not None:
        design = read_pattern(_pattern_path(arguments.pattern)).on(design)
    if arguments.blend is not None:
        from ringtex.edits.zone_edits import with_blends

        design = with_blends(design, arguments.blend)
    for family in arguments.panel:
        from ringtex.edits.panel_edits import next_panel

        panel = next_panel(design)
        panel = replace(panel, pattern=replace(panel.pattern, family=family))
        design = replace(design, panels=(*design.panels, panel))
    said: dict[str, Any] = {"file": arguments.out, "name": design.name}
    found = _motif(arguments)
    if found is not None:
        from ringtex.edits.motif_edits import lost_to_motif, with_motif

        said["left_out"] = [f"{lost} went: a motif takes their place" for lost in lost_to_motif(design)]
        said["left_out"] += found.left_out
        design = with_motif(design, found.motif)
    write_design(design, out)
    console.give(said)
    for sentence in said.get("left_out", []):
        console.say(f"Note: {sentence}")
    console.say(
        f"Wrote {arguments.out}. Change it in any text editor, then: ringtex make {arguments.out} --out ring.stl"
    )
    return 0


def _motif(arguments: argparse.Namespace) -> ImportedMotif | None:
    """The motif that a file or a text gives, if one was asked for."""
    if arguments.motif is not None:
        from ringtex.pattern.picture.import_picture import read_drawing_or_picture

        return read_drawing_or_picture(Path(arguments.motif))
    if arguments.motif_text is not None:
        from ringtex.edits.text_motif import text_motif
        from ringtex.solid.finishing.inscription_options import PACKAGED_FONT

        return text_motif(arguments.motif_text, arguments.font or PACKAGED_FONT)
    if arguments.font is not None:
        raise InputError("a font was given, but no text", "Give --motif-text", "--font")
    return None


def _pattern_path(given: str) -> Path:
    """The file given, or the pattern of that name that comes with the program."""
    path = Path(given)
    if os.path.lexists(path) or path.name != given:
        return path
    known = {file.name.removesuffix(PATTERN_ENDING): file for file in sorted(demo_folder().glob(f"*{PATTERN_ENDING}"))}
    name = given.removesuffix(PATTERN_ENDING)
    if name not in known:
        advice = f"Name a *{PATTERN_ENDING} file, or one of {', '.join(known)}"
        raise InputError("there is no such pattern", advice, given)
    return known[name]
