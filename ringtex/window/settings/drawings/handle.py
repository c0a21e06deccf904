"""Points that can be dragged, what dragging them changes, and the scale of the drawing that they are on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from ringtex.window.appearance.colours import Colours
from ringtex.window.settings.controls.number_setting import NumberSetting


@dataclass(frozen=True)
class Move:
    """What dragging a handle along one direction changes: `value_of` takes the distance, in the drawing's units."""

    setting: NumberSetting
    value_of: Callable[[float], float]


@dataclass(frozen=True)
class Handle:
    """A point at (x, y), in the drawing's units, that moves across, up, or both ways."""

    name: str
    x: float
    y: float
    across: Move | None = None
    up: Move | None = None
    ghost: bool = False
    """The mirror image of another handle."""
    station: int | None = None


@dataclass(frozen=True)
class Taken:
    """A design's value by its key once a handle is taken away, and how undo calls it."""

    key: str
    value: object
    label: str


@dataclass(frozen=True)
class Frame:
    """From the drawing's units to pixels; y grows upwards."""

    x_px: float
    y_px: float
    x_scale: float
    y_scale: float

    def point(self, x: float, y: float) -> QPointF:
        """Where (x, y) is drawn."""
        return QPointF(self.x_px + x * self.x_scale, self.y_px - y * self.y_scale)


def paint_handle(painter: QPainter, handle: Handle, frame: Frame, colour: Colours, lively: bool, reached: bool) -> None:
    """A disc that moves both ways, or a diamond that moves one way; hollow for a mirror image, ringed where the
    keyboard is."""
    at = frame.point(handle.x, handle.y)
    radius = 5.5 if lively or reached else 4.0
    painter.setPen(QPen(QColor(colour.accent), 1.5))
    painter.setBrush(QColor(colour.field if handle.ghost else colour.accent))
    if handle.across is not None and handle.up is not None:
        painter.drawEllipse(at, radius, radius)
    else:
        turned = [QPointF(radius, 0), QPointF(0, radius), QPointF(-radius, 0), QPointF(0, -radius)]
        painter.drawPolygon(QPolygonF([at + corner * 1.15 for corner in turned]))
    if reached:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(at, radius + 3.0, radius + 3.0)
