"""The rulers above and below the strip: angle round the ring, and millimetres along the strip."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from ringtex.strip.strip_map import StripMap
from ringtex.window.appearance.colours import Colours
from ringtex.window.strip_editor.viewport import Viewport

ANGLE_STEPS: Final = (1.0, 5.0, 10.0, 15.0, 30.0, 45.0, 90.0)
MM_STEPS: Final = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
PLACES: Final = {0: "HEAD", 90: "shoulder", -90: "shoulder", 180: "palm"}
"""Parts of the ring by the angle from the head, degrees."""

MIN_GAP_PX: Final = 56.0
"""Between two labelled marks."""


class AngleTable:
    """Where each angle lies along a strip's middle line; angles are evenly spaced on a plain band only."""

    def __init__(self, strip: StripMap) -> None:
        self.length = strip.length
        theta = np.linspace(-math.pi, math.pi, 721)
        u, _ = strip.from_band(theta, np.zeros_like(theta))
        u[-1] = strip.length
        u[0] = 0.0
        self._u = np.maximum.accumulate(u)
        self._angle = np.degrees(theta)

    def u_of(self, angle_deg: float) -> float:
        """Place along the strip of an angle from -180 to 180."""
        return float(np.interp(angle_deg, self._angle, self._u))

    def angle_of(self, u: float) -> float:
        """Angle, -180 to 180, of a place along the strip, of any turn."""
        return float(np.interp(u % self.length, self._u, self._angle))


def _step(steps: tuple[float, ...], px_per_unit: float, gap: float) -> float:
    return next((step for step in steps if step * px_per_unit >= gap), steps[-1])


def draw_angle_ruler(
    painter: QPainter, viewport: Viewport, table: AngleTable, bottom: float, colours: Colours, ratio: float
) -> None:
    """Marks every so many degrees, with the parts of the ring by name. Drawn in device pixels above y = bottom."""
    per_degree = viewport.turn_px / 360.0
    step = _step(ANGLE_STEPS, per_degree, MIN_GAP_PX * ratio)
    minor = step / (5.0 if step in (1.0, 5.0, 10.0) else 3.0)
    count = round(360.0 / minor)
    marks = []
    for turn in _turns(viewport):
        for number in range(count):
            angle = -180.0 + number * minor
            x = viewport.x_of(table.u_of(angle) + turn * viewport.length)
            if viewport.frame[0] <= x <= viewport.frame[2]:
                major = number % round(step / minor) == 0
                marks.append((x, angle, major))
    _ticks(painter, [(x, major) for x, _, major in marks], bottom, -1.0, colours, ratio)
    labels = [_angle_label(x, angle, colours) for x, angle, major in marks if major]
    _draw_labels(painter, sorted(labels, key=lambda label: label.rank), bottom - 18.0 * ratio, ratio)


def _angle_label(x: float, angle: float, colours: Colours) -> _Label:
    whole = 180 if round(angle) == -180 else round(angle)
    name = PLACES.get(whole)
    figures = f"{whole}°".replace("-", "\u2212")
    if name is None:
        return _Label(x, figures, colours.soft_text, rank=2)
    return _Label(x, f"{name} {figures}", colours.text, rank=0 if whole in (0, 180) else 1, strong=whole == 0)


def draw_mm_ruler(painter: QPainter, viewport: Viewport, top: float, colours: Colours, ratio: float) -> None:
    """Millimetres from the seam along the strip, starting anew in every turn. Drawn in device pixels below y = top."""
    step = _step(MM_STEPS, viewport.scale, MIN_GAP_PX * ratio)
    minor = step / (4.0 if step in (0.2, 2.0, 20.0) else 5.0)
    marks, labels = [], []
    for turn in _turns(viewport):
        for number in range(math.ceil(viewport.length / minor)):
            at = number * minor
            x = viewport.x_of(at + turn * viewport.length)
            if viewport.frame[0] <= x <= viewport.frame[2]:
                major = number % round(step / minor) == 0
                marks.append((x, major))
                close = (viewport.length - at) * viewport.scale < 0.6 * MIN_GAP_PX * ratio
                if major and not close:
                    labels.append((x, f"{at:.1f}" if step < 1.0 else f"{at:.0f}" + (" mm" if number == 0 else "")))
    _ticks(painter, marks, top, 1.0, colours, ratio)
    made = [_Label(x, text, colours.soft_text, rank=0) for x, text in labels]
    _draw_labels(painter, made, top + 18.0 * ratio, ratio)


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
        if any(
            left < other_right + 6.0 * ratio and right > other_left - 6.0 * ratio for other_left, other_right in taken
        ):
            continue
        taken.append((left, right))
        painter.setFont(font)
        painter.setPen(QColor(label.colour))
        rect = QRectF(QPointF(left, y - 0.5 * size.height()), size)
        painter.drawText(rect, Qt.AlignmentFlag.AlignCenter, label.text)
    painter.restore()
