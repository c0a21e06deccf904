"""The ring without OpenGL: a picture made beside the window whenever the design, the view or the finish rests."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass
from typing import Final

import numpy as np
from PySide6.QtCore import QRectF, Qt, QTimer, Signal, Slot
from PySide6.QtGui import QColor, QImage, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from ringtex.basics.errors import RingtexError
from ringtex.basics.progress import Progress
from ringtex.export.picture.picture import MAX_SIDE, MIN_SIDE, render_picture
from ringtex.solid.mesh.ring_mesh import RingMesh
from ringtex.solid.plain_faces import bare_face_mesh
from ringtex.strip.strip_map import StripMap
from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.painting import painting
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.ring_view.opengl.bare_surface import fairness_words
from ringtex.window.ring_view.view_row import VIEW_KEYS, ViewRow

WHY: Final = "This computer offers no OpenGL, so the ring is shown as a picture. It is made anew when the design rests."
"""What the note under the picture says."""

END_SECONDS: Final = 10.0
"""A picture that is given up ends at its next step, at most some tenths of a second later."""

_REST_MS: Final = 300
_LONGEST_SIDE: Final = 900
"""Pixels: a picture of this size takes about a second."""


@dataclass(frozen=True, eq=False)
class _Wish:
    mesh: RingMesh
    width: int
    height: int
    view: str
    material: str
    bare: StripMap | None = None
    """The strip of the bare face to picture under stripes of light, in place of the mesh."""


class PictureCanvas(QWidget):
    """Shows the newest picture, stretched to its place; `made` tells of each new one."""

    made = Signal()
    key_pressed = Signal(object)
    """A QKeyEvent that names no view; accept it to keep it."""
    _arrived = Signal(object, object)

    def __init__(self, state: ViewState, row: ViewRow, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state, self._row = state, row
        self.words = ""
        self._view: View | None = None
        self._name = "three_quarter"
        self._image = QImage()
        self._progress: Progress | None = None
        self._makers: list[threading.Thread] = []
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._begin)
        self._arrived.connect(self._take, Qt.ConnectionType.QueuedConnection)
        state.finish_changed.connect(self._rest.start)
        state.theme_changed.connect(self.update)
        row.surface.toggled.connect(lambda _: self._rest.start(0))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("The ring, as a picture")
        self.setAccessibleDescription(WHY)

    @property
    def image(self) -> QImage:
        """The picture shown; null before the first."""
        return self._image

    def show_view(self, view: View) -> None:
        """Picture this ring when it rests."""
        self._view = view
        self._rest.start()

    def show_from(self, name: str) -> None:
        """Picture the ring from a named view."""
        self._name = name
        self._rest.start(0)

    def release(self) -> None:
        """Stop what is being made, and wait for its end: no picture may be under way when the program ends."""
        self._rest.stop()
        if self._progress is not None:
            self._progress.cancel()
        until = time.monotonic() + END_SECONDS
        for maker in self._makers:
            maker.join(max(until - time.monotonic(), 0.0))

    def _begin(self) -> None:
        """Make the newest picture in a thread of its own; an older one under way gives way."""
        if self._view is None or self.width() < MIN_SIDE or self.height() < MIN_SIDE:
            return
        if self._progress is not None:
            self._progress.cancel()
        self._progress = Progress()
        ratio = self.devicePixelRatioF()
        scale = ratio * min(1.0, _LONGEST_SIDE / (ratio * max(self.width(), self.height())))
        width, height = (min(max(int(side * scale), MIN_SIDE), MAX_SIDE) for side in (self.width(), self.height()))
        material = self._state.material
        built = self._view.built
        bare = built.strip if self._row.surface.isChecked() else None
        wish = _Wish(built.finished.mesh, width, height, self._name, material, bare)
        maker = threading.Thread(target=self._make, args=(wish, self._progress), name="ring picture", daemon=True)
        self._makers = [*(each for each in self._makers if each.is_alive()), maker]
        maker.start()

    def _make(self, wish: _Wish, progress: Progress) -> None:
        """In the thread: touches no widget."""
        mesh, material, words = wish.mesh, wish.material, ""
        try:
            if wish.bare is not None:
                mesh, material, words = bare_face_mesh(wish.bare), "reflection_lines", fairness_words(wish.bare.band)
            made = render_picture(mesh, None, wish.width, wish.height, wish.view, material, progress)
        except RingtexError:
            return
        if not progress.cancelled:
            self._arrived.emit(progress, (made, words))

    @Slot(object, object)
    def _take(self, progress: Progress, result: tuple[np.ndarray, str]) -> None:
        if progress is self._progress:
            made, self.words = result
            height, width, _ = made.shape
            self._image = QImage(made.tobytes(), width, height, 3 * width, QImage.Format.Format_RGB888).copy()
            self.update()
            self.made.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Another size wants another picture."""
        super().resizeEvent(event)
        self._rest.start()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """The keys of the views."""
        name = VIEW_KEYS.get(Qt.Key(event.key()))
        if name is not None:
            self.show_from(name)
            return
        if event.key() == Qt.Key.Key_R and not event.modifiers():
            self._row.surface.toggle()
            return
        event.ignore()
        self.key_pressed.emit(event)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the picture in the middle, and the note below."""
        chosen = colours(self._state.dark)
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(chosen.window))
            if not self._image.isNull():
                size = self._image.size().scaled(self.size(), Qt.AspectRatioMode.KeepAspectRatio)
                place = QRectF(
                    (self.width() - size.width()) / 2, (self.height() - size.height()) / 2, size.width(), size.height()
                )
                painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
                painter.drawImage(place, self._image)
            flags = Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignBottom | Qt.TextFlag.TextWordWrap
            inner = self.rect().adjusted(8, 8, -8, -8)
            said = f"{self.words}\n{WHY}" if self.words else WHY
            text = painter.boundingRect(inner, flags, said)
            ground = QColor(chosen.field)
            ground.setAlpha(225)
            painter.fillRect(text.adjusted(-6, -4, 6, 4), ground)
            painter.setPen(QColor(chosen.text))
            painter.drawText(inner, flags, said)
