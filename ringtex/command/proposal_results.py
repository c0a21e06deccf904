"""What `ringtex check --propose` looks for, tells and writes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringtex.basics.errors import InputError
from ringtex.command.finding_lines import finding_lines, finding_values

if TYPE_CHECKING:
    from ringtex.command.console import Console
    from ringtex.document.proposal import Proposal


def refuse_vain_proposal(asked: bool, out: str | None, is_design: bool) -> None:
    """Raises: InputError where nothing could be proposed or written."""
    if out is not None and not asked:
        raise InputError("only a proposed design can be written", "Add --propose", "--out")
    if asked and not is_design:
        raise InputError("changes are proposed for designs, not for meshes", "Name a *.ring.json file", "--propose")


def proposal_for(file: str, console: Console) -> Proposal:
    """Look for it. Raises: InputError, Cancelled."""
    from ringtex.basics.progress import Progress
    from ringtex.command.stop_on_interrupt import stop_on_interrupt
    from ringtex.design.design_file import read_design
    from ringtex.document.proposal import propose

    progress = Progress(console.progress)
    with stop_on_interrupt(progress):
        return propose(read_design(Path(file)), progress)


def proposal_values(proposal: Proposal) -> dict[str, Any]:
    """The proposal as plain values."""
    return {
        "clears": proposal.clears,
        "changes": [
            {"key": change.key, "before": change.before, "after": change.after, "text": change.text}
            for change in proposal.changes
        ],
        "findings_after": [finding_values(finding) for finding in proposal.findings_after],
        "drafts": proposal.builds,
    }


def give_proposal(proposal: Proposal, out: str | None, console: Console) -> None:
    """Tell it, and write the changed design where that was asked for. Raises: OutputError."""
    console.say()
    if not proposal.changes:
        console.say("No change is needed." if proposal.clears else "No change was found that helps.")
        return
    console.say(
        "Proposed; together this clears every error and warning:"
        if proposal.clears
        else "Proposed; this helps, but does not clear all:"
    )
    for sentence in proposal.sentences:
        console.say(f"- {sentence}")
    for line in finding_lines(proposal.findings_after):
        console.say(f"After that, {line[0].lower()}{line[1:]}")
    if out is not None:
        from ringtex.design.design_file import write_design

        write_design(proposal.design, Path(out))
        console.say(f"Wrote {out}")
