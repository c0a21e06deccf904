"""Small drawings of a band's sections."""

from __future__ import annotations

from functools import partial
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from ringtex.band.band_options import Section
from ringtex.band.section_curve import section_curve
from ringtex.window.appearance.colours import Colours
from ringtex.window.settings.controls.picture_choice import Picture

SECTION_NAMES: Final[tuple[tuple[Section | None, str, str], ...]] = (
    ("half_round", "half-round", "Half an ellipse from edge to edge"),
    ("flat", "flat", "Level from edge to edge"),
    ("court", "court", "A shallow arc from edge to edge"),
    ("knife_edge", "knife-edge", "Two straight flanks that meet in a crease"),
    (None, "free", "Between straight flanks and flat, by its fullness"),
)


def paint_section(section: Section | None, painter: QPainter, box: QRectF, chosen: Colours) -> None:
    """The section of a small band."""
    half, edge, rise = 2.0, 0.55, 1.25
    across = np.linspace(-1.0, 1.0, 49)
    z, above = section_curve(section, 3.5).formula(
        across, np.array(half), np.array(edge), np.array(rise), np.array(3.5)
    )
    scale = min(box.width() / (2.0 * half), box.height() / (edge + rise))
    x0, y0 = box.center().x(), box.center().y() + (edge + rise) / 2.0 * scale
    line = [QPointF(x0 + float(a) * scale, y0 - float(b) * scale) for a, b in zip(z, above, strict=True)]
    line = [QPointF(x0 - half * scale, y0), *line, QPointF(x0 + half * scale, y0)]
    painter.setBrush(QColor(chosen.hover))
    painter.setPen(QPen(QColor(chosen.soft_text), 1.5))
    painter.drawPolygon(QPolygonF(line))


def section_pictures() -> list[Picture]:
    """Every section."""
    return [Picture(section, name, partial(paint_section, section), hint) for section, name, hint in SECTION_NAMES]
