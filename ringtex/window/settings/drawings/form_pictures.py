"""Small drawings of the relief forms, from their real profiles."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache, partial
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from ringtex.basics.arrays import Floats
from ringtex.relief.cell_profile import CellProfile, cell_profile
from ringtex.relief.relief_options import FORMS, ReliefOptions
from ringtex.window.appearance.colours import Colours
from ringtex.window.settings.controls.picture_choice import Picture

HINTS: Final = {
    "raised": "Level tops with flanks, grooves between them",
    "sunk": "Level floors, walls standing between them",
    "pillow": "Domed tops, as of cushions",
    "dish": "Hollowed cells, sharp walls between them",
    "peak": "Sides that meet over the middle of the cell",
    "step": "Three terraces",
    "pierced": "Cells cut right through the band",
}
_SAMPLE: Final = ReliefOptions(depth_mm=0.6, wall_width_mm=0.3, flank_deg=65.0, corner_mm=0.08)
_WAY_MM: Final = 1.0


def profile_line(profile: CellProfile, way_mm: float) -> Floats:
    """(n, 2) distance from the wall and height, mm, from the wall (0) to the centre (way_mm) of a cell."""
    x = profile.inward_mm + profile.share * way_mm
    y = profile.height_mm
    inside = x < way_mm
    if not inside[-1]:
        # A cell too small for its flanks ends where they meet its centre.
        x, y = np.append(x[inside], way_mm), np.append(y[inside], np.interp(way_mm, x, y))
        return np.stack((x, y), axis=-1)
    way = np.linspace(0.0, 1.0, 33)[1:]
    inner = y[-1] + profile.rise_mm * profile.inner_height(way, 0.02)
    return np.stack((np.append(x, x[-1] + way * (way_mm - x[-1])), np.append(y, inner)), axis=-1)


@lru_cache(maxsize=32)
def _sample_points(form: str) -> tuple[tuple[float, float], ...]:
    """Two half cells left and right of a wall, two whole ones beside."""
    options = replace(_SAMPLE, form=form, flank_deg=75.0 if form == "step" else 65.0)
    if form == "step":
        options = replace(options, wall_width_mm=0.2, corner_mm=0.0)
    half = profile_line(cell_profile(options, 0.01), _WAY_MM)
    one = np.concatenate((half, np.stack((2.0 * _WAY_MM - half[::-1, 0], half[::-1, 1]), axis=-1)))
    whole = np.concatenate([one + np.array([2.0 * _WAY_MM * place, 0.0]) for place in (-1, 0, 1)])
    return tuple((float(x), float(y)) for x, y in whole)


def paint_form(form: str, painter: QPainter, box: QRectF, chosen: Colours) -> None:
    """The metal below the profile of one cell and its neighbours."""
    points = _sample_points(form)
    scale = box.width() / (3.0 * _WAY_MM)
    top = max(y for _, y in points)
    low = min(y for _, y in points)
    base = box.center().y() + (top + low - 0.5) / 2.0 * scale
    left = box.center().x() - _WAY_MM * scale
    line = [QPointF(left + x * scale, base - y * scale) for x, y in points]
    ground = QPolygonF([*line, QPointF(line[-1].x(), box.bottom()), QPointF(line[0].x(), box.bottom())])
    painter.setPen(QPen(QColor(chosen.hover), 0))
    painter.setBrush(QColor(chosen.hover))
    painter.drawPolygon(ground)
    painter.setPen(QPen(QColor(chosen.soft_text), 1.5))
    painter.drawPolyline(QPolygonF(line))


def form_pictures() -> list[Picture]:
    """Every form."""
    return [Picture(form, form, partial(paint_form, form), HINTS.get(form, form)) for form in FORMS]
