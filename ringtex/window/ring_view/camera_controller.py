"""What the hand does to the camera: drag, wheel, keys, named views, and the short way from one view to the next."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, QPointF, QSizeF, Qt, QVariantAnimation, Signal
from PySide6.QtGui import QKeyEvent

from ringtex.export.picture.camera import Camera, camera_axes, close_to, named_view
from ringtex.window.ring_view.ring_positions import Spot
from ringtex.window.ring_view.view_row import VIEW_KEYS

WAY_MS: Final = 140
"""Of the way between two views: long enough to see which way the ring turns, too short to wait for."""
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
    """Holds the pose; tells `moved` whenever it changes."""

    moved = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.pose = Camera(camera_axes((0.8, 0.62, 0.72), (0, 1, 0)), np.zeros(3), 80.0)
        self.size = QSizeF(1.0, 1.0)
        self._places: NDArray[Any] | None = None
        self._wanted: str | None = "three_quarter"
        self._start, self._end = self.pose, self.pose
        self._way = QVariantAnimation(self)
        self._way.setDuration(WAY_MS)
        self._way.setStartValue(0.0)
        self._way.setEndValue(1.0)
        self._way.valueChanged.connect(self._go)

    def set_ring(self, places: NDArray[Any]) -> None:
        """Know the ring's outline (n, 3); the camera stays, but for the first ring, which is shown whole."""
        first = self._places is None
        self._places = places
        if first:
            self._refit()

    def set_size(self, width: float, height: float) -> None:
        """Know the picture's size; a view that nobody has touched since it was chosen still fits afterwards."""
        self.size = QSizeF(max(width, 1.0), max(height, 1.0))
        self._refit()

    def _refit(self) -> None:
        if self._wanted is not None and self._places is not None:
            self._way.stop()
            self._set(named_view(self._wanted, self._places, self.size.width(), self.size.height()), self._wanted)

    def show_from(self, name: str, at_once: bool = False) -> None:
        """Go to a named view. Raises: KeyError for an unknown one."""
        places = self._places if self._places is not None else 11.0 * np.vstack((np.eye(3), -np.eye(3)))
        self._travel(named_view(name, places, self.size.width(), self.size.height()), name, at_once)

    def turn_to(self, spot: Spot) -> None:
        """Look at a spot straight from outside, close by unless the camera is closer already."""
        axes = camera_axes(spot.outwards, spot.across)
        near = close_to(spot.place, axes, CLOSE_UP_MM, self.size.width(), self.size.height())
        self._travel(Camera(axes, spot.place, min(near.distance, self.pose.distance)), None, False)

    def _travel(self, pose: Camera, wanted: str | None, at_once: bool) -> None:
        self._way.stop()
        self._wanted = wanted
        self._start, self._end = self.pose, pose
        if at_once:
            self._set(pose, wanted)
        else:
            self._way.start()

    def _go(self, share: float) -> None:
        eased = share * share * (3.0 - 2.0 * share)
        self.pose = self._end if share >= 1.0 else self._start.interpolated(self._end, eased)
        self.moved.emit()

    def _set(self, pose: Camera, wanted: str | None = None) -> None:
        self.pose, self._wanted = pose, wanted
        self.moved.emit()

    def ray(self, at: QPointF) -> tuple[NDArray[Any], NDArray[Any]]:
        """Eye and unit direction (3,) of the ray through a pixel."""
        return self.pose.ray(at.x(), at.y(), self.size.width(), self.size.height())

    def dragged(self, move: QPointF, pans: bool) -> None:
        """The pointer was dragged by so many pixels."""
        self._way.stop()
        if pans:
            self._set(self.pose.panned(move.x(), -move.y(), self.size.width(), self.size.height()))
        else:
            self._set(self.pose.orbited(_DEGREES_A_PIXEL * move.x(), -_DEGREES_A_PIXEL * move.y()))

    def zoomed(self, factor: float, at: QPointF) -> None:
        """Come nearer by a factor; the place under the pointer stays."""
        self._way.stop()
        self._set(self.pose.zoomed(factor, at.x(), at.y(), self.size.width(), self.size.height()))

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
                self._way.stop()
                self._set(self.pose.orbited(_DEGREES_A_KEY * right, _DEGREES_A_KEY * up))
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus):
            factor = 1.0 / _FACTOR_A_KEY if key == Qt.Key.Key_Minus else _FACTOR_A_KEY
            self.zoomed(factor, QPointF(self.size.width() / 2.0, self.size.height() / 2.0))
        else:
            return False
        return True
