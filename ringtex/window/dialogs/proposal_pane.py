"""The proposed change in words and numbers, in the settings' place, until it is taken or thrown away."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from ringtex.checks.finding import Finding, Level
from ringtex.document.proposal import Proposal
from ringtex.edits.design_differences import Change
from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.icons import icon_picture
from ringtex.window.appearance.theme import even_figures
from ringtex.window.building.view_state import ViewState
from ringtex.window.status.readings import finding_sentence, finding_title

SEARCHING = "Looking for the smallest change that clears the findings"


class ProposalPane(QWidget):
    """First how far the search is; then what it found, with a choice of which ring both views show."""

    stopped = Signal()
    taken = Signal()
    thrown_away = Signal()
    proposed_shown = Signal(bool)
    """Whether the views are to show the proposed ring (True) or the ring as it is now."""

    def __init__(self, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self.setAccessibleName("Proposed change")
        self.summary = ""
        self.progress = QProgressBar(self)
        self.progress.setRange(0, 1000)
        self.progress.setTextVisible(False)
        self.progress.setFixedHeight(6)
        self.progress.setAccessibleName("Progress of the search for a change")
        self.now = _choice("Now", "Show the ring as it is on both views", self)
        self.proposed = _choice("Proposed", "Show the proposed ring on both views", self)
        self._views = QButtonGroup(self)
        for button in (self.now, self.proposed):
            self._views.addButton(button)
        self.proposed.toggled.connect(self.proposed_shown)
        self.take = QPushButton("Take this change", self)
        self.take.setToolTip("Change the design so, as one step that can be undone")
        self.take.setProperty("role", "primary")
        self.take.clicked.connect(self.taken)
        self.leave = QPushButton("Throw it away", self)
        self.leave.clicked.connect(self._leave)
        self._searching = False
        self._area = QScrollArea(self)
        self._area.setWidgetResizable(True)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._area.setAccessibleName("What the change does")
        self._lay_out()

    def show_searching(self) -> None:
        """Begin anew: nothing is found yet."""
        self._searching = True
        self._show_body(f"{SEARCHING} ...", [], [], [])
        self.progress.setValue(0)
        self._set_buttons(found=False, helps=False)
        self.leave.setText("Stop")
        self.leave.setToolTip("Stop the search; nothing is changed")

    def show_progress(self, fraction: float) -> None:
        """How far the search is."""
        self.progress.setValue(round(fraction * 1000.0))

    def show_proposal(self, proposal: Proposal, before: Sequence[Finding], after: Sequence[Finding]) -> None:
        """Show what was found: the changes, and the findings of both rings as they were checked in full.

        Parameters:
            proposal: what was proposed.
            before: findings of the design as it is.
            after: findings of the proposed one.
        """
        self._searching = False
        helps = bool(proposal.changes)
        self._show_body(_summary(proposal, before, after), proposal.changes, before, after)
        self._set_buttons(found=True, helps=helps)
        self.leave.setText("Throw it away" if helps else "Close")
        self.leave.setToolTip("Leave the design as it is")
        self.proposed.setChecked(helps)
        (self.take if helps else self.leave).setFocus()

    def _leave(self) -> None:
        (self.stopped if self._searching else self.thrown_away).emit()

    def _set_buttons(self, found: bool, helps: bool) -> None:
        self.progress.setVisible(not found)
        for button in (self.now, self.proposed, self.take):
            button.setVisible(helps)
        self._views_label.setVisible(helps)
        self._views.setExclusive(False)
        self.now.setChecked(False)
        self.proposed.setChecked(False)
        self._views.setExclusive(True)

    def _lay_out(self) -> None:
        self._views_label = _label("Both views show", "soft", self)
        views = QHBoxLayout()
        views.setSpacing(0)
        for widget in (self._views_label, self.now, self.proposed):
            views.addWidget(widget)
        views.insertSpacing(1, 8)
        views.addStretch(1)
        ends = QHBoxLayout()
        ends.setSpacing(8)
        ends.addWidget(self.take)
        ends.addWidget(self.leave)
        ends.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 8, 16)
        column.setSpacing(8)
        column.addWidget(_label("Proposed change", "strong", self))
        column.addWidget(self.progress)
        column.addWidget(self._area, 1)
        column.addLayout(views)
        column.addLayout(ends)

    def _show_body(
        self, summary: str, changes: Sequence[Change], before: Sequence[Finding], after: Sequence[Finding]
    ) -> None:
        """The summary; where there are changes, they and both lists of findings too."""
        self.summary = summary
        body = QWidget(self)
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 8, 0)
        column.setSpacing(4)
        column.addWidget(_label(summary, "", body))
        if changes:
            column.addSpacing(4)
            column.addWidget(_label("What changes", "soft", body))
            column.addLayout(_changes_grid(changes, body))
            column.addSpacing(4)
            column.addLayout(self._both_lists(before, after, body))
        column.addStretch(1)
        self._area.setWidget(body)

    def _both_lists(self, before: Sequence[Finding], after: Sequence[Finding], body: QWidget) -> QHBoxLayout:
        both = QHBoxLayout()
        both.setSpacing(8)
        for title, findings in (("Findings now", before), ("Findings after it", after)):
            side = QVBoxLayout()
            side.setSpacing(4)
            side.addWidget(_label(title, "soft", body))
            side.addLayout(self._findings_list(findings, body))
            side.addStretch(1)
            both.addLayout(side, 1)
        return both

    def _findings_list(self, findings: Sequence[Finding], parent: QWidget) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(1, 1)
        dark = colours(self._state.dark)
        for row, finding in enumerate(findings):
            shape = QLabel(parent)
            level = finding.level.value
            shape.setPixmap(icon_picture(level, 16, getattr(dark, level), self.devicePixelRatioF()))
            said = _label(finding_title(finding), "", parent)
            said.setToolTip(finding_sentence(finding))
            grid.addWidget(shape, row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(said, row, 1)
        if not findings:
            grid.addWidget(_label("Nothing to object to", "", parent), 0, 1)
        return grid


def _changes_grid(changes: Sequence[Change], parent: QWidget) -> QGridLayout:
    """One row a key: its name, the value before, an arrow, the value after."""
    grid = QGridLayout()
    grid.setHorizontalSpacing(8)
    grid.setVerticalSpacing(4)
    grid.setColumnStretch(0, 1)
    for row, change in enumerate(changes):
        before, after = change.values
        unit = change.unit if change.unit in ("", "°") else f" {change.unit}"
        name = _label(change.name[:1].upper() + change.name[1:], "", parent)
        name.setToolTip(f"In the design file: {change.key}")
        cells = (name, _label(f"{before}{unit}", "soft", parent), _label("→", "soft", parent))
        new = _label(f"{after}{unit}", "strong", parent)
        new.setAccessibleName(f"{change.name} from {before}{unit} to {after}{unit}")
        for place, label in enumerate((*cells, new)):
            label.setFont(even_figures(label.font()))
            if place:
                label.setWordWrap(False)
                label.setAlignment(Qt.AlignmentFlag.AlignRight)
            grid.addWidget(label, row, place)
    return grid


def _summary(proposal: Proposal, before: Sequence[Finding], after: Sequence[Finding]) -> str:
    if not proposal.changes:
        return "No change was found that helps. Read what each finding says, and change what it names."
    tried = " Nothing is changed until you take it."
    was, left = (sum(finding.level is not Level.NOTE for finding in found) for found in (before, after))
    if not left:
        return f"This clears every error and warning.{tried}"
    return f"This helps, but does not clear all: {left} of {was} errors and warnings are left.{tried}"


def _label(text: str, role: str, parent: QWidget) -> QLabel:
    label = QLabel(text, parent)
    label.setWordWrap(True)
    if role:
        label.setProperty("role", role)
    return label


def _choice(text: str, about: str, parent: QWidget) -> QPushButton:
    button = QPushButton(text, parent)
    button.setCheckable(True)
    button.setToolTip(about)
    button.setAccessibleName(about)
    return button
