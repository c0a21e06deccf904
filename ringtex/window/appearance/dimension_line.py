"""Dimension lines of drawings on the screen: the line between ticks, its extension lines, and the length in words."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import Final

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from ringtex.window.appearance.colours import Colours
from ringtex.window.appearance.theme import even_figures

TICK_PX: Final = 4.0
TEXT_GAP_PX: Final = 5.0
GROUND_ALPHA: Final = 225
HALO_PX: Final = 4.0


@dataclass(frozen=True)
class Dimension:
    """The length from `start` to `end`, in the drawing's units; the line is moved by `offset_px` (x, y downwards).

    name is the setting's name for the views; where both points coincide only the text shows.
    """

    name: str
    start: tuple[float, float]
    end: tuple[float, float]
    text: str
    offset_px: tuple[float, float] = (0.0, 0.0)


def paint_dimension(
    painter: QPainter,
    ends: tuple[QPointF, QPointF],
    text: str,
    colour: Colours,
    room: QRectF,
    offset: QPointF | None = None,
    ratio: float = 1.0,
    halo: QColor | None = None,
) -> None:
    """Paint one length; where both ends coincide only its text.

    Parameters:
        painter: paints in pixels, in the font of the text.
        ends: the measured points, pixels.
        text: the length in words.
        colour: the theme's colours.
        room: the text stays inside, pixels.
        offset: from the measured points to the line; it decides the text's side.
        ratio: device pixels per logical pixel of the painter.
        halo: behind the lines, where they lie on a picture.
    """
    moved = offset or QPointF()
    start, end = ends[0] + moved, ends[1] + moved
    vector = end - start
    length = hypot(vector.x(), vector.y())
    if length > 0.5:
        # Lines along the pixels are crisp only without antialiasing.
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, min(abs(vector.x()), abs(vector.y())) > 0.01)
        tick = QPointF(-vector.y(), vector.x()) * (TICK_PX * ratio / length)
        lines = [QLineF(start, end)]
        for measured, at in zip(ends, (start, end), strict=True):
            lines += [QLineF(measured, at), QLineF(at - tick, at + tick)]
        if halo is not None:
            painter.setPen(QPen(halo, HALO_PX * ratio))
            painter.drawLines(lines)
        painter.setPen(QPen(QColor(colour.accent), ratio))
        painter.drawLines(lines)
    if not text:
        return
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setFont(even_figures(painter.font()))
    metrics = painter.fontMetrics()
    width, height = metrics.horizontalAdvance(text) + 8.0 * ratio, float(metrics.height())
    middle, gap = (start + end) / 2.0, TEXT_GAP_PX * ratio
    if abs(vector.x()) >= abs(vector.y()):
        box = QRectF(middle.x() - width / 2.0, middle.y() + (gap if moved.y() >= 0.0 else -gap - height), width, height)
    else:
        box = QRectF(middle.x() + (gap if moved.x() >= 0.0 else -gap - width), middle.y() - height / 2.0, width, height)
    _paint_text(painter, text, _moved_inside(box, room), colour)


def _paint_text(painter: QPainter, text: str, box: QRectF, colour: Colours) -> None:
    ground = QColor(colour.field)
    ground.setAlpha(GROUND_ALPHA)
    painter.fillRect(box, ground)
    painter.setPen(QColor(colour.accent))
    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), text)


def _moved_inside(box: QRectF, room: QRectF) -> QRectF:
    """The box, moved as little as needed to lie in the room."""
    left = min(max(box.left(), room.left()), room.right() - box.width())
    top = min(max(box.top(), room.top()), room.bottom() - box.height())
    return QRectF(left, top, box.width(), box.height())
