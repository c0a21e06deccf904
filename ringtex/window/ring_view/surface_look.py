"""The bare surface under stripes of light, instead of the ring: whether its form is fair."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QWidget

from ringtex.basics.progress import Progress
from ringtex.window.building.background_job import BackgroundJob
from ringtex.window.building.drawable_ring import View
from ringtex.window.ring_view.opengl.bare_surface import BareSurface, bare_surface
from ringtex.window.ring_view.opengl.gl_canvas import GlCanvas
from ringtex.window.ring_view.view_row import ViewRow

_EDGE: Final = 8


class SurfaceLook(QObject):
    """Follows the row's switch; the surface is laid out in a thread, anew whenever the band in view is another."""

    def __init__(self, canvas: GlCanvas, row: ViewRow, over: QWidget) -> None:
        super().__init__(canvas)
        self._canvas, self._row, self._over = canvas, row, over
        self._view: View | None = None
        self._made_of: object = None
        self._job: BackgroundJob | None = None
        self.words = QLabel(over)
        self.words.setProperty("role", "soft")
        self.words.setAutoFillBackground(True)
        self.words.setMargin(6)
        self.words.setWordWrap(True)
        self.words.setAccessibleName("Fairness of the surface")
        self.words.hide()
        row.surface.toggled.connect(self._switch)
        canvas.view_shown.connect(self._take_view)
        canvas.key_pressed.connect(self._take_key)
        canvas.released.connect(self.stop)
        canvas.installEventFilter(self)

    def stop(self) -> None:
        """End the work beside the window."""
        if self._job is not None:
            self._job.stop()

    def _take_view(self, view: View) -> None:
        self._view = view
        if self._row.surface.isChecked():
            self._make()

    def _switch(self, on: bool) -> None:
        if on:
            self._make()
            return
        self._made_of = None
        self.words.hide()
        self._canvas.show_bare(None)

    def _make(self) -> None:
        """Lay out the newest band, unless that is shown or one is being laid out."""
        if self._view is None or (self._job is not None and self._job.running):
            return
        band = self._view.built.strip.band
        if band == self._made_of:
            return
        self._made_of = band

        def work(progress: Progress) -> BareSurface:
            progress.check()
            return bare_surface(band)

        self._job = BackgroundJob(work, "bare surface", self)
        self._job.done.connect(self._show)
        self._job.start()

    def _show(self, surface: BareSurface) -> None:
        self._job = None
        if not self._row.surface.isChecked():
            return
        self._canvas.show_bare(surface)
        self.words.setText(surface.words)
        self.words.setAccessibleDescription(surface.words)
        self.words.show()
        self._arrange()
        # A newer band may have come meanwhile.
        self._make()

    def _take_key(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_R and not event.modifiers():
            self._row.surface.toggle()
            event.accept()

    def eventFilter(self, watched: QObject, event: QEvent, /) -> bool:  # noqa: N802 - Qt's name
        """The words follow the picture's size."""
        if watched is self._canvas and event.type() in (QEvent.Type.Resize, QEvent.Type.Show):
            self._arrange()
        return False

    def _arrange(self) -> None:
        area = self._canvas.geometry()
        self.words.setMaximumWidth(max(area.width() - 2 * _EDGE, 80))
        self.words.adjustSize()
        self.words.move(area.right() - self.words.width() - _EDGE, area.bottom() - self.words.height() - _EDGE)
        self.words.raise_()
