"""Points that can be dragged, what dragging them changes, and the scale of the drawing that they are on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QPointF

from ringtex.window.settings.number_setting import NumberSetting


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
class Frame:
    """From the drawing's units to pixels; y grows upwards."""

    x_px: float
    y_px: float
    x_scale: float
    y_scale: float

    def point(self, x: float, y: float) -> QPointF:
        """Where (x, y) is drawn."""
        return QPointF(self.x_px + x * self.x_scale, self.y_px - y * self.y_scale)
