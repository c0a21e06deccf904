"""The strip view: the flat pattern to scale, across the whole top of the window."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QEvent, QPoint, QPointF, QSize, Qt, QTimer
from PySide6.QtGui import QFocusEvent, QHelpEvent, QKeyEvent, QMouseEvent, QPaintEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from ringtex.document.document import Document
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.overlays.legend import Legend
from ringtex.window.strip_editor.finding_marks import strip_place
from ringtex.window.strip_editor.handles import TIPS, Handle, handles_of
from ringtex.window.strip_editor.idle_refinement import IdleRefinement
from ringtex.window.strip_editor.shown_ring import ShownRing
from ringtex.window.strip_editor.strip_brush import StripBrush
from ringtex.window.strip_editor.strip_controller import StripController
from ringtex.window.strip_editor.strip_keyboard import StripKeyboard
from ringtex.window.strip_editor.strip_keys import HELP
from ringtex.window.strip_editor.strip_painter import paint_strip
from ringtex.window.strip_editor.strip_tiles import StripTiles
from ringtex.window.strip_editor.viewport import Viewport

RULER_PX: Final = 28
SAID_MS: Final = 4000
FLASH_MS: Final = 1600


class StripView(QWidget):
    """Shows the newest View; changes the document by drags, handles, keys and edits of single cells."""

    def __init__(self, document: Document, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document, self.state = document, state
        # Before all children: `event` hears of them.
        self.hand = StripController(self)
        self.ring = ShownRing(state, self)
        self.ring.changed.connect(self._show_ring)
        self.viewport = Viewport(1.0, 1.0, 8, 0, 0, (0, 0, 1, 1))
        self.tiles = StripTiles()
        self.keyboard = StripKeyboard(self)
        self.legend = Legend(self)
        self.pointer: QPointF | None = None
        self.flashed: tuple[float, float] | None = None
        self.said = ""
        self._fits = True
        self._own_place: tuple[float, float] | None = None
        self._rest = IdleRefinement(self)
        self.brush = StripBrush(self)
        self._said_timer = self._timer(SAID_MS, lambda: self.say(""))
        self._flash_timer = self._timer(FLASH_MS, self._end_flash)
        self._set_up()

    def _timer(self, milliseconds: int, call: Callable[[], None]) -> QTimer:
        timer = QTimer(self)
        timer.setSingleShot(True)
        timer.setInterval(milliseconds)
        timer.timeout.connect(call)
        return timer

    def _set_up(self) -> None:
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Strip: the pattern laid flat")
        self.setAccessibleDescription(HELP)
        self.setWhatsThis(HELP)
        state = self.state
        state.hovered_cell_changed.connect(self.update)
        state.hovered_place_changed.connect(self.update)
        state.light_changed.connect(self._relight)
        state.finish_changed.connect(self._relight)
        state.theme_changed.connect(self._follow_theme)
        state.place_shown.connect(self._show_place)
        state.seam_shown.connect(self._show_seam)
        state.hovered_setting_changed.connect(self.update)
        self._stop_listening = self.document.listen(self.update)
        self.destroyed.connect(self._stop_listening)
        self.legend.set_dark(state.dark)

    # --- what is shown

    @property
    def view(self) -> View | None:
        """What is shown now."""
        return self.ring.view

    def show_view(self, view: View) -> None:
        """Show a newly built ring; with an overlay, as soon as its figures are there."""
        self.ring.show(view)

    def _show_ring(self) -> None:
        assert self.view is not None
        strip, cells = self.view.built.strip, self.view.built.pattern.tiling.cells
        if self.state.hovered_cell is not None and self.state.hovered_cell >= cells:
            self.state.set_hovered_cell(None)
        self.hand.forget()
        if self.pointer is not None and self.hand.drag is None and self.state.brush is None:
            self.hand.point(self.pointer)
        self.legend.show_values(self.ring.overlay)
        self._place_legend()
        self.look(self._fitting(self.viewport.for_strip(strip.length, strip.width)), keep_fit=True)

    def _fitting(self, viewport: Viewport) -> Viewport:
        return viewport.fitted() if self._fits else viewport

    def look(self, viewport: Viewport, keep_fit: bool = False) -> None:
        """Look at another part of the strip."""
        if not keep_fit:
            self._fits = False
        self.viewport = viewport
        self._rest.start()
        self.update()

    def show_whole(self) -> None:
        """The whole turn, the head in the middle."""
        self._fits = True
        self.look(self.viewport.fitted(), keep_fit=True)

    @property
    def shift_px(self) -> int:
        """How far the pattern was slid since the shown ring was built, in device pixels: drawn ahead of the build."""
        if self.view is None:
            return 0
        length = self.viewport.length
        along = self.document.design.pattern.slide_mm[0] - self.view.design.pattern.slide_mm[0]
        return round((along - length * round(along / length)) * self.viewport.scale)

    def handles(self) -> list[Handle]:
        """The handles of what is shown; the pulled one where the hand has it."""
        if self.view is None or self.state.brush is not None:
            return []
        found = handles_of(self.view.built, self.viewport)
        pulled = self.hand.drag.handle if self.hand.drag is not None else None
        return found if pulled is None else [*(h for h in found if h.name != pulled.name), pulled]

    # --- pixels

    @property
    def ratio(self) -> float:
        """Device pixels for a logical one."""
        return float(self.devicePixelRatioF())

    def device(self, position: QPointF) -> tuple[float, float]:
        """A position in the widget in device pixels."""
        return position.x() * self.ratio, position.y() * self.ratio

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Wide, and about a third of a small window high."""
        return QSize(1200, 260)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """High enough to judge cells by, and small enough for every window."""
        return QSize(320, 208)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the same place in the middle, or the whole turn in view."""
        ratio, ruler = self.ratio, round(RULER_PX * self.ratio)
        frame = (0, ruler, round(self.width() * ratio), max(ruler + 1, round(self.height() * ratio) - ruler))
        self.look(self._fitting(self.viewport.in_frame(frame)), keep_fit=True)
        self._place_legend()

    def _place_legend(self) -> None:
        """At the right, but out of the pointer's way."""
        room = self.rect().adjusted(8, RULER_PX + 4, -8, -RULER_PX - 4)
        corner = QPoint(room.right() - self.legend.width(), room.top())
        if self.pointer is not None and self.pointer.x() > corner.x() - 40:
            corner = room.topLeft()
        self.legend.move(corner)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw everything."""
        paint_strip(self)
        self._rest.painted()

    def is_at_rest(self) -> bool:
        """Whether the picture is as fine as it gets."""
        return self._rest.is_fine

    # --- what others say

    def _relight(self) -> None:
        self._rest.start()
        self.update()

    def _follow_theme(self) -> None:
        self.legend.set_dark(self.state.dark)
        self.update()

    def _show_place(self, place: object) -> None:
        if self.view is None:
            return
        found = strip_place(self.view.built, place)
        if found is not None:
            self.flashed = found
            self._flash_timer.start()
            self.look(self.viewport.centred(*found), keep_fit=self._fits)

    def _end_flash(self) -> None:
        self.flashed = None
        self.update()

    def _show_seam(self) -> None:
        self.look(self.viewport.centred(0.0), keep_fit=True)

    def say(self, text: str) -> None:
        """Say a sentence on the strip for some seconds."""
        self.said = text
        if text:
            self._said_timer.start()
        self.update()

    def set_pointer(self, position: QPointF | None) -> None:
        """Where labels of a drag belong."""
        self.pointer = position
        if self.legend.isVisible():
            self._place_legend()

    def set_own_place(self, place: tuple[float, float] | None) -> None:
        """The pointer's place on this view."""
        self._own_place = place
        self.state.set_hovered_place(place)

    @property
    def foreign_place(self) -> tuple[float, float] | None:
        """A place that another view points at."""
        return self.state.hovered_place if self.state.hovered_place != self._own_place else None

    # --- events

    def event(self, event: QEvent) -> bool:
        """Gestures, tooltips over handles, and the keys that other controls would take."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            handle = self.hand.handle
            over_ruler = not RULER_PX <= event.pos().y() <= self.height() - RULER_PX
            QToolTip.showText(event.globalPos(), TIPS[handle.name] if handle else HELP if over_ruler else "", self)
            return True
        return self.hand.other_event(event) or super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A button goes down."""
        self.set_pointer(event.position())
        self.hand.press(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """The pointer moves."""
        self.set_pointer(event.position())
        self.hand.move(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A button comes up."""
        self.hand.release(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Two quick clicks."""
        self.hand.double_click(event)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """The wheel turns."""
        self.hand.wheel(event)

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """The pointer leaves."""
        self.pointer = None
        self.hand.leave()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """A key goes down."""
        if not self.keyboard.press(event):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """A key comes up."""
        self.keyboard.release(event)
        super().keyReleaseEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """The keyboard goes elsewhere."""
        self.keyboard.let_go()
        super().focusOutEvent(event)
