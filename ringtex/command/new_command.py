"""`ringtex new`: a valid design to start from."""

from __future__ import annotations

import argparse
import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringtex.band.presets import band_names, preset_named
from ringtex.basics.errors import InputError, OutputError
from ringtex.basics.known_names import unknown_name
from ringtex.basics.resources import demo_folder, resource

if TYPE_CHECKING:
    from ringtex.command.console import Console
    from ringtex.design.design import Design
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
        help=f"a band to begin with: {', '.join(band_names())}",
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
    """Write the design: 0 where the ring has no errors, 1 where no change was found that clears them.

    Raises: InputError for an unusable pattern or what cannot be built, OutputError where the file cannot be written;
    Cancelled.
    """
    from ringtex.design.design_file import write_design

    out = Path(arguments.out)
    if os.path.lexists(out):
        raise OutputError("there is already such a file or folder", "Choose another name", arguments.out)
    design, is_demo = _asked_for(arguments)
    said: dict[str, Any] = {"file": arguments.out, "name": design.name}
    found = _motif(arguments)
    if found is not None:
        from ringtex.edits.motif_edits import lost_to_motif, with_motif

        said["left_out"] = [f"{lost} went: a motif takes their place" for lost in lost_to_motif(design)]
        said["left_out"] += found.left_out
        design, is_demo = with_motif(design, found.motif), False
    notes: list[str] = list(said.get("left_out", []))
    left: list[str] = []
    if not is_demo:
        design, changed, left = _without_errors(design, console)
        if changed:
            said["changed"] = changed
            notes.append(f"the ring would have had errors, so this was changed: {'; '.join(changed)}")
    write_design(design, out)
    console.clear()
    console.give(said)
    for sentence in notes:
        console.say(f"Note: {sentence}")
    for line in left:
        console.say(line)
    console.say(
        f"Wrote {arguments.out}. Change it in any text editor, then: ringtex make {arguments.out} --out ring.stl"
    )
    return 1 if left else 0


def _asked_for(arguments: argparse.Namespace) -> tuple[Design, bool]:
    """The design without a motif, and whether it is a pattern of the program on its own band, which is known to
    have no errors (`tests/test_demo_patterns.py`)."""
    from ringtex.design.design_file import read_design, read_pattern
    from ringtex.strip.strip_options import StripOptions

    design, is_demo = read_design(resource("starting_design.ring.json")), True
    if arguments.band is not None:
        # Lengths can be kept on flat bands alone.
        design = replace(design, band=preset_named(arguments.band).options, strip=StripOptions())
        is_demo = False
    if arguments.pattern is not None:
        path = _pattern_path(arguments.pattern)
        design = read_pattern(path).on(design)
        is_demo = is_demo and path.resolve().parent == demo_folder().resolve()
    if arguments.blend is not None:
        from ringtex.edits.zone_edits import with_blends

        design, is_demo = with_blends(design, arguments.blend), False
    for family in arguments.panel:
        from ringtex.edits.design_keys import with_one
        from ringtex.edits.panel_edits import next_panel

        key = f"panels[{len(design.panels)}].pattern.family"
        design = replace(design, panels=(*design.panels, next_panel(design)))
        design, is_demo = with_one(design, key, family), False
    return design, is_demo


def _without_errors(design: Design, console: Console) -> tuple[Design, list[str], list[str]]:
    """The design with the smallest change that clears the errors of its ring, what was changed, and the errors that are
    left with what to do about them. Raises: InputError where the ring cannot be built; Cancelled."""
    from ringtex.basics.progress import Progress
    from ringtex.basics.tolerances import DRAFT_CHORD_MM
    from ringtex.checks.finding import Level
    from ringtex.command.console import stop_on_interrupt
    from ringtex.command.results import errors_among, finding_lines
    from ringtex.document.proposal import propose
    from ringtex.make_ring import make_ring

    progress = Progress(console.progress)
    with stop_on_interrupt(progress):
        findings = make_ring(design, DRAFT_CHORD_MM, progress).report.findings
        if not errors_among(findings):
            return design, [], []
        proposal = propose(design, progress)
    if errors_among(proposal.findings_after):
        return design, [], finding_lines([finding for finding in findings if finding.level is Level.ERROR])
    return proposal.design, proposal.sentences, []


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
        raise unknown_name("there is no such pattern", name, known, given, advice)
    return known[name]
