"""Moves the camera: by drag, wheel and keys, and to named views by a short animation."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, QPointF, QSizeF, Qt, QVariantAnimation, Signal
from PySide6.QtGui import QKeyEvent

from ringtex.basics.smooth_curve import smooth_step
from ringtex.export.picture.camera import Camera, camera_axes, close_to, named_view
from ringtex.window.ring_view.ring_positions import Spot
from ringtex.window.ring_view.view_row import VIEW_KEYS

TRAVEL_MS: Final = 140
"""From one view to another: long enough to see how the ring turns, too short to wait for."""
CLOSE_UP_MM: Final = 9.0
"""What a close view of a place shows, from its lower to its upper edge, over 1.5."""
_DEGREES_A_PIXEL: Final = 0.45
_DEGREES_A_KEY: Final = 7.5
_PIXELS_A_KEY: Final = 24.0
_FACTOR_A_KEY: Final = 1.15
_ARROWS: Final = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}


class CameraController(QObject):
    """Holds the camera; emits `moved` whenever it changes."""

    moved = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.camera = Camera(camera_axes((0.8, 0.62, 0.72), (0, 1, 0)), np.zeros(3), 80.0)
        self.size = QSizeF(1.0, 1.0)
        self._outline: NDArray[Any] | None = None
        self._wanted: str | None = "three_quarter"
        self._start, self._end = self.camera, self.camera
        self._animation = QVariantAnimation(self)
        self._animation.setDuration(TRAVEL_MS)
        self._animation.setStartValue(0.0)
        self._animation.setEndValue(1.0)
        self._animation.valueChanged.connect(self._advance)

    def set_ring(self, outline: NDArray[Any]) -> None:
        """Take the ring's outline (n, 3), mm; the camera stays, but for the first ring, which is shown whole."""
        first = self._outline is None
        self._outline = outline
        if first:
            self._refit()

    def set_size(self, width: float, height: float) -> None:
        """Take the picture's size; a view that nobody has touched since it was chosen still fits afterwards."""
        self.size = QSizeF(max(width, 1.0), max(height, 1.0))
        self._refit()

    def _refit(self) -> None:
        if self._wanted is not None and self._outline is not None:
            self._animation.stop()
            self._set(named_view(self._wanted, self._outline, self.size.width(), self.size.height()), self._wanted)

    def show_from(self, name: str, at_once: bool = False) -> None:
        """Go to a named view. Raises: InputError for an unknown one."""
        outline = self._outline if self._outline is not None else 11.0 * np.vstack((np.eye(3), -np.eye(3)))
        self._travel(named_view(name, outline, self.size.width(), self.size.height()), name, at_once)

    def turn_to(self, spot: Spot) -> None:
        """Look at a spot straight from outside, close by unless the camera is closer already."""
        axes = camera_axes(spot.outwards, spot.across)
        near = close_to(spot.place, axes, CLOSE_UP_MM, self.size.width(), self.size.height())
        self._travel(Camera(axes, spot.place, min(near.distance, self.camera.distance)), None, False)

    def travel(self, camera: Camera, at_once: bool = False) -> None:
        """Go to a camera that has no name."""
        self._travel(camera, None, at_once)

    @property
    def destination(self) -> Camera:
        """Where the camera stands, or is on its way to."""
        return self._end if self._animation.state() == self._animation.State.Running else self.camera

    def _travel(self, camera: Camera, wanted: str | None, at_once: bool) -> None:
        self._animation.stop()
        self._wanted = wanted
        self._start, self._end = self.camera, camera
        if at_once:
            self._set(camera, wanted)
        else:
            self._animation.start()

    def _advance(self, fraction: float) -> None:
        self.camera = self._end if fraction >= 1.0 else self._start.interpolated(self._end, smooth_step(fraction))
        self.moved.emit()

    def _set(self, camera: Camera, wanted: str | None = None) -> None:
        self.camera, self._wanted = camera, wanted
        self.moved.emit()

    def ray(self, at: QPointF) -> tuple[NDArray[Any], NDArray[Any]]:
        """Eye and unit direction (3,) of the ray through a pixel."""
        return self.camera.ray(at.x(), at.y(), self.size.width(), self.size.height())

    def dragged(self, move: QPointF, pans: bool) -> None:
        """The pointer was dragged by so many pixels."""
        self._animation.stop()
        if pans:
            self._set(self.camera.panned(move.x(), -move.y(), self.size.width(), self.size.height()))
        else:
            self._set(self.camera.orbited(_DEGREES_A_PIXEL * move.x(), -_DEGREES_A_PIXEL * move.y()))

    def zoomed(self, factor: float, at: QPointF) -> None:
        """Come nearer by a factor; the place under the pointer stays."""
        self._animation.stop()
        self._set(self.camera.zoomed(factor, at.x(), at.y(), self.size.width(), self.size.height()))

    def pressed(self, event: QKeyEvent) -> bool:
        """Answer a key: arrows turn, with Shift they move; + and - zoom; digits and Home show views."""
        key = Qt.Key(event.key())
        if event.modifiers() & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier):
            return False
        if key in VIEW_KEYS:
            self.show_from(VIEW_KEYS[key])
        elif key in _ARROWS:
            right, up = _ARROWS[key]
            if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
                self.dragged(QPointF(right, -up) * _PIXELS_A_KEY, pans=True)
            else:
                self._animation.stop()
                self._set(self.camera.orbited(_DEGREES_A_KEY * right, _DEGREES_A_KEY * up))
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus):
            factor = 1.0 / _FACTOR_A_KEY if key == Qt.Key.Key_Minus else _FACTOR_A_KEY
            self.zoomed(factor, QPointF(self.size.width() / 2.0, self.size.height() / 2.0))
        else:
            return False
        return True
