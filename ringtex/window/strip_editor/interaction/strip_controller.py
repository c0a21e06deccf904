"""Pointing, dragging, panning and zooming on the strip."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QInputDevice, QMouseEvent, QNativeGestureEvent, QWheelEvent

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.edits.cell_and_site_edits import (
    has_sites,
    with_next_depth,
    with_site_added,
)
from ringtex.make_ring import ShapedRing
from ringtex.window.strip_editor.interaction.finishing_controller import FinishingController
from ringtex.window.strip_editor.interaction.strip_drags import StripDrag, drag_handle, drag_pattern, drag_site
from ringtex.window.strip_editor.state.handles import handle_at
from ringtex.window.strip_editor.state.strip_state import StripState

ZOOM_A_NOTCH: Final = 1.2
DRAG_STARTS_PX: Final = 4.0
"""A smaller move of a pressed button is a click."""
SITE_PX: Final = 8.0

_PANNING: Final = (Qt.MouseButton.MiddleButton, Qt.MouseButton.RightButton)


class StripController:
    """Turns mouse events into pans, zooms, drags and edits of one strip."""

    def __init__(self, strip: StripState) -> None:
        self._strip = strip
        self.finishing = FinishingController(strip)
        self._drag: StripDrag | None = None
        self._pan_from: QPointF | None = None
        self._pressed: QPointF | None = None

    def _set_drag(self, drag: StripDrag | None) -> None:
        self._drag = self._strip.drag = drag

    # --- pointing

    def point(self, position: QPointF) -> None:
        """The pointer is here with no button down."""
        strip = self._strip
        if strip.view is None:
            return
        x, y = strip.device(position)
        placing = strip.shared.finishing.placing is not None
        strip.handle = None if placing else handle_at(strip.handles(), strip.viewport, x, y, strip.ratio)
        self.finishing.point(x, y)
        if strip.grip is not None or (strip.item is not None and strip.handle is None):
            strip.handle = None
        else:
            strip.item = strip.grip = None
        u, v = strip.viewport.position(x, y)
        inside = 0.0 <= v <= strip.viewport.strip_width
        over_item = placing or strip.item is not None
        strip.site = self._site_at(x, y) if inside and strip.handle is None and not over_item else None
        strip.shared.set_hovered_cell(strip.ring.cell_at(u, v) if inside and not over_item else None)
        strip.set_own_position((u % strip.viewport.length, v) if inside else None)
        strip.set_cursor(self._cursor(inside))
        strip.update()

    def _site_at(self, x: float, y: float) -> int | None:
        """The site nearest to a device pixel, where it is near."""
        strip = self._strip
        assert strip.view is not None
        sites = strip.view.built.pattern.sites
        if sites is None or not has_sites(strip.view.built):
            return None
        turn, pixels = strip.viewport.turn_px, strip.viewport.pixels(sites)
        along = (pixels[:, 0] - x + 0.5 * turn) % turn - 0.5 * turn
        away = np.hypot(along, pixels[:, 1] - y)
        nearest = int(np.argmin(away))
        return nearest if away[nearest] <= SITE_PX * strip.ratio else None

    def _cursor(self, inside: bool) -> Qt.CursorShape:
        strip = self._strip
        if strip.space_held:
            return Qt.CursorShape.OpenHandCursor
        if self.finishing.cursor is not None:
            return self.finishing.cursor
        if strip.handle is not None:
            if strip.handle.kind == "panel":
                return Qt.CursorShape.SizeAllCursor
            sideways = strip.handle.name == "around"
            return Qt.CursorShape.SizeHorCursor if sideways else Qt.CursorShape.SizeVerCursor
        if strip.site is not None:
            return Qt.CursorShape.SizeAllCursor
        slides = not strip.document.design.pattern.uses_target_density
        return Qt.CursorShape.SplitHCursor if inside and slides else Qt.CursorShape.ArrowCursor

    def leave(self) -> None:
        """The pointer has left."""
        self._strip.forget_pointed()
        if self._drag is None:
            self._strip.shared.set_hovered_cell(None)
            self._strip.set_own_position(None)
        self._strip.update()

    # --- buttons

    def press(self, event: QMouseEvent) -> None:
        """A button goes down."""
        strip, position = self._strip, event.position()
        if strip.view is None or self._drag is not None:
            return
        if event.button() in _PANNING or (event.button() == Qt.MouseButton.LeftButton and strip.space_held):
            self._pan_from = position
            strip.set_cursor(Qt.CursorShape.ClosedHandCursor)
            return
        if event.button() != Qt.MouseButton.LeftButton:
            return
        self.point(position)
        u, v = strip.position(position)
        if self.finishing.press(u, v):
            return
        if event.modifiers() & Qt.KeyboardModifier.AltModifier and has_sites(strip.view.built):
            self.edit("add a site", lambda shaped, design: with_site_added(shaped, design, (u, v)))
            return
        self._pressed = position
        if strip.handle is not None:
            drag = drag_handle(strip.document, strip.view.built, strip.handle)
            self._pressed = None if drag is None else position
            self._set_drag(drag)
            strip.update()

    def move(self, event: QMouseEvent) -> None:
        """The pointer moves."""
        strip, position = self._strip, event.position()
        if self._pan_from is not None:
            step = (position - self._pan_from) * strip.ratio
            self._pan_from = position
            strip.look(strip.viewport.panned(step.x(), step.y()))
            return
        if self._pressed is None:
            self.point(position)
            return
        if self._drag is None:
            self._set_drag(self._begun(position))
        if self._drag is not None:
            self._drag.move(*strip.position(position))
            strip.update()

    def _begun(self, position: QPointF) -> StripDrag | None:
        """The drag of the pattern or of a site, once the pointer has moved far enough."""
        strip = self._strip
        assert self._pressed is not None
        assert strip.view is not None
        away = position - self._pressed
        if max(abs(away.x()), abs(away.y())) < DRAG_STARTS_PX:
            return None
        shaped = strip.view.built
        if strip.site is not None:
            return drag_site(strip.document, shaped, strip.site)
        u, v = strip.position(self._pressed)
        if strip.item is not None:
            return self.finishing.begin(u, v)
        if not 0.0 <= v <= strip.viewport.strip_width:
            return None
        return drag_pattern(strip.document, shaped, (u, v), abs(away.y()) > abs(away.x()))

    def release(self, event: QMouseEvent) -> None:
        """A button comes up."""
        if self._pan_from is not None:
            self._pan_from = None
        elif event.button() == Qt.MouseButton.LeftButton:
            clicked, self._pressed = self._pressed is not None, None
            if self._drag is not None:
                drag = self._drag
                self._set_drag(None)
                drag.end()
                if drag.refusal:
                    self._strip.show_message(drag.refusal)
            elif clicked:
                self.finishing.click()
        self.point(event.position())

    def cancel(self) -> bool:
        """Take the drag back, or end placing; False where there is neither."""
        self._pressed = self._pan_from = None
        if self._drag is None:
            was_placing = self._strip.shared.finishing.placing is not None
            self._strip.shared.finishing.set_placing(None)
            return was_placing
        drag = self._drag
        self._set_drag(None)
        drag.cancel()
        self._strip.update()
        return True

    def double_click(self, event: QMouseEvent) -> None:
        """Change the cell under the pointer."""
        if event.button() != Qt.MouseButton.LeftButton or self._strip.view is None:
            return
        self.point(event.position())
        if self._strip.handle is None and event.modifiers() == Qt.KeyboardModifier.NoModifier:
            self.change_cell(self._strip.shared.hovered_cell)

    def change_cell(self, cell: int | None) -> None:
        """Flat, deeper, the other way, and as it was."""
        if cell is not None:
            self.edit("change a cell", lambda shaped, design: with_next_depth(shaped, design, cell))

    def edit(self, label: str, change: Callable[[ShapedRing, Design], Design]) -> None:
        """Change the design as one step; what cannot be made is said on the strip."""
        strip = self._strip
        if strip.view is None or strip.ring.scene is None:
            return
        try:
            strip.document.change(change(strip.view.built, strip.document.design), label)
        except InputError as error:
            strip.show_message(f"{error.message}. {error.advice}")

    # --- wheel and touch

    def wheel(self, event: QWheelEvent) -> None:
        """A wheel zooms at the pointer; two fingers on a touch pad move round the ring."""
        strip = self._strip
        touch = event.device() is not None and event.device().type() == QInputDevice.DeviceType.TouchPad
        pixels = event.pixelDelta()
        if touch and not pixels.isNull() and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            strip.look(strip.viewport.panned(pixels.x() * strip.ratio, pixels.y() * strip.ratio))
        else:
            notches = (event.angleDelta().y() or event.angleDelta().x()) / 120.0
            strip.look(strip.viewport.zoomed(ZOOM_A_NOTCH**notches, *strip.device(event.position())))
        event.accept()

    def gesture(self, event: QNativeGestureEvent) -> bool:
        """Two fingers that part zoom; False for other gestures."""
        if event.gestureType() != Qt.NativeGestureType.ZoomNativeGesture:
            return False
        self._strip.look(self._strip.viewport.zoomed(1.0 + event.value(), *self._strip.device(event.position())))
        return True
