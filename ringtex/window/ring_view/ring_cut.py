"""Cutting the ring open: the plane through the finger's axis, and switch, slider and knob kept at one angle."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtCore import QObject, QPointF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from ringtex.basics.arrays import Floats, Singles
from ringtex.export.picture.camera import Camera, camera_axes
from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.painting import painting
from ringtex.window.building.view_state import ViewState
from ringtex.window.ring_view.camera_controller import CameraController
from ringtex.window.ring_view.view_row import ViewRow

MIN_FACING = math.cos(math.radians(55.0))
"""Cosine between the cut face's normal and the camera's direction: seen more aslant, the camera turns to the cut."""

_KNOB_DISTANCE = 1.2
"""The knob's distance from the axis, as a multiple of the ring's radius."""
_SIDE = 24


@dataclass(frozen=True)
class SectionPlane:
    """A cut through the ring's axis and the point at an angle from the head (degrees, counter-clockwise from +z).

    flipped: the other half is taken away.
    """

    angle_deg: float = 0.0
    flipped: bool = False

    @property
    def radial(self) -> Floats:
        """(3,) unit, from the axis to the cut."""
        theta = math.radians(self.angle_deg)
        return np.array([-math.sin(theta), math.cos(theta), 0.0])

    @property
    def kept_side(self) -> Floats:
        """(3,) unit normal of the plane towards the half that stays."""
        theta = math.radians(self.angle_deg)
        normal = np.array([-math.cos(theta), -math.sin(theta), 0.0])
        return -normal if self.flipped else normal

    def facing(self, eye: Floats) -> SectionPlane:
        """The same cut with that half taken away on whose side the eye is, so that the cut face is seen."""
        on_kept_side = float(eye @ self.kept_side) > 0.0
        return SectionPlane(self.angle_deg, self.flipped != on_kept_side)


def turned_to(origin: Floats, direction: Floats) -> float | None:
    """Angle in degrees of the point where a ray meets the plane across the finger (z = 0); None where it does not."""
    if abs(direction[2]) < 0.05:
        # Seen from the side the plane is a line: the ray's point nearest to the origin serves.
        point = origin - direction * float(origin @ direction)
    else:
        point = origin - direction * (origin[2] / direction[2])
    if math.hypot(point[0], point[1]) < 1e-6:
        return None
    return math.degrees(math.atan2(-point[0], point[1]))


def facing_camera(camera: Camera, plane: SectionPlane) -> Camera:
    """The camera turned about its target by no more than it takes to see the cut face well."""
    normal, back = -plane.kept_side, camera.axes[2]
    cosine = float(back @ normal)
    if cosine >= MIN_FACING:
        return camera
    aside = back - cosine * normal
    if np.linalg.norm(aside) < 1e-6:
        aside = camera.axes[1]
    turned = MIN_FACING * normal + math.sqrt(1.0 - MIN_FACING**2) * aside / np.linalg.norm(aside)
    return replace(camera, axes=camera_axes(turned, camera.axes[1]))


class CutHandle(QWidget):
    """A round knob; the ring's view places it, and turns the cut to where it is dragged."""

    dragged = Signal(QPointF)
    """The pointer's position in the parent, pixels."""
    released = Signal()
    stepped = Signal(float)
    """Degrees to turn by, from the keyboard."""

    def __init__(self, state: ViewState, parent: QWidget) -> None:
        super().__init__(parent)
        self._state = state
        self.resize(_SIDE, _SIDE)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.SizeAllCursor)
        self.setAccessibleName("Cut")
        self.setToolTip("Drag the cut round the ring; arrow keys turn it")
        state.theme_changed.connect(self.update)
        self.hide()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Round."""
        return QSize(_SIDE, _SIDE)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Turn the cut."""
        if event.buttons() & Qt.MouseButton.LeftButton:
            self.dragged.emit(self.mapToParent(event.position()))

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Begin to drag."""
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """End the drag."""
        event.accept()
        self.released.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Turn by five degrees, with Shift by one."""
        steps = {Qt.Key.Key_Left: 1.0, Qt.Key.Key_Up: 1.0, Qt.Key.Key_Right: -1.0, Qt.Key.Key_Down: -1.0}
        step = steps.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
        else:
            self.stepped.emit(step * (1.0 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 5.0))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the knob."""
        chosen = colours(self._state.dark)
        with painting(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(QColor(chosen.accent), 3.0 if self.hasFocus() else 2.0))
            painter.setBrush(QColor(chosen.field))
            painter.drawEllipse(QPointF(_SIDE / 2, _SIDE / 2), 8.0, 8.0)
            painter.drawLine(QPointF(8.0, 16.0), QPointF(16.0, 8.0))


class RingCut(QObject):
    """The cut of one canvas; emits `changed` when the picture must be drawn again."""

    changed = Signal()

    def __init__(self, canvas: QWidget, controller: CameraController, row: ViewRow, handle: CutHandle) -> None:
        super().__init__(canvas)
        self._canvas, self._controller, self._row, self._handle = canvas, controller, row, handle
        self._radius = 12.0
        self.plane: SectionPlane | None = None
        row.cut_switched.connect(self._switch)
        row.cut_turned.connect(self._turn_to_see)
        handle.dragged.connect(self._drag)
        handle.released.connect(self.look)
        handle.stepped.connect(self._step)
        controller.moved.connect(self._follow_camera)

    @property
    def kept_side(self) -> Floats | None:
        """Normal of the cutting plane towards what stays; None without a cut."""
        return self.plane.kept_side if self.plane is not None else None

    def set_ring(self, points: Singles) -> None:
        """Take the ring's size from its outline (n, 3), mm."""
        self._radius = float(np.hypot(points[:, 0], points[:, 1]).max())
        self.place_handle()

    def turn(self, degrees: float) -> None:
        """Cut at another angle from the head; the half before the eye is taken away."""
        self.plane = SectionPlane(float(degrees)).facing(self._controller.camera.eye)
        self._row.show_cut(degrees)
        self.place_handle()
        self.changed.emit()

    def _turn_to_see(self, degrees: float) -> None:
        self.turn(degrees)
        self.look(at_once=True)

    def look(self, at_once: bool = False) -> None:
        """Turn the camera, or where it is on its way to, until the cut face is not seen aslant."""
        if self.plane is not None:
            end = self._controller.destination
            seen = facing_camera(end, self.plane.facing(end.eye))
            if seen is not end:
                self._controller.travel(seen, at_once)

    def _follow_camera(self) -> None:
        """Whatever is done to the camera, the half before the eye is the one that is taken away."""
        if self.plane is not None:
            self.plane = self.plane.facing(self._controller.camera.eye)
        self.place_handle()

    def _switch(self, on: bool) -> None:
        self.plane = None
        if on:
            self.turn(self._row.slider.value())
            self.look()
        self.place_handle()
        self.changed.emit()

    def _step(self, degrees: float) -> None:
        if self.plane is not None:
            self._turn_to_see((self.plane.angle_deg + degrees + 180.0) % 360.0 - 180.0)

    def _drag(self, at: QPointF) -> None:
        angle = turned_to(*self._controller.ray(at))
        if angle is not None:
            self.turn(angle)

    def place_handle(self) -> None:
        """Put the knob beside the ring where it is cut, but never out of sight."""
        if self.plane is None:
            self._handle.hide()
            return
        controller = self._controller
        width, height = controller.size.width(), controller.size.height()
        x, y = controller.camera.projected(_KNOB_DISTANCE * self._radius * self.plane.radial, width, height)
        half = self._handle.width() // 2
        x = min(max(x, half), max(self._canvas.width() - half, half))
        y = min(max(y, half), max(self._canvas.height() - half, half))
        self._handle.move(round(x) - half, round(y) - half)
        self._handle.show()
        self._handle.raise_()
