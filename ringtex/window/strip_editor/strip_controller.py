"""The hand on the strip: pointing, dragging, panning, zooming."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

import numpy as np
from PySide6.QtCore import QEvent, QObject, QPointF, Qt
from PySide6.QtGui import QInputDevice, QMouseEvent, QNativeGestureEvent, QWheelEvent

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.edits.cell_and_site_edits import (
    has_sites,
    with_next_depth,
    with_site_added,
)
from ringtex.make_ring import ShapedRing
from ringtex.window.strip_editor.finishing_controller import FinishingController
from ringtex.window.strip_editor.handles import Handle, handle_at
from ringtex.window.strip_editor.strip_drags import StripDrag, drag_handle, drag_pattern, drag_site

if TYPE_CHECKING:
    from ringtex.window.strip_editor.strip_view import StripView

ZOOM_A_NOTCH: Final = 1.2
DRAG_STARTS_PX: Final = 4.0
"""A smaller move of a pressed button is a click."""
SITE_PX: Final = 8.0

_PANNING: Final = (Qt.MouseButton.MiddleButton, Qt.MouseButton.RightButton)


class StripController:
    """Turns mouse events into pans, zooms, drags and edits of one StripView."""

    def __init__(self, view: StripView) -> None:
        self._view = view
        self.drag: StripDrag | None = None
        self.handle: Handle | None = None
        self.site: int | None = None
        self.finish = FinishingController(view)
        self.space_held = False
        self._pan_from: QPointF | None = None
        self._pressed: QPointF | None = None

    # --- pointing

    def point(self, position: QPointF) -> None:
        """The pointer is here with no button down."""
        view = self._view
        if view.view is None:
            return
        x, y = view.device(position)
        placing = view.state.finishing.placing is not None
        self.handle = None if placing else handle_at(view.handles(), view.viewport, x, y, view.ratio)
        self.finish.point(x, y)
        if self.finish.grip is not None or (self.finish.item is not None and self.handle is None):
            self.handle = None
        else:
            self.finish.forget()
        u, v = view.viewport.place(x, y)
        inside = 0.0 <= v <= view.viewport.width
        shaped = view.view.built
        over_item = placing or self.finish.item is not None
        self.site = self._site_at(u, v) if inside and self.handle is None and not over_item else None
        shows_cell = inside and view.ring.scene is not None and not over_item
        cell = view.ring.scene.finder.cell_at(u, v) if shows_cell and view.ring.scene is not None else None
        view.state.set_hovered_cell(cell)
        view.set_own_place((u % shaped.strip.length, v) if inside else None)
        view.setCursor(self._cursor(inside))
        view.update()

    def _site_at(self, u: float, v: float) -> int | None:
        view = self._view
        assert view.view is not None
        if not has_sites(view.view.built):
            return None
        sites, length = view.view.built.pattern.sites, view.viewport.length
        assert sites is not None
        along = (sites[:, 0] - u + 0.5 * length) % length - 0.5 * length
        away = np.hypot(along, sites[:, 1] - v) * view.viewport.scale
        nearest = int(np.argmin(away))
        return nearest if away[nearest] <= SITE_PX * view.ratio else None

    def _cursor(self, inside: bool) -> Qt.CursorShape:
        if self.space_held:
            return Qt.CursorShape.OpenHandCursor
        if self.finish.cursor is not None:
            return self.finish.cursor
        if self.handle is not None:
            sideways = self.handle.name == "around"
            return Qt.CursorShape.SizeHorCursor if sideways else Qt.CursorShape.SizeVerCursor
        if self.site is not None:
            return Qt.CursorShape.SizeAllCursor
        return Qt.CursorShape.SplitHCursor if inside else Qt.CursorShape.ArrowCursor

    def forget(self) -> None:
        """Another ring is shown: what was pointed at is no more."""
        self.handle = self.site = None
        self.finish.forget()

    def leave(self) -> None:
        """The pointer has left."""
        self.handle = self.site = None
        self.finish.forget()
        if self.drag is None:
            self._view.state.set_hovered_cell(None)
            self._view.set_own_place(None)
        self._view.update()

    # --- buttons

    def press(self, event: QMouseEvent) -> None:
        """A button goes down."""
        if self._view.view is None or self.drag is not None:
            return
        position = event.position()
        if event.button() in _PANNING or (event.button() == Qt.MouseButton.LeftButton and self.space_held):
            self._pan_from = position
            self._view.setCursor(Qt.CursorShape.ClosedHandCursor)
            return
        if event.button() != Qt.MouseButton.LeftButton:
            return
        self.point(position)
        if self.finish.press(*self._view.viewport.place(*self._view.device(position))):
            return
        if event.modifiers() & Qt.KeyboardModifier.AltModifier and has_sites(self._view.view.built):
            u, v = self._view.viewport.place(*self._view.device(position))
            self.edit("add a site", lambda shaped, design: with_site_added(shaped, design, (u, v)))
            return
        self._pressed = position
        if self.handle is not None:
            self.drag = drag_handle(self._view.document, self._view.view.built, self.handle)
            self._view.update()

    def move(self, event: QMouseEvent) -> None:
        """The pointer moves."""
        position = event.position()
        if self._pan_from is not None:
            ratio = self._view.ratio
            step = position - self._pan_from
            self._pan_from = position
            self._view.look(self._view.viewport.panned(step.x() * ratio, step.y() * ratio))
            return
        if self._pressed is None:
            self.point(position)
            return
        if self.drag is None:
            self.drag = self._begun(position)
        if self.drag is not None:
            self.drag.move(*self._view.viewport.place(*self._view.device(position)))
            self._view.update()

    def _begun(self, position: QPointF) -> StripDrag | None:
        """The drag of the pattern or of a site, once the hand has moved far enough."""
        view = self._view
        assert self._pressed is not None
        assert view.view is not None
        away = position - self._pressed
        if max(abs(away.x()), abs(away.y())) < DRAG_STARTS_PX:
            return None
        shaped = view.view.built
        if self.site is not None:
            return drag_site(view.document, shaped, self.site)
        place = view.viewport.place(*view.device(self._pressed))
        if self.finish.item is not None:
            return self.finish.begin(*place)
        if not 0.0 <= place[1] <= view.viewport.width:
            return None
        return drag_pattern(view.document, shaped, place, abs(away.y()) > abs(away.x()))

    def release(self, event: QMouseEvent) -> None:
        """A button comes up."""
        if self._pan_from is not None:
            self._pan_from = None
        elif event.button() == Qt.MouseButton.LeftButton:
            clicked, self._pressed = self._pressed is not None, None
            if self.drag is not None:
                drag, self.drag = self.drag, None
                drag.end()
            elif clicked:
                self.finish.click()
        self.point(event.position())

    def cancel(self) -> bool:
        """Take the drag back, or end placing; False where there is neither."""
        self._pressed = self._pan_from = None
        if self.drag is None:
            was_placing = self._view.state.finishing.placing is not None
            self._view.state.finishing.set_placing(None)
            return was_placing
        drag, self.drag = self.drag, None
        drag.cancel()
        self._view.update()
        return True

    def double_click(self, event: QMouseEvent) -> None:
        """Change the cell under the pointer."""
        if event.button() != Qt.MouseButton.LeftButton or self._view.view is None:
            return
        self.point(event.position())
        if self.handle is None and event.modifiers() == Qt.KeyboardModifier.NoModifier:
            self.change_cell(self._view.state.hovered_cell)

    def change_cell(self, cell: int | None) -> None:
        """Flat, deeper, the other way, and as it was."""
        if cell is not None:
            self.edit("change a cell", lambda shaped, design: with_next_depth(shaped, design, cell))

    def edit(self, label: str, change: Callable[[ShapedRing, Design], Design]) -> None:
        """Change the design as one step; what cannot be made is said on the strip."""
        view = self._view
        if view.view is None or view.ring.scene is None:
            return
        try:
            view.document.change(change(view.view.built, view.document.design), label)
        except InputError as error:
            view.say(f"{error.message}. {error.advice}")

    # --- wheel and touch

    def wheel(self, event: QWheelEvent) -> None:
        """A wheel zooms at the pointer; two fingers on a touch pad move round the ring."""
        view = self._view
        touch = event.device() is not None and event.device().type() == QInputDevice.DeviceType.TouchPad
        pixels = event.pixelDelta()
        if touch and not pixels.isNull() and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            view.look(view.viewport.panned(pixels.x() * view.ratio, pixels.y() * view.ratio))
        else:
            notches = (event.angleDelta().y() or event.angleDelta().x()) / 120.0
            view.look(view.viewport.zoomed(ZOOM_A_NOTCH**notches, *view.device(event.position())))
        event.accept()

    def gesture(self, event: QNativeGestureEvent) -> bool:
        """Two fingers that part zoom."""
        if event.gestureType() != Qt.NativeGestureType.ZoomNativeGesture:
            return False
        self._view.look(self._view.viewport.zoomed(1.0 + event.value(), *self._view.device(event.position())))
        return True

    def other_event(self, event: QEvent, _watched: QObject | None = None) -> bool:
        """Gestures; True when it was one."""
        return isinstance(event, QNativeGestureEvent) and self.gesture(event)
