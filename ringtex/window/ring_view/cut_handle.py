"""The knob beside the ring that turns the cut round it."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from ringtex.window.appearance.colours import colours
from ringtex.window.building.view_state import ViewState

_SIDE = 24


class CutHandle(QWidget):
    """A round knob; the ring's view places it, and turns the cut to where it is dragged."""

    dragged = Signal(QPointF)
    """The pointer's place in the parent, pixels."""
    stepped = Signal(float)
    """Degrees to turn by, from the keyboard."""

    def __init__(self, state: ViewState, parent: QWidget) -> None:
        super().__init__(parent)
        self._state = state
        self.resize(_SIDE, _SIDE)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.SizeAllCursor)
        self.setAccessibleName("Cut")
        self.setToolTip("Drag the cut round the ring; arrow keys turn it")
        state.theme_changed.connect(self.update)
        self.hide()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Round."""
        return QSize(_SIDE, _SIDE)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Turn the cut."""
        if event.buttons() & Qt.MouseButton.LeftButton:
            self.dragged.emit(self.mapToParent(event.position()))

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take hold."""
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Turn by five degrees, with Shift by one."""
        steps = {Qt.Key.Key_Left: 1.0, Qt.Key.Key_Up: 1.0, Qt.Key.Key_Right: -1.0, Qt.Key.Key_Down: -1.0}
        step = steps.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
        else:
            self.stepped.emit(step * (1.0 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 5.0))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the knob."""
        chosen = colours(self._state.dark)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(chosen.accent), 3.0 if self.hasFocus() else 2.0))
        painter.setBrush(QColor(chosen.field))
        painter.drawEllipse(QPointF(_SIDE / 2, _SIDE / 2), 8.0, 8.0)
        painter.drawLine(QPointF(8.0, 16.0), QPointF(16.0, 8.0))
