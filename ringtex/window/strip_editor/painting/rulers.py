"""The rulers above and below the strip, angle and true millimetres along the crown line, and the scale bar."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from ringtex.basics.arrays import Floats
from ringtex.strip.strip_map import StripMap
from ringtex.strip.true_size import CrownLine
from ringtex.window.appearance.colours import Colours
from ringtex.window.strip_editor.state.strip_state import StripState
from ringtex.window.strip_editor.state.viewport import Viewport

ANGLE_STEPS: Final = (1.0, 5.0, 10.0, 15.0, 30.0, 45.0, 90.0)
MM_STEPS: Final = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
PLACES: Final = {0: "HEAD", 90: "shoulder", -90: "shoulder", 180: "palm"}
"""Parts of the ring by the angle from the head, degrees."""

MIN_GAP_PX: Final = 56.0
"""Between two labelled marks."""

LABEL_GAP_PX: Final = 14.0
"""Between two labels; where marks stand closer, labels of rounder numbers win."""

TICK_GAP_PX: Final = 4.0
"""Marks that stand closer to the next one are left out, unless they are labelled."""

MIN_BAR_PX: Final = 24.0
"""The shorter arm of the scale bar is at least so long."""


def _step(steps: tuple[float, ...], px_per_unit: float, gap: float) -> float:
    return next((step for step in steps if step * px_per_unit >= gap), steps[-1])


def draw_angle_ruler(
    painter: QPainter, viewport: Viewport, crown: CrownLine, bottom: float, colours: Colours, ratio: float
) -> None:
    """Marks every so many degrees on the crown line, with the parts of the ring by name.

    Parameters:
        painter: in device pixels.
        viewport: what is seen.
        crown: the crown line of the strip.
        bottom: the ruler stands on this pixel row.
        colours: of the theme.
        ratio: device pixels for a logical one.
    """
    step = _step(ANGLE_STEPS, viewport.turn_px / 360.0, MIN_GAP_PX * ratio)
    minor = step / (5.0 if step in (1.0, 5.0, 10.0) else 3.0)
    angles: Floats = -180.0 + minor * np.arange(round(360.0 / minor), dtype=np.float64)
    marks = _marks(viewport, crown, crown.length_at(np.radians(angles)), round(step / minor), ratio)
    _ticks(painter, [(x, major) for x, _, major in marks], bottom, -1.0, colours, ratio)
    labels = [_angle_label(x, float(angles[number]), colours) for x, number, major in marks if major]
    _draw_labels(painter, sorted(labels, key=lambda label: label.rank), bottom - 18.0 * ratio, ratio)


def _marks(
    viewport: Viewport, crown: CrownLine, along: Floats, majors: int, ratio: float
) -> list[tuple[float, int, bool]]:
    """Pixel, number and whether it is labelled of each mark in the frame.

    Parameters:
        viewport: what is seen.
        crown: the crown line of the strip.
        along: (n,) mm on the crown line.
        majors: each mark of this number is labelled.
        ratio: device pixels for a logical one.
    Returns: one for each mark that has room.
    """
    x = along if viewport.true_size is not None else crown.u_at(along)
    left, _, right, _ = viewport.frame
    found = []
    apart = np.diff(x, append=x[0] + viewport.length) * viewport.scale
    major = np.arange(len(x)) % majors == 0
    drawn = major | (np.minimum(apart, np.roll(apart, 1)) >= TICK_GAP_PX * ratio)
    for turn in _turns(viewport):
        pixels = viewport.x_of(0.0) + (x + turn * viewport.length) * viewport.scale
        for number in np.flatnonzero(drawn & (pixels >= left) & (pixels <= right)).tolist():
            found.append((float(pixels[number]), number, number % majors == 0))
    return found


def _angle_label(x: float, angle: float, colours: Colours) -> _Label:
    whole = 180 if round(angle) == -180 else round(angle)
    name = PLACES.get(whole)
    figures = f"{whole}°".replace("-", "\u2212")
    if name is None:
        return _Label(x, figures, colours.soft_text, rank=2)
    return _Label(x, f"{name} {figures}", colours.text, rank=0 if whole in (0, 180) else 1, strong=whole == 0)


def draw_mm_ruler(
    painter: QPainter, viewport: Viewport, crown: CrownLine, top: float, colours: Colours, ratio: float
) -> None:
    """Millimetres on the ring along its crown line, from the seam, starting anew in every turn.

    Parameters:
        painter: in device pixels.
        viewport: what is seen.
        crown: the crown line of the strip.
        top: the ruler hangs from this pixel row.
        colours: of the theme.
        ratio: device pixels for a logical one.
    """
    step = _step(MM_STEPS, viewport.scale, MIN_GAP_PX * ratio)
    minor = step / (4.0 if step in (0.2, 2.0, 20.0) else 5.0)
    along: Floats = minor * np.arange(math.ceil(crown.length / minor), dtype=np.float64)
    marks = _marks(viewport, crown, along, round(step / minor), ratio)
    _ticks(painter, [(x, major) for x, _, major in marks], top, 1.0, colours, ratio)
    # The last mark of a turn gives way to the first of the next.
    last = crown.length - 0.6 * MIN_GAP_PX * ratio / viewport.scale
    labels = [
        _Label(
            x,
            f"{at:.1f}" if step < 1.0 else f"{at:.0f}" + (" mm" if number == 0 else ""),
            colours.soft_text,
            next(rank for rank, whole in enumerate((100, 20, 10, 4, 2, 1)) if round(at / step) % whole == 0),
        )
        for x, number, major in marks
        if major and (at := float(along[number])) <= last
    ]
    _draw_labels(painter, sorted(labels, key=lambda label: label.rank), top + 18.0 * ratio, ratio)


def draw_scale_bar(painter: QPainter, strip: StripState, colours: Colours, ratio: float) -> None:
    """A length of the ring along and across, as it is drawn at the pointer.

    Parameters:
        painter: in device pixels.
        strip: what is shown.
        colours: of the theme.
        ratio: device pixels for a logical one.
    """
    if strip.view is None or strip.pointer is None:
        return
    viewport, band = strip.viewport, strip.view.built.strip
    u, v = strip.position(strip.pointer)
    if not 0.0 <= v <= band.width:
        return
    wide, high = pixels_per_mm(viewport, band, u, v)
    length = _step(MM_STEPS, min(wide, high), MIN_BAR_PX * ratio)
    below = min(viewport.frame[3], viewport.top_px + viewport.height_px)
    corner = QPointF(viewport.frame[0] + 12.0 * ratio, below - 10.0 * ratio)
    ends = QPointF(corner.x() + length * wide, corner.y()), QPointF(corner.x(), corner.y() - length * high)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for colour, width in ((QColor(colours.window), 5.0), (QColor(colours.text), 1.8)):
        painter.setPen(QPen(colour, width * ratio))
        painter.drawPolyline([ends[1], corner, ends[0]])
    words = f"{length:g} mm at the pointer"
    painter.save()
    painter.setFont(scaled_font(painter.font(), ratio))
    size = QFontMetricsF(painter.font()).size(Qt.TextFlag.TextSingleLine, words)
    box = QRectF(QPointF(corner.x() + 8.0 * ratio, corner.y() - 4.0 * ratio - size.height()), size)
    ground = QColor(colours.window)
    ground.setAlpha(200)
    painter.fillRect(box.adjusted(-3.0, 0.0, 3.0, 0.0), ground)
    painter.setPen(QColor(colours.text))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)
    painter.restore()


def pixels_per_mm(viewport: Viewport, strip: StripMap, u: float, v: float) -> tuple[float, float]:
    """Pixels of a millimetre on the ring, drawn level and drawn upright, at a position of the strip.

    Parameters:
        viewport: what is seen.
        strip: the strip map of the band.
        u: mm along the strip.
        v: mm across it.
    Returns: pixels level, pixels upright.
    """
    step = 1e-3 * strip.width
    low = min(v, strip.width - step)
    at, right, above = viewport.pixels(np.array([[u, low], [u + step, low], [u, low + step]]))
    jacobian = np.column_stack((right - at, above - at)) / step
    e, f, g = (float(part[0]) for part in strip.metric(np.array([u]), np.array([low + 0.5 * step])))
    level, upright = np.linalg.inv(jacobian).T
    metric = np.array([[e, f], [f, g]])
    return float(1.0 / np.sqrt(level @ metric @ level)), float(1.0 / np.sqrt(upright @ metric @ upright))


def _turns(viewport: Viewport) -> Iterator[int]:
    first = viewport.left_px // viewport.turn_px
    yield from range(first, (viewport.left_px + viewport.frame_width) // viewport.turn_px + 1)


def _ticks(
    painter: QPainter, marks: list[tuple[float, bool]], y: float, way: float, colours: Colours, ratio: float
) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    for chosen, length, colour in ((False, 4.0, colours.line), (True, 8.0, colours.faint_text)):
        painter.setPen(QPen(QColor(colour), max(1.0, round(ratio))))
        lines = [QLineF(round(x), y, round(x), y + way * length * ratio) for x, major in marks if major is chosen]
        painter.drawLines(lines)


def scaled_font(font: QFont, ratio: float) -> QFont:
    """The font for a painter in device pixels."""
    scaled = QFont(font)
    if scaled.pixelSize() > 0:
        scaled.setPixelSize(round(scaled.pixelSize() * ratio))
    else:
        scaled.setPointSizeF(scaled.pointSizeF() * ratio)
    return scaled


@dataclass(frozen=True)
class _Label:
    """A text with its middle at x; those of lower rank go first where there is no room for all."""

    x: float
    text: str
    colour: str
    rank: int
    strong: bool = False


def _draw_labels(painter: QPainter, labels: list[_Label], y: float, ratio: float) -> None:
    """Draw labels in their order, leaving out those that would run into one already drawn."""
    taken: list[tuple[float, float]] = []
    painter.save()
    plain = scaled_font(painter.font(), ratio)
    strong = QFont(plain)
    strong.setBold(True)
    for label in labels:
        font = strong if label.strong else plain
        size = QFontMetricsF(font).size(Qt.TextFlag.TextSingleLine, label.text)
        left, right = label.x - 0.5 * size.width(), label.x + 0.5 * size.width()
        gap = LABEL_GAP_PX * ratio
        if any(left < other_right + gap and right > other_left - gap for other_left, other_right in taken):
            continue
        taken.append((left, right))
        painter.setFont(font)
        painter.setPen(QColor(label.colour))
        rect = QRectF(QPointF(left, y - 0.5 * size.height()), size)
        painter.drawText(rect, Qt.AlignmentFlag.AlignCenter, label.text)
    painter.restore()
