"""The strip view: the flat pattern to scale, across the whole top of the window."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, QSize, Qt
from PySide6.QtGui import (
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from ringtex.design.design import Design
from ringtex.document.document import Document
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.overlays.legend import Legend
from ringtex.window.strip_editor.interaction.idle_refinement import IdleRefinement
from ringtex.window.strip_editor.interaction.strip_brush import StripBrush
from ringtex.window.strip_editor.interaction.strip_controller import StripController
from ringtex.window.strip_editor.interaction.strip_keyboard import HELP, StripKeyboard
from ringtex.window.strip_editor.interaction.strip_pen import StripPen
from ringtex.window.strip_editor.painting.finding_marks import strip_position
from ringtex.window.strip_editor.painting.strip_painter import paint_strip
from ringtex.window.strip_editor.painting.strip_tiles import StripTiles
from ringtex.window.strip_editor.state.handles import TIPS
from ringtex.window.strip_editor.state.strip_state import RULER_PX, StripState


class StripView(QWidget):
    """Shows the newest View; changes the document by drags, handles, keys and edits of single cells.

    It owns the state, hands events to the interaction, and has the painting draw the state.
    """

    def __init__(self, document: Document, shared: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.state = StripState(document, shared, self)
        self.controller = StripController(self.state)
        self.tiles = StripTiles()
        self.keyboard = StripKeyboard(self.state, self.controller)
        self.legend = Legend(self)
        self._refinement = IdleRefinement(self.state, self.tiles)
        self._flashed_of: Design | None = None
        self.brush = StripBrush(self.state)
        self.brush.pointed.connect(self._place_legend)
        self.pen = StripPen(self.state)
        self.pen.pointed.connect(self._place_legend)
        self._set_up(shared)
        self._stop_listening = document.listen(self.update)
        self.destroyed.connect(self._stop_listening)

    def _set_up(self, shared: ViewState) -> None:
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Strip: the pattern laid flat")
        self.setAccessibleDescription(HELP)
        self.setWhatsThis(HELP)
        self.state.ring.changed.connect(self._show_ring)
        shared.hovered_cell_changed.connect(self.update)
        shared.hovered_place_changed.connect(self.update)
        shared.light_changed.connect(self._relight)
        shared.finish_changed.connect(self._relight)
        shared.theme_changed.connect(self._follow_theme)
        shared.place_shown.connect(self._show_position)
        shared.seam_shown.connect(self._show_seam)
        shared.hovered_setting_changed.connect(self.update)
        shared.true_size_changed.connect(self._change_look)
        self.legend.set_dark(shared.dark)

    # --- what is shown

    def show_view(self, view: View) -> None:
        """Show a newly built ring; with an overlay, as soon as its figures are there."""
        self.state.ring.show(view)

    def _show_ring(self) -> None:
        state, view = self.state, self.state.view
        assert view is not None
        if state.shared.hovered_cell is not None and state.shared.hovered_cell >= view.built.pattern.tiling.cells:
            state.shared.set_hovered_cell(None)
        state.follow_ring()
        state.forget_pointed()
        if state.flashed is not None and view.design != self._flashed_of:
            state.flash(None)
        if state.pointer is not None and state.drag is None and not state.shared.has_tool:
            self.controller.point(state.pointer)
        self.legend.show_values(state.ring.overlay)
        self._place_legend()

    def _change_look(self) -> None:
        self.state.ring.redraw()
        self.state.show_whole()

    def is_at_rest(self) -> bool:
        """Whether the picture is as fine as it gets."""
        return self._refinement.is_fine

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Wide, and about a third of a small window high."""
        return QSize(1200, 260)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """High enough to judge cells by, and small enough for every window."""
        return QSize(320, 208)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the same part in the middle, or the whole turn in view."""
        ratio, ruler = self.state.ratio, round(RULER_PX * self.state.ratio)
        self.state.set_frame(
            (0, ruler, round(self.width() * ratio), max(ruler + 1, round(self.height() * ratio) - ruler))
        )
        self._place_legend()

    def _place_legend(self) -> None:
        """At the right, but out of the pointer's way."""
        room = self.rect().adjusted(8, RULER_PX + 4, -8, -RULER_PX - 4)
        corner = QPoint(room.right() - self.legend.width(), room.top())
        if self.state.pointer is not None and self.state.pointer.x() > corner.x() - 40:
            corner = room.topLeft()
        self.legend.move(corner)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw everything."""
        paint_strip(self.state, self.tiles)
        self._refinement.painted()

    # --- what others say

    def _relight(self) -> None:
        self._refinement.start()
        self.update()

    def _follow_theme(self) -> None:
        self.legend.set_dark(self.state.shared.dark)
        self.update()

    def _show_position(self, shown: object) -> None:
        if self.state.view is None:
            return
        found = strip_position(self.state.view.built, shown)
        if found is not None:
            self._flashed_of = self.state.view.design
            self.state.flash(found)
            self.state.look(self.state.viewport.centred(*found), keep_fit=self.state.fits)

    def _show_seam(self) -> None:
        self.state.look(self.state.viewport.centred(0.0), keep_fit=True)

    def _set_pointer(self, event: QMouseEvent) -> None:
        self.state.pointer = event.position()
        if self.legend.isVisible():
            self._place_legend()

    # --- events

    def event(self, event: QEvent) -> bool:
        """Gestures, tooltips over handles, and the keys that other controls would take."""
        # Events of new children come before there is a controller: only these two types are handled.
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            handle = self.state.handle
            over_ruler = not RULER_PX <= event.pos().y() <= self.height() - RULER_PX
            QToolTip.showText(event.globalPos(), TIPS[handle.kind] if handle else HELP if over_ruler else "", self)
            return True
        if event.type() == QEvent.Type.NativeGesture and isinstance(event, QNativeGestureEvent):
            return self.controller.gesture(event) or super().event(event)
        return super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A button goes down."""
        self._set_pointer(event)
        self.controller.press(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """The pointer moves."""
        self._set_pointer(event)
        self.controller.move(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A button comes up."""
        self.controller.release(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Two quick clicks."""
        self.controller.double_click(event)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """The wheel turns."""
        self.controller.wheel(event)

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """The pointer leaves."""
        self.state.pointer = None
        self.controller.leave()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """A key goes down."""
        if not self.keyboard.press(event):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """A key comes up."""
        self.keyboard.release(event)
        super().keyReleaseEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """The keyboard goes elsewhere, and leaves the cell that it had come to."""
        self.keyboard.let_go()
        if self.state.pointer is None:
            self.state.shared.set_hovered_cell(None)
        super().focusOutEvent(event)
