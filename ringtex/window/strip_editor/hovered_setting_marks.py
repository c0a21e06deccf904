"""A setting that the hand is on, shown where it acts: its length as a dimension line on the strip."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter

from ringtex.edits.strip_edits import row_spacing
from ringtex.make_ring import ShapedRing
from ringtex.window.appearance.colours import Colours
from ringtex.window.strip_editor.cell_words import CellReadings
from ringtex.window.strip_editor.handles import Handle
from ringtex.window.strip_editor.strip_marks import draw_dimension, draw_label
from ringtex.window.strip_editor.viewport import Viewport

RAILS: Final = {"rails": (True, True), "lower": (True, False), "upper": (False, True)}
"""Which of the lower and the upper rail a setting's name means."""


def draw_hovered_setting(
    painter: QPainter,
    viewport: Viewport,
    shaped: ShapedRing,
    name: str,
    handles: list[Handle],
    colours: Colours,
    ratio: float,
) -> None:
    """Show what a setting touches; nothing for settings that have no place on the strip."""
    frame = QRectF(0.0, 0.0, float(viewport.frame[2]), float(viewport.frame[3]))
    found = _line(viewport, shaped, name, handles) if handles else None
    if found is not None:
        start, end, words = found
        draw_dimension(painter, start, end, colours, ratio)
        draw_label(painter, [words], QPointF(0.5 * (start.x() + end.x()), start.y()), frame, colours, ratio)
    if name in RAILS:
        tint = QColor(colours.accent)
        tint.setAlpha(120)
        tiling = shaped.pattern.tiling
        bands = ((0.0, tiling.lower), (tiling.upper, shaped.strip.width))
        for chosen, (low, high) in zip(RAILS[name], bands, strict=True):
            if chosen:
                # A rail of no width is shown as a line along the edge, where it would begin.
                top, bottom = viewport.y_of(high), viewport.y_of(low)
                height = max(bottom - top, 4.0 * ratio)
                painter.fillRect(QRectF(frame.left(), 0.5 * (top + bottom - height), frame.width(), height), tint)


def _line(
    viewport: Viewport, shaped: ShapedRing, name: str, handles: list[Handle]
) -> tuple[QPointF, QPointF, str] | None:
    """Ends of the dimension line in pixels, and its length in words."""
    side = next(handle for handle in handles if handle.name == "around")
    if name == "around":
        pitch = shaped.strip.length / shaped.pattern.around
        start = QPointF(viewport.x_of(side.u - pitch), viewport.y_of(side.v))
        return start, QPointF(viewport.x_of(side.u), viewport.y_of(side.v)), f"{pitch:.2f} mm each"
    if name == "across":
        top = next(handle for handle in handles if handle.name == "across")
        spacing = row_spacing(shaped)
        x = viewport.x_of(top.u)
        return QPointF(x, viewport.y_of(top.v)), QPointF(x, viewport.y_of(top.v - spacing)), f"{spacing:.2f} mm each"
    if name in ("wall_width", "top_size"):
        return _wall_width(viewport, shaped, side, name)
    return None


def _wall_width(viewport: Viewport, shaped: ShapedRing, side: Handle, name: str) -> tuple[QPointF, QPointF, str] | None:
    """The level strip over the wall at a cell's right side, or the inside of that cell."""
    cell = _cell_left_of(shaped, side)
    reading = CellReadings(shaped).read(cell)
    e, _, _ = shaped.strip.metric(np.array([side.u]), np.array([side.v]))
    to_strip = 1.0 / float(np.sqrt(e[0]))
    y = viewport.y_of(side.v)
    if name == "wall_width" and reading.wall_mm is not None:
        half = 0.5 * reading.wall_mm * to_strip
        word = "ridge" if reading.wall_is_ridge else "groove"
        return _level(viewport, side.u - half, side.u + half, y, f"{word} {reading.wall_mm:.2f} mm")
    if name == "top_size" and reading.inside_mm is not None:
        width = reading.inside_mm * to_strip
        middle = side.u - 0.5 * reading.width_mm * to_strip
        return _level(viewport, middle - 0.5 * width, middle + 0.5 * width, y, f"inside {reading.inside_mm:.2f} mm")
    return None


def _level(viewport: Viewport, low: float, high: float, y: float, words: str) -> tuple[QPointF, QPointF, str]:
    return QPointF(viewport.x_of(low), y), QPointF(viewport.x_of(high), y), words


def _cell_left_of(shaped: ShapedRing, side: Handle) -> int:
    """The cell whose right side carries the handle."""
    tiling = shaped.pattern.tiling
    first = tiling.cell_start[:-1]
    high = np.maximum.reduceat(tiling.corners[:, 0], first)
    along = (high - side.u + 0.5 * tiling.length) % tiling.length - 0.5 * tiling.length
    return int(np.argmin(np.abs(along) + np.abs(tiling.kernel[0][:, 1] - side.v)))
