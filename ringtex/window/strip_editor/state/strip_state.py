"""All that the strip editor shows and that is no part of the design: `interaction` changes it, `painting` reads it."""

from __future__ import annotations

from typing import Final, Protocol

import numpy as np
from PySide6.QtCore import QObject, QPointF, Qt, QTimer, Signal
from PySide6.QtWidgets import QWidget

from ringtex.document.document import Document
from ringtex.edits.finishing_edits import Entry, StripSize, entry_of
from ringtex.strip.true_size import true_size
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.strip_editor.state.finishing_items import FinishItem, FinishItems
from ringtex.window.strip_editor.state.handles import Handle, handles_of
from ringtex.window.strip_editor.state.shown_ring import ShownRing
from ringtex.window.strip_editor.state.viewport import Viewport

RULER_PX: Final = 28
MESSAGE_MS: Final = 4000
FLASH_MS: Final = 1600
GRIP_BESIDE_PX: Final = 9.0
"""Grips lie so far outside of what they size, so that small stones stay in sight."""


class Drag(Protocol):
    """What painting needs of a drag that goes on: what it makes, in words, where its handle is, and why it cannot."""

    name: str
    words: str
    handle: Handle | None
    refusal: str


class StripState(QObject):
    """The ring shown, what part of it is seen, what the pointer is on, and what is said; one for each strip view.

    handle, site, item, grip: what is under the pointer. stroke: positions, mm, of a curve that is being drawn. Every
    change that shows asks the widget for a repaint.
    """

    looked = Signal()
    """Another part of the strip is looked at, or the picture changes: refine it when it rests."""

    def __init__(self, document: Document, shared: ViewState, widget: QWidget) -> None:
        super().__init__(widget)
        self.document, self.shared, self.widget = document, shared, widget
        self.ring = ShownRing(shared, self)
        self.viewport = Viewport(1.0, 1.0, 8, 0, 0, (0, 0, 1, 1))
        self.pointer: QPointF | None = None
        self.drag: Drag | None = None
        self.stroke: list[tuple[float, float]] = []
        self.handle: Handle | None = None
        self.site: int | None = None
        self.item: FinishItem | None = None
        self.grip: str | None = None
        self.space_held = False
        self.flashed: tuple[float, float] | None = None
        self.message = ""
        self.fits = True
        self._own_position: tuple[float, float] | None = None
        self._items = FinishItems()
        self._message_timer = self._timer(MESSAGE_MS)
        self._message_timer.timeout.connect(lambda: self.show_message(""))
        self._flash_timer = self._timer(FLASH_MS)
        self._flash_timer.timeout.connect(lambda: self.flash(None))

    def _timer(self, milliseconds: int) -> QTimer:
        timer = QTimer(self)
        timer.setSingleShot(True)
        timer.setInterval(milliseconds)
        return timer

    def update(self) -> None:
        """Ask for a repaint."""
        self.widget.update()

    # --- the ring

    @property
    def view(self) -> View | None:
        """The ring shown now."""
        return self.ring.view

    @property
    def strip_size(self) -> StripSize:
        """Length and width of the strip, mm."""
        return StripSize(self.viewport.length, self.viewport.strip_width)

    @property
    def items(self) -> tuple[FinishItem, ...]:
        """The stones and plain places of the document's design, on the strip in view."""
        return self._items.of(self.view.built.strip, self.document.design) if self.view is not None else ()

    @property
    def marked(self) -> Entry | None:
        """The entry that is under the pointer, whose setting is hovered, or that is chosen."""
        if self.item is not None:
            return self.item.entry
        return entry_of(self.shared.hovered_setting) or entry_of(self.shared.finishing.chosen)

    @property
    def shift_px(self) -> int:
        """How far the pattern was slid since the shown ring was built, in device pixels: drawn ahead of the build.

        In true size, where a slide is no plain shift, nothing is drawn ahead.
        """
        if self.view is None or self.viewport.true_size is not None:
            return 0
        length = self.viewport.length
        along = self.document.design.pattern.slide_mm[0] - self.view.design.pattern.slide_mm[0]
        return round((along - length * round(along / length)) * self.viewport.scale)

    def handles(self) -> list[Handle]:
        """The handles of what is shown; the pulled one at the pointer."""
        if self.view is None or self.shared.has_tool:
            return []
        found = handles_of(self.view.built, self.viewport)
        pulled = self.drag.handle if self.drag is not None else None
        return found if pulled is None else [*(h for h in found if h.name != pulled.name), pulled]

    def grips(self, item: FinishItem) -> list[tuple[str, float, float]]:
        """Name and device pixel of each grip of an item, on its copy nearest to the middle of the view."""
        viewport = self.viewport
        turn = viewport.nearest_copy(item.u, viewport.centre_u) - item.u
        beside = GRIP_BESIDE_PX * self.ratio
        x, y = viewport.pixel(item.u + turn, item.v)
        border = viewport.pixels(item.border + np.array([turn, 0.0]))
        right, top = float(border[:, 0].max()) + beside, float(border[:, 1].min()) - beside
        return [("diameter", right, y)] if item.stone is not None else [("width", right, y), ("height", x, top)]

    def forget_pointed(self) -> None:
        """Nothing is under the pointer."""
        self.handle = self.site = self.item = self.grip = None

    # --- what is seen

    def look(self, viewport: Viewport, keep_fit: bool = False) -> None:
        """Look at another part of the strip."""
        if not keep_fit:
            self.fits = False
        self.viewport = viewport
        self.looked.emit()
        self.update()

    def follow_ring(self) -> None:
        """Keep the scale and the middle on the ring and in the look that are shown now, or the whole turn in view."""
        if self.view is None:
            return
        strip = self.view.built.strip
        if self.shared.true_size:
            plane = true_size(strip)
            self._look_fitting(self.viewport.for_strip(plane.length, plane.height, plane))
        else:
            self._look_fitting(self.viewport.for_strip(strip.length, strip.width))

    def set_frame(self, frame: tuple[int, int, int, int]) -> None:
        """The frame has another size: keep the middle, or the whole turn in view."""
        self._look_fitting(self.viewport.in_frame(frame))

    def _look_fitting(self, viewport: Viewport) -> None:
        self.look(viewport.fitted() if self.fits else viewport, keep_fit=True)

    def show_whole(self) -> None:
        """The whole turn, the head in the middle."""
        self.fits = True
        self.look(self.viewport.fitted(), keep_fit=True)

    @property
    def ratio(self) -> float:
        """Device pixels for a logical one."""
        return float(self.widget.devicePixelRatioF())

    def device(self, position: QPointF) -> tuple[float, float]:
        """A position in the widget in device pixels."""
        return position.x() * self.ratio, position.y() * self.ratio

    def position(self, at: QPointF) -> tuple[float, float]:
        """(u, v), mm, under a position in the widget."""
        return self.viewport.position(*self.device(at))

    def set_cursor(self, cursor: Qt.CursorShape) -> None:
        """Change the pointer's shape."""
        self.widget.setCursor(cursor)

    # --- what is said and pointed at

    def show_message(self, text: str) -> None:
        """Show a sentence on the strip for some seconds."""
        self.message = text
        if text:
            self._message_timer.start()
        self.update()

    def flash(self, position: tuple[float, float] | None) -> None:
        """Ring a position (u, v) for a moment; None ends it."""
        self.flashed = position
        if position is not None:
            self._flash_timer.start()
        self.update()

    def set_own_position(self, position: tuple[float, float] | None) -> None:
        """Tell the other views where the pointer is on this one, (u, v) in mm."""
        self._own_position = position
        self.shared.set_hovered_place(position)

    @property
    def foreign_position(self) -> tuple[float, float] | None:
        """A position (u, v) that another view points at."""
        return self.shared.hovered_place if self.shared.hovered_place != self._own_position else None
