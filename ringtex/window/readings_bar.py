"""The bar at the bottom that is always in sight: the finished ring's figures and what the checks found."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QMenu, QProgressBar, QToolButton, QVBoxLayout, QWidget

from ringtex.basics.errors import RingtexError
from ringtex.window.findings_row import FindingsRow
from ringtex.window.flow_layout import FlowLayout
from ringtex.window.readings import READINGS, SCALE_NAMES, Reading, readings_of, size_text
from ringtex.window.view import View
from ringtex.window.view_state import ViewState

FIRST_SCALES: Final = ("iso", "us", "uk")


class ReadingsBar(QFrame):
    """Size in the chosen scales, the figures, the findings, and a thin line while a ring is being built."""

    scales_changed = Signal(object)
    """The chosen scales as a tuple of "iso", "us", "uk", "jp", "it"."""

    def __init__(self, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "bar")
        self.setAccessibleName("Readings")
        self._view: View | None = None
        self._scales: tuple[str, ...] = FIRST_SCALES
        self.progress = _thin_line(self)
        self.size_button = self._make_size_button()
        self.figures = [_Figure(reading, state, self) for reading in READINGS]
        self.findings = FindingsRow(state, self)
        self.stale = QLabel(self)
        self.stale.setProperty("role", "error")
        self.stale.setWordWrap(True)
        self.stale.hide()
        figures = FlowLayout(gap=16)
        figures.addWidget(self.size_button)
        for figure in self.figures:
            figures.addWidget(figure)
        inside = QVBoxLayout()
        inside.setContentsMargins(16, 4, 16, 8)
        inside.setSpacing(4)
        inside.addLayout(figures)
        inside.addWidget(self.stale)
        inside.addWidget(self.findings)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.progress)
        whole.addLayout(inside)

    def show_view(self, view: View) -> None:
        """Show a ring's figures; a draft's are not measured yet, so the last ones stay, in a softer tone."""
        self._view = view
        self.stale.hide()
        self._show_size()
        report = view.report
        for figure in self.figures:
            figure.set_settled(report is not None)
        self.findings.setEnabled(report is not None)
        if report is None:
            return
        for figure, reading in zip(
            self.figures, readings_of(view.design, view.built.pattern.tiling.cells, report.readings), strict=True
        ):
            figure.show_reading(reading)
        self.findings.set_findings(report.findings)

    def show_error(self, error: RingtexError) -> None:
        """Say that the ring in view is the last good one, and why there is no newer."""
        self.stale.setText(f"In view is the last ring that could be made. {error}")
        self.stale.show()

    def show_progress(self, stage: str, fraction: float) -> None:
        """Draw the thin line; stage "" and fraction 1 take it away."""
        self.progress.setValue(round(fraction * 1000.0) if stage else 0)
        self.progress.setToolTip(f"Building: {stage}. Esc stops it." if stage else "")

    @property
    def scales(self) -> tuple[str, ...]:
        """The chosen scales."""
        return self._scales

    def set_scales(self, scales: Sequence[str]) -> None:
        """Read the finger size in these scales; at least one stays."""
        chosen = tuple(scale for scale in SCALE_NAMES if scale in scales) or FIRST_SCALES[:1]
        for action in self.size_button.menu().actions():
            action.setChecked(action.data() in chosen)
        if chosen != self._scales:
            self._scales = chosen
            self.scales_changed.emit(chosen)
        self._show_size()

    def _show_size(self) -> None:
        if self._view is None:
            return
        circumference = self._view.design.size.circumference_mm
        text = size_text(circumference, self._scales)
        self.size_button.setText(f"Size\n{text}")
        self.size_button.setAccessibleName(f"Finger size {text}")
        self.size_button.setToolTip(f"Inner circumference {circumference:.2f} mm. Click to choose scales.")

    def _make_size_button(self) -> QToolButton:
        button = QToolButton(self)
        button.setText("Size\n-")
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        button.setStyleSheet("QToolButton { text-align: left; padding: 0px 16px 0px 4px; }")
        menu = QMenu(button)
        for scale, name in SCALE_NAMES.items():
            action = menu.addAction(name)
            action.setCheckable(True)
            action.setChecked(scale in self._scales)
            action.setData(scale)
            action.triggered.connect(self._scale_clicked)
        button.setMenu(menu)
        return button

    def _scale_clicked(self) -> None:
        self.set_scales([action.data() for action in self.size_button.menu().actions() if action.isChecked()])


class _Figure(QWidget):
    """A caption over a value with its unit; where the figure has a place, a click shows it."""

    def __init__(self, reading: Reading, state: ViewState, parent: QWidget) -> None:
        super().__init__(parent)
        self._state = state
        self._reading = reading
        self.caption = QLabel(reading.caption, self)
        self.caption.setProperty("role", "soft")
        self.value = QLabel("-", self)
        self.value.setTextFormat(Qt.TextFormat.PlainText)
        self.value.setAlignment(Qt.AlignmentFlag.AlignRight)
        unit = QLabel(reading.unit, self)
        unit.setProperty("role", "soft")
        row = QHBoxLayout()
        row.setSpacing(4)
        row.addWidget(self.value)
        row.addWidget(unit)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.caption)
        column.addLayout(row)
        self.show_reading(reading)

    def show_reading(self, reading: Reading) -> None:
        """Show another value."""
        self._reading = reading
        self.value.setText(reading.value)
        # Rooms for the widest figure seen so far, so that neighbours do not jump while numbers change.
        self.value.setMinimumWidth(max(self.value.minimumWidth(), self.value.sizeHint().width()))
        self.setToolTip(reading.about)
        self.setAccessibleName(f"{reading.caption} {reading.value} {reading.unit}".strip())
        if reading.place is not None:
            self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            self.setCursor(Qt.CursorShape.PointingHandCursor)

    def set_settled(self, settled: bool) -> None:
        """Whether the value is that of the ring in view; a softer tone where it is still being measured."""
        self.value.setEnabled(settled)
        font = QFont(self.value.font())
        font.setWeight(QFont.Weight.DemiBold)
        self.value.setFont(font)

    def mousePressEvent(self, event: object, /) -> None:  # noqa: N802 - Qt's name
        """A click shows the place."""
        if self._reading.place is not None:
            self._state.show_place(self._reading.place)

    def keyPressEvent(self, event: QKeyEvent, /) -> None:  # noqa: N802 - Qt's name
        """So do Enter and the space bar."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space) and self._reading.place is not None:
            self._state.show_place(self._reading.place)
        else:
            super().keyPressEvent(event)


def _thin_line(parent: QWidget) -> QProgressBar:
    """A line that shows how far a ring is."""
    line = QProgressBar(parent)
    line.setRange(0, 1000)
    line.setTextVisible(False)
    line.setFixedHeight(3)
    line.setAccessibleName("Progress of the ring being built")
    return line
