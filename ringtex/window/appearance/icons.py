"""The program's own icons: one family of strokes on a 24-unit grid, drawn in the theme's colours at any size."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPainterPath, QPen, QPixmap, QPixmapCache

from ringtex.window.appearance.colours import Colours

GRID_UNITS: Final = 24.0
STROKE_UNITS: Final = 1.75
SIZES: Final = (16, 20, 24, 32, 48, 64)

# M x y: go to; L x y: line to; C six numbers: curve to; Z: close; O x y r: circle; R x y w h r: round-cornered box;
# D x y r: filled disc.
DRAWINGS: Final = {
    "new": "M 6 3 L 14 3 L 19 8 L 19 21 L 6 21 Z M 14 3 L 14 8 L 19 8 M 12.5 11.5 L 12.5 17.5 M 9.5 14.5 L 15.5 14.5",
    "open": "M 3 19 L 3 6 L 9 6 L 11 8.5 L 19 8.5 L 19 11 M 3 19 L 6.5 11 L 22 11 L 18.5 19 Z",
    "save": "M 12 3 L 12 14 M 7.5 9.5 L 12 14 L 16.5 9.5 M 4 15 L 4 20 L 20 20 L 20 15",
    "export": "M 14 4 L 20 4 L 20 10 M 20 4 L 11 13 M 18 14 L 18 20 L 4 20 L 4 6 L 10 6",
    "sheet": "R 4 3 16 18 1 O 12 9 3.5 M 7.5 16 L 16.5 16 M 7.5 18.5 L 13 18.5",
    "undo": "M 8.5 4.5 L 4 9 L 8.5 13.5 M 4 9 L 14 9 C 22 9 22 19.5 14 19.5 L 9 19.5",
    "redo": "M 15.5 4.5 L 20 9 L 15.5 13.5 M 20 9 L 10 9 C 2 9 2 19.5 10 19.5 L 15 19.5",
    "seed_previous": "M 15 4 C 21 9 21 16 15 20 C 9 16 9 9 15 4 Z M 15 9 L 15 20 M 7 8.5 L 3.5 12 L 7 15.5",
    "seed_next": "M 9 4 C 15 9 15 16 9 20 C 3 16 3 9 9 4 Z M 9 9 L 9 20 M 17 8.5 L 20.5 12 L 17 15.5",
    "keep": "M 7 3.5 L 17 3.5 L 17 20.5 L 12 16 L 7 20.5 Z",
    "flip": "M 4 8.5 L 19 8.5 M 15.5 5 L 19 8.5 L 15.5 12 M 20 15.5 L 5 15.5 M 8.5 12 L 5 15.5 L 8.5 19",
    "seam": "M 12 3 L 12 6 M 12 9 L 12 12 M 12 15 L 12 18 M 12 20.5 L 12 21 M 3 12 L 8 12 M 6 9.5 L 8.5 12 L 6 14.5 "
    "M 21 12 L 16 12 M 18 9.5 L 15.5 12 L 18 14.5",
    "start_row": "R 3 4 7 7 1 R 14 4 7 7 1 O 6.5 17 3 O 17.5 17 3",
    "light": "O 12 12 4 M 12 3 L 12 5 M 12 19 L 12 21 M 3 12 L 5 12 M 19 12 L 21 12 M 5.6 5.6 L 7 7 M 17 17 L 18.4 18.4"
    " M 5.6 18.4 L 7 17 M 17 7 L 18.4 5.6",
    "close": "M 6 6 L 18 18 M 18 6 L 6 18",
    "error": "M 8.3 3 L 15.7 3 L 21 8.3 L 21 15.7 L 15.7 21 L 8.3 21 L 3 15.7 L 3 8.3 Z M 9 9 L 15 15 M 15 9 L 9 15",
    "warning": "M 12 3.5 L 21.5 20 L 2.5 20 Z M 12 9.5 L 12 14.5 D 12 17.2 1.1",
    "note": "O 12 12 9 M 12 11 L 12 16.5 D 12 7.8 1.1",
    "good": "O 12 12 9 M 8 12.5 L 11 15.5 L 16.5 9",
    "more": "D 5.5 12 1.7 D 12 12 1.7 D 18.5 12 1.7",
    "program": "O 12 13 8.5 O 12 13 5.5 M 8.6 5.2 L 10.3 2.5 L 13.7 2.5 L 15.4 5.2",
}
"""Every icon by name."""


def icon(name: str, chosen: Colours) -> QIcon:
    """One icon in these colours, with a paler form for what cannot be used now. Raises: KeyError for no such name."""
    made = QIcon()
    for size in SIZES:
        made.addPixmap(icon_picture(name, size, chosen.text), QIcon.Mode.Normal)
        made.addPixmap(icon_picture(name, size, chosen.accent), QIcon.Mode.Normal, QIcon.State.On)
        made.addPixmap(icon_picture(name, size, chosen.faint_text), QIcon.Mode.Disabled)
    return made


def icon_picture(name: str, size: int, colour: str, ratio: float = 1.0) -> QPixmap:
    """One icon as a picture of `size` pixels (times the screen's `ratio`) in one "#rrggbb".

    Parameters:
        name: of the icon.
        size: pixels a side.
        colour: "#rrggbb".
        ratio: device pixels for a logical one.
    Returns: the picture.
    """
    key = f"ringtex {name} {size} {colour} {ratio}"
    picture = QPixmap(round(size * ratio), round(size * ratio))
    if QPixmapCache.find(key, picture):
        return picture
    picture.fill(Qt.GlobalColor.transparent)
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    scale = picture.width() / GRID_UNITS
    painter.scale(scale, scale)
    strokes, discs = icon_paths(name)
    pen = QPen(QColor(colour), STROKE_UNITS)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.strokePath(strokes, pen)
    painter.fillPath(discs, QColor(colour))
    painter.end()
    picture.setDevicePixelRatio(ratio)
    QPixmapCache.insert(key, picture)
    return picture


def icon_paths(name: str) -> tuple[QPainterPath, QPainterPath]:
    """The strokes and the filled discs of an icon, in units of the grid."""
    strokes, discs = QPainterPath(), QPainterPath()
    words = iter(DRAWINGS[name].split())
    for command in words:
        if command == "M":
            strokes.moveTo(_point(words))
        elif command == "L":
            strokes.lineTo(_point(words))
        elif command == "C":
            strokes.cubicTo(_point(words), _point(words), _point(words))
        elif command == "Z":
            strokes.closeSubpath()
        elif command == "R":
            corner, width, height, radius = _point(words), *(float(next(words)) for _ in range(3))
            strokes.addRoundedRect(QRectF(corner.x(), corner.y(), width, height), radius, radius)
        else:
            middle, radius = _point(words), float(next(words))
            (strokes if command == "O" else discs).addEllipse(middle, radius, radius)
    return strokes, discs


def _point(words: Iterator[str]) -> QPointF:
    return QPointF(float(next(words)), float(next(words)))
