"""The hovered setting, shown where it acts: its length as a dimension line on the strip."""

from __future__ import annotations

import re
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from ringtex.edits.strip_edits import row_spacing
from ringtex.make_ring import ShapedRing
from ringtex.strip.true_size import length_on_ring
from ringtex.window.appearance.colours import Colours
from ringtex.window.strip_editor.painting.strip_marks import draw_dimension, polyline
from ringtex.window.strip_editor.state.cell_readings import CellReadings
from ringtex.window.strip_editor.state.handles import Handle
from ringtex.window.strip_editor.state.strip_state import StripState
from ringtex.window.strip_editor.state.viewport import Viewport

RAILS: Final = {"rails": (True, True), "lower": (True, False), "upper": (False, True)}
"""Which of the lower and the upper rail a setting's name means."""


def draw_hovered_setting(painter: QPainter, strip: StripState, name: str, colours: Colours, ratio: float) -> None:
    """Show what a setting changes; nothing for settings that have no place on the strip.

    Parameters:
        painter: in device pixels.
        strip: what is shown.
        name: the setting's name.
        colours: of the theme.
        ratio: device pixels for a logical one.
    """
    assert strip.view is not None
    viewport, shaped, handles = strip.viewport, strip.view.built, strip.handles()
    frame = QRectF(0.0, 0.0, float(viewport.frame[2]), float(viewport.frame[3]))
    found = _line(viewport, shaped, name, handles) if handles else None
    if found is not None:
        start, end, words = found
        draw_dimension(painter, (start, end), words, frame, colours, ratio)
    if panel := re.match(r"panels\[(\d+)\]", name):
        draw_panel(painter, strip, int(panel[1]), colours, ratio, 60)
    for low, high in _bands(shaped, name):
        tint = QColor(colours.accent)
        tint.setAlpha(120 if name in RAILS else 60)
        top, bottom = viewport.line(high), viewport.line(low)
        # A rail of no width is shown as a line along the edge, where it would begin.
        grow = 0.5 * max(4.0 * ratio - float(bottom[0, 1] - top[0, 1]), 0.0)
        top[:, 1], bottom[:, 1] = top[:, 1] - grow, bottom[:, 1] + grow
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(tint)
        painter.drawPolygon(QPolygonF(polyline(np.concatenate((top, bottom[::-1])))))


def draw_panel(
    painter: QPainter, strip: StripState, number: int, colours: Colours, ratio: float, alpha: int = 0
) -> None:
    """The outline of a panel, in every copy that is seen.

    Parameters:
        painter: in device pixels.
        strip: what is shown.
        number: of the panel; nothing is drawn where there is none.
        colours: of the theme.
        ratio: device pixels for a logical one.
        alpha: of the tint over it, 0 to 255.
    """
    assert strip.view is not None
    panels, viewport = strip.view.built.pattern.panels, strip.viewport
    if number >= len(panels):
        return
    corners = panels[number].box.corners
    # In true size its sides are curved.
    share = np.linspace(0.0, 1.0, 24, endpoint=False)[:, None]
    outline = np.concatenate([a + share * (b - a) for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)])
    tint = QColor(colours.accent)
    painter.setPen(QPen(tint, 2.5 * ratio))
    tint.setAlpha(alpha)
    painter.setBrush(tint)
    for turn in viewport.copies(*corners[:2, 0].tolist()):
        painter.drawPolygon(QPolygonF(polyline(viewport.pixels(outline + np.array([turn, 0.0])))))


def _bands(shaped: ShapedRing, name: str) -> list[tuple[float, float]]:
    """From v to v, mm, of the rails or of the zone that a setting changes."""
    pattern = shaped.pattern
    if name in RAILS:
        both = ((0.0, pattern.tiling.lower), (pattern.tiling.upper, shaped.strip.width))
        return [band for chosen, band in zip(RAILS[name], both, strict=True) if chosen]
    zone = re.match(r"zones\[(\d+)\]", name)
    if zone is None or int(zone[1]) >= len(pattern.zones):
        return []
    tiling = pattern.zones[int(zone[1])].pattern.tiling
    return [(tiling.lower, tiling.upper)]


def _line(
    viewport: Viewport, shaped: ShapedRing, name: str, handles: list[Handle]
) -> tuple[QPointF, QPointF, str] | None:
    """Ends of the dimension line in pixels, and its length on the ring in words."""
    side = next(handle for handle in handles if handle.name == "around")
    if name == "around":
        start, end = (side.u - shaped.strip.length / shaped.pattern.around, side.v), (side.u, side.v)
        return _dimension(viewport, start, end, f"{length_on_ring(shaped.strip, start, end):.2f} mm each here")
    if name == "across":
        top = next(handle for handle in handles if handle.name == "across")
        start, end = (top.u, top.v), (top.u, top.v - row_spacing(shaped))
        return _dimension(viewport, start, end, f"{length_on_ring(shaped.strip, start, end):.2f} mm each here")
    if name in ("wall_width", "top_size"):
        return _wall_width(viewport, shaped, side, name)
    return None


def _wall_width(viewport: Viewport, shaped: ShapedRing, side: Handle, name: str) -> tuple[QPointF, QPointF, str] | None:
    """The level strip over the wall at a cell's right side, or the inside of that cell."""
    cell = _cell_left_of(shaped, side)
    reading = CellReadings(shaped).read(cell)
    e, _, _ = shaped.strip.metric(np.array([side.u]), np.array([side.v]))
    to_strip = 1.0 / float(np.sqrt(e[0]))
    if name == "wall_width" and reading.wall_mm is not None:
        middle, width = side.u, reading.wall_mm
        words = f"{'ridge' if reading.wall_is_ridge else 'groove'} {width:.2f} mm"
    elif name == "top_size" and reading.inside_mm is not None:
        middle, width = side.u - 0.5 * reading.width_mm * to_strip, reading.inside_mm
        words = f"inside {width:.2f} mm"
    else:
        return None
    half = 0.5 * width * to_strip
    return _dimension(viewport, (middle - half, side.v), (middle + half, side.v), words)


def _dimension(
    viewport: Viewport, start: tuple[float, float], end: tuple[float, float], words: str
) -> tuple[QPointF, QPointF, str]:
    return QPointF(*viewport.pixel(*start)), QPointF(*viewport.pixel(*end)), words


def _cell_left_of(shaped: ShapedRing, side: Handle) -> int:
    """The cell whose right side carries the handle."""
    tiling = shaped.pattern.tiling
    first = tiling.cell_start[:-1]
    high = np.maximum.reduceat(tiling.corners[:, 0], first)
    along = (high - side.u + 0.5 * tiling.length) % tiling.length - 0.5 * tiling.length
    return int(np.argmin(np.abs(along) + np.abs(tiling.kernel[0][:, 1] - side.v)))
