"""Paints the strip view, layer upon layer."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from ringtex.edits.cell_and_site_edits import DEPTH_WORDS, cell_depth, has_sites
from ringtex.strip.true_size import crown_line
from ringtex.window.appearance.colours import Colours
from ringtex.window.appearance.colours import colours as theme_colours
from ringtex.window.overlays.overlay_values import OverlayValues
from ringtex.window.strip_editor.painting.finding_marks import draw_cell_levels, draw_findings, findings_with_positions
from ringtex.window.strip_editor.painting.finishing_marks import (
    draw_finish,
    draw_finish_grips,
    draw_placing,
    words_for_item,
)
from ringtex.window.strip_editor.painting.hovered_setting_marks import draw_hovered_setting, draw_panel
from ringtex.window.strip_editor.painting.rulers import draw_angle_ruler, draw_mm_ruler, draw_scale_bar
from ringtex.window.strip_editor.painting.strip_marks import (
    cell_path,
    draw_brush,
    draw_dimension,
    draw_edges,
    draw_handles,
    draw_hovered,
    draw_label,
    draw_outside,
    draw_seam,
    draw_sheen,
    draw_sites,
    draw_stroke,
    draw_veil,
)
from ringtex.window.strip_editor.painting.strip_tiles import StripTiles
from ringtex.window.strip_editor.state.cell_readings import words_for_cell, words_for_distortion
from ringtex.window.strip_editor.state.metal_tones import light_direction
from ringtex.window.strip_editor.state.strip_state import StripState


def paint_strip(strip: StripState, tiles: StripTiles) -> None:
    """Draw all of the view, in device pixels."""
    colours = theme_colours(strip.shared.dark)
    painter = QPainter(strip.widget)
    ratio = strip.ratio
    painter.scale(1.0 / ratio, 1.0 / ratio)
    left, top, right, bottom = strip.viewport.frame
    whole = QRectF(0.0, 0.0, strip.widget.width() * ratio, strip.widget.height() * ratio)
    painter.fillRect(whole, QColor(colours.window))
    if strip.view is None or strip.ring.scene is None:
        painter.end()
        return
    painter.setClipRect(QRectF(left, top, right - left, bottom - top))
    _paint_pattern(painter, strip, tiles, colours, ratio)
    _paint_marks(painter, strip, colours, ratio)
    painter.setClipping(False)
    # The rulers lie along the strip while it is in the frame, else along the frame.
    upper, lower = strip.viewport.top_px, strip.viewport.top_px + strip.viewport.height_px
    crown = crown_line(strip.view.built.strip)
    draw_angle_ruler(painter, strip.viewport, crown, float(max(top, upper)), colours, ratio)
    draw_mm_ruler(painter, strip.viewport, crown, float(min(bottom, lower)), colours, ratio)
    draw_scale_bar(painter, strip, colours, ratio)
    _paint_words(painter, strip, colours, ratio, whole)
    draw_brush(painter, strip, ratio)
    draw_stroke(painter, strip, colours, ratio)
    if strip.widget.hasFocus():
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        painter.setPen(QPen(QColor(colours.accent), 2.0 * ratio))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(whole.adjusted(ratio, ratio, -ratio, -ratio))
    painter.end()


def _paint_pattern(painter: QPainter, strip: StripState, tiles: StripTiles, colours: Colours, ratio: float) -> None:
    assert strip.view is not None
    viewport = strip.viewport
    look = strip.ring.look
    tiles.show(strip.ring.scene, look, viewport)
    tiles.draw(painter, viewport, strip.shift_px)
    if look.overlay is None:
        draw_sheen(painter, viewport, light_direction(*look.light).tolist())
    draw_outside(painter, viewport, colours)
    draw_edges(painter, viewport, strip.view.built, ratio)
    draw_finish(painter, strip, colours, ratio)
    draw_veil(painter, viewport, colours)


def _paint_marks(painter: QPainter, strip: StripState, colours: Colours, ratio: float) -> None:
    assert strip.view is not None
    viewport, shaped = strip.viewport, strip.view.built
    draw_seam(painter, viewport, ratio)
    drag = strip.drag
    cell = strip.shared.hovered_cell
    if cell is not None and drag is None and cell < shaped.pattern.tiling.cells:
        draw_hovered(painter, cell_path(shaped, viewport, cell), ratio)
    if has_sites(shaped) and (strip.widget.underMouse() or strip.widget.hasFocus()):
        draw_sites(painter, viewport, shaped, strip.site, colours, ratio)
    if strip.ring.overlay is not None and strip.ring.overlay.name == "findings":
        draw_cell_levels(painter, viewport, shaped, strip.ring.overlay.per_cell, ratio)
        draw_findings(painter, viewport, findings_with_positions(shaped), colours, ratio)
    for position in (strip.flashed, strip.foreign_position if cell is None else None):
        if position is not None:
            _paint_position(painter, strip, position, ratio)
    draw_finish_grips(painter, strip, colours, ratio)
    placing = strip.shared.finishing.placing is not None
    if (strip.widget.underMouse() or strip.widget.hasFocus() or drag is not None) and not placing:
        active = drag.name if drag is not None else strip.handle.name if strip.handle else None
        draw_handles(painter, viewport, strip.handles(), active, colours, ratio)


def _measured(strip: StripState) -> tuple[QPointF, QPointF] | None:
    """The ends of the length that a handle changes, pixels; None where no handle that has one is pulled."""
    drag, view = strip.drag, strip.view
    if drag is None or drag.handle is None or view is None or drag.refusal:
        return None
    handle, pattern = drag.handle, strip.document.design.pattern
    u, v = handle.u, handle.v
    if handle.name == "around":
        u -= strip.viewport.length / pattern.around
    elif handle.name == "lower_rail":
        v = 0.0
    elif handle.name == "upper_rail":
        v = strip.viewport.strip_width
    elif handle.name == "across" and isinstance(pattern.across, int):
        tiling = view.built.pattern.own_tiling
        v -= (tiling.upper - tiling.lower) / pattern.across
    else:
        return None
    return QPointF(*strip.viewport.pixel(u, v)), QPointF(*strip.viewport.pixel(handle.u, handle.v))


def _paint_position(painter: QPainter, strip: StripState, position: tuple[float, float], ratio: float) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for turn in strip.viewport.copies(position[0], position[0]):
        middle = QPointF(*strip.viewport.pixel(position[0] + turn, position[1]))
        size = (16.0 if position == strip.flashed else 6.0) * ratio
        painter.setPen(QPen(QColor(0, 0, 0, 170), 5.0 * ratio))
        painter.drawEllipse(middle, size, size)
        painter.setPen(QPen(QColor("#ffffff"), 2.5 * ratio))
        painter.drawEllipse(middle, size, size)


def _pointed_panel(strip: StripState) -> int | None:
    """The panel under the pointer, where there is one."""
    if strip.view is None or strip.pointer is None:
        return None
    u, v = strip.position(strip.pointer)
    for number, panel in enumerate(strip.view.built.pattern.panels):
        if (u - panel.box.left) % strip.viewport.length < panel.box.wide and panel.box.low < v < panel.box.high:
            return number
    return None


def _paint_words(painter: QPainter, strip: StripState, colours: Colours, ratio: float, whole: QRectF) -> None:
    """What a drag makes, what was to be said, or what the cell is."""
    draw_placing(painter, strip, colours, ratio, whole)
    middle = QPointF(whole.center().x(), float(strip.viewport.frame[1]) + 60.0 * ratio)
    pointer = middle if strip.pointer is None else strip.pointer * ratio
    hovered = strip.shared.hovered_setting
    if strip.drag is None and (panel := _pointed_panel(strip)) is not None:
        draw_panel(painter, strip, panel, colours, ratio)
    pointing = strip.pointer is not None and strip.shared.hovered_cell is not None
    if hovered is not None and strip.drag is None and strip.view is not None and not pointing:
        draw_hovered_setting(painter, strip, hovered, colours, ratio)
    elif strip.drag is not None and (ends := _measured(strip)) is not None:
        draw_dimension(painter, ends, strip.drag.words, whole, colours, ratio)
    elif strip.drag is not None:
        draw_label(painter, [strip.drag.words], pointer, whole, colours, ratio)
    elif strip.message:
        draw_label(painter, [strip.message], pointer, whole, colours, ratio)
    elif strip.item is not None:
        draw_label(painter, words_for_item(strip.item), pointer, whole, colours, ratio)
    else:
        lines = _cell_lines(strip)
        if lines:
            at = _cell_anchor(strip, pointer)
            draw_label(painter, lines, at, whole, colours, ratio)


def _cell_lines(strip: StripState) -> list[str]:
    cell, view = strip.shared.hovered_cell, strip.view
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


def _cell_anchor(strip: StripState, pointer: QPointF) -> QPointF:
    """Above the hovered cell's copy that is nearest to the pointer."""
    assert strip.view is not None
    assert strip.shared.hovered_cell is not None
    tiling, viewport = strip.view.built.pattern.tiling, strip.viewport
    cell = strip.shared.hovered_cell
    corners = tiling.corners[tiling.cell_start[cell] : tiling.cell_start[cell + 1]]
    u, top = 0.5 * float(corners[:, 0].min() + corners[:, 0].max()), float(corners[:, 1].max())
    near = viewport.position(pointer.x(), pointer.y())[0] if strip.pointer is not None else viewport.centre_u
    return QPointF(*viewport.pixel(viewport.nearest_copy(u, near), top))
