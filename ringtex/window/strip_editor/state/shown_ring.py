"""The ring that the strip shows, with its overlay's figures once they are worked out."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QColor

from ringtex.window.appearance.colours import colours
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.overlays.colour_scales import NO_VALUE
from ringtex.window.overlays.overlay_values import OverlayValues, colour_index, colour_table
from ringtex.window.overlays.overlay_worker import OverlayWorker
from ringtex.window.strip_editor.state.cell_readings import CellReadings
from ringtex.window.strip_editor.state.strip_scene import Look, OverlayColours, StripScene


class ShownRing(QObject):
    """Takes Views and gives what is drawn from them. With an overlay a View is shown when its figures are there, so
    that the colours never belong to another ring."""

    changed = Signal()

    def __init__(self, state: ViewState, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.view: View | None = None
        self.scene: StripScene | None = None
        self.readings: CellReadings | None = None
        self.overlay: OverlayValues | None = None
        self._state = state
        self._waiting: View | None = None
        self._colours: OverlayColours | None = None
        self._worker = OverlayWorker(self)
        self._worker.ready.connect(self._take)
        state.overlay_changed.connect(self._change_overlay)

    @property
    def is_waiting(self) -> bool:
        """Whether a newer View waits for its overlay."""
        return self._waiting is not None

    @property
    def look(self) -> Look:
        """Light, metal and overlay of the picture."""
        behind = QColor(colours(self._state.dark).window)
        seen = behind.red(), behind.green(), behind.blue()
        return Look(self._state.light, self._state.material, self._colours, seen)

    def cell_at(self, u: float, v: float) -> int | None:
        """The cell at a position of the strip, mm; None on the rails, beyond the edges, and where no ring is shown."""
        return self.scene.finder.cell_at(u, v) if self.scene is not None else None

    def redraw(self) -> None:
        """The strip is drawn in its other look."""
        if self.view is not None:
            self.scene = StripScene(self.view.built, self._state.true_size, self.view.is_draft)
            self.changed.emit()

    def show(self, view: View) -> None:
        """Show a newly built ring. While it is being changed no overlay is worked out."""
        if self._state.overlay == "none" or self._state.editing():
            self._worker.forget()
            self._take(view, None)
            return
        if self.view is None:
            self._take(view, None)
        self._waiting = view
        self._worker.request(view, self._state.overlay)

    def stop(self) -> None:
        """End the work beside the window."""
        self._worker.stop()

    def _change_overlay(self) -> None:
        self._worker.forget()
        newest, self._waiting = self._waiting or self.view, None
        if newest is not None:
            self.show(newest)

    def _take(self, view: View, overlay: OverlayValues | None) -> None:
        before, self.view = self.view, view
        self._waiting = None
        # A draft and its final ring mostly have one pattern: the picture stays, and nothing flickers.
        if self.scene is None or before is None or not _look_alike(before, view):
            self.scene = StripScene(view.built, self._state.true_size, view.is_draft)
        elif not view.is_draft:
            self.scene.finish(view.built)
        self.readings = CellReadings(view.built, view.cells)
        if overlay is None or overlay is not self.overlay:
            self.overlay, self._colours = overlay, _cell_colours(overlay)
        self.changed.emit()


def _look_alike(one: View, other: View) -> bool:
    """Whether two Views have the same picture: curved walls are drafted in fewer steps."""
    places = one.built.pattern.tiling.vertices, other.built.pattern.tiling.vertices
    return one.design == other.design and np.array_equal(*places)


def _cell_colours(overlay: OverlayValues | None) -> OverlayColours | None:
    if overlay is None:
        return None
    return OverlayColours(colour_index(overlay, overlay.per_cell), colour_table(overlay), NO_VALUE)
