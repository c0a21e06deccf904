"""Findings on the strip: where each lies, and its mark with its word."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from ringtex.checks.finding import Finding
from ringtex.make_ring import BuiltRing, ShapedRing
from ringtex.window.appearance.colours import Colours
from ringtex.window.overlays.cell_levels import LEVEL_NUMBER
from ringtex.window.overlays.colour_scales import scale_table
from ringtex.window.overlays.legend import level_shape
from ringtex.window.strip_editor.painting.rulers import scaled_font
from ringtex.window.strip_editor.state.viewport import Viewport

MIN_CELL_PX: Final = 10.0
"""Smaller cells show their level by colour alone, and the legend counts them."""

Position = tuple[float, float]


def strip_position(shaped: ShapedRing, place: object) -> Position | None:
    """(u, v) of a Finding, of (u, v) itself or of (x, y, z) on the ring: the outer face's nearest vertex."""
    if isinstance(place, Finding):
        place = place.place
    if not isinstance(place, tuple | list | np.ndarray):
        return None
    numbers = [float(number) for number in place]
    if len(numbers) == 2:
        return numbers[0], numbers[1]
    if len(numbers) != 3:
        return None
    places = shaped.solid.strip_positions
    away = shaped.solid.mesh.vertices[: len(places)] - np.array(numbers)
    nearest = int(np.argmin(np.einsum("ij,ij->i", away, away)))
    return float(places[nearest, 0]), float(places[nearest, 1])


def findings_with_positions(shaped: ShapedRing) -> list[tuple[Finding, Position]]:
    """Findings that lie somewhere, and where; none for a ring that was not checked."""
    if not isinstance(shaped, BuiltRing):
        return []
    found = [(finding, strip_position(shaped, finding)) for finding in shaped.report.findings]
    return [(finding, place) for finding, place in found if place is not None]


def draw_cell_levels(
    painter: QPainter, viewport: Viewport, shaped: ShapedRing, levels: NDArray[np.float64], ratio: float
) -> None:
    """The mark of its level on every cell with one, where cells are large enough to carry it.

    Parameters:
        painter: paints in the widget's pixels.
        viewport: which part of the strip is seen, and how large.
        shaped: the ring that is shown.
        levels: (c,) level of each cell, NaN for none.
        ratio: device pixels for a logical one.
    """
    tiling = shaped.pattern.tiling
    size = np.sqrt(tiling.areas) * viewport.scale / ratio
    table, pixels = scale_table("levels"), viewport.pixels(tiling.kernel[0])
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.setPen(QPen(QColor("#ffffff"), ratio))
    for cell in np.flatnonzero((levels > 0) & (size > MIN_CELL_PX)).tolist():
        level = int(levels[cell])
        painter.setBrush(QColor(*table[level].tolist()))
        u = float(tiling.kernel[0][cell, 0])
        for turn in viewport.copies(u, u):
            middle = QPointF(pixels[cell, 0] + turn * viewport.scale, pixels[cell, 1])
            painter.drawPolygon(level_shape(level, middle, min(5.0, 0.3 * float(size[cell])) * ratio))


def draw_findings(
    painter: QPainter, viewport: Viewport, found: list[tuple[Finding, Position]], colours: Colours, ratio: float
) -> None:
    """Each finding's shape with its kind in words.

    Parameters:
        painter: paints in the widget's pixels.
        viewport: which part of the strip is seen, and how large.
        found: findings with their positions.
        colours: the theme's colours.
        ratio: device pixels for a logical one.
    """
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    font = scaled_font(painter.font(), ratio)
    metrics = QFontMetricsF(font)
    table = scale_table("levels")
    for finding, (u, v) in found:
        level = LEVEL_NUMBER[finding.level]
        word = finding.kind.value.replace("_", " ")
        for turn in viewport.copies(u, u):
            middle = QPointF(*viewport.pixel(u + turn, v))
            size = QRectF(middle.x() + 10.0 * ratio, middle.y() - 0.6 * metrics.height(), 0.0, 1.2 * metrics.height())
            size.setWidth(metrics.horizontalAdvance(word) + 10.0 * ratio)
            painter.setPen(QPen(QColor(colours.line), ratio))
            painter.setBrush(QColor(colours.field))
            painter.drawRoundedRect(size, 3.0 * ratio, 3.0 * ratio)
            painter.setPen(QColor(colours.text))
            painter.setFont(font)
            painter.drawText(size, Qt.AlignmentFlag.AlignCenter, word)
            painter.setPen(QPen(QColor("#ffffff"), 2.0 * ratio))
            painter.setBrush(QColor(*table[level].tolist()))
            painter.drawPolygon(level_shape(level, middle, 8.0 * ratio))
    painter.restore()
