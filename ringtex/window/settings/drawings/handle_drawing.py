"""A drawing to scale whose points can be dragged: the picture is the control."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from ringtex.window.appearance.colours import Colours, colours
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_text import stepped
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.dimension_line import Dimension, paint_dimension
from ringtex.window.settings.drawings.handle import Frame, Handle, Move, Taken, paint_handle

STILL_PX = 3
REACH_PX = 11
OUT_PX = 24
"""A handle so far below its drawing was dragged out of it."""


class HandleDrawing(QWidget):
    """Handles are dragged (one drag is one step of the history, Escape gives it up), or chosen with Page up and Page
    down and moved with the arrow keys. While one is moved the scale stands still, so that it stays under the pointer.
    A handle that can be taken away is so by dragging it out of the drawing.
    """

    moves_freely: bool = False
    """Handles move both ways at once; else only the first way of the hand, unless Shift is held."""

    def __init__(
        self, name: str, editor: DesignEditor, state: ViewState, watch: HoverWatch, lines: float, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.editor = editor
        self.state = state
        self._watch = watch
        self._lines = lines
        self.handles: list[Handle] = []
        self.frame = Frame(0.0, 0.0, 1.0, 1.0)
        self.chosen = 0
        self._hovered: Handle | None = None
        self._pressed: tuple[Handle, QPointF] | None = None
        self._moves: list[tuple[Move, bool]] = []
        self._taken: Taken | None = None
        self.setAccessibleName(name)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        state.hovered_setting_changed.connect(self.update)
        state.theme_changed.connect(self.update)

    # --- what a drawing says of itself

    def make_frame(self) -> Frame:
        """The scale that shows all of it."""
        raise NotImplementedError

    def make_handles(self) -> list[Handle]:
        """The points that can be dragged."""
        raise NotImplementedError

    def paint_shape(self, painter: QPainter, colour: Colours) -> None:
        """Draw everything but handles and dimension lines."""
        raise NotImplementedError

    def dimensions(self) -> list[Dimension]:
        """Every length that can show itself."""
        return []

    def press_beside(self, place: QPointF) -> None:
        """A press on no handle."""

    def choose(self, handle: Handle) -> None:
        """A handle was pressed or reached by keyboard."""

    def is_out(self, place: QPointF) -> bool:
        """Whether a handle dragged to here is dragged out of the drawing."""
        return place.y() > self.height() + OUT_PX

    def without(self, handle: Handle) -> Taken | None:
        """What the design becomes without a handle; None where it has to stay."""
        return None

    # --- the rest is the same for all

    @property
    def dragging(self) -> bool:
        """Whether a handle is being moved."""
        return bool(self._moves)

    def refresh(self) -> None:
        """Draw what the design says."""
        if self.dragging and not self.editor.document.dragging:
            self._pressed, self._moves, self._taken = None, [], None
        if not self.dragging and self.width() > 0:
            self.frame = self.make_frame()
        self.handles = self.make_handles()
        self.chosen = min(self.chosen, max(len(self.handles) - 1, 0))
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """As many lines of text high as asked for."""
        return QSize(240, int(min(self._lines * self.fontMetrics().height(), 240.0)))

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Any width."""
        return QSize(120, self.sizeHint().height())

    def resizeEvent(self, event: QResizeEvent, /) -> None:  # noqa: N802 - Qt's name
        """Another scale."""
        super().resizeEvent(event)
        self.refresh()

    def paintEvent(self, event: QPaintEvent, /) -> None:  # noqa: N802 - Qt's name
        """Ground, shape, touched lengths, handles."""
        colour = colours(self.state.dark)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(QColor(colour.field))
        focused = self.hasFocus()
        painter.setPen(QPen(QColor(colour.accent if focused else colour.line), 2.0 if focused else 1.0))
        painter.drawRoundedRect(self.rect().adjusted(1, 1, -1, -1), 4, 4)
        self.paint_shape(painter, colour)
        touched = self.state.hovered_setting
        for dimension in self.dimensions():
            if dimension.name == touched:
                paint_dimension(painter, dimension, self.frame.point, colour, self.rect())
        for place, handle in enumerate(self.handles):
            held = self._pressed is not None and self._pressed[0].name == handle.name
            reached = focused and place == self.chosen
            paint_handle(painter, handle, self.frame, colour, handle is self._hovered or held, reached)

    def handle_at(self, place: QPointF) -> Handle | None:
        """The handle under the pointer; of several the nearest."""
        best: tuple[float, Handle] | None = None
        for handle in self.handles:
            away = self.frame.point(handle.x, handle.y) - place
            length = (away.x() ** 2 + away.y() ** 2) ** 0.5
            if length <= REACH_PX and (best is None or length < best[0]):
                best = (length, handle)
        return None if best is None else best[1]

    def mousePressEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """Take hold of a handle."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        handle = self.handle_at(event.position())
        if handle is None:
            self.press_beside(event.position())
            return
        self.chosen = self.handles.index(handle)
        self._pressed = (handle, event.position())
        self.choose(handle)
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """Move the handle that is held, or say which one is under the pointer."""
        if self._pressed is None:
            self._hover(self.handle_at(event.position()))
            return
        handle, begun = self._pressed
        moved = event.position() - begun
        if not self._moves:
            if max(abs(moved.x()), abs(moved.y())) < STILL_PX:
                return
            both = self.moves_freely or bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            self._begin(handle, moved, both)
        if self._follows_out(handle, event.position()):
            return
        for move, is_across in list(self._moves):
            distance = moved.x() / self.frame.x_scale if is_across else -moved.y() / self.frame.y_scale
            wanted = stepped(move.value_of(distance), move.setting.step, 0)
            held = min(max(wanted, move.setting.low), move.setting.high)
            if not self.editor.drag_number(move.setting, held):
                self._pressed, self._moves, self._taken = None, [], None
                return

    def _follows_out(self, handle: Handle, place: QPointF) -> bool:
        """Show the design without the handle while it is held outside, and with it again when it comes back."""
        was_out, out = self._taken is not None, self.is_out(place)
        if out and not was_out:
            self._taken = self.without(handle)
            if self._taken is not None:
                self.editor.restart_drag()
                self.editor.set_value(self._taken.key, self._taken.value, self._taken.label)
        elif was_out and not out:
            self._taken = None
            self.editor.restart_drag()
            self.restarted()
        return self._taken is not None

    def restarted(self) -> None:
        """The drag goes on from where it began."""

    def _begin(self, handle: Handle, moved: QPointF, both: bool) -> None:
        """The first direction of the hand decides what moves, unless Shift asks for both."""
        sideways = abs(moved.x()) > abs(moved.y())
        moves = [(handle.across, True), (handle.up, False)]
        if not both and handle.across is not None and handle.up is not None:
            moves = [moves[0]] if sideways else [moves[1]]
        self._moves = [(move, is_across) for move, is_across in moves if move is not None]
        self.editor.begin_drag(self._moves[0][0].setting.change_label)
        self._watch.point_at(self._moves[0][0].setting.touched)

    def mouseReleaseEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """Let go."""
        self._let_go()

    def _let_go(self, giving_up: bool = False) -> None:
        was_dragging, taken = self.dragging, self._taken
        self._pressed, self._moves, self._taken = None, [], None
        if was_dragging:
            if giving_up or taken is not None:
                self.editor.cancel_drag()
            else:
                self.editor.end_drag()
            if taken is not None and not giving_up:
                self.editor.set_value(taken.key, taken.value, taken.label)
                self.taken_away()
            self.refresh()

    def taken_away(self) -> None:
        """The handle that was dragged out is gone."""

    def focusOutEvent(self, event: QFocusEvent, /) -> None:  # noqa: N802 - Qt's name
        """A drag that loses the focus is done."""
        super().focusOutEvent(event)
        self._let_go()
        self.update()

    def focusInEvent(self, event: QFocusEvent, /) -> None:  # noqa: N802 - Qt's name
        """Show which handle the keys move."""
        super().focusInEvent(event)
        self.update()

    def leaveEvent(self, event: object, /) -> None:  # noqa: N802 - Qt's name
        """Nothing under the pointer."""
        self._hover(None)

    def _hover(self, handle: Handle | None) -> None:
        if handle is not self._hovered:
            self._hovered = handle
            self.setCursor(Qt.CursorShape.ArrowCursor if handle is None else Qt.CursorShape.PointingHandCursor)
            move = None if handle is None else handle.up or handle.across
            self._watch.point_at(None if move is None else move.setting.touched)
            self.update()

    def keyPressEvent(self, event: QKeyEvent, /) -> None:  # noqa: N802 - Qt's name
        """Page keys choose a handle, arrows move it, Escape gives a drag up."""
        key = event.key()
        if key == Qt.Key.Key_Escape and self.dragging:
            self._let_go(giving_up=True)
        elif key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown) and self.handles:
            step = 1 if key == Qt.Key.Key_PageDown else -1
            self.chosen = (self.chosen + step) % len(self.handles)
            self.choose(self.handles[self.chosen])
            self.update()
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down) and self.handles:
            fast = 10 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
            sign = 1 if key in (Qt.Key.Key_Right, Qt.Key.Key_Up) else -1
            handle = self.handles[self.chosen]
            self._nudge(handle.across if key in (Qt.Key.Key_Left, Qt.Key.Key_Right) else handle.up, sign * fast)
        else:
            super().keyPressEvent(event)

    def _nudge(self, move: Move | None, count: int) -> None:
        """Move the value so that the handle goes the arrow's way."""
        if move is None:
            return
        now = float(self.editor.value(move.setting.key))
        if move.value_of(0.01) < move.value_of(0.0):
            count = -count
        wanted = min(max(stepped(now, move.setting.step, count), move.setting.low), move.setting.high)
        if self.editor.set_number(move.setting, wanted) is not None:
            held = self.editor.nearest(move.setting, wanted)
            if held is not None:
                self.editor.set_number(move.setting, held)
