"""The overlay's legend: its scale in real units, or the levels by shape and word."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from ringtex.window.appearance.colours import Colours
from ringtex.window.appearance.colours import colours as theme_colours
from ringtex.window.appearance.painting import painting
from ringtex.window.overlays.cell_levels import LEVEL_WORDS
from ringtex.window.overlays.colour_scales import scale_table
from ringtex.window.overlays.overlay_values import OverlayValues, scale_share

_WIDTH: Final = 248
_PAD: Final = 8
_BAR: Final = 10


class Legend(QWidget):
    """Shows one OverlayValues; hidden while there is none. It lets every click through."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._values: OverlayValues | None = None
        self._dark = False
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAccessibleName("Legend of the overlay")
        self.hide()

    @property
    def values(self) -> OverlayValues | None:
        """What is shown."""
        return self._values

    def set_dark(self, dark: bool) -> None:
        """Follow the window's theme."""
        self._dark = dark
        self.update()

    def show_values(self, values: OverlayValues | None) -> None:
        """Show the legend of these values, or nothing."""
        self._values = values
        self.setVisible(values is not None)
        if values is not None:
            self.setAccessibleDescription(legend_words(values))
            self.resize(self.sizeHint())
            self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """As large as its texts need."""
        line = self.fontMetrics().height()
        width = max(_WIDTH, *(self.fontMetrics().horizontalAdvance(text) for text in self._texts())) + 2 * _PAD
        return QSize(width, 2 * _PAD + line * (len(self._notes()) + 2) + _BAR + 8)

    def _texts(self) -> list[str]:
        return [self._values.title, *self._notes()] if self._values is not None else [""]

    def _notes(self) -> list[str]:
        if self._values is None:
            return []
        return [text for text in (self._values.note, *self._values.lines) if text]

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw it."""
        if self._values is None:
            return
        colours = theme_colours(self._dark)
        with painting(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            ground = QColor(colours.field)
            ground.setAlpha(235)
            painter.setPen(QPen(QColor(colours.line)))
            painter.setBrush(ground)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), 4.0, 4.0)
            line = self.fontMetrics().height()
            painter.setPen(QColor(colours.text))
            left, width = float(_PAD), float(self.width() - 2 * _PAD)
            painter.drawText(QRectF(left, _PAD, width, line), Qt.AlignmentFlag.AlignLeft, self._values.title)
            bar = QRectF(left, _PAD + line + 4.0, width, _BAR)
            if self._values.scale_name == "levels":
                self._draw_levels(painter, bar, line, colours)
            else:
                self._draw_scale(painter, bar, line, colours)
            painter.setPen(QColor(colours.soft_text))
            for number, text in enumerate(reversed(self._notes()), start=1):
                place = QRectF(left, self.height() - _PAD - number * line, width, line)
                painter.drawText(place, Qt.AlignmentFlag.AlignLeft, text)

    def _draw_scale(self, painter: QPainter, bar: QRectF, line: int, colours: Colours) -> None:
        assert self._values is not None
        values = self._values
        table = np.ascontiguousarray(scale_table(values.scale_name))
        image = QImage(table.tobytes(), len(table), 1, 3 * len(table), QImage.Format.Format_RGB888)
        painter.drawImage(bar, image)
        below = QRectF(bar.left(), bar.bottom() + 4.0, bar.width(), line)
        painter.setPen(QColor(colours.soft_text))
        unit = values.unit if values.unit in ("°", "×") else f" {values.unit}"
        painter.drawText(below, Qt.AlignmentFlag.AlignLeft, f"{figure(values.low)}{unit}")
        more = "≥ " if values.beyond else ""
        painter.drawText(below, Qt.AlignmentFlag.AlignRight, f"{more}{figure(values.high)}{unit}")
        for value, _ in values.marks:
            x = bar.left() + bar.width() * float(scale_share(values, np.array([value]))[0])
            painter.setPen(QPen(QColor(colours.text), 1.5))
            painter.drawLine(QPointF(x, bar.top() - 2.0), QPointF(x, bar.bottom() + 2.0))
        if len(values.marks) == 1:
            value, word = values.marks[0]
            words = f"{figure(value)} {word}"
            painter.setPen(QColor(colours.text))
            painter.drawText(below, Qt.AlignmentFlag.AlignCenter, words)

    def _draw_levels(self, painter: QPainter, bar: QRectF, line: int, colours: Colours) -> None:
        table = scale_table("levels")
        x = bar.left()
        for level, word in enumerate(LEVEL_WORDS[1:], start=1):
            painter.setPen(QPen(QColor(colours.text), 1.0))
            painter.setBrush(QColor(*table[level].tolist()))
            painter.drawPolygon(level_shape(level, QPointF(x + 7.0, bar.top() + 9.0), 6.0))
            painter.drawText(QPointF(x + 20.0, bar.top() + 13.0), word)
            x += 32.0 + self.fontMetrics().horizontalAdvance(word)


def level_shape(level: int, centre: QPointF, size: float) -> QPolygonF:
    """A finding's mark: note a square on its side, warning a triangle, error an eight-cornered block.

    Parameters:
        level: 0 note, 1 warning, 2 error.
        centre: of the mark, pixels.
        size: its diameter, pixels.
    Returns: the outline.
    """
    if level <= 1:
        angles = [0.0, 90.0, 180.0, 270.0]
    elif level == 2:
        angles = [90.0, 210.0, 330.0]
    else:
        angles = [22.5 + 45.0 * k for k in range(8)]
    turns = np.radians(angles)
    return QPolygonF(
        [QPointF(centre.x() + size * float(np.cos(t)), centre.y() - size * float(np.sin(t))) for t in turns]
    )


def figure(value: float) -> str:
    """A value with three figures at most."""
    return f"{value:.0f}" if abs(value) >= 100.0 else f"{value:.1f}" if abs(value) >= 10.0 else f"{value:.2f}"


def legend_words(values: OverlayValues) -> str:
    """The legend as a sentence, for screen readers."""
    if values.scale_name == "levels":
        return f"{values.title}: {values.note}"
    more = ". ".join((values.note, *values.lines))
    return f"{values.title}: from {figure(values.low)} to {figure(values.high)} {values.unit}. {more}".strip()
