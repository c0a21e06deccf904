"""The figures of the readings bar: a caption over a value."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QMenu, QToolButton, QVBoxLayout, QWidget

from ringtex.window.building.view_state import ViewState
from ringtex.window.status.readings import SCALE_NAMES, Reading, size_text


class SizeFigure(QWidget):
    """The finger size in the chosen scales; a click chooses others."""

    scales_chosen = Signal(object)
    """Names of the scales that are ticked now."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.button = QToolButton(self)
        self.button.setText("-")
        self.button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.button.setStyleSheet("QToolButton { padding: 0px 16px 0px 0px; font-weight: 600; }")
        self._menu = QMenu(self.button)
        for scale, name in SCALE_NAMES.items():
            action = self._menu.addAction(name)
            action.setCheckable(True)
            action.setData(scale)
            action.triggered.connect(self._choose)
        self.button.setMenu(self._menu)
        caption = QLabel("Finger size", self)
        caption.setProperty("role", "soft")
        _stack(self, caption).addWidget(self.button)

    def show_size(self, circumference_mm: float | None, scales: Sequence[str]) -> None:
        """Show a size in these scales; None where no ring was built yet."""
        for action in self._menu.actions():
            action.setChecked(action.data() in scales)
        if circumference_mm is not None:
            text = size_text(circumference_mm, scales)
            self.button.setText(text)
            self.button.setAccessibleName(f"Finger size {text}")
            self.button.setToolTip(f"Inner circumference {circumference_mm:.2f} mm. Click to choose scales.")

    def _choose(self) -> None:
        self.scales_chosen.emit([action.data() for action in self._menu.actions() if action.isChecked()])


class Figure(QWidget):
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
        _stack(self, self.caption).addLayout(row)
        self.show_reading(reading)

    def show_reading(self, reading: Reading) -> None:
        """Show another value."""
        self._reading = reading
        self.setVisible(bool(reading.value))
        self.caption.setText(reading.caption)
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


def _stack(widget: QWidget, caption: QLabel) -> QVBoxLayout:
    """A column without margins that begins with the caption."""
    column = QVBoxLayout(widget)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(0)
    column.addWidget(caption)
    return column
