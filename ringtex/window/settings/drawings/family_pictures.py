"""Small drawings of the pattern families, from the families themselves where that is quick."""

from __future__ import annotations

from functools import lru_cache, partial
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from ringtex.basics.progress import Progress
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import FAMILIES, PatternOptions, RailOptions
from ringtex.window.appearance.colours import Colours
from ringtex.window.settings.controls.picture_choice import Picture

NAMES: Final = {
    "hexagon": ("hexagon", "Hexagons, in rows that interlock"),
    "brick": ("brick", "Bricks, each row moved by half a brick"),
    "diamond": ("diamond", "Diamonds that stand on their points"),
    "cellular": ("cellular", "Irregular cells, as of foam, mud cracks or pebbles"),
}
"""What the screen says; a family that is not listed shows its own name."""
LENGTH_MM: Final = 24.0
WIDTH_MM: Final = 3.6
SHOWN_MM: Final = (6.0, 3.6)
AROUND: Final = {"hexagon": 16, "brick": 11, "diamond": 14}

Cell = list[tuple[float, float]]


class _Sample:
    """A plain piece of strip."""

    length = LENGTH_MM
    width = WIDTH_MM


@lru_cache(maxsize=32)
def family_cells(family: str) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The outlines, mm, of a few cells of a family."""
    if family == "cellular":
        # Relaxing real cells would take longer than a window may stand still.
        return tuple(tuple(cell) for cell in _loose_cells())
    options = PatternOptions(family=family, around=AROUND.get(family, 14))
    tiling = make_pattern(_Sample(), options, RailOptions(), Progress()).tiling
    bounds = zip(tiling.cell_start[:-1], tiling.cell_start[1:], strict=True)
    return tuple(tuple((float(u), float(v)) for u, v in tiling.corners[low:high]) for low, high in bounds)


def _loose_cells() -> list[Cell]:
    """Voronoi cells of shaken sites, each cut out of a square by the lines half-way to the others."""
    random = np.random.Generator(np.random.PCG64(5))
    columns, rows = np.meshgrid(np.arange(-1, 8), np.arange(-1, 5))
    places = np.stack((columns + 0.5 * (rows % 2), rows), axis=-1).reshape(-1, 2) * (1.0, 0.95)
    sites = places + random.uniform(-0.28, 0.28, places.shape)
    return [_cell_of(site, np.delete(sites, at, axis=0)) for at, site in enumerate(sites)]


def _cell_of(site: np.ndarray, others: np.ndarray) -> Cell:
    cell: Cell = [(site[0] + x, site[1] + y) for x, y in ((-2, -2), (2, -2), (2, 2), (-2, 2))]
    for other in others[np.hypot(*(others - site).T) < 3.0]:
        normal = other - site
        limit = float(normal @ (other + site) / 2.0)
        cell = _cut(cell, (float(normal[0]), float(normal[1])), limit)
    return cell


def _cut(cell: Cell, normal: tuple[float, float], limit: float) -> Cell:
    """The part of a convex polygon where normal . place <= limit."""
    kept: Cell = []
    for (ax, ay), (bx, by) in zip(cell, cell[1:] + cell[:1], strict=True):
        a, b = normal[0] * ax + normal[1] * ay - limit, normal[0] * bx + normal[1] * by - limit
        if a <= 0.0:
            kept.append((ax, ay))
        if (a < 0.0) != (b < 0.0):
            share = a / (a - b)
            kept.append((ax + share * (bx - ax), ay + share * (by - ay)))
    return kept


def paint_family(family: str, painter: QPainter, box: QRectF, chosen: Colours) -> None:
    """Cells as tops with grooves between them."""
    scale = max(box.width() / SHOWN_MM[0], box.height() / SHOWN_MM[1])
    path = QPainterPath()
    for cell in family_cells(family):
        path.addPolygon(QPolygonF([QPointF(u * scale, -v * scale) for u, v in cell]))
        path.closeSubpath()
    painter.translate(box.left() - 0.6 * scale, box.bottom() + 0.4 * scale if family == "cellular" else box.bottom())
    painter.setBrush(QColor(chosen.hover))
    painter.setPen(QPen(QColor(chosen.soft_text), 1.25, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
    painter.drawPath(path)


def family_pictures() -> list[Picture]:
    """Every family."""
    made = []
    for family in FAMILIES:
        name, hint = NAMES.get(family, (family, family))
        made.append(Picture(family, name, partial(paint_family, family), hint))
    return made
