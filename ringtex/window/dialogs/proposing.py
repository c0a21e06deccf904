"""Proposing a change: searched for beside the window, shown on both views, taken as one step or thrown away."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from ringtex.basics.errors import Cancelled, RingtexError
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.design.design import Design
from ringtex.document.document import Document
from ringtex.document.proposal import Proposal, propose
from ringtex.make_ring import make_ring
from ringtex.window.building.background_job import BackgroundJob
from ringtex.window.building.drawable_ring import View, make_view
from ringtex.window.dialogs.proposal_pane import ProposalPane

TAKEN = "take the proposed change"


@dataclass(frozen=True, eq=False)
class Proposed:
    """A proposal and its ring, built and checked as finely as the ring in view; no ring where nothing was found."""

    proposal: Proposal
    view: View | None


class Proposing(QObject):
    """From the wish for a proposal to its end. The document is not touched before the change is taken.

    Whatever else changes the design meanwhile ends it, because the proposal was made for the ring as it was.
    """

    begun = Signal()
    ended = Signal()
    view_wanted = Signal(object)
    """A View that both views are to show."""
    failed = Signal(object)
    """A RingtexError."""

    def __init__(self, document: Document, pane: ProposalPane, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._pane = pane
        self._now: View | None = None
        self._found: Proposed | None = None
        self.job: BackgroundJob | None = None
        document.listen(self._document_changed)
        pane.stopped.connect(self.end)
        pane.thrown_away.connect(self.end)
        pane.taken.connect(self.take)
        pane.proposed_shown.connect(self.show_proposed)

    @property
    def active(self) -> bool:
        """Whether a proposal is being looked for or shown."""
        return self._now is not None

    def begin(self, view: View | None) -> None:
        """Look for a change of the ring in view. Nothing happens where it is not checked yet, or not the newest."""
        if self.active or view is None or view.report is None or view.design != self._document.design:
            return
        self._now, self._found = view, None
        self._pane.show_searching()
        design = view.design
        self.job = BackgroundJob(lambda progress: proposed_change(design, progress), "proposal", self)
        self.job.progressed.connect(self._show_progress)
        self.job.done.connect(self._show_found)
        self.job.failed.connect(self._show_failed)
        self.begun.emit()
        self.job.start()

    def take(self) -> None:
        """Change the design as proposed: one step that can be undone."""
        found, self._now = self._found, None
        self.end()
        if found is not None:
            self._document.change(found.proposal.design, TAKEN)

    def end(self) -> None:
        """Throw the proposal away, and stop looking for one."""
        now, self._now, self._found = self._now, None, None
        if self.job is not None:
            self.job.cancel()
        self.job = None
        if now is not None and now.design == self._document.design:
            self.view_wanted.emit(now)
        self.ended.emit()

    def stop(self) -> None:
        """The window closes."""
        if self.job is not None:
            self.job.stop()

    def show_proposed(self, shown: bool) -> None:
        """Show the proposed ring on both views, or the ring as it is now."""
        if self._now is not None and self._found is not None and self._found.view is not None:
            self.view_wanted.emit(self._found.view if shown else self._now)

    def _document_changed(self) -> None:
        if self._now is not None and self._document.design != self._now.design:
            self.end()

    def _show_progress(self, stage: str, fraction: float) -> None:
        if self.sender() is self.job and self.active:
            self._pane.show_progress(fraction)

    def _show_found(self, found: object) -> None:
        if self.sender() is not self.job or self._now is None or not isinstance(found, Proposed):
            return
        self._found = found
        report = self._now.report
        after = found.view.report if found.view is not None else None
        self._pane.show_proposal(found.proposal, report.findings if report else [], after.findings if after else [])

    def _show_failed(self, error: RingtexError) -> None:
        if self.sender() is not self.job:
            return
        self.end()
        if not isinstance(error, Cancelled):
            self.failed.emit(error)


def proposed_change(design: Design, progress: Progress) -> Proposed:
    """Search, then build what was found to the final tolerance. Raises: InputError, Cancelled."""
    proposal = propose(design, progress)
    if not proposal.changes:
        return Proposed(proposal, None)
    with progress.stage("ring", 1.0):
        inner = Progress(lambda stage, fraction: progress.check())
        return Proposed(proposal, make_view(make_ring(proposal.design, FINAL_CHORD_MM, inner), is_draft=False))
