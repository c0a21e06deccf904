"""What is drawn over the strip's picture: copies, seam, rails, the hovered cell, handles, sites, labels."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QLinearGradient, QPainter, QPainterPath, QPen, QPolygonF

from ringtex.basics.arrays import Floats
from ringtex.edits.brush_strokes import circle_on_strip, spots_of
from ringtex.edits.cell_and_site_edits import site_kind
from ringtex.make_ring import ShapedRing
from ringtex.window.appearance.colours import Colours
from ringtex.window.appearance.dimension_line import GROUND_ALPHA, paint_dimension
from ringtex.window.strip_editor.painting.rulers import scaled_font
from ringtex.window.strip_editor.state.handles import Handle
from ringtex.window.strip_editor.state.strip_scene import SIDE_MM, subdivided
from ringtex.window.strip_editor.state.strip_state import StripState
from ringtex.window.strip_editor.state.viewport import Viewport

COPY_VEIL: Final = 168
"""Opacity, of 255, of the veil over the copies beyond the whole turn."""

SEAM_POINTS: Final = 17
"""Of the seam in true size."""

SITE_LEAST_CELL_PX: Final = 12.0
"""Sites are shown where cells are at least this large."""


def draw_veil(painter: QPainter, viewport: Viewport, colours: Colours) -> None:
    """Dim what lies beyond the one whole turn about the frame's middle.

    Parameters:
        painter: paints in the widget's pixels.
        viewport: which part of the strip is seen, and how large.
        colours: the theme's colours.
    """
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
    """A soft rise and fall of light across the strip, as on a gently rounded bar: bright towards the light's side.

    Parameters:
        painter: paints in the widget's pixels.
        viewport: which part of the strip is seen, and how large.
        towards: direction of the light.
    """
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


def draw_outside(painter: QPainter, viewport: Viewport, colours: Colours) -> None:
    """In true size: the window's colour beyond the outline.

    Parameters:
        painter: paints in the widget's pixels.
        viewport: which part of the strip is seen, and how large.
        colours: the theme's colours.
    """
    if viewport.true_size is None:
        return
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(colours.window))
    left, _, right, _ = viewport.frame
    for v, y in ((0.0, viewport.top_px + viewport.height_px + 2.0), (viewport.strip_width, viewport.top_px - 2.0)):
        outline = [QPointF(left - 1.0, y), *polyline(viewport.line(v)), QPointF(right + 1.0, y)]
        painter.drawPolygon(QPolygonF(outline))


def polyline(pixels: Floats) -> list[QPointF]:
    """Points (n, 2) as Qt's."""
    return [QPointF(x, y) for x, y in pixels.tolist()]


def draw_edges(painter: QPainter, viewport: Viewport, shaped: ShapedRing, ratio: float) -> None:
    """The strip's two edges, and the borders of the rails.

    Parameters:
        painter: paints in the widget's pixels.
        viewport: which part of the strip is seen, and how large.
        shaped: the ring that is shown.
        ratio: device pixels for a logical one.
    """
    curved = viewport.true_size is not None
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, curved)
    painter.setPen(QPen(QColor(0, 0, 0, 110), max(1.0, ratio)))
    for v in (0.0, viewport.strip_width):
        painter.drawPolyline(QPolygonF(polyline(viewport.line(v))))
    tiling = shaped.pattern.tiling
    borders = [(tiling.lower, 0.0), (tiling.upper, shaped.strip.width)]
    inner = [v for gap in tiling.gaps for v in gap]
    for v in [*(v for v, edge in borders if abs(v - edge) > 1e-6), *inner]:
        line = viewport.line(v)
        line = line if curved else np.rint(line)
        for shift, colour in ((0.0, QColor(0, 0, 0, 70)), (ratio, QColor(255, 255, 255, 70))):
            painter.setPen(QPen(colour, max(1.0, ratio)))
            painter.drawPolyline(QPolygonF(polyline(line + np.array([0.0, shift]))))


def draw_seam(painter: QPainter, viewport: Viewport, ratio: float) -> None:
    """The seam, wherever it is seen: a dashed line.

    Parameters:
        painter: paints in the widget's pixels.
        viewport: which part of the strip is seen, and how large.
        ratio: device pixels for a logical one.
    """
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    v = np.linspace(0.0, viewport.strip_width, 2 if viewport.true_size is None else SEAM_POINTS)
    for u in viewport.copies(0.0, 0.0):
        line = viewport.pixels(np.column_stack((np.full(len(v), u), v)))
        line[:, 0] = np.rint(line[:, 0]) + 0.5
        shape = QPolygonF(polyline(line))
        painter.setPen(QPen(QColor(0, 0, 0, 100), 2.4 * ratio))
        painter.drawPolyline(shape)
        pen = QPen(QColor("#ffffff"), 1.4 * ratio, Qt.PenStyle.CustomDashLine)
        pen.setDashPattern([5.0, 3.0])
        painter.setPen(pen)
        painter.drawPolyline(shape)


def cell_path(shaped: ShapedRing, viewport: Viewport, cell: int) -> QPainterPath:
    """The cell's outline in pixels, once for every place where it is seen.

    Parameters:
        shaped: the ring that is shown.
        viewport: which part of the strip is seen, and how large.
        cell: index of the cell.
    Returns: the outline in pixels.
    """
    tiling = shaped.pattern.tiling
    corners = tiling.corners[tiling.cell_start[cell] : tiling.cell_start[cell + 1]]
    if viewport.true_size is not None:
        corners, _ = subdivided(corners, np.array([0, len(corners)]), SIDE_MM)
    path = QPainterPath()
    for turn in viewport.copies(float(corners[:, 0].min()), float(corners[:, 0].max())):
        path.addPolygon(QPolygonF(polyline(viewport.pixels(corners + np.array([turn, 0.0])))))
        path.closeSubpath()
    return path


def draw_hovered(painter: QPainter, path: QPainterPath, ratio: float) -> None:
    """The highlight of a cell: a light fill, and an outline that shows on every metal.

    Parameters:
        painter: paints in the widget's pixels.
        path: outline of the cell, pixels.
        ratio: device pixels for a logical one.
    """
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.fillPath(path, QColor(255, 255, 255, 64))
    painter.strokePath(path, QPen(QColor(0, 0, 0, 150), 4.0 * ratio))
    painter.strokePath(path, QPen(QColor("#ffffff"), 2.0 * ratio))


def draw_brush(painter: QPainter, strip: StripState, ratio: float) -> None:
    """The painted spots, and the brush under the pointer.

    Parameters:
        painter: paints in the widget's pixels.
        strip: the strip and what it shows.
        ratio: device pixels for a logical one.
    """
    brush = strip.shared.brush
    if brush is None or strip.view is None:
        return
    band, viewport = strip.view.built.strip, strip.viewport
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    left, top, right, bottom = viewport.frame
    painter.setClipRect(left, top, right - left, bottom - top)
    for u, v, radius, value in spots_of(strip.document.design, brush.subject):
        line = circle_on_strip(band, u * band.length, v * band.width, radius, 24)
        denser = brush.subject == "density" and value > 1.0
        _draw_circle(painter, viewport, line, QColor(255, 255, 255, 150), denser, ratio)
    if strip.pointer is not None:
        u, v = strip.position(strip.pointer)
        if 0.0 <= v <= band.width:
            line = circle_on_strip(band, u, v, brush.radius_mm)
            sign = None if brush.act == "erase" else brush.act == "more"
            _draw_circle(painter, viewport, line, QColor("#ffffff"), sign, ratio, chosen=True)
    painter.setClipping(False)


def draw_stroke(painter: QPainter, strip: StripState, colours: Colours, ratio: float) -> None:
    """The curve that is being drawn, as wide as its line will be.

    Parameters:
        painter: paints in the widget's pixels.
        strip: the strip and what it shows.
        colours: the theme's colours.
        ratio: device pixels for a logical one.
    """
    pen, viewport = strip.shared.pen, strip.viewport
    if pen is None or not strip.stroke or not strip.document.dragging:
        return
    line = np.array(strip.stroke)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    left, top, right, bottom = viewport.frame
    painter.setClipRect(left, top, right - left, bottom - top)
    wide = pen.width_mm * viewport.scale if pen.kind == "line" else 2.0 * ratio
    body = QColor(colours.accent)
    body.setAlpha(140)
    for turn in viewport.copies(float(line[:, 0].min()), float(line[:, 0].max())):
        shape = QPolygonF(polyline(viewport.pixels(line + np.array([turn, 0.0]))))
        if pen.kind == "area":
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(body)
            painter.drawPolygon(shape, Qt.FillRule.WindingFill)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for colour, size in ((body, max(wide, 2.0 * ratio)), (QColor("#ffffff"), 1.5 * ratio)):
            painter.setPen(
                QPen(colour, size, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
            )
            painter.drawPolyline(shape)
    painter.setClipping(False)


def _draw_circle(
    painter: QPainter,
    viewport: Viewport,
    line: Floats,
    colour: QColor,
    more: bool | None,
    ratio: float,
    chosen: bool = False,
) -> None:
    painter.setBrush(QColor(255, 255, 255, 28) if chosen else Qt.BrushStyle.NoBrush)
    for turn in viewport.copies(float(line[:, 0].min()), float(line[:, 0].max())):
        pixels = viewport.pixels(line + np.array([turn, 0.0]))
        shape, at = QPolygonF(polyline(pixels)), QPointF(*pixels.mean(axis=0).tolist())
        for pen in (QPen(QColor(0, 0, 0, 130), 3.0 * ratio), QPen(colour, (1.8 if chosen else 1.0) * ratio)):
            painter.setPen(pen)
            painter.drawPolygon(shape)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            if more is not None:
                painter.drawLine(at - QPointF(4.0 * ratio, 0.0), at + QPointF(4.0 * ratio, 0.0))
            if more:
                painter.drawLine(at - QPointF(0.0, 4.0 * ratio), at + QPointF(0.0, 4.0 * ratio))


def draw_handles(
    painter: QPainter, viewport: Viewport, handles: list[Handle], active: str | None, colours: Colours, ratio: float
) -> None:
    """Knobs: a two-headed arrow on a disc, in the direction of the pull; grips on the rails' borders.

    Parameters:
        painter: paints in the widget's pixels.
        viewport: which part of the strip is seen, and how large.
        handles: what can be pulled.
        active: name of the handle under the pointer, or None.
        colours: the theme's colours.
        ratio: device pixels for a logical one.
    """
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    for handle in handles:
        x, y = viewport.pixel(handle.u, handle.v)
        chosen = handle.name == active
        painter.setPen(QPen(QColor(0, 0, 0, 150), ratio))
        painter.setBrush(QColor(colours.accent if chosen else "#ffffff"))
        if handle.is_line:
            painter.drawRoundedRect(QRectF(x - 13 * ratio, y - 3 * ratio, 26 * ratio, 6 * ratio), 3 * ratio, 3 * ratio)
            continue
        painter.drawEllipse(QPointF(x, y), 7.0 * ratio, 7.0 * ratio)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(colours.on_accent if chosen else "#2a2826"))
        ways = {"around": (True,), "panel": (True, False)}.get(handle.kind, (False,))
        for sideways, way in product(ways, (-1.0, 1.0)):
            tip, back, side = 5.0 * way * ratio, (3.0 if len(ways) > 1 else 1.6) * way * ratio, 3.0 * ratio
            if sideways:
                points = [(x + tip, y), (x + back, y - side), (x + back, y + side)]
            else:
                points = [(x, y + tip), (x - side, y + back), (x + side, y + back)]
            painter.drawPolygon(QPolygonF([QPointF(*point) for point in points]))


def draw_sites(
    painter: QPainter, viewport: Viewport, shaped: ShapedRing, hovered: int | None, colours: Colours, ratio: float
) -> None:
    """Sites: a dot where free, a square where it is held, a diamond where it was added.

    Parameters:
        painter: paints in the widget's pixels.
        viewport: which part of the strip is seen, and how large.
        shaped: the ring that is shown.
        hovered: index of the site under the pointer, or None.
        colours: the theme's colours.
        ratio: device pixels for a logical one.
    """
    sites = shaped.pattern.sites
    if sites is None or viewport.scale * float(np.sqrt(shaped.strip.area / len(sites))) < SITE_LEAST_CELL_PX * ratio:
        return
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.setPen(QPen(QColor(255, 255, 255, 200), ratio))
    pixels = viewport.pixels(sites)
    for number, (u, _) in enumerate(sites.tolist()):
        kind = site_kind(shaped, number)
        if kind == "free" and number != hovered:
            painter.setBrush(QColor(20, 20, 20, 120))
            size = 2.0 * ratio
        else:
            painter.setBrush(QColor(colours.accent) if number == hovered else QColor("#14110e"))
            size = 4.5 * ratio
        for turn in viewport.copies(u, u):
            middle = QPointF(pixels[number, 0] + turn * viewport.scale, pixels[number, 1])
            if kind == "free":
                painter.drawEllipse(middle, size, size)
            elif kind == "held":
                painter.drawRect(QRectF(middle.x() - size, middle.y() - size, 2.0 * size, 2.0 * size))
            else:
                corners = [(0.0, -1.3), (1.3, 0.0), (0.0, 1.3), (-1.3, 0.0)]
                painter.drawPolygon(QPolygonF([middle + QPointF(a * size, b * size) for a, b in corners]))


def draw_dimension(
    painter: QPainter, ends: tuple[QPointF, QPointF], words: str, frame: QRectF, colours: Colours, ratio: float
) -> None:
    """A dimension line over the metal.

    Parameters:
        painter: paints in the widget's pixels.
        ends: of the length, pixels.
        words: beside it.
        frame: where the words must stay, pixels.
        colours: the theme's colours.
        ratio: device pixels for a logical one.
    """
    painter.save()
    painter.setFont(scaled_font(painter.font(), ratio))
    halo = QColor(colours.field)
    halo.setAlpha(GROUND_ALPHA)
    paint_dimension(painter, ends, words, colours, frame, ratio=ratio, halo=halo)
    painter.restore()


def draw_label(
    painter: QPainter, lines: list[str], anchor: QPointF, frame: QRectF, colours: Colours, ratio: float
) -> None:
    """Lines of text on a small panel above the anchor, or below where there is no room; never outside the frame.

    Parameters:
        painter: paints in the widget's pixels.
        lines: of text.
        anchor: what it belongs to, pixels.
        frame: where it must stay, pixels.
        colours: the theme's colours.
        ratio: device pixels for a logical one.
    """
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
