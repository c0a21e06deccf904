"""A number's name that can be dragged, with a thin line below that shows where the number lies in its range."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt, Signal, SignalInstance
from PySide6.QtGui import QColor, QFocusEvent, QHideEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from ringtex.window.appearance.colours import colours
from ringtex.window.building.view_state import ViewState

STILL_PX = 3
"""A press that moves less is a click."""
TRACK_PX = 2
SPACE_PX = 5


class DragLabel(QWidget):
    """A dragged distance is told as a share of the label's width; Escape gives the drag up."""

    drag_begun = Signal()
    dragged = Signal(float)
    drag_ended = Signal()
    drag_cancelled = Signal()
    clicked = Signal()

    def __init__(self, text: str, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self._share: float | None = None
        self._pressed: QPointF | None = None
        self._dragging = False
        self._inside = False
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setCursor(Qt.CursorShape.SizeHorCursor)
        # A click takes the focus from a half-typed number, which is thereby meant; Tab passes by.
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.set_text(text)

    def set_text(self, text: str) -> None:
        """Show another name."""
        self.text = text
        self.setAccessibleName(f"{text}, drag to change")
        self.updateGeometry()
        self.update()

    def set_share(self, share: float | None) -> None:
        """Where the number lies in its range, 0 to 1; None for nowhere."""
        if share != self._share:
            self._share = share
            self.update()

    @property
    def dragging(self) -> bool:
        """Whether the hand is dragging it."""
        return self._dragging

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """The text on one line."""
        metrics = self.fontMetrics()
        return QSize(metrics.horizontalAdvance(self.text) + 2, metrics.height() + SPACE_PX + TRACK_PX)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Its longest word."""
        metrics = self.fontMetrics()
        longest = max(metrics.horizontalAdvance(word) for word in self.text.split())
        return QSize(longest + 2, metrics.height() + SPACE_PX + TRACK_PX)

    def hasHeightForWidth(self) -> bool:  # noqa: N802 - Qt's name
        """A narrow label breaks into lines."""
        return True

    def heightForWidth(self, width: int, /) -> int:  # noqa: N802 - Qt's name
        """Height of the text at that width."""
        return self._text_box(width).height() + SPACE_PX + TRACK_PX

    def _text_box(self, width: int) -> QRect:
        return self.fontMetrics().boundingRect(0, 0, max(width, 1), 10_000, int(Qt.TextFlag.TextWordWrap), self.text)

    def paintEvent(self, event: QPaintEvent, /) -> None:  # noqa: N802 - Qt's name
        """The name, and the range with the part up to the number."""
        chosen = colours(self._state.dark)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        lively = self._inside or self._dragging
        painter.setPen(QColor(chosen.text if self.isEnabled() else chosen.faint_text))
        flags = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap)
        painter.drawText(QRectF(0, 0, self.width(), self.height() - SPACE_PX), flags, self.text)
        if self._share is None:
            return
        line = QRectF(0, self.height() - TRACK_PX - 1, self.width(), TRACK_PX)
        painter.fillRect(line, QColor(chosen.line))
        end = min(max(self._share, 0.0), 1.0) * self.width()
        line.setWidth(end)
        painter.fillRect(line, QColor(chosen.accent if lively else chosen.soft_text))
        if lively:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(chosen.accent))
            at = min(max(end, 4.0), self.width() - 4.0)
            painter.drawEllipse(QPointF(at, line.center().y() - 1.0), 4.0, 4.0)

    def mousePressEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """A drag may begin."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._pressed = event.position()

    def mouseMoveEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """Drag."""
        if self._pressed is None:
            return
        moved = event.position().x() - self._pressed.x()
        if not self._dragging:
            if abs(moved) < STILL_PX:
                return
            self._dragging = True
            self.drag_begun.emit()
        self.dragged.emit(moved / max(self.width(), 1))
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """The drag is done; a click leads to the number."""
        was_pressed, self._pressed = self._pressed is not None, None
        if self._dragging:
            self._stop_and(self.drag_ended)
        elif was_pressed:
            self.clicked.emit()

    def keyPressEvent(self, event: QKeyEvent, /) -> None:  # noqa: N802 - Qt's name
        """Escape gives the drag up."""
        if event.key() == Qt.Key.Key_Escape and self._dragging:
            self._pressed = None
            self._stop_and(self.drag_cancelled)
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent, /) -> None:  # noqa: N802 - Qt's name
        """A drag that loses the focus is done."""
        super().focusOutEvent(event)
        self._let_go()

    def hideEvent(self, event: QHideEvent, /) -> None:  # noqa: N802 - Qt's name
        """A drag on a label that goes away is done."""
        super().hideEvent(event)
        self._let_go()

    def stop(self) -> None:
        """Forget the drag, which was ended from elsewhere."""
        self._pressed, self._dragging = None, False
        self.update()

    def _let_go(self) -> None:
        self._pressed = None
        if self._dragging:
            self._stop_and(self.drag_ended)

    def _stop_and(self, signal: SignalInstance) -> None:
        self._dragging = False
        self.update()
        signal.emit()

    def enterEvent(self, event: object, /) -> None:  # noqa: N802 - Qt's name
        """Show that it can be dragged."""
        self._inside = True
        self.update()

    def leaveEvent(self, event: object, /) -> None:  # noqa: N802 - Qt's name
        """Calm again."""
        self._inside = False
        self.update()
