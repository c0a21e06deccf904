"""Small pictures of the bands to begin with: as seen along the finger, and laid flat."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPainterPath, QPen, QPixmap, QPolygonF

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions
from ringtex.band.bore import BoreOptions
from ringtex.window.appearance.colours import Colours

BORE_MM: Final = 8.6
"""Of a usual finger (ISO size 54)."""
MAX_MM: Final = 18.0
"""From the middle to the highest head, and the widest band: all pictures are to one scale."""
WIDE, HIGH = 50, 32
STEPS: Final = 181


def preset_icon(options: BandOptions, chosen: Colours, ratio: float) -> QIcon:
    """Both drawings beside each other."""
    picture = QPixmap(round(WIDE * ratio), round(HIGH * ratio))
    picture.setDevicePixelRatio(ratio)
    picture.fill(Qt.GlobalColor.transparent)
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(chosen.soft_text), 1.4))
    painter.setBrush(QColor(chosen.hover))
    band, theta = Band(BORE_MM, BoreOptions(), options), np.linspace(-np.pi, np.pi, STEPS)
    _paint_round(painter, band, theta, QRectF(1, 1, HIGH - 2, HIGH - 2))
    _paint_flat(painter, band, theta, QRectF(HIGH + 1, 2, WIDE - HIGH - 2, HIGH - 4))
    painter.end()
    return QIcon(picture)


def _paint_round(painter: QPainter, band: Band, theta: np.ndarray, box: QRectF) -> None:
    """Along the finger: the crown's line round the bore, the head above."""
    scale = box.height() / (2.0 * BORE_MM + 2.0 + (MAX_MM - BORE_MM))
    middle = QPointF(box.center().x(), box.bottom() - (BORE_MM + 2.0) * scale)
    radius = band.crown_radius(theta)
    line = [middle + QPointF(-r * np.sin(t), -r * np.cos(t)) * scale for r, t in zip(radius, theta, strict=True)]
    path = QPainterPath()
    path.addPolygon(QPolygonF(line))
    path.addEllipse(middle, BORE_MM * scale, BORE_MM * scale)
    painter.drawPath(path)


def _paint_flat(painter: QPainter, band: Band, theta: np.ndarray, box: QRectF) -> None:
    """The band's outline unrolled upright, the head in its middle."""
    half = band.half_width(theta) * box.width() / MAX_MM
    y = box.bottom() - (theta + np.pi) / (2.0 * np.pi) * box.height()
    x = box.center().x()
    right = [QPointF(x + float(h), float(at)) for h, at in zip(half, y, strict=True)]
    left = [QPointF(x - float(h), float(at)) for h, at in zip(half[::-1], y[::-1], strict=True)]
    painter.drawPolygon(QPolygonF([*right, *left]))
