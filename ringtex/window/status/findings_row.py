"""The findings, worst first: each with a shape and a word; a click shows its place on both views."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QMenu,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from ringtex.checks.finding import Finding
from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.icons import icon_picture
from ringtex.window.building.view_state import ViewState
from ringtex.window.status.readings import finding_sentence, finding_title

MAX_SHOWN: Final = 3
"""Findings with a button of their own; the others are in the list behind the last button."""
LONG_SENTENCE: Final = 210
"""Characters of a finding that says much."""
LONG_WORD: Final = 12
MAX_LINES: Final = 3
NOTHING_FOUND: Final = "Nothing found to object to"


class FindingsRow(QWidget):
    """One button a finding; under them the sentence of the one that was asked about last (the worst to begin with).

    Where a change of the design can clear one of them, a button at the end offers to look for it.
    """

    proposal_wanted = Signal()

    def __init__(self, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self._findings: list[Finding] | None = None
        self._told = 0
        self.buttons = [_FindingButton(self) for _ in range(MAX_SHOWN)]
        self._more = QToolButton(self)
        self._more.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self._more.setMenu(QMenu(self._more))
        self._shape = QLabel(self)
        self._nothing = QLabel(NOTHING_FOUND, self)
        self._nothing.setProperty("role", "soft")
        self.propose = _propose_button(self)
        self.propose.clicked.connect(self.proposal_wanted)
        self.sentence = _SentenceLabel(self)
        self._lay_out()
        state.theme_changed.connect(self._fill)
        self._fill()

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.setSpacing(8)
        for number, button in enumerate(self.buttons):
            button.clicked.connect(lambda _=False, number=number: self.show_finding(number))
            button.installEventFilter(self)
            row.addWidget(button)
        row.addWidget(self._more)
        row.addWidget(self._shape)
        row.addWidget(self._nothing)
        row.addStretch(1)
        row.addWidget(self.propose)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(row)
        column.addWidget(self.sentence)

    def set_findings(self, findings: Sequence[Finding], can_propose: bool = False) -> None:
        """Show these findings, worst first, and whether a change can be proposed that clears some of them."""
        self.propose.setVisible(can_propose)
        if self._findings != list(findings):
            self._findings = list(findings)
            self._told = 0
            self._fill()

    def show_finding(self, number: int) -> None:
        """Say the whole sentence of one finding, and turn both views to its place."""
        if self._findings is None or not 0 <= number < len(self._findings):
            return
        self._tell(number)
        self._state.show_place(self._findings[number])

    def eventFilter(self, watched: QObject, event: QEvent, /) -> bool:  # noqa: N802 - Qt's name
        """Pointing at a finding, or reaching it by keyboard, says its sentence."""
        if event.type() in (QEvent.Type.Enter, QEvent.Type.FocusIn) and watched in self.buttons:
            self._tell(self.buttons.index(watched))
        return super().eventFilter(watched, event)

    def _tell(self, number: int) -> None:
        if self._findings and number < len(self._findings):
            self._told = number
            self.sentence.set_text(finding_sentence(self._findings[number]))

    def _fill(self) -> None:
        findings = self._findings or []
        dark = colours(self._state.dark)
        for number, button in enumerate(self.buttons):
            button.setVisible(number < len(findings))
            if number < len(findings):
                button.show_finding(findings[number], self._state.dark)
        rest = findings[MAX_SHOWN:]
        self._more.setVisible(bool(rest))
        self._more.setText(f"{len(rest)} more")
        self._more.setAccessibleName(f"{len(rest)} more findings")
        menu = self._more.menu()
        menu.clear()
        for number, finding in enumerate(rest, start=MAX_SHOWN):
            entry = menu.addAction(_shape(finding, self._state.dark), finding_title(finding))
            entry.triggered.connect(lambda _=False, number=number: self.show_finding(number))
        for label in (self._shape, self._nothing):
            label.setVisible(self._findings == [])
        # The row is as high without findings, so that the views above keep their places.
        self.buttons[0].ensurePolished()
        self._nothing.setMinimumHeight(self.buttons[0].sizeHint().height())
        self._shape.setPixmap(icon_picture("good", 16, dark.accent, self.devicePixelRatioF()))
        self.sentence.set_text("")
        self._tell(min(self._told, max(len(findings) - 1, 0)))


def _propose_button(parent: QWidget) -> QPushButton:
    button = QPushButton("Propose a change", parent)
    button.setToolTip("Look for the smallest change that clears the findings; nothing is changed until you take it")
    # A button that comes and goes must not move what is above it.
    policy = button.sizePolicy()
    policy.setRetainSizeWhenHidden(True)
    button.setSizePolicy(policy)
    button.hide()
    return button


class _FindingButton(QToolButton):
    """Shape, word, kind and figure of one finding."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setIconSize(QSize(16, 16))

    def show_finding(self, finding: Finding, dark: bool) -> None:
        """Show another finding."""
        self.setText(finding_title(finding))
        self.setIcon(_shape(finding, dark))
        self.setToolTip(f"{finding_sentence(finding)}\nClick to see the place.")
        self.setAccessibleName(finding_title(finding))
        self.setAccessibleDescription(finding_sentence(finding))


class _SentenceLabel(QLabel):
    """As many lines as a long sentence needs at this width, whatever it says now, so that nothing jumps.

    What is longer still ends in an ellipsis; the tooltip says it whole.
    """

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setProperty("role", "soft")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self._whole = ""

    @property
    def whole(self) -> str:
        """The text, not shortened."""
        return self._whole

    def set_text(self, text: str) -> None:
        """Show another text."""
        self._whole = text
        self.setToolTip(text)
        self.setAccessibleName(text)
        self._elide()

    def resizeEvent(self, event: object, /) -> None:  # noqa: N802 - Qt's name
        """Shorten anew."""
        self._elide()

    def _elide(self) -> None:
        metrics = self.fontMetrics()
        lines = min(-(-LONG_SENTENCE * metrics.averageCharWidth() // max(self.width(), 1)), MAX_LINES)
        self.setFixedHeight(lines * metrics.lineSpacing())
        # A line of several may end a word early.
        room = self.width() * lines - (lines - 1) * metrics.averageCharWidth() * LONG_WORD
        self.setText(metrics.elidedText(self._whole, Qt.TextElideMode.ElideRight, room))


def _shape(finding: Finding, dark: bool) -> QPixmap:
    """The finding's level as a coloured shape: octagon, triangle or disc."""
    level = finding.level.value
    return icon_picture(level, 16, getattr(colours(dark), level), 2.0)
