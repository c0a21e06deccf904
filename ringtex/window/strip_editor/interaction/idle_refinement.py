"""Idle refinement: once nothing moves the strip's fine polygons are made in a thread, and its picture tile by tile."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject, QTimer

from ringtex.basics.progress import Progress
from ringtex.window.building.background_job import BackgroundJob
from ringtex.window.strip_editor.painting.strip_tiles import FineLayers, StripTiles
from ringtex.window.strip_editor.state.strip_state import StripState

REST_MS: Final = 140
"""The picture is refined when nothing moved for so long."""


class IdleRefinement(QObject):
    """`start` it whenever something moved."""

    def __init__(self, strip: StripState, tiles: StripTiles) -> None:
        super().__init__(strip)
        self._strip, self._tiles = strip, tiles
        self._job: BackgroundJob | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(REST_MS)
        self._timer.timeout.connect(self._refine)
        strip.looked.connect(self.start)

    def start(self) -> None:
        """Something moved: refine when it rests."""
        self._timer.start()

    def painted(self) -> None:
        """The view was painted: what is new in it is refined, even where painting came later than the rest did."""
        if not self._timer.isActive() and not self._tiles.is_fine(self._strip.viewport):
            self._timer.start()

    @property
    def is_fine(self) -> bool:
        """Whether the picture is as fine as it gets."""
        return not self._timer.isActive() and self._tiles.is_fine(self._strip.viewport)

    def _refine(self) -> None:
        """One tile at a time, once there are fine polygons to draw them of: making those may take over a second."""
        if self._strip.shared.editing():
            self._timer.start()
        elif (layers := self._tiles.lacking_layers()) is not None:
            self._make(layers)
        elif self._tiles.refine_one(self._strip.viewport):
            QTimer.singleShot(0, self, self._refine_more)

    def _make(self, layers: FineLayers) -> None:
        """Make fine polygons beside the window, unless some are being made."""
        if self._job is not None:
            return

        def work(progress: Progress) -> FineLayers:
            progress.check()
            layers.make()
            return layers

        self._job = BackgroundJob(work, "strip's picture", self)
        self._job.done.connect(self._take)
        self._job.failed.connect(lambda _: self._take(None))
        self._job.start()

    def _take(self, layers: object) -> None:
        self._job = None
        if isinstance(layers, FineLayers):
            self._tiles.take_layers(layers)
            if not self._timer.isActive():
                self._refine()

    def _refine_more(self) -> None:
        if self._timer.isActive():
            return
        if self._tiles.refine_one(self._strip.viewport):
            QTimer.singleShot(0, self, self._refine_more)
        else:
            self._strip.update()
