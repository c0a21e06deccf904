"""Paints the strip view, layer upon layer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from ringtex.edits.cell_and_site_edits import DEPTH_WORDS, cell_depth, has_sites
from ringtex.window.appearance.colours import Colours
from ringtex.window.appearance.colours import colours as theme_colours
from ringtex.window.overlays.overlay_values import OverlayValues
from ringtex.window.strip_editor.cell_words import words_for_cell, words_for_distortion
from ringtex.window.strip_editor.finding_marks import draw_cell_levels, draw_findings, findings_with_places
from ringtex.window.strip_editor.finishing_marks import draw_finish, draw_finish_grips, draw_placing, words_for_item
from ringtex.window.strip_editor.hovered_setting_marks import draw_hovered_setting
from ringtex.window.strip_editor.metal_tones import light_direction
from ringtex.window.strip_editor.rulers import draw_angle_ruler, draw_mm_ruler
from ringtex.window.strip_editor.strip_marks import (
    cell_path,
    copies,
    draw_dimension,
    draw_edges,
    draw_handles,
    draw_hovered,
    draw_label,
    draw_seam,
    draw_sheen,
    draw_sites,
    draw_veil,
)

if TYPE_CHECKING:
    from ringtex.window.strip_editor.strip_view import StripView


def paint_strip(strip: StripView) -> None:
    """Draw all of the view, in device pixels."""
    colours = theme_colours(strip.state.dark)
    painter = QPainter(strip)
    ratio = strip.ratio
    painter.scale(1.0 / ratio, 1.0 / ratio)
    left, top, right, bottom = strip.viewport.frame
    whole = QRectF(0.0, 0.0, strip.width() * ratio, strip.height() * ratio)
    painter.fillRect(whole, QColor(colours.window))
    if strip.view is None or strip.ring.scene is None or strip.ring.angles is None:
        painter.end()
        return
    painter.setClipRect(QRectF(left, top, right - left, bottom - top))
    _paint_pattern(painter, strip, colours, ratio)
    _paint_marks(painter, strip, colours, ratio)
    painter.setClipping(False)
    # The rulers lie along the strip while it is in the frame, else along the frame.
    upper, lower = strip.viewport.top_px, strip.viewport.top_px + strip.viewport.height_px
    draw_angle_ruler(painter, strip.viewport, strip.ring.angles, float(max(top, upper)), colours, ratio)
    draw_mm_ruler(painter, strip.viewport, float(min(bottom, lower)), colours, ratio)
    _paint_words(painter, strip, colours, ratio, whole)
    strip.brush.paint(painter, colours, ratio)
    if strip.hasFocus():
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        painter.setPen(QPen(QColor(colours.accent), 2.0 * ratio))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(whole.adjusted(ratio, ratio, -ratio, -ratio))
    painter.end()


def _paint_pattern(painter: QPainter, strip: StripView, colours: Colours, ratio: float) -> None:
    assert strip.view is not None
    viewport = strip.viewport
    look = strip.ring.look
    strip.tiles.show(strip.ring.scene, look, viewport)
    strip.tiles.draw(painter, viewport, strip.shift_px)
    if look.overlay is None:
        draw_sheen(painter, viewport, light_direction(*look.light).tolist())
    draw_edges(painter, viewport, strip.view.built, colours, ratio)
    draw_finish(painter, strip, colours, ratio)
    draw_veil(painter, viewport, colours)


def _paint_marks(painter: QPainter, strip: StripView, colours: Colours, ratio: float) -> None:
    assert strip.view is not None
    viewport, shaped = strip.viewport, strip.view.built
    draw_seam(painter, viewport, colours, ratio)
    drag = strip.hand.drag
    cell = strip.state.hovered_cell
    if cell is not None and drag is None and cell < shaped.pattern.tiling.cells:
        draw_hovered(painter, cell_path(shaped, viewport, cell), colours, ratio)
    if has_sites(shaped) and (strip.underMouse() or strip.hasFocus()):
        draw_sites(painter, viewport, shaped, strip.hand.site, colours, ratio)
    if strip.ring.overlay is not None and strip.ring.overlay.name == "findings":
        draw_cell_levels(painter, viewport, shaped, strip.ring.overlay.per_cell, ratio)
        draw_findings(painter, viewport, findings_with_places(shaped), colours, ratio)
    for place in (strip.flashed, strip.foreign_place if cell is None else None):
        if place is not None:
            _paint_place(painter, strip, place, colours, ratio)
    draw_finish_grips(painter, strip, colours, ratio)
    placing = strip.state.finishing.placing is not None
    if (strip.underMouse() or strip.hasFocus() or drag is not None) and not placing:
        active = drag.name if drag is not None else strip.hand.handle.name if strip.hand.handle else None
        draw_handles(painter, viewport, strip.handles(), active, colours, ratio)
    _paint_dimension(painter, strip, colours, ratio)


def _paint_dimension(painter: QPainter, strip: StripView, colours: Colours, ratio: float) -> None:
    """The length that a handle changes, as a dimension line."""
    drag, view = strip.hand.drag, strip.view
    if drag is None or drag.handle is None or view is None:
        return
    viewport, handle = strip.viewport, drag.handle
    pattern = strip.document.design.pattern
    x, y = viewport.x_of(handle.u), viewport.y_of(handle.v)
    if handle.name == "around":
        start = QPointF(viewport.x_of(handle.u - viewport.length / pattern.around), y)
    elif handle.name == "lower_rail":
        start = QPointF(x, viewport.y_of(0.0))
    elif handle.name == "upper_rail":
        start = QPointF(x, viewport.y_of(viewport.width))
    elif handle.name == "across" and isinstance(pattern.across, int):
        tiling = view.built.pattern.tiling
        start = QPointF(x, viewport.y_of(handle.v - (tiling.upper - tiling.lower) / pattern.across))
    else:
        return
    draw_dimension(painter, start, QPointF(x, y), colours, ratio)


def _paint_place(
    painter: QPainter, strip: StripView, place: tuple[float, float], colours: Colours, ratio: float
) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for turn in copies(strip.viewport, place[0], place[0]):
        middle = QPointF(strip.viewport.x_of(place[0] + turn), strip.viewport.y_of(place[1]))
        size = (16.0 if place == strip.flashed else 6.0) * ratio
        painter.setPen(QPen(QColor(0, 0, 0, 170), 5.0 * ratio))
        painter.drawEllipse(middle, size, size)
        painter.setPen(QPen(QColor("#ffffff"), 2.5 * ratio))
        painter.drawEllipse(middle, size, size)


def _paint_words(painter: QPainter, strip: StripView, colours: Colours, ratio: float, whole: QRectF) -> None:
    """What a drag makes, what was to be said, or what the cell is."""
    draw_placing(painter, strip, colours, ratio, whole)
    viewport = strip.viewport
    middle = QPointF(whole.center().x(), float(viewport.frame[1]) + 60.0 * ratio)
    pointer = middle if strip.pointer is None else strip.pointer * ratio
    touched = strip.state.hovered_setting
    pointing = strip.pointer is not None and strip.state.hovered_cell is not None
    if touched is not None and strip.hand.drag is None and strip.view is not None and not pointing:
        draw_hovered_setting(painter, viewport, strip.view.built, touched, strip.handles(), colours, ratio)
    elif strip.hand.drag is not None:
        draw_label(painter, [strip.hand.drag.words], pointer, whole, colours, ratio)
    elif strip.said:
        draw_label(painter, [strip.said], pointer, whole, colours, ratio)
    elif strip.hand.finish.item is not None:
        draw_label(painter, words_for_item(strip.hand.finish.item), pointer, whole, colours, ratio)
    else:
        lines = _cell_lines(strip)
        if lines:
            at = _cell_anchor(strip, pointer)
            draw_label(painter, lines, at, whole, colours, ratio)


def _cell_lines(strip: StripView) -> list[str]:
    cell, view = strip.state.hovered_cell, strip.view
    if cell is None or view is None or strip.ring.readings is None or cell >= view.built.pattern.tiling.cells:
        return []
    lines = [*words_for_cell(strip.ring.readings.read(cell)), strip.ring.readings.numbers.words_for(cell)]
    if view.design == strip.document.design:
        depth = cell_depth(view.built, view.design, cell)
        if depth is not None:
            lines.append(f"set by hand: {DEPTH_WORDS.get(depth, f'{depth:g} times as deep')}")
    values: OverlayValues | None = strip.ring.overlay
    if values is not None and values.unit and len(values.per_cell) > cell:
        lines.append(f"{values.title}: {values.per_cell[cell]:.2f} {values.unit}")
        if values.name in ("stretch", "angle_error"):
            lines.append(words_for_distortion(view.built, cell))
    return lines


def _cell_anchor(strip: StripView, pointer: QPointF) -> QPointF:
    """Above the hovered cell's copy that is nearest to the pointer."""
    assert strip.view is not None
    assert strip.state.hovered_cell is not None
    tiling, viewport = strip.view.built.pattern.tiling, strip.viewport
    cell = strip.state.hovered_cell
    places = tiling.corners[tiling.cell_start[cell] : tiling.cell_start[cell + 1]]
    u, top = 0.5 * float(places[:, 0].min() + places[:, 0].max()), float(places[:, 1].max())
    near, _ = viewport.place(pointer.x(), pointer.y())
    near = near if strip.pointer is not None else viewport.centre_u
    return QPointF(viewport.x_of(viewport.nearest_copy(u, near)), viewport.y_of(top))
