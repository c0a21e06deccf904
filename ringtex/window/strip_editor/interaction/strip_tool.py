"""A tool in hand on the strip: its left button works, Escape takes a stroke back, or else lays the tool down."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent

from ringtex.window.strip_editor.state.strip_state import StripState


class StripTool(QObject):
    """Takes the mouse and keys of a strip while it is in hand; everything else stays as it is.

    One stroke is one step of the history.
    """

    pointed = Signal()
    """The pointer has moved while the tool is in hand."""

    def __init__(self, strip: StripState) -> None:
        super().__init__(strip)
        self._strip = strip
        strip.widget.installEventFilter(self)

    @property
    def in_hand(self) -> bool:
        """Whether it is the tool at work."""
        raise NotImplementedError

    @property
    def at_work(self) -> bool:
        """Whether a stroke goes on."""
        raise NotImplementedError

    def begin(self, at: QPointF) -> None:
        """Begin a stroke at a pixel of the widget."""
        raise NotImplementedError

    def go_on(self, at: QPointF) -> None:
        """Take the stroke that goes on, if one does, to a pixel of the widget."""
        raise NotImplementedError

    def end(self) -> None:
        """End the stroke."""
        raise NotImplementedError

    def forget_stroke(self) -> None:
        """Leave nothing of the stroke that goes on; the document takes it back."""
        raise NotImplementedError

    def lay_down(self) -> None:
        """Put the tool away."""
        raise NotImplementedError

    def press_key(self, event: QKeyEvent) -> bool:
        """Take a key that is not Escape. Returns: whether it was one of the tool's."""
        return False

    def eventFilter(self, watched: QObject, event: QEvent, /) -> bool:  # noqa: N802 - Qt's name
        """Take the tool's events before the strip's controller does."""
        if not self.in_hand or self._strip.view is None:
            return False
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            return self._key(event)
        if not isinstance(event, QMouseEvent):
            return False
        kind, left = event.type(), event.button() == Qt.MouseButton.LeftButton
        if kind in (QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonDblClick) and left:
            self._set_pointer(event.position())
            self.begin(event.position())
            return True
        if kind == QEvent.Type.MouseMove and not event.buttons() & ~Qt.MouseButton.LeftButton:
            self._move(event.position())
            return True
        if kind == QEvent.Type.MouseButtonRelease and left:
            self.end()
            return True
        return False

    def _set_pointer(self, at: QPointF) -> None:
        self._strip.pointer = at
        self.pointed.emit()

    def _move(self, at: QPointF) -> None:
        strip = self._strip
        self._set_pointer(at)
        strip.shared.set_hovered_cell(None)
        u, v = strip.position(at)
        inside = 0.0 <= v <= strip.viewport.strip_width
        strip.set_own_position((u % strip.viewport.length, v) if inside else None)
        strip.set_cursor(Qt.CursorShape.CrossCursor if inside else Qt.CursorShape.ArrowCursor)
        self.go_on(at)
        strip.update()

    def _key(self, event: QKeyEvent) -> bool:
        if event.key() != Qt.Key.Key_Escape:
            return self.press_key(event)
        if self.at_work:
            self.forget_stroke()
            self._strip.document.cancel_drag()
            self._strip.update()
        else:
            self.lay_down()
        return True
