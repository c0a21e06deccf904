"""Cutting the ring open: switch, slider and knob kept at one place."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QObject, QPointF, Signal

from ringtex.window.ring_view.cut_handle import CutHandle
from ringtex.window.ring_view.opengl.gl_canvas import GlCanvas
from ringtex.window.ring_view.section_plane import SectionPlane, turned_to
from ringtex.window.ring_view.view_row import ViewRow

_BESIDE = 1.2
"""The knob's distance from the axis, as a multiple of the ring's radius."""


class RingCut(QObject):
    """The cut of one canvas; tells `changed` when the picture must be drawn again."""

    changed = Signal()

    def __init__(self, canvas: GlCanvas, row: ViewRow, handle: CutHandle) -> None:
        super().__init__(canvas)
        self._canvas, self._row, self._handle = canvas, row, handle
        self._radius = 12.0
        self.plane: SectionPlane | None = None
        row.cut_switched.connect(self._switch)
        row.cut_turned.connect(self.turn)
        handle.dragged.connect(self._drag)
        handle.stepped.connect(self._step)
        canvas.hand.moved.connect(self.place_handle)

    @property
    def kept(self) -> np.ndarray | None:
        """Normal of the cutting plane towards what stays; None without a cut."""
        return self.plane.kept if self.plane is not None else None

    def set_ring(self, places: np.ndarray) -> None:
        """Know the ring's outline (n, 3), mm."""
        self._radius = float(np.hypot(places[:, 0], places[:, 1]).max())
        self.place_handle()

    def turn(self, degrees: float) -> None:
        """Cut at another angle from the head; the half before the eye is taken away."""
        self.plane = SectionPlane(float(degrees)).facing(self._canvas.hand.pose.eye)
        self._row.show_cut(degrees)
        self.place_handle()
        self.changed.emit()

    def _switch(self, on: bool) -> None:
        self.plane = None
        if on:
            self.turn(self._row.slider.value())
        self.place_handle()
        self.changed.emit()

    def _step(self, degrees: float) -> None:
        if self.plane is not None:
            self.turn((self.plane.angle_deg + degrees + 180.0) % 360.0 - 180.0)

    def _drag(self, at: QPointF) -> None:
        hand = self._canvas.hand
        angle = turned_to(*hand.pose.ray(at.x(), at.y(), hand.size.width(), hand.size.height()))
        if angle is not None:
            self.turn(angle)

    def place_handle(self) -> None:
        """Put the knob beside the ring where it is cut, but never out of sight."""
        if self.plane is None:
            self._handle.hide()
            return
        hand = self._canvas.hand
        x, y = hand.pose.projected(_BESIDE * self._radius * self.plane.radial, hand.size.width(), hand.size.height())
        half = self._handle.width() // 2
        x = min(max(x, half), max(self._canvas.width() - half, half))
        y = min(max(y, half), max(self._canvas.height() - half, half))
        self._handle.move(round(x) - half, round(y) - half)
        self._handle.show()
        self._handle.raise_()
