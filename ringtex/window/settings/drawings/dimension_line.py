"""Dimension lines: a length that shows itself on the drawing while it is touched."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import hypot

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from ringtex.window.appearance.colours import Colours
from ringtex.window.appearance.theme import even_figures

TICK_PX = 4.0


@dataclass(frozen=True)
class Dimension:
    """The length from `start` to `end`, in the drawing's units; moved aside by `aside_px` pixels (x, y down).

    name is the setting's name for the views; where start and end are one place only the text shows.
    """

    name: str
    start: tuple[float, float]
    end: tuple[float, float]
    text: str
    aside_px: tuple[float, float] = (0.0, 0.0)


def paint_dimension(
    painter: QPainter, dimension: Dimension, point: Callable[[float, float], QPointF], colour: Colours, room: QRect
) -> None:
    """Extension lines, the line between ticks, and the text beside it, kept inside the room."""
    aside = QPointF(*dimension.aside_px)
    from_place, to_place = point(*dimension.start), point(*dimension.end)
    start, end = from_place + aside, to_place + aside
    painter.setPen(QPen(QColor(colour.accent), 1.0))
    along = end - start
    length = hypot(along.x(), along.y())
    if length > 0.5:
        # Lines along the pixels are crisp only when they are not smoothed.
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, min(abs(along.x()), abs(along.y())) > 0.01)
        painter.drawLine(from_place, start)
        painter.drawLine(to_place, end)
        painter.drawLine(start, end)
        tick = QPointF(-along.y(), along.x()) * (TICK_PX / length)
        for place in (start, end):
            painter.drawLine(place - tick, place + tick)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _paint_text(painter, dimension, (start + end) / 2.0, abs(along.x()) >= abs(along.y()), colour, room)


def _paint_text(
    painter: QPainter, dimension: Dimension, middle: QPointF, level: bool, colour: Colours, room: QRect
) -> None:
    painter.setFont(even_figures(painter.font()))
    metrics = painter.fontMetrics()
    width, height = metrics.horizontalAdvance(dimension.text) + 8.0, float(metrics.height())
    if level:
        down = dimension.aside_px[1] >= 0.0
        box = QRectF(middle.x() - width / 2.0, middle.y() + (4.0 if down else -4.0 - height), width, height)
    else:
        right = dimension.aside_px[0] >= 0.0
        box = QRectF(middle.x() + (5.0 if right else -5.0 - width), middle.y() - height / 2.0, width, height)
    inside = QRectF(room).adjusted(3, 3, -3, -3)
    box.moveLeft(min(max(box.left(), inside.left()), inside.right() - width))
    box.moveTop(min(max(box.top(), inside.top()), inside.bottom() - height))
    ground = QColor(colour.field)
    ground.setAlpha(225)
    painter.fillRect(box, ground)
    painter.setPen(QColor(colour.accent))
    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), dimension.text)
