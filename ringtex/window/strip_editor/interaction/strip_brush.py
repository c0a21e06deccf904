"""Painting on the strip: while a brush is chosen the left button paints; everything else stays as it is."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent

from ringtex.basics.errors import InputError
from ringtex.edits.brush_strokes import Brush, BrushStroke
from ringtex.window.strip_editor.interaction.brush_bar import BrushBar
from ringtex.window.strip_editor.state.strip_state import StripState


class StripBrush(QObject):
    """One stroke is one step of the history; Escape takes a stroke back that goes on, and else lays the brush down."""

    pointed = Signal()
    """The pointer has moved while a brush is chosen."""

    def __init__(self, strip: StripState) -> None:
        super().__init__(strip)
        self._strip = strip
        self._stroke: BrushStroke | None = None
        self.bar = BrushBar(strip.shared, strip.widget)
        strip.widget.installEventFilter(self)
        strip.shared.brush_changed.connect(self._brush_changed)

    @property
    def brush(self) -> Brush | None:
        """The chosen brush."""
        return self._strip.shared.brush

    @property
    def painting(self) -> bool:
        """Whether a stroke goes on."""
        return self._stroke is not None

    def eventFilter(self, watched: QObject, event: QEvent, /) -> bool:  # noqa: N802 - Qt's name
        """Take the brush's events before the strip's controller does."""
        if self.brush is None or self._strip.view is None:
            return False
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            return self._key(event)
        if not isinstance(event, QMouseEvent):
            return False
        kind, left = event.type(), event.button() == Qt.MouseButton.LeftButton
        if kind in (QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonDblClick) and left:
            self._set_pointer(event.position())
            self._begin(event.position())
            return True
        if kind == QEvent.Type.MouseMove and not event.buttons() & ~Qt.MouseButton.LeftButton:
            self._move(event.position())
            return True
        if kind == QEvent.Type.MouseButtonRelease and left:
            self._end()
            return True
        return False

    def _set_pointer(self, at: QPointF) -> None:
        self._strip.pointer = at
        self.pointed.emit()

    def _begin(self, at: QPointF) -> None:
        strip, brush = self._strip, self.brush
        _, v = strip.position(at)
        if brush is None or strip.view is None or not 0.0 <= v <= strip.viewport.strip_width:
            return
        strip.document.begin_drag(brush.label)
        self._stroke = BrushStroke(strip.view.built.strip, brush)
        self._paint_at(at)

    def _move(self, at: QPointF) -> None:
        strip = self._strip
        self._set_pointer(at)
        strip.shared.set_hovered_cell(None)
        u, v = strip.position(at)
        inside = 0.0 <= v <= strip.viewport.strip_width
        strip.set_own_position((u % strip.viewport.length, v) if inside else None)
        strip.set_cursor(Qt.CursorShape.CrossCursor if inside else Qt.CursorShape.ArrowCursor)
        if self._stroke is not None:
            self._paint_at(at)
        strip.update()

    def _paint_at(self, at: QPointF) -> None:
        strip = self._strip
        if self._stroke is None or not strip.document.dragging:
            self._stroke = None
            return
        u, v = strip.position(at)
        try:
            strip.document.change(self._stroke.move(strip.document.design, u, v), "")
        except InputError as error:
            strip.show_message(f"{error.message}. {error.advice}")

    def _end(self) -> None:
        if self._stroke is not None:
            self._stroke = None
            self._strip.document.end_drag()

    def _key(self, event: QKeyEvent) -> bool:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._dab_on_cell()
            return True
        if event.key() != Qt.Key.Key_Escape:
            return False
        if self._stroke is not None:
            self._stroke = None
            self._strip.document.cancel_drag()
        else:
            self._strip.shared.set_brush(None)
        return True

    def _dab_on_cell(self) -> None:
        """By keyboard: paint in the middle of the chosen cell, or of the view."""
        strip = self._strip
        if strip.view is None or self._stroke is not None:
            return
        u, v = strip.viewport.centre_u, 0.5 * strip.viewport.strip_width
        if strip.shared.hovered_cell is not None:
            u, v = strip.view.built.pattern.tiling.kernel[0][strip.shared.hovered_cell].tolist()
        self._begin(QPointF(*strip.viewport.pixel(u, v)) / strip.ratio)
        self._end()

    def _brush_changed(self) -> None:
        if self.brush is None:
            self._end()
            self._strip.widget.unsetCursor()
        self._strip.forget_pointed()
        self._strip.shared.set_hovered_cell(None)
        self.bar.show_brush()
        self._strip.update()
