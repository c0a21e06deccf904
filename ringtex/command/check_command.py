"""`ringtex check`: what is wrong with a design or a mesh, worst first."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ringtex.checks.finding import Finding
    from ringtex.command.console import Console

DESIGN_ENDING = ".json"


def add_to(commands: Any) -> None:
    """Add this command to the parser's subcommands."""
    parser = commands.add_parser("check", help="findings of a design or a mesh, worst first", allow_abbrev=False)
    parser.add_argument("file", help="a *.ring.json design, or a mesh in any format that make writes")
    parser.add_argument("--propose", action="store_true", help="also look for the smallest change that clears them")
    parser.add_argument("--out", metavar="FILE", help="with --propose: write the changed design (*.ring.json)")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace, console: Console) -> int:
    """Print the findings: 0 where none is an error, 1 where one is. Raises: InputError for an unusable file."""
    from ringtex.checks.finding import worst_first
    from ringtex.command.results import (
        errors_among,
        finding_lines,
        finding_values,
        give_proposal,
        proposal_for,
        proposal_values,
        refuse_vain_proposal,
    )

    is_design = arguments.file.lower().endswith(DESIGN_ENDING)
    refuse_vain_proposal(arguments.propose, arguments.out, is_design)
    findings, measured = (_design if is_design else _mesh)(arguments.file, console)
    proposal = proposal_for(arguments.file, console) if arguments.propose else None
    findings = worst_first(findings)
    errors = errors_among(findings)
    console.clear()
    console.give(
        {
            "file": arguments.file,
            "kind": "design" if is_design else "mesh",
            "errors": errors,
            **measured,
            "findings": [finding_values(finding) for finding in findings],
            **({"proposal": proposal_values(proposal)} if proposal else {}),
        }
    )
    for line in finding_lines(findings):
        console.say(line)
    if proposal is not None:
        give_proposal(proposal, arguments.out, console)
    return 1 if errors else 0


def _design(file: str, console: Console) -> tuple[list[Finding], dict[str, Any]]:
    from ringtex.basics.progress import Progress
    from ringtex.command.console import stop_on_interrupt
    from ringtex.command.results import mesh_values
    from ringtex.design.design_file import read_design
    from ringtex.make_ring import make_ring

    progress = Progress(console.progress)
    with stop_on_interrupt(progress):
        built = make_ring(read_design(Path(file)), progress=progress)
    return built.report.findings, mesh_values(built.finished.mesh)


def _mesh(file: str, console: Console) -> tuple[list[Finding], dict[str, Any]]:
    from ringtex.checks.geometry.mesh_checks import check_found_mesh
    from ringtex.command.console import begin_work
    from ringtex.command.results import mesh_values
    from ringtex.export.mesh_files.mesh_files import read_mesh

    begin_work()
    mesh = read_mesh(file)
    return check_found_mesh(mesh), mesh_values(mesh)
