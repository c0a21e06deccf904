"""A drawing to scale whose points can be dragged: the picture is the control."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QEvent, QPointF, QSize, Qt, QTimer
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QShowEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.dimension_line import Dimension
from ringtex.window.appearance.painting import painting
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_setting import NumberSetting, stepped
from ringtex.window.settings.design_editor import DesignEditor

if TYPE_CHECKING:
    from ringtex.window.settings.drawings.plot import Plot

AROUND_WORDS: Final = ({-180.0: "palm", 0.0: "head", 180.0: "palm"}, {-90.0: "shoulder", 90.0: "shoulder"})
"""Along an axis of angles round the ring, unrolled like the strip."""

CLICK_PX: Final = 3
GRAB_PX: Final = 11
OUTSIDE_PX: Final = 24
"""A handle so far below its drawing was dragged out of it."""

LATER_MS: Final = 120
"""A drawing that is not in use waits so long for the views to show the changed ring first."""

PLOT_MODULE: Final = "ringtex.window.settings.drawings.plot"


def plots_loaded() -> bool:
    """Whether the plotting library is imported, which takes half a second."""
    return hasattr(sys.modules.get(PLOT_MODULE), "Plot")


@dataclass(frozen=True)
class Move:
    """What dragging a handle along one direction changes: `value_of` takes the distance, in the drawing's units."""

    setting: NumberSetting
    value_of: Callable[[float], float]


@dataclass(frozen=True)
class Handle:
    """A point at (x, y), in the drawing's units, that moves across, up, or both ways.

    is_mirrored: the mirror image of another handle. index: of the station or point that it stands for.
    """

    name: str
    x: float
    y: float
    across: Move | None = None
    up: Move | None = None
    is_mirrored: bool = False
    index: int | None = None


@dataclass(frozen=True)
class Removal:
    """A design's value by its key once a handle is removed, and how undo calls it."""

    key: str
    value: object
    label: str


@dataclass(frozen=True)
class Frame:
    """From the drawing's units to pixels; y grows upwards."""

    x_px: float
    y_px: float
    x_scale: float
    y_scale: float

    def point(self, x: float, y: float) -> QPointF:
        """Where (x, y) is drawn."""
        return QPointF(self.x_px + x * self.x_scale, self.y_px - y * self.y_scale)

    def units(self, position: QPointF) -> tuple[float, float]:
        """What is drawn at a pixel."""
        return (position.x() - self.x_px) / self.x_scale, (self.y_px - position.y()) / self.y_scale


class HandleDrawing(QWidget):
    """Handles are dragged (one drag is one step of the history, Escape aborts it), or chosen with Page up and Page down
    and moved with the arrow keys. While one is moved the scale is fixed, so that it stays under the pointer. A handle
    that can be removed is so by dragging it out of the drawing. Until the plotting library is loaded it is empty.

    It is redrawn only where what it shows has changed, and after the views: they are not to wait for it. Reading
    `handles` or `frame` brings it up to date.
    """

    moves_freely: bool = False
    """Handles move both ways at once; else only in the first direction of the drag, unless Shift is held."""

    to_scale: bool = False
    """One scale for both directions."""

    margins: Sequence[float] = (1.5, 1.4, 1.5, 0.25)
    """Left, top, right and bottom of what `ranges` takes, in heights of a line of text."""

    axis_words: tuple[dict[float, str], dict[float, str]] | None = None
    """Words at places of the horizontal axis, and those of minor places; None for no axis."""

    def __init__(
        self, name: str, editor: DesignEditor, state: ViewState, watch: HoverWatch, lines: float, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.editor = editor
        self.state = state
        self._watch = watch
        self._lines = lines
        self._plot: Plot | None = None
        self._discarded = False
        self._drawn: object = None
        self._handles: list[Handle] = []
        self._frame = Frame(0.0, 0.0, 1.0, 1.0)
        self.chosen = 0
        self._hovered: Handle | None = None
        self._pressed: tuple[Handle, QPointF] | None = None
        self._moves: list[tuple[Move, bool]] = []
        self._removal: Removal | None = None
        self.setAccessibleName(name)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        state.hovered_setting_changed.connect(self._show_handles)
        state.theme_changed.connect(self.redraw)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.timeout.connect(self.redraw)

    # --- what a drawing says of itself

    def shown(self) -> object:
        """All that is drawn depends on, compared by value: a part of the design, and what is looked at."""
        raise NotImplementedError

    def take(self) -> bool:
        """Take from the design what is drawn. Returns: False where it cannot be had and the last drawing stays."""
        return True

    def ranges(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Lowest and highest x, and y, that it shows."""
        raise NotImplementedError

    def make_handles(self) -> list[Handle]:
        """The points that can be dragged."""
        raise NotImplementedError

    def draw(self, plot: Plot) -> None:
        """Draw everything but handles and dimension lines."""
        raise NotImplementedError

    def dimensions(self) -> list[Dimension]:
        """Every length that can show itself."""
        return []

    def press_beside(self, position: QPointF) -> None:
        """A press on no handle."""

    def choose(self, handle: Handle) -> None:
        """A handle was pressed or reached by keyboard."""

    def is_outside(self, position: QPointF) -> bool:
        """Whether a handle dragged to here is dragged out of the drawing."""
        return position.y() > self.height() + OUTSIDE_PX

    def without(self, handle: Handle) -> Removal | None:
        """What the design becomes without a handle; None where it has to stay."""
        return None

    def add_at(self, x: float, y: float) -> None:
        """A double click on no handle, in the drawing's units."""

    def remove_chosen(self) -> None:
        """The delete key."""

    # --- the rest is the same for all

    @property
    def dragging(self) -> bool:
        """Whether a handle is being moved."""
        return bool(self._moves)

    @property
    def handles(self) -> list[Handle]:
        """The points that can be dragged, as the design is now."""
        self.redraw()
        return self._handles

    @property
    def frame(self) -> Frame:
        """From the drawing's units to pixels, as the design is now."""
        self.redraw()
        return self._frame

    def refresh(self) -> None:
        """Draw what the design says: soon where the drawing is in use, otherwise after the views."""
        if self.dragging and not self.editor.document.dragging:
            self._pressed, self._moves, self._removal = None, [], None
        if self.hasFocus():
            self.redraw_soon()
        elif self._is_stale and not self._later.isActive():
            self._later.start(LATER_MS)

    def redraw_soon(self) -> None:
        """Draw what has changed as soon as nothing else is to be done."""
        if self._is_stale:
            self._later.start(0)

    def redraw(self) -> None:
        """Draw what has changed now."""
        if not self._is_stale:
            return
        self._later.stop()
        # Also where nothing can be drawn of it: that is not tried again until something else is to be shown.
        self._drawn = self._drawn_from()
        if not self.take():
            return
        plot = self._made_plot()
        plot.set_colours(colours(self.state.dark), self.font())
        if not self.dragging:
            origin, unit = plot.fit(*self.ranges(), [lines * self.fontMetrics().height() for lines in self.margins])
            self._frame = Frame(origin.x(), origin.y(), unit.x() - origin.x(), origin.y() - unit.y())
        self._handles = self.make_handles()
        self.chosen = min(self.chosen, max(len(self._handles) - 1, 0))
        self.draw(plot)
        self._show_handles()

    @property
    def _is_stale(self) -> bool:
        """Whether it can be drawn and would be another drawing."""
        if self._discarded or not plots_loaded() or not self.isVisible() or self.width() <= 0:
            return False
        return self._drawn_from() != self._drawn

    def _drawn_from(self) -> object:
        return self.shown(), self.dragging, self.state.dark, self.size(), self.font()

    def _made_plot(self) -> Plot:
        from ringtex.window.settings.drawings.plot import Plot

        if self._plot is None:
            self._plot = Plot(self, self.to_scale, self.axis_words)
        return self._plot

    def discard(self) -> None:
        """Empty the plot for good."""
        if self._plot is not None:
            self._plot.scene().clear()
            self._plot, self._discarded = None, True

    def _show_handles(self) -> None:
        """Handles, and the lengths that are hovered."""
        if self._plot is None or self._is_stale:
            return
        held = None if self._pressed is None else self._pressed[0].name
        active = [each is self._hovered or each.name == held for each in self._handles]
        self._plot.show_handles(self._handles, active, self.chosen if self.hasFocus() else None)
        hovered = self.state.hovered_setting
        self._plot.show_dimensions([each for each in self.dimensions() if each.name == hovered])
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """As many lines of text high as asked for."""
        return QSize(240, int(min(self._lines * self.fontMetrics().height(), 240.0)))

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Any width."""
        return QSize(120, self.sizeHint().height())

    def showEvent(self, event: QShowEvent, /) -> None:  # noqa: N802 - Qt's name
        """What was not drawn while a fold hid it."""
        super().showEvent(event)
        self.redraw()

    def resizeEvent(self, event: QResizeEvent, /) -> None:  # noqa: N802 - Qt's name
        """Another scale."""
        super().resizeEvent(event)
        self.redraw()

    def changeEvent(self, event: QEvent, /) -> None:  # noqa: N802 - Qt's name
        """Larger text needs wider margins."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.redraw()

    def paintEvent(self, event: QPaintEvent, /) -> None:  # noqa: N802 - Qt's name
        """The ground and its frame, under the plot."""
        colour, focused = colours(self.state.dark), self.hasFocus()
        with painting(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setBrush(QColor(colour.field))
            painter.setPen(QPen(QColor(colour.accent if focused else colour.line), 2.0 if focused else 1.0))
            painter.drawRoundedRect(self.rect().adjusted(1, 1, -1, -1), 4, 4)

    def handle_at(self, position: QPointF) -> Handle | None:
        """The handle under the pointer; of several the nearest."""
        offsets = [self.frame.point(handle.x, handle.y) - position for handle in self.handles]
        distances = [hypot(offset.x(), offset.y()) for offset in offsets]
        nearest = min(distances, default=GRAB_PX + 1.0)
        return self.handles[distances.index(nearest)] if nearest <= GRAB_PX else None

    def mousePressEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """Grab a handle."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        handle = self.handle_at(event.position())
        if handle is None:
            self.press_beside(event.position())
            return
        self.chosen = self.handles.index(handle)
        self._pressed = (handle, event.position())
        self.choose(handle)
        self._show_handles()

    def mouseDoubleClickEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """Add a handle, unless there is one."""
        at = event.position()
        if event.button() == Qt.MouseButton.LeftButton and self.handle_at(at) is None:
            self.add_at(*self.frame.units(at))

    def mouseMoveEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """Move the handle that is held, or highlight the one under the pointer."""
        if self._pressed is None:
            self._hover(self.handle_at(event.position()))
            return
        handle, begun = self._pressed
        moved = event.position() - begun
        if not self._moves:
            if max(abs(moved.x()), abs(moved.y())) < CLICK_PX:
                return
            both = self.moves_freely or bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            self._begin(handle, moved, both)
        if self._follow_outside(handle, event.position()):
            return
        for move, is_across in list(self._moves):
            distance = moved.x() / self._frame.x_scale if is_across else -moved.y() / self._frame.y_scale
            wanted = stepped(move.value_of(distance), move.setting.step, 0)
            held = min(max(wanted, move.setting.low), move.setting.high)
            if not self.editor.drag_number(move.setting, held):
                self._pressed, self._moves, self._removal = None, [], None
                return

    def _follow_outside(self, handle: Handle, position: QPointF) -> bool:
        """Show the design without the handle while it is held outside, and with it again when it comes back."""
        was_out, out = self._removal is not None, self.is_outside(position)
        if out and not was_out:
            self._removal = self.without(handle)
            if self._removal is not None:
                self.editor.restart_drag()
                self.editor.set_value(self._removal.key, self._removal.value, self._removal.label)
        elif was_out and not out:
            self._removal = None
            self.editor.restart_drag()
            self.restarted()
        return self._removal is not None

    def restarted(self) -> None:
        """The drag goes on from where it began."""

    def _begin(self, handle: Handle, moved: QPointF, both: bool) -> None:
        """Move in the first direction of the drag, or in both."""
        sideways = abs(moved.x()) > abs(moved.y())
        moves = [(handle.across, True), (handle.up, False)]
        if not both and handle.across is not None and handle.up is not None:
            moves = [moves[0]] if sideways else [moves[1]]
        self._moves = [(move, is_across) for move, is_across in moves if move is not None]
        self.editor.begin_drag(self._moves[0][0].setting.change_label)
        self._watch.point_at(self._moves[0][0].setting.highlight_name)

    def mouseReleaseEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """End the drag."""
        self._release()

    def _release(self, aborting: bool = False) -> None:
        was_dragging, removal = self.dragging, self._removal
        self._pressed, self._moves, self._removal = None, [], None
        if was_dragging:
            if aborting or removal is not None:
                self.editor.cancel_drag()
            else:
                self.editor.end_drag()
            if removal is not None and not aborting:
                self.editor.set_value(removal.key, removal.value, removal.label)
                self.removed()
            self.refresh()

    def removed(self) -> None:
        """The handle that was dragged out is removed."""

    def focusOutEvent(self, event: QFocusEvent, /) -> None:  # noqa: N802 - Qt's name
        """A drag that loses the focus ends."""
        super().focusOutEvent(event)
        self._release()
        self._show_handles()

    def focusInEvent(self, event: QFocusEvent, /) -> None:  # noqa: N802 - Qt's name
        """Show which handle the keys move."""
        super().focusInEvent(event)
        self._show_handles()

    def leaveEvent(self, event: object, /) -> None:  # noqa: N802 - Qt's name
        """Nothing under the pointer."""
        self._hover(None)

    def _hover(self, handle: Handle | None) -> None:
        if handle is not self._hovered:
            self._hovered = handle
            self.setCursor(Qt.CursorShape.ArrowCursor if handle is None else Qt.CursorShape.PointingHandCursor)
            move = None if handle is None else handle.up or handle.across
            self._watch.point_at(None if move is None else move.setting.highlight_name)
            self._show_handles()

    def keyPressEvent(self, event: QKeyEvent, /) -> None:  # noqa: N802 - Qt's name
        """Page keys choose a handle, arrows move it, Delete removes it, Escape aborts a drag."""
        key = event.key()
        if key == Qt.Key.Key_Escape and self.dragging:
            self._release(aborting=True)
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and not self.dragging:
            self.remove_chosen()
        elif key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown) and self.handles:
            step = 1 if key == Qt.Key.Key_PageDown else -1
            self.chosen = (self.chosen + step) % len(self.handles)
            self.choose(self.handles[self.chosen])
            self._show_handles()
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down) and self.handles:
            fast = 10 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
            sign = 1 if key in (Qt.Key.Key_Right, Qt.Key.Key_Up) else -1
            handle = self.handles[self.chosen]
            self._nudge(handle.across if key in (Qt.Key.Key_Left, Qt.Key.Key_Right) else handle.up, sign * fast)
        else:
            super().keyPressEvent(event)

    def _nudge(self, move: Move | None, count: int) -> None:
        """Move the value so that the handle goes in the arrow's direction."""
        if move is None:
            return
        now = float(self.editor.value(move.setting.key))
        if move.value_of(0.01) < move.value_of(0.0):
            count = -count
        wanted = min(max(stepped(now, move.setting.step, count), move.setting.low), move.setting.high)
        self.editor.set_nearest(move.setting, wanted)
