"""Shapes of band to begin with, in plain trade words, and small drawings of sections."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from ringtex.band.band_options import BandOptions, Section, Station
from ringtex.band.section_curve import section_curve
from ringtex.window.colours import Colours
from ringtex.window.settings.picture_choice import Picture


@dataclass(frozen=True)
class BandShape:
    """A whole band under a trade name. The measures are usual ones (common practice, no source)."""

    name: str
    hint: str
    options: BandOptions


def _shape(name: str, hint: str, section: Section | None, *stations: Station, mirror: bool = True) -> BandShape:
    return BandShape(name, hint, BandOptions(section, stations, mirror))


SHAPES: Final = (
    _shape("plain", "The same all round", "half_round", Station(0, 6.0, 2.2, 1.0)),
    _shape(
        "tapered", "Wider and higher at the head than at the palm", "court",
        Station(0, 8.0, 2.6, 1.2), Station(180, 4.0, 1.6, 1.0),
    ),
    _shape(
        "dome", "A high, wide head that comes down to a narrow palm side", None,
        Station(0, 18.0, 9.0, 1.2), Station(180, 5.0, 1.5, 1.2),
    ),
    _shape(
        "cigar-shaped", "Wide and low, slowly narrowing", None,
        Station(0, 14.0, 2.4, 1.2, 2.6), Station(90, 11.0, 2.0, 1.2, 2.6), Station(180, 8.0, 1.7, 1.2, 2.6),
    ),
    _shape(
        "saddle", "Lower at the head than at the shoulders", None,
        Station(0, 12.0, 2.2, 1.4, 3.0), Station(60, 9.0, 3.4, 1.4, 3.0), Station(180, 5.0, 1.7, 1.2, 3.0),
    ),
    _shape(
        "knife-edge", "A crease all round", "knife_edge",
        Station(0, 6.0, 2.8, 1.2), Station(180, 5.0, 2.2, 1.1),
    ),
    _shape(
        "asymmetric", "One shoulder fuller than the other", None,
        Station(25, 12.0, 5.0, 1.3, 2.4), Station(-70, 7.0, 2.4, 1.2, 2.4), Station(175, 5.0, 1.8, 1.2, 2.4),
        mirror=False,
    ),
)  # fmt: skip
"""In the order of the panel's list."""

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
