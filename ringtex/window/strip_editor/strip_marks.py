"""What is drawn over the strip's picture: copies, seam, rails, the hovered cell, handles, sites, labels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QLinearGradient, QPainter, QPainterPath, QPen, QPolygonF

from ringtex.edits.cell_and_site_edits import site_kind
from ringtex.make_ring import ShapedRing
from ringtex.window.appearance.colours import Colours
from ringtex.window.strip_editor.handles import Handle
from ringtex.window.strip_editor.rulers import scaled_font
from ringtex.window.strip_editor.viewport import Viewport

COPY_VEIL: Final = 168
"""Opacity, of 255, of the veil over the copies beyond the whole turn."""

SHORT_LINE_PX: Final = 22.0

SITE_LEAST_CELL_PX: Final = 12.0
"""Sites are shown where cells are at least this large."""


def draw_veil(painter: QPainter, viewport: Viewport, colours: Colours) -> None:
    """Dim what lies beyond the one whole turn about the frame's middle."""
    left, _, right, _ = viewport.frame
    middle = 0.5 * (left + right)
    top, height = float(viewport.top_px), float(viewport.height_px)
    veil = QColor(colours.window)
    veil.setAlpha(COPY_VEIL)
    half = 0.5 * viewport.turn_px
    if middle - half > left:
        painter.fillRect(QRectF(left, top, middle - half - left, height), veil)
    if middle + half < right:
        painter.fillRect(QRectF(middle + half, top, right - middle - half, height), veil)


def draw_sheen(painter: QPainter, viewport: Viewport, towards: Sequence[float]) -> None:
    """A soft rise and fall of light across the strip, as on a gently rounded bar: bright towards the light's side."""
    left, _, right, _ = viewport.frame
    top, height = float(viewport.top_px), float(viewport.height_px)
    rise = float(towards[1])
    sheen = QLinearGradient(0.0, top, 0.0, top + height)
    strength = 0.4 + 0.6 * abs(rise)
    bright = 0.32 if rise >= 0.0 else 0.68
    dark = 1.0 if rise >= 0.0 else 0.0
    sheen.setColorAt(bright, QColor(255, 255, 255, round(34 * strength)))
    sheen.setColorAt(min(max(bright + (0.34 if rise >= 0.0 else -0.34), 0.0), 1.0), QColor(255, 255, 255, 0))
    sheen.setColorAt(1.0 - dark, QColor(255, 255, 255, 0))
    sheen.setColorAt(dark, QColor(0, 0, 0, round(46 * strength)))
    painter.fillRect(QRectF(left, top, right - left, height), sheen)


def draw_edges(painter: QPainter, viewport: Viewport, shaped: ShapedRing, colours: Colours, ratio: float) -> None:
    """The strip's two edges, and the borders of the rails."""
    left, _, right, _ = viewport.frame
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(QPen(QColor(0, 0, 0, 110), max(1.0, ratio)))
    edges = [viewport.top_px, viewport.top_px + viewport.height_px]
    painter.drawLines([QLineF(left, y, right, y) for y in edges])
    tiling = shaped.pattern.tiling
    borders = [(tiling.lower, 0.0), (tiling.upper, shaped.strip.width)]
    lines = [viewport.y_of(v) for v, edge in borders if abs(v - edge) > 1e-6]
    painter.setPen(QPen(QColor(0, 0, 0, 70), max(1.0, ratio)))
    painter.drawLines([QLineF(left, round(y), right, round(y)) for y in lines])
    painter.setPen(QPen(QColor(255, 255, 255, 70), max(1.0, ratio)))
    painter.drawLines([QLineF(left, round(y) + ratio, right, round(y) + ratio) for y in lines])


def draw_seam(painter: QPainter, viewport: Viewport, colours: Colours, ratio: float) -> None:
    """The seam, wherever it is seen: a dashed line, with its name above."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    top, bottom = viewport.top_px, viewport.top_px + viewport.height_px
    for number in seams(viewport):
        x = round(viewport.x_of(number * viewport.length)) + 0.5
        painter.setPen(QPen(QColor(0, 0, 0, 100), 2.4 * ratio))
        painter.drawLine(QPointF(x, top), QPointF(x, bottom))
        pen = QPen(QColor("#ffffff"), 1.4 * ratio, Qt.PenStyle.CustomDashLine)
        pen.setDashPattern([5.0, 3.0])
        painter.setPen(pen)
        painter.drawLine(QPointF(x, top), QPointF(x, bottom))


def seams(viewport: Viewport) -> range:
    """Numbers of the turns whose beginning is in the frame."""
    first = -(-viewport.left_px // viewport.turn_px)
    return range(first, (viewport.left_px + viewport.frame_width) // viewport.turn_px + 1)


def cell_path(shaped: ShapedRing, viewport: Viewport, cell: int) -> QPainterPath:
    """The cell's outline in pixels, once for every place where it is seen."""
    tiling = shaped.pattern.tiling
    corners = tiling.corners[tiling.cell_start[cell] : tiling.cell_start[cell + 1]]
    path = QPainterPath()
    for turn in copies(viewport, float(corners[:, 0].min()), float(corners[:, 0].max())):
        points = [QPointF(viewport.x_of(u + turn), viewport.y_of(v)) for u, v in corners.tolist()]
        path.addPolygon(QPolygonF([*points, points[0]]))
    return path


def copies(viewport: Viewport, low: float, high: float) -> Iterator[float]:
    """Lengths to add to places from low to high so that they come to lie in the frame."""
    left = viewport.left_px / viewport.scale
    right = left + viewport.frame_width / viewport.scale
    first = int(np.ceil((left - high) / viewport.length))
    for number in range(first, int(np.floor((right - low) / viewport.length)) + 1):
        yield number * viewport.length


def draw_hovered(painter: QPainter, path: QPainterPath, colours: Colours, ratio: float) -> None:
    """The glow on a cell: a light fill, and an outline that shows on every metal."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.fillPath(path, QColor(255, 255, 255, 64))
    painter.strokePath(path, QPen(QColor(0, 0, 0, 150), 4.0 * ratio))
    painter.strokePath(path, QPen(QColor("#ffffff"), 2.0 * ratio))


def draw_handles(
    painter: QPainter, viewport: Viewport, handles: list[Handle], active: str | None, colours: Colours, ratio: float
) -> None:
    """Knobs: a two-headed arrow on a disc, the way that it can be pulled; grips on the rails' borders."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    for handle in handles:
        x, y = viewport.x_of(handle.u), viewport.y_of(handle.v)
        chosen = handle.name == active
        painter.setPen(QPen(QColor(0, 0, 0, 150), ratio))
        painter.setBrush(QColor(colours.accent if chosen else "#ffffff"))
        if handle.is_line:
            painter.drawRoundedRect(QRectF(x - 13 * ratio, y - 3 * ratio, 26 * ratio, 6 * ratio), 3 * ratio, 3 * ratio)
            continue
        painter.drawEllipse(QPointF(x, y), 7.0 * ratio, 7.0 * ratio)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(colours.on_accent if chosen else "#2a2826"))
        for way in (-1.0, 1.0):
            tip, back, side = 5.0 * way * ratio, 1.6 * way * ratio, 3.0 * ratio
            if handle.name == "around":
                points = [(x + tip, y), (x + back, y - side), (x + back, y + side)]
            else:
                points = [(x, y + tip), (x - side, y + back), (x + side, y + back)]
            painter.drawPolygon(QPolygonF([QPointF(*point) for point in points]))


def draw_sites(
    painter: QPainter, viewport: Viewport, shaped: ShapedRing, hovered: int | None, colours: Colours, ratio: float
) -> None:
    """Sites: a dot where free, a square where a hand holds it, a diamond where a hand added it."""
    sites = shaped.pattern.sites
    if sites is None or viewport.scale * float(np.sqrt(shaped.strip.area / len(sites))) < SITE_LEAST_CELL_PX * ratio:
        return
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.setPen(QPen(QColor(255, 255, 255, 200), ratio))
    for number, (u, v) in enumerate(sites.tolist()):
        kind = site_kind(shaped, number)
        if kind == "free" and number != hovered:
            painter.setBrush(QColor(20, 20, 20, 120))
            size = 2.0 * ratio
        else:
            painter.setBrush(QColor(colours.accent) if number == hovered else QColor("#14110e"))
            size = 4.5 * ratio
        for turn in copies(viewport, u, u):
            middle = QPointF(viewport.x_of(u + turn), viewport.y_of(v))
            if kind == "free":
                painter.drawEllipse(middle, size, size)
            elif kind == "held":
                painter.drawRect(QRectF(middle.x() - size, middle.y() - size, 2.0 * size, 2.0 * size))
            else:
                corners = [(0.0, -1.3), (1.3, 0.0), (0.0, 1.3), (-1.3, 0.0)]
                painter.drawPolygon(QPolygonF([middle + QPointF(a * size, b * size) for a, b in corners]))


def draw_dimension(painter: QPainter, start: QPointF, end: QPointF, colours: Colours, ratio: float) -> None:
    """A dimension line with an arrow at each end; where it is short, the arrows point at it from outside."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    short = QLineF(start, end).length() < SHORT_LINE_PX * ratio
    strokes = [QLineF(start, end)]
    for at, other in ((start, end), (end, start)):
        shaft = QLineF(at, other)
        if short:
            shaft.setAngle(shaft.angle() + 180.0)
            shaft.setLength(0.7 * SHORT_LINE_PX * ratio)
            strokes.append(shaft)
        for turn in (24.0, -24.0):
            arm = QLineF(shaft)
            arm.setLength(7.0 * ratio)
            arm.setAngle(shaft.angle() + turn)
            strokes.append(arm)
    for colour, width in ((QColor(0, 0, 0, 160), 3.4), (QColor("#ffffff"), 1.5)):
        painter.setPen(QPen(colour, width * ratio))
        painter.drawLines(strokes)


def draw_label(
    painter: QPainter, lines: list[str], anchor: QPointF, frame: QRectF, colours: Colours, ratio: float
) -> None:
    """Lines of text on a small panel above the anchor, or below where there is no room; never outside the frame."""
    lines = [line for line in lines if line]
    if not lines:
        return
    font = scaled_font(painter.font(), ratio)
    metrics = QFontMetricsF(font)
    pad, gap = 6.0 * ratio, 14.0 * ratio
    width = max(metrics.horizontalAdvance(line) for line in lines) + 2.0 * pad
    height = metrics.height() * len(lines) + 1.4 * pad
    left = min(max(anchor.x() - 0.5 * width, frame.left() + pad), frame.right() - width - pad)
    top = anchor.y() - gap - height
    if top < frame.top() + ratio:
        top = max(min(anchor.y() + gap, frame.bottom() - height - ratio), frame.top() + ratio)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    ground = QColor(colours.field)
    ground.setAlpha(242)
    painter.setPen(QPen(QColor(colours.line), ratio))
    painter.setBrush(ground)
    painter.drawRoundedRect(QRectF(left, top, width, height), 4.0 * ratio, 4.0 * ratio)
    painter.save()
    painter.setFont(font)
    for number, line in enumerate(lines):
        painter.setPen(QColor(colours.text if number == 0 else colours.soft_text))
        at = QRectF(left + pad, top + 0.7 * pad + number * metrics.height(), width, metrics.height())
        painter.drawText(at, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, line)
    painter.restore()
