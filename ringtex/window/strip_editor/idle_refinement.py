"""The strip's picture at rest: refined tile by tile, so that the hand never waits for it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, QTimer

if TYPE_CHECKING:
    from ringtex.window.strip_editor.strip_view import StripView

REST_MS: Final = 140
"""The hand rests when nothing moved for so long; then the picture is refined."""


MAX_PUT_OFF: Final = 8
"""While another ring is being built, refining this one would only hold that up; but not for ever, for a ring that
cannot be built leaves this one in view."""


class IdleRefinement(QObject):
    """`start` it whenever something moved."""

    def __init__(self, view: StripView) -> None:
        super().__init__(view)
        self._view = view
        self._put_off = 0
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(REST_MS)
        self._timer.timeout.connect(self._refine)

    def start(self) -> None:
        """Something moved: refine when it rests."""
        self._put_off = 0
        self._timer.start()

    def painted(self) -> None:
        """The view was painted: what is new in it is refined, even where painting came later than the rest did."""
        if not self._timer.isActive() and not self._view.tiles.is_fine(self._view.viewport):
            self._timer.start()

    @property
    def is_fine(self) -> bool:
        """Whether the picture is as fine as it gets."""
        return not self._timer.isActive() and self._view.tiles.is_fine(self._view.viewport)

    def _refine(self) -> None:
        """One tile at a time."""
        view = self._view
        awaited = view.view is not None and view.view.design != view.document.design
        if view.hand.drag is not None or (awaited and self._put_off < MAX_PUT_OFF):
            self._put_off += 1
            self._timer.start()
        elif view.tiles.refine_one(view.viewport):
            QTimer.singleShot(0, self, self._refine_more)

    def _refine_more(self) -> None:
        if self._timer.isActive():
            return
        if self._view.tiles.refine_one(self._view.viewport):
            QTimer.singleShot(0, self, self._refine_more)
        else:
            self._view.update()
