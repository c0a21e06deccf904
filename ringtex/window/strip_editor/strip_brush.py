"""Painting on the strip: while a brush is in hand the left button paints; everything else stays as it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QEvent, QObject, QPointF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPen, QPolygonF

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.edits.brush import Brush
from ringtex.edits.brush_strokes import BrushStroke, circle_on_strip, spots_of
from ringtex.window.appearance.colours import Colours
from ringtex.window.strip_editor.brush_bar import BrushBar
from ringtex.window.strip_editor.strip_marks import copies

if TYPE_CHECKING:
    from ringtex.window.strip_editor.strip_view import StripView


class StripBrush(QObject):
    """One stroke is one step of the history; Escape takes a stroke back that goes on, and else lays the brush down."""

    def __init__(self, view: StripView) -> None:
        super().__init__(view)
        self._view = view
        self._stroke: BrushStroke | None = None
        self.bar = BrushBar(view.state, view)
        view.installEventFilter(self)
        view.state.brush_changed.connect(self._brush_changed)

    @property
    def brush(self) -> Brush | None:
        """The brush in hand."""
        return self._view.state.brush

    @property
    def painting(self) -> bool:
        """Whether a stroke goes on."""
        return self._stroke is not None

    def eventFilter(self, watched: QObject, event: QEvent, /) -> bool:  # noqa: N802 - Qt's name
        """Take what belongs to the brush before the strip's own hand does."""
        if self.brush is None or self._view.view is None:
            return False
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            return self._key(event)
        if not isinstance(event, QMouseEvent):
            return False
        kind, left = event.type(), event.button() == Qt.MouseButton.LeftButton
        if kind in (QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonDblClick) and left:
            self._view.set_pointer(event.position())
            self._begin(event.position())
            return True
        if kind == QEvent.Type.MouseMove and not event.buttons() & ~Qt.MouseButton.LeftButton:
            self._move(event.position())
            return True
        if kind == QEvent.Type.MouseButtonRelease and left:
            self._end()
            return True
        return False

    def _begin(self, at: QPointF) -> None:
        view, brush = self._view, self.brush
        _, v = view.viewport.place(*view.device(at))
        if brush is None or view.view is None or not 0.0 <= v <= view.viewport.width:
            return
        view.document.begin_drag(brush.label)
        self._stroke = BrushStroke(view.view.built.strip, brush)
        self._paint_at(at)

    def _move(self, at: QPointF) -> None:
        view = self._view
        view.set_pointer(at)
        view.state.set_hovered_cell(None)
        u, v = view.viewport.place(*view.device(at))
        inside = 0.0 <= v <= view.viewport.width
        view.set_own_place((u % view.viewport.length, v) if inside else None)
        view.setCursor(Qt.CursorShape.CrossCursor if inside else Qt.CursorShape.ArrowCursor)
        if self._stroke is not None:
            self._paint_at(at)
        view.update()

    def _paint_at(self, at: QPointF) -> None:
        view = self._view
        if self._stroke is None or not view.document.dragging:
            self._stroke = None
            return
        u, v = view.viewport.place(*view.device(at))
        try:
            view.document.change(self._stroke.move(view.document.design, u, v), "")
        except InputError as error:
            view.say(f"{error.message}. {error.advice}")

    def _end(self) -> None:
        if self._stroke is not None:
            self._stroke = None
            self._view.document.end_drag()

    def _key(self, event: QKeyEvent) -> bool:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._dab_on_cell()
            return True
        if event.key() != Qt.Key.Key_Escape:
            return False
        if self._stroke is not None:
            self._stroke = None
            self._view.document.cancel_drag()
        else:
            self._view.state.set_brush(None)
        return True

    def _dab_on_cell(self) -> None:
        """By keyboard: paint in the middle of the chosen cell, or of the view."""
        view = self._view
        if view.view is None or self._stroke is not None:
            return
        u, v = view.viewport.centre_u, 0.5 * view.viewport.width
        if view.state.hovered_cell is not None:
            u, v = view.view.built.pattern.tiling.kernel[0][view.state.hovered_cell].tolist()
        self._begin(QPointF(view.viewport.x_of(u), view.viewport.y_of(v)) / view.ratio)
        self._end()

    def _brush_changed(self) -> None:
        if self.brush is None:
            self._end()
            self._view.unsetCursor()
        self._view.hand.forget()
        self._view.state.set_hovered_cell(None)
        self.bar.show_brush()
        self._view.update()

    # --- drawing

    def paint(self, painter: QPainter, colours: Colours, ratio: float) -> None:
        """The painted spots, and the brush under the pointer."""
        view, brush = self._view, self.brush
        if brush is None or view.view is None:
            return
        strip, viewport = view.view.built.strip, view.viewport
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        left, top, right, bottom = viewport.frame
        painter.setClipRect(left, top, right - left, bottom - top)
        for u, v, radius, value in spots_of(view.document.design, brush.subject):
            line = circle_on_strip(strip, u * strip.length, v * strip.width, radius, 24)
            denser = brush.subject == "density" and value > 1.0
            self._draw_circle(painter, line, QColor(255, 255, 255, 150), denser, ratio)
        if view.pointer is not None:
            u, v = viewport.place(*view.device(view.pointer))
            if 0.0 <= v <= viewport.width:
                line = circle_on_strip(strip, u, v, brush.radius_mm)
                sign = None if brush.act == "erase" else brush.act == "more"
                self._draw_circle(painter, line, QColor("#ffffff"), sign, ratio, chosen=True)
        painter.setClipping(False)

    def _draw_circle(
        self, painter: QPainter, line: Floats, colour: QColor, more: bool | None, ratio: float, chosen: bool = False
    ) -> None:
        viewport = self._view.viewport
        painter.setBrush(QColor(255, 255, 255, 28) if chosen else Qt.BrushStyle.NoBrush)
        for turn in copies(viewport, float(line[:, 0].min()), float(line[:, 0].max())):
            shape = QPolygonF([QPointF(viewport.x_of(float(u) + turn), viewport.y_of(float(v))) for u, v in line])
            middle = np.mean(line, axis=0)
            at = QPointF(viewport.x_of(float(middle[0]) + turn), viewport.y_of(float(middle[1])))
            for pen in (QPen(QColor(0, 0, 0, 130), 3.0 * ratio), QPen(colour, (1.8 if chosen else 1.0) * ratio)):
                painter.setPen(pen)
                painter.drawPolygon(shape)
                painter.setBrush(Qt.BrushStyle.NoBrush)
                if more is not None:
                    painter.drawLine(at - QPointF(4.0 * ratio, 0.0), at + QPointF(4.0 * ratio, 0.0))
                if more:
                    painter.drawLine(at - QPointF(0.0, 4.0 * ratio), at + QPointF(0.0, 4.0 * ratio))
