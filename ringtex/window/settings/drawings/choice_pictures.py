"""Small drawings of what can be chosen: sections, families, evenness, relief forms, bands to begin with."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache, partial
from itertools import groupby
from typing import Final

import numpy as np
import shapely
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPainterPath, QPen, QPixmap, QPolygonF

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Section
from ringtex.band.bore import BoreOptions
from ringtex.band.section_curve import section_curve
from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress
from ringtex.pattern.grown.growth_rings import ring_bands
from ringtex.pattern.grown.ring_layout import GrowthRings
from ringtex.pattern.lattice.families import ALL_FAMILIES, family_label
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import CELL_FAMILIES, FAMILIES, PatternOptions, RailOptions
from ringtex.relief.cell_profile import CellProfile, cell_profile
from ringtex.relief.relief_options import FORMS, ReliefOptions
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
    """The section of a small band.

    Parameters:
        section: its name, or None.
        painter: paints in the widget's pixels.
        box: where to paint, pixels.
        chosen: the theme's colours.
    """
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


LENGTH_MM: Final = 24.0
WIDTH_MM: Final = 3.6
SHOWN_MM: Final = (6.0, 3.6)

Cell = list[tuple[float, float]]


class _Sample:
    """A plain piece of strip."""

    length = LENGTH_MM
    width = WIDTH_MM


@lru_cache(maxsize=64)
def family_cells(family: str) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The outlines, mm, of a few cells of a family."""
    if family == "cellular":
        # Relaxing real cells would take longer than a window may stand still.
        return tuple(tuple(cell) for cell in _loose_cells())
    options = PatternOptions(family=family, around=ALL_FAMILIES[family].sample_around)
    pattern = make_pattern(_Sample(), options, RailOptions(), Progress())
    if isinstance(pattern.motif, GrowthRings):
        rings = shapely.get_rings(shapely.simplify(ring_bands(pattern.motif), 0.02))
        return tuple(tuple((u, v) for u, v in shapely.get_coordinates(ring).tolist()) for ring in rings)
    tiling = pattern.tiling
    bounds = zip(tiling.cell_start[:-1], tiling.cell_start[1:], strict=True)
    return tuple(tuple((float(u), float(v)) for u, v in tiling.corners[low:high]) for low, high in bounds)


def prepare_family_pictures(progress: Progress) -> None:
    """Work out what all families' pictures show, beside the window: together they take longer than it may stand
    still. Raises: Cancelled."""
    for family in FAMILIES:
        progress.check()
        family_cells(family)


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
    """Cells as tops with grooves between them.

    Parameters:
        family: its name.
        painter: paints in the widget's pixels.
        box: where to paint, pixels.
        chosen: the theme's colours.
    """
    scale = max(box.width() / SHOWN_MM[0], box.height() / SHOWN_MM[1])
    path = QPainterPath()
    for cell in family_cells(family):
        path.addPolygon(QPolygonF([QPointF(u * scale, -v * scale) for u, v in cell]))
        path.closeSubpath()
    painter.translate(box.left() - 0.6 * scale, box.bottom() + 0.4 * scale if family == "cellular" else box.bottom())
    painter.setBrush(QColor(chosen.hover))
    painter.setPen(QPen(QColor(chosen.soft_text), 1.25, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
    painter.drawPath(path)


def paint_leaf(painter: QPainter, box: QRectF, chosen: Colours) -> None:
    """A leaf with its stalk, for what one draws oneself.

    Parameters:
        painter: paints in the widget's pixels.
        box: where to paint, pixels.
        chosen: the theme's colours.
    """
    size = min(box.width() / 1.6, box.height())
    painter.translate(box.center())
    painter.scale(size, size)
    leaf = QPainterPath(QPointF(-0.6, 0.35))
    leaf.cubicTo(QPointF(-0.45, -0.45), QPointF(0.2, -0.45), QPointF(0.65, -0.4))
    leaf.cubicTo(QPointF(0.55, 0.3), QPointF(0.1, 0.55), QPointF(-0.6, 0.35))
    leaf.moveTo(QPointF(-0.75, 0.45))
    leaf.quadTo(QPointF(0.0, 0.2), QPointF(0.45, -0.25))
    painter.setBrush(QColor(chosen.hover))
    painter.setPen(QPen(QColor(chosen.soft_text), 1.5 / size))
    painter.drawPath(leaf)


USUAL: Final = ("hexagon", "brick", "diamond", "cellular", "motif")
"""Families shown before all others."""


def family_pictures() -> list[Picture]:
    """Every family, the usual ones first."""
    cells = [
        Picture(family, family_label(family), partial(paint_family, family), known.hint)
        for family, known in ALL_FAMILIES.items()
    ]
    pictures = [*cells, Picture("motif", "own motif", paint_leaf, "Your own drawing, repeated")]
    return sorted(pictures, key=lambda picture: picture.value not in USUAL)


def cell_family_pictures() -> list[Picture]:
    """Those of cells, which zones and panels can have."""
    return [picture for picture in family_pictures() if picture.value in CELL_FAMILIES]


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
_HALF_CELL_MM: Final = 1.0


def profile_line(profile: CellProfile, half_cell_mm: float) -> Floats:
    """(n, 2) distance from the wall and height, mm, from the wall (0) to the centre (half_cell_mm) of a cell."""
    x = profile.inward_mm + profile.share * half_cell_mm
    y = profile.height_mm
    inside = x < half_cell_mm
    if not inside[-1]:
        # A cell too small for its flanks ends where they meet its centre.
        x, y = np.append(x[inside], half_cell_mm), np.append(y[inside], np.interp(half_cell_mm, x, y))
        return np.stack((x, y), axis=-1)
    way = np.linspace(0.0, 1.0, 33)[1:]
    inner = y[-1] + profile.rise_mm * profile.inner_height(way, 0.02)
    return np.stack((np.append(x, x[-1] + way * (half_cell_mm - x[-1])), np.append(y, inner)), axis=-1)


@lru_cache(maxsize=32)
def _sample_points(form: str) -> tuple[tuple[float, float], ...]:
    """Two half cells left and right of a wall, two whole ones beside."""
    options = replace(_SAMPLE, form=form, flank_deg=75.0 if form == "step" else 65.0)
    if form == "step":
        options = replace(options, wall_width_mm=0.2, corner_mm=0.0)
    half = profile_line(cell_profile(options, 0.01), _HALF_CELL_MM)
    one = np.concatenate((half, np.stack((2.0 * _HALF_CELL_MM - half[::-1, 0], half[::-1, 1]), axis=-1)))
    whole = np.concatenate([one + np.array([2.0 * _HALF_CELL_MM * place, 0.0]) for place in (-1, 0, 1)])
    return tuple((float(x), float(y)) for x, y in whole)


def paint_form(form: str, painter: QPainter, box: QRectF, chosen: Colours) -> None:
    """The metal below the profile of one cell and its neighbours.

    Parameters:
        form: its name.
        painter: paints in the widget's pixels.
        box: where to paint, pixels.
        chosen: the theme's colours.
    """
    points = _sample_points(form)
    scale = box.width() / (3.0 * _HALF_CELL_MM)
    top = max(y for _, y in points)
    low = min(y for _, y in points)
    base = box.center().y() + (top + low - 0.5) / 2.0 * scale
    left = box.center().x() - _HALF_CELL_MM * scale
    # What is pierced has no metal under its floors.
    runs = groupby(points, lambda point: form != "pierced" or point[1] > low + 0.01)
    lines = [[QPointF(left + x * scale, base - y * scale) for x, y in run] for is_metal, run in runs if is_metal]
    for line in lines:
        if form == "pierced":
            line = [QPointF(line[0].x(), box.bottom()), *line, QPointF(line[-1].x(), box.bottom())]
        ground = QPolygonF([*line, QPointF(line[-1].x(), box.bottom()), QPointF(line[0].x(), box.bottom())])
        painter.setPen(QPen(QColor(chosen.hover), 0))
        painter.setBrush(QColor(chosen.hover))
        painter.drawPolygon(ground)
        painter.setPen(QPen(QColor(chosen.soft_text), 1.5))
        painter.drawPolyline(QPolygonF(line))


def form_pictures() -> list[Picture]:
    """Every form."""
    return [Picture(form, form, partial(paint_form, form), HINTS.get(form, form)) for form in FORMS]


BORE_MM: Final = 8.6
"""Of a usual finger (ISO size 54)."""
MAX_MM: Final = 18.0
"""From the middle to the highest head, and the widest band: all pictures are to one scale."""
WIDE, HIGH = 50, 32
STEPS: Final = 181


def preset_icon(options: BandOptions, chosen: Colours, ratio: float) -> QIcon:
    """Both drawings beside each other.

    Parameters:
        options: of the band.
        chosen: the theme's colours.
        ratio: device pixels for a logical one.
    Returns: the icon.
    """
    picture = QPixmap(round(WIDE * ratio), round(HIGH * ratio))
    picture.setDevicePixelRatio(ratio)
    picture.fill(Qt.GlobalColor.transparent)
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(chosen.soft_text), 1.4))
    painter.setBrush(QColor(chosen.hover))
    band, theta = Band(BORE_MM, BoreOptions(), options), np.linspace(-np.pi, np.pi, STEPS)
    _paint_round(painter, band, theta, QRectF(1, 1, HIGH - 2, HIGH - 2))
    _paint_flat(painter, band, theta, QRectF(HIGH + 1, 2, WIDE - HIGH - 2, HIGH - 4))
    painter.end()
    return QIcon(picture)


def _paint_round(painter: QPainter, band: Band, theta: np.ndarray, box: QRectF) -> None:
    """Along the finger: the crown's line round the bore, the head above."""
    scale = box.height() / (2.0 * BORE_MM + 2.0 + (MAX_MM - BORE_MM))
    middle = QPointF(box.center().x(), box.bottom() - (BORE_MM + 2.0) * scale)
    radius = band.crown_radius(theta)
    line = [middle + QPointF(-r * np.sin(t), -r * np.cos(t)) * scale for r, t in zip(radius, theta, strict=True)]
    path = QPainterPath()
    path.addPolygon(QPolygonF(line))
    path.addEllipse(middle, BORE_MM * scale, BORE_MM * scale)
    painter.drawPath(path)


def _paint_flat(painter: QPainter, band: Band, theta: np.ndarray, box: QRectF) -> None:
    """The band's outline unrolled upright, the head in its middle."""
    half = band.half_width(theta) * box.width() / MAX_MM
    y = box.bottom() - (theta + np.pi) / (2.0 * np.pi) * box.height()
    x = box.center().x()
    right = [QPointF(x + float(h), float(at)) for h, at in zip(half, y, strict=True)]
    left = [QPointF(x - float(h), float(at)) for h, at in zip(half[::-1], y[::-1], strict=True)]
    painter.drawPolygon(QPolygonF([*right, *left]))
