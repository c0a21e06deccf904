"""A small dome with a lamp on it: dragged towards its rim the light rakes over the ring."""

from __future__ import annotations

import math
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QRadialGradient
from PySide6.QtWidgets import QSizePolicy, QWidget

from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.painting import painting
from ringtex.window.building.view_state import FIRST_LIGHT, ViewState

_SIDE: Final = 56
_STEP_DEG: Final = 5.0


class LightHandle(QWidget):
    """Shows the light's direction as seen by the viewer: in the middle it comes from straight before the ring."""

    def __init__(self, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self.setFixedSize(self.sizeHint())
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAccessibleName("Light")
        self.setToolTip("Drag the light; towards the rim it rakes over the relief. Double-click: as at first")
        state.light_changed.connect(self._tell)
        state.theme_changed.connect(self.update)
        self._tell()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Square."""
        return QSize(_SIDE, _SIDE)

    def _tell(self) -> None:
        azimuth, elevation = self._state.light
        self.setAccessibleDescription(f"{azimuth:.0f} degrees clockwise from above, {elevation:.0f} degrees high")
        self.update()

    @property
    def _radius(self) -> float:
        return 0.5 * self.width() - 8.0

    @property
    def _middle(self) -> QPointF:
        return QPointF(0.5 * self.width(), 0.5 * self.height())

    def lamp(self) -> QPointF:
        """Where the lamp is drawn, pixels."""
        azimuth, elevation = (math.radians(angle) for angle in self._state.light)
        away = self._radius * math.cos(elevation)
        return self._middle + QPointF(away * math.sin(azimuth), -away * math.cos(azimuth))

    def _drag_to(self, place: QPointF) -> None:
        off = place - self._middle
        away = min(math.hypot(off.x(), off.y()) / self._radius, 1.0)
        azimuth = math.degrees(math.atan2(off.x(), -off.y())) if away > 1e-3 else self._state.light[0]
        self._state.set_light(azimuth, math.degrees(math.acos(away)))

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take the lamp along."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._drag_to(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Move it."""
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._drag_to(event.position())

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Put it back."""
        self._state.set_light(*FIRST_LIGHT)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Left and right turn the light round, up and down raise and lower it."""
        steps = {Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0), Qt.Key.Key_Up: (0, 1), Qt.Key.Key_Down: (0, -1)}
        step = steps.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
            return
        azimuth, elevation = self._state.light
        self._state.set_light(azimuth + 2.0 * _STEP_DEG * step[0], elevation + _STEP_DEG * step[1])

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw dome and lamp."""
        chosen = colours(self._state.dark)
        with painting(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            radius, middle, lamp = self._radius, self._middle, self.lamp()
            dome = QRadialGradient(lamp, 2.1 * radius)
            dome.setColorAt(0.0, QColor(chosen.field))
            dome.setColorAt(1.0, QColor(chosen.line))
            painter.setBrush(dome)
            rim = QPen(QColor(chosen.accent), 2.0) if self.hasFocus() else QPen(QColor(chosen.soft_text), 1.0)
            painter.setPen(rim)
            painter.drawEllipse(middle, radius, radius)
            painter.setPen(QPen(QColor(chosen.soft_text), 1.0))
            painter.drawLine(middle, lamp)
            painter.setPen(QPen(QColor(chosen.on_accent), 1.0))
            painter.setBrush(QColor(chosen.accent))
            painter.drawEllipse(QRectF(lamp.x() - 5.0, lamp.y() - 5.0, 10.0, 10.0))
