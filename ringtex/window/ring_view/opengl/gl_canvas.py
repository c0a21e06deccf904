"""The widget that draws the ring with OpenGL and feels the pointer."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QImage, QKeyEvent, QMouseEvent, QWheelEvent
from PySide6.QtOpenGLWidgets import QOpenGLWidget
from PySide6.QtWidgets import QWidget

from ringtex.window.building.drawable_ring import View
from ringtex.window.ring_view.camera_controller import CameraController
from ringtex.window.ring_view.opengl.accumulation_buffer import SHIFTS, AccumulationBuffer
from ringtex.window.ring_view.opengl.bare_surface import BareSurface
from ringtex.window.ring_view.opengl.gl_program import OpenGLKind
from ringtex.window.ring_view.opengl.ring_scene import RingScene, Shot

_REST_MS: Final = 160
_CHEAP_SECONDS: Final = 0.06
"""The picture is refined at rest only where one drawing takes less: the window must stay quick."""
_DRAG_STARTS_PX: Final = 4.0
"""A smaller move of a pressed button is a click."""
_FULL_NOTCH: Final = 120.0
_FACTOR_A_NOTCH: Final = 1.18


class GlCanvas(QOpenGLWidget):
    """Draws a mesh from where its `hand` holds the camera.

    make_shot gives everything about the picture but its size in the screen's pixels; it is asked at each drawing.
    """

    pointed = Signal(object)
    """QPointF where the pointer is over the ring's picture with no button down; None when it has left."""
    clicked = Signal(object)
    """QPointF of a click without a drag."""
    key_pressed = Signal(object)
    """A QKeyEvent that does not move the camera; accept it to keep it."""
    view_shown = Signal(object)
    """The View that is drawn from now on."""
    released = Signal()
    """The window closes."""
    unusable = Signal(str)
    """OpenGL failed while it was used; the text says how."""

    def __init__(self, kind: OpenGLKind, make_shot: Callable[[], Shot], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFormat(kind.wanted_format())
        self._kind, self._make_shot = kind, make_shot
        self.controller = CameraController(self)
        self.controller.moved.connect(self.refresh)
        self._scene: RingScene | None = None
        self.held: Callable[[], bool] = lambda: False
        """Whether refinement has to wait: a drag is open, or a newer ring is near."""
        self._rest: AccumulationBuffer | None = None
        self._view: View | None = None
        self._visibility: NDArray[np.float32] = np.zeros(0, dtype=np.float32)
        self._overlay: NDArray[np.uint8] | None = None
        self._bare: BareSurface | None = None
        self._chosen: NDArray[np.uint32] = np.zeros((0, 3), dtype=np.uint32)
        self._stale: set[str] = set()
        self._last: QPointF | None = None
        self._pressed = QPointF()
        self.upload_seconds = self.frame_seconds = 0.0
        self._rest_timer = QTimer(self)
        self._rest_timer.setSingleShot(True)
        self._rest_timer.timeout.connect(self._refine)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("The ring")
        self.setAccessibleDescription("Arrow keys turn the ring, with Shift they move it; plus and minus zoom")

    def show_view(self, view: View, visibility: NDArray[np.float32]) -> None:
        """Draw this mesh from the next picture on; visibility (n,) as the shader wants it."""
        self._view, self._visibility, self._overlay = view, visibility, None
        self._chosen = np.zeros((0, 3), dtype=np.uint32)
        self._stale |= {"mesh", "overlay", "chosen"}
        self.refresh()
        self.view_shown.emit(view)

    def show_bare(self, surface: BareSurface | None) -> None:
        """Draw this surface under stripes of light in place of the ring; None: the ring again."""
        self._bare = surface
        self._stale |= {"mesh", "overlay", "chosen"}
        self.refresh()

    def show_from(self, name: str) -> None:
        """Look from a named view."""
        self.controller.show_from(name)

    def set_overlay(self, colours: NDArray[np.uint8] | None) -> None:
        """Lay colours (n, 4) with their strength over the metal, or none."""
        self._overlay = colours
        self._stale.add("overlay")
        self.refresh()

    def glow(self, triangles: NDArray[np.uint32]) -> None:
        """Let these triangles (k, 3) glow."""
        if len(triangles) or len(self._chosen):
            self._chosen = triangles
            self._stale.add("chosen")
            self.refresh()

    def refresh(self) -> None:
        """Draw again soon, plainly; finer when the pointer rests."""
        if self._rest is not None:
            self._rest.restart()
        self._rest_timer.start(_REST_MS)
        self.update()

    def release(self) -> None:
        """Give everything back to the card, while the context is still there."""
        self._rest_timer.stop()
        self.released.emit()
        if self._scene is not None and self.context() is not None:
            self.makeCurrent()
            self._forget_context()
            self.doneCurrent()

    # Qt's names from here on.

    def initializeGL(self) -> None:  # noqa: N802
        """A new context: at the start, and whenever the widget gets another window."""
        try:
            self._scene = RingScene()
        except Exception as error:
            self._scene = None
            self.unusable.emit(str(error))
            return
        self._rest = None
        self._stale |= {"mesh", "overlay", "chosen"}
        self.context().aboutToBeDestroyed.connect(self._lose_context)

    def resizeGL(self, width: int, height: int) -> None:  # noqa: N802
        """Another size: in Qt's pixels."""
        self.controller.set_size(width, height)

    def paintGL(self) -> None:  # noqa: N802
        """Draw: what was refined at rest, or else the ring as it is now."""
        if self._scene is None:
            return
        try:
            self._paint(self._scene)
        except Exception as error:
            self._scene = None
            self.unusable.emit(str(error))

    def _paint(self, scene: RingScene) -> None:
        context = self.context()
        started = time.perf_counter()
        self._upload(scene)
        if self._rest is not None and self._rest.complete and self._rest.size == self._pixels():
            self._rest.show(context, scene)
            return
        scene.draw(context.functions(), self._shot())
        if self._kind.is_software:
            context.functions().glFinish()
        self.frame_seconds = time.perf_counter() - started

    def _upload(self, scene: RingScene) -> None:
        """Give the card what has changed since the last picture."""
        stale, self._stale = self._stale, set()
        if self._view is None:
            return
        if self._bare is not None:
            if "mesh" in stale:
                bare = self._bare
                scene.mesh.upload(bare.positions, bare.normals, bare.triangles, bare.striped)
                scene.stones.upload(())
            return
        if "mesh" in stale:
            started = time.perf_counter()
            scene.mesh.upload(self._view.positions, self._view.normals, self._view.triangles, self._visibility)
            scene.stones.upload(self._view.built.finished.stones)
            self.upload_seconds = time.perf_counter() - started
        if "overlay" in stale:
            scene.mesh.upload_overlay(self._overlay)
        if "chosen" in stale:
            scene.mesh.choose(self._chosen)

    def _pixels(self) -> tuple[int, int]:
        ratio = self.devicePixelRatioF()
        return max(round(self.width() * ratio), 1), max(round(self.height() * ratio), 1)

    def _shot(self) -> Shot:
        width, height = self._pixels()
        return replace(
            self._make_shot(), camera=self.controller.camera, width=width, height=height, striped=self._bare is not None
        )

    def _refine(self) -> None:
        """Add one more picture to the one of the resting hand."""
        if self.held():
            self._rest_timer.start(_REST_MS)
            return
        too_slow = self._kind.is_software and self.frame_seconds > _CHEAP_SECONDS
        if self._scene is None or self._view is None or too_slow or not self.isVisible() or self.context() is None:
            return
        self.makeCurrent()
        if self._rest is None or self._rest.size != self._pixels():
            self._rest = AccumulationBuffer(*self._pixels())
        rest = self._rest
        if rest.usable and not rest.complete:
            self._upload(self._scene)
            rest.add(self.context(), self._scene, replace(self._shot(), shift=SHIFTS[rest.count]))
        self.doneCurrent()
        if rest.complete:
            self.update()
        elif rest.usable:
            self._rest_timer.start(0)

    @property
    def refined(self) -> bool:
        """The picture shown is the fine one."""
        return self._rest is not None and self._rest.complete

    def _lose_context(self) -> None:
        if self._scene is not None:
            self.makeCurrent()
            self._forget_context()
            self.doneCurrent()

    def _forget_context(self) -> None:
        if self._scene is not None:
            self._scene.destroy()
        self._scene = self._rest = None

    def picture(self) -> QImage:
        """What is shown."""
        return self.grabFramebuffer()

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Begin to turn or to move."""
        self._last = self._pressed = event.position()
        self.pointed.emit(None)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Turn with the left button; move with the middle one, or with Shift."""
        if event.buttons() == Qt.MouseButton.NoButton or self._last is None:
            self.pointed.emit(event.position())
            return
        pans = bool(event.buttons() & Qt.MouseButton.MiddleButton)
        pans |= bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if pans or event.buttons() & Qt.MouseButton.LeftButton:
            self.controller.dragged(event.position() - self._last, pans)
        self._last = event.position()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """The hand lets go."""
        if event.buttons() == Qt.MouseButton.NoButton:
            self._last = None
            self.pointed.emit(event.position())
            away = event.position() - self._pressed
            if event.button() == Qt.MouseButton.LeftButton and away.manhattanLength() < _DRAG_STARTS_PX:
                self.clicked.emit(event.position())

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802
        """Come nearer, or go further away, at the pointer."""
        notches = event.angleDelta().y() / _FULL_NOTCH
        if notches:
            self.controller.zoomed(_FACTOR_A_NOTCH**notches, event.position())
        event.accept()

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802
        """The pointer is gone."""
        self.pointed.emit(None)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Move the camera, or pass the key on."""
        if self.controller.pressed(event):
            return
        event.ignore()
        self.key_pressed.emit(event)
