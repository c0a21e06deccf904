"""A cell in plan with the corners that the rounding gives it."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.painting import painting
from ringtex.window.building.view_state import ViewState


def rounded_hexagon(centre: QPointF, apothem: float, rounding: float) -> QPainterPath:
    """A regular hexagon whose corners are arcs.

    Parameters:
        centre: its middle, pixels.
        apothem: from the middle to each side, pixels.
        rounding: radius of the arcs as a fraction of that.
    Returns: the closed path.
    """
    radius = rounding * apothem
    # Centres of the arcs are the corners of the hexagon that is smaller by the radius.
    reach = (apothem - radius) / math.cos(math.pi / 6.0)
    path = QPainterPath()
    for corner in range(6):
        middle = math.pi / 6.0 + corner * math.pi / 3.0
        at = QPointF(centre.x() + reach * math.cos(middle), centre.y() - reach * math.sin(middle))
        box = QRectF(at.x() - radius, at.y() - radius, 2.0 * radius, 2.0 * radius)
        if radius > 0.0:
            path.arcTo(box, math.degrees(middle) - 30.0, 60.0) if corner else path.arcMoveTo(box, 0.0)
            if not corner:
                path.arcTo(box, 0.0, 60.0)
        elif corner:
            path.lineTo(at)
        else:
            path.moveTo(at)
    path.closeSubpath()
    return path


class RoundingPicture(QWidget):
    """A hexagonal cell of the design's rounding, as high as a line of text."""

    def __init__(self, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state, self._rounding = state, 0.0
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("A cell with this rounding, seen from above")

    def set_rounding(self, rounding: float) -> None:
        """Draw another rounding, 0 to 1."""
        if rounding != self._rounding:
            self._rounding = rounding
            self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """A square, a little higher than the text beside it."""
        side = self.fontMetrics().height() + 6
        return QSize(side, side)

    def paintEvent(self, event: QPaintEvent, /) -> None:  # noqa: N802 - Qt's name
        """The cell on the panel's ground."""
        chosen = colours(self._state.dark)
        with painting(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setBrush(QColor(chosen.hover))
            painter.setPen(QPen(QColor(chosen.soft_text), 1.5))
            middle = QPointF(0.5 * self.width(), 0.5 * self.height())
            painter.drawPath(rounded_hexagon(middle, 0.5 * self.height() - 3.0, self._rounding))
