"""Stones and plain places drawn on the strip, with the grips of what is chosen."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPolygonF, QRadialGradient

from ringtex.basics.arrays import Floats
from ringtex.window.appearance.colours import Colours
from ringtex.window.strip_editor.painting.strip_marks import draw_label, polyline
from ringtex.window.strip_editor.state.finishing_items import FinishItem
from ringtex.window.strip_editor.state.metal_tones import LEVEL_TONE, metal_colours, tone_number
from ringtex.window.strip_editor.state.strip_state import StripState
from ringtex.window.strip_editor.state.viewport import Viewport

FACETS: Final = 8
"""Corners of a brilliant's table, and of what is drawn of its crown."""


def draw_finish(painter: QPainter, strip: StripState, colours: Colours, ratio: float) -> None:
    """All stones and plain places; where an overlay colours the strip, their outlines alone.

    Parameters:
        painter: paints in the widget's pixels.
        strip: the strip and what it shows.
        colours: the theme's colours.
        ratio: device pixels for a logical one.
    """
    if not strip.items:
        return
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    shade = None if strip.ring.look.overlay is not None else _metal(strip.shared.material)
    marked = strip.marked
    for item in strip.items:
        low, high = float(item.border[:, 0].min()), float(item.border[:, 0].max())
        for turn in strip.viewport.copies(low, high):
            _draw_item(painter, strip.viewport, item, turn, shade, ratio)
            if item.entry == marked:
                _draw_marked(painter, strip.viewport, item, turn, colours, ratio)
    painter.restore()


def draw_finish_grips(painter: QPainter, strip: StripState, colours: Colours, ratio: float) -> None:
    """The grips of the chosen entry's items.

    Parameters:
        painter: paints in the widget's pixels.
        strip: the strip and what it shows.
        colours: the theme's colours.
        ratio: device pixels for a logical one.
    """
    chosen = strip.shared.finishing.chosen
    for item in strip.items:
        if item.entry.key != chosen:
            continue
        for name, x, y in strip.grips(item):
            active = strip.item is item and strip.grip == name
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
            painter.setPen(QPen(QColor(0, 0, 0, 150), ratio))
            painter.setBrush(QColor(colours.accent if active else "#ffffff"))
            painter.drawRect(QRectF(x - 4.0 * ratio, y - 4.0 * ratio, 8.0 * ratio, 8.0 * ratio))


def draw_placing(painter: QPainter, strip: StripState, colours: Colours, ratio: float, whole: QRectF) -> None:
    """What to do while something is being placed.

    Parameters:
        painter: paints in the widget's pixels.
        strip: the strip and what it shows.
        colours: the theme's colours.
        ratio: device pixels for a logical one.
        whole: the view's rectangle, pixels.
    """
    hint = strip.shared.finishing.hint
    if hint:
        top = float(max(strip.viewport.frame[1], strip.viewport.top_px))
        below_ruler = QRectF(whole.left(), top, whole.width(), whole.bottom() - top)
        draw_label(painter, [hint], QPointF(whole.center().x(), top - 6.0 * ratio), below_ruler, colours, ratio)


def words_for_item(item: FinishItem) -> list[str]:
    """What a stone or a plain place is, and what can be done with it."""
    if item.stone is not None:
        carat = f"about {item.stone.carat:.3f} ct"
        return [
            f"stone {item.stone.diameter_mm:.2f} mm, {carat}",
            "drag it (Alt: without snapping), click for its settings, Delete removes it",
        ]
    assert item.plain is not None
    width, height = (2.0 * half for half in item.plain.half_mm)
    return [
        f"plain place {width:.2f} × {height:.2f} mm",
        "drag it (Alt: without snapping), click for its size, Delete removes it",
    ]


def _draw_item(
    painter: QPainter, viewport: Viewport, item: FinishItem, turn: float, shade: QColor | None, ratio: float
) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush if shade is None else QBrush(shade))
    painter.setPen(QPen(QColor(0, 0, 0, 120), 1.2 * ratio))
    _draw_border(painter, viewport, item, turn)
    stone = item.stone
    if stone is None:
        return
    box = _box(viewport, item, 0.5 * stone.diameter_mm, turn)
    glass = QRadialGradient(box.center() - QPointF(0.2 * box.width(), 0.2 * box.height()), 0.75 * box.width())
    glass.setColorAt(0.0, QColor(255, 255, 255, 235))
    glass.setColorAt(0.6, QColor(196, 216, 232, 215))
    glass.setColorAt(1.0, QColor(92, 118, 142, 225))
    painter.setBrush(QBrush(glass))
    painter.setPen(QPen(QColor(30, 42, 54, 220), 1.4 * ratio))
    painter.drawEllipse(box)
    table = item.circle(0.5 * stone.proportions.table * stone.diameter_mm, FACETS, 180.0 / FACETS)
    rim = item.circle(0.5 * stone.diameter_mm, FACETS, 180.0 / FACETS)
    painter.setPen(QPen(QColor(255, 255, 255, 170), 0.9 * ratio))
    inner, outer = (polyline(viewport.pixels(corners + np.array([turn, 0.0]))) for corners in (table, rim))
    for start, end in zip(inner, outer, strict=True):
        painter.drawLine(start, end)
    painter.setBrush(QColor(255, 255, 255, 60))
    painter.drawPolygon(QPolygonF(inner))


def _draw_marked(
    painter: QPainter, viewport: Viewport, item: FinishItem, turn: float, colours: Colours, ratio: float
) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for colour, width in ((QColor(255, 255, 255, 220), 4.0), (QColor(colours.accent), 2.0)):
        painter.setPen(QPen(colour, width * ratio))
        _draw_border(painter, viewport, item, turn)


def _draw_border(painter: QPainter, viewport: Viewport, item: FinishItem, turn: float) -> None:
    if item.stone is None:
        painter.drawPolygon(_polygon(viewport, item.border, turn))
    else:
        painter.drawEllipse(_box(viewport, item, 0.5 * item.stone.diameter_mm + item.stone.collar_mm, turn))


def _box(viewport: Viewport, item: FinishItem, radius_mm: float, turn: float) -> QRectF:
    """What bounds a circle of the ring about the item's middle: on the strip it is an ellipse along its axes."""
    pixels = viewport.pixels(item.circle(radius_mm, 24) + np.array([turn, 0.0]))
    (left, top), (right, bottom) = pixels.min(axis=0).tolist(), pixels.max(axis=0).tolist()
    return QRectF(left, top, right - left, bottom - top)


def _polygon(viewport: Viewport, positions: Floats, turn: float) -> QPolygonF:
    return QPolygonF(polyline(viewport.pixels(positions + np.array([turn, 0.0]))))


def _metal(finish: str) -> QColor:
    """Level metal."""
    return QColor(*metal_colours(finish)[int(tone_number(np.array(LEVEL_TONE)))].tolist())
