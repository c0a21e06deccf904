"""The keyboard on the strip: what it looks at, which cell is chosen, edits; every handle has its keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QKeyEvent

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.document.document import Document
from ringtex.edits.cell_and_site_edits import has_sites, with_site_pinned, with_site_removed
from ringtex.edits.strip_edits import (
    RAIL_STEP_MM,
    slid,
    steepest_twist,
    with_across,
    with_around,
    with_rails,
    with_twist,
)
from ringtex.make_ring import ShapedRing
from ringtex.window.strip_editor.interaction.strip_controller import ZOOM_A_NOTCH, StripController
from ringtex.window.strip_editor.interaction.strip_drags import LABELS, SLIDE_LABEL
from ringtex.window.strip_editor.state.strip_state import StripState

SLIDE_STEP_MM: Final = 0.1
HELP: Final = (
    "Drag the pattern to slide it, or use the arrow keys (Shift: ten times as far). "
    "+ and − change the repeats around, ] and [ the rows across, . and , the rails, Page up and Page down the twist. "
    "Wheel or Ctrl with + and − zooms; drag with the middle or right button, or with Space, to move round the ring; "
    "Home shows the whole strip. Ctrl with an arrow goes from cell to cell; Enter or a double click makes a cell flat, "
    "deeper, the other way, and as it was. In patterns that grow from sites: drag a site, P holds it, "
    "Alt with a click adds one, Delete removes it. Stones and plain places: drag them, "
    "click one for its settings and grips, Delete removes it. Esc takes a drag back."
)

_Change = Callable[[Design, ShapedRing, int], Design]


def _slide(along: float, across: float) -> _Change:
    def change(design: Design, shaped: ShapedRing, times: int) -> Design:
        size = (shaped.strip.length, shaped.strip.width)
        return slid(design, size, along * times * SLIDE_STEP_MM, across * times * SLIDE_STEP_MM)

    return change


def _around(step: int) -> _Change:
    return lambda design, _shaped, times: with_around(design, design.pattern.around + step * times)


def _across(step: int) -> _Change:
    def change(design: Design, shaped: ShapedRing, times: int) -> Design:
        now = design.pattern.across
        return with_across(design, (shaped.pattern.across if now == "auto" else now) + step * times)

    return change


def _twist(step: int) -> _Change:
    return lambda design, shaped, times: with_twist(design, design.pattern.twist + step * times, steepest_twist(shaped))


def _rails(step: float) -> _Change:
    def change(design: Design, shaped: ShapedRing, times: int) -> Design:
        rails, more = design.rails, step * times
        return with_rails(design, shaped.strip.width, rails.lower_mm + more, rails.upper_mm + more)

    return change


_BY_KEY: Final[dict[Qt.Key, tuple[str, _Change]]] = {
    Qt.Key.Key_Left: (SLIDE_LABEL, _slide(-1.0, 0.0)),
    Qt.Key.Key_Right: (SLIDE_LABEL, _slide(1.0, 0.0)),
    Qt.Key.Key_Up: (SLIDE_LABEL, _slide(0.0, 1.0)),
    Qt.Key.Key_Down: (SLIDE_LABEL, _slide(0.0, -1.0)),
    Qt.Key.Key_PageUp: (LABELS["twist"], _twist(1)),
    Qt.Key.Key_PageDown: (LABELS["twist"], _twist(-1)),
}
_BY_TEXT: Final[dict[str, tuple[str, _Change]]] = {
    "+": (LABELS["around"], _around(1)),
    "=": (LABELS["around"], _around(1)),
    "-": (LABELS["around"], _around(-1)),
    "]": (LABELS["across"], _across(1)),
    "[": (LABELS["across"], _across(-1)),
    ".": ("change the rails", _rails(RAIL_STEP_MM)),
    ",": ("change the rails", _rails(-RAIL_STEP_MM)),
}


def change_by_key(event: QKeyEvent, document: Document, shaped: ShapedRing) -> bool:
    """Change the design as the key says; False for keys that say nothing here.

    Parameters:
        event: the key press.
        document: the document that is changed.
        shaped: the ring that is shown.
    Returns: whether the key changed something.
    """
    if event.modifiers() & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier):
        return False
    found = _BY_KEY.get(Qt.Key(event.key())) or _BY_TEXT.get(event.text())
    if found is None:
        return False
    label, change = found
    shift = event.modifiers() & Qt.KeyboardModifier.ShiftModifier
    try:
        design = change(document.design, shaped, 10 if shift and event.key() in _BY_KEY else 1)
    except InputError:
        return True
    # A key held down is one step: `StripView` ends it when the key is let go.
    if not event.isAutoRepeat():
        document.begin_drag(label)
    document.change(design, label)
    return True


_WAYS: Final = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, 1.0),
    Qt.Key.Key_Down: (0.0, -1.0),
}


def neighbour_by_key(event: QKeyEvent, shaped: ShapedRing, cell: int) -> int | None:
    """The neighbour of a cell in an arrow key's direction; None for other keys and where there is none.

    Parameters:
        event: the key press.
        shaped: the ring that is shown.
        cell: index of the cell.
    Returns: the neighbouring cell, or None.
    """
    way = _WAYS.get(Qt.Key(event.key()))
    if way is None:
        return None
    tiling = shaped.pattern.tiling
    walls = np.arange(tiling.cell_start[cell], tiling.cell_start[cell + 1])
    walls = walls[tiling.twin[walls] >= 0]
    if len(walls) == 0:
        return None
    middle = 0.5 * (tiling.corners[walls] + tiling.corners[tiling.next_corner[walls]]) - tiling.kernel[0][cell]
    along = middle @ np.array(way) / np.linalg.norm(middle, axis=1)
    best = int(np.argmax(along))
    return int(tiling.corner_cell[tiling.twin[walls[best]]]) if along[best] > 0.3 else None


class StripKeyboard:
    """Turns keys into looks, choices and edits of one strip."""

    def __init__(self, strip: StripState, controller: StripController) -> None:
        self._strip, self._controller = strip, controller

    def press(self, event: QKeyEvent) -> bool:
        """A key goes down; False where it means nothing here."""
        strip, key = self._strip, event.key()
        if key == Qt.Key.Key_Escape:
            return self._controller.cancel()
        if key == Qt.Key.Key_Home:
            strip.show_whole()
            return True
        if key == Qt.Key.Key_Space:
            strip.space_held = True
            strip.set_cursor(Qt.CursorShape.OpenHandCursor)
            return True
        if strip.view is None or strip.drag is not None:
            return False
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            return self._zoom(event) or self._step_to_cell(event)
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and strip.shared.finishing.placing is not None:
            return self._place_on_cell()
        deletes = key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace)
        if deletes and strip.site is None and self._controller.finishing.remove():
            return True
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._controller.change_cell(strip.shared.hovered_cell)
            return True
        if deletes or key == Qt.Key.Key_P:
            return self._change_site(key == Qt.Key.Key_P)
        return change_by_key(event, strip.document, strip.view.built)

    def release(self, event: QKeyEvent) -> None:
        """A key comes up: what it did while it was held is one step."""
        if event.isAutoRepeat():
            return
        if event.key() == Qt.Key.Key_Space:
            self._strip.space_held = False
            self._strip.widget.unsetCursor()
        self.let_go()

    def let_go(self) -> None:
        """End the step of a held key."""
        if self._strip.drag is None:
            self._strip.document.end_drag()

    def _zoom(self, event: QKeyEvent) -> bool:
        if event.key() not in (Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus):
            return False
        strip = self._strip
        factor = 1.0 / ZOOM_A_NOTCH if event.key() == Qt.Key.Key_Minus else ZOOM_A_NOTCH
        middle = QPointF(0.5 * strip.widget.width(), 0.5 * strip.widget.height())
        strip.look(strip.viewport.zoomed(factor, *strip.device(middle)))
        return True

    def _step_to_cell(self, event: QKeyEvent) -> bool:
        strip = self._strip
        cell = strip.shared.hovered_cell
        if strip.view is None or strip.ring.scene is None or Qt.Key(event.key()) not in _WAYS:
            return False
        if cell is None:
            found = strip.ring.cell_at(strip.viewport.centre_u, 0.5 * strip.viewport.strip_width)
        else:
            found = neighbour_by_key(event, strip.view.built, cell)
        if found is None:
            return False
        strip.shared.set_hovered_cell(found)
        return True

    def _place_on_cell(self) -> bool:
        """Place what is being placed in the middle of the chosen cell, or of the view."""
        strip = self._strip
        assert strip.view is not None
        u, v = strip.viewport.centre_u, 0.5 * strip.viewport.strip_width
        if strip.shared.hovered_cell is not None:
            u, v = strip.view.built.pattern.tiling.kernel[0][strip.shared.hovered_cell].tolist()
        strip.shared.finishing.place_clicked.emit(u, v)
        return True

    def _change_site(self, hold: bool) -> bool:
        """Hold or remove the site under the pointer, or that of the chosen cell."""
        strip = self._strip
        site = strip.site if strip.site is not None else strip.shared.hovered_cell
        if strip.view is None or not has_sites(strip.view.built) or site is None:
            return False
        change, label = (with_site_pinned, "hold a site") if hold else (with_site_removed, "remove a site")
        self._controller.edit(label, lambda shaped, design: change(shaped, design, site))
        return True
