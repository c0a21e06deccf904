"""The keyboard on the strip view: what it looks at, which cell is chosen, and edits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QKeyEvent

from ringtex.edits.cell_and_site_edits import has_sites, with_site_pinned, with_site_removed
from ringtex.window.strip_editor.strip_controller import ZOOM_A_NOTCH
from ringtex.window.strip_editor.strip_keys import change_by_key, neighbour_by_key

if TYPE_CHECKING:
    from ringtex.window.strip_editor.strip_view import StripView


class StripKeyboard:
    """Turns keys into looks, choices and edits of one StripView."""

    def __init__(self, view: StripView) -> None:
        self._view = view

    def press(self, event: QKeyEvent) -> bool:
        """A key goes down; False where it means nothing here."""
        view, key = self._view, event.key()
        if key == Qt.Key.Key_Escape:
            return view.hand.cancel()
        if key == Qt.Key.Key_Home:
            view.show_whole()
            return True
        if key == Qt.Key.Key_Space:
            view.hand.space_held = True
            view.setCursor(Qt.CursorShape.OpenHandCursor)
            return True
        if view.view is None or view.hand.drag is not None:
            return False
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            return self._zoom(event) or self._step_to_cell(event)
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and view.state.finishing.placing is not None:
            return self._place_on_cell()
        if key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and view.hand.site is None and view.hand.finish.remove():
            return True
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            view.hand.change_cell(view.state.hovered_cell)
            return True
        if key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace, Qt.Key.Key_P):
            return self._change_site(key == Qt.Key.Key_P)
        return change_by_key(event, view.document, view.view.built)

    def release(self, event: QKeyEvent) -> None:
        """A key comes up: what it did while it was held is one step."""
        if event.isAutoRepeat():
            return
        if event.key() == Qt.Key.Key_Space:
            self._view.hand.space_held = False
            self._view.unsetCursor()
        self.let_go()

    def let_go(self) -> None:
        """End the step of a held key."""
        if self._view.hand.drag is None:
            self._view.document.end_drag()

    def _zoom(self, event: QKeyEvent) -> bool:
        if event.key() not in (Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus):
            return False
        view = self._view
        factor = 1.0 / ZOOM_A_NOTCH if event.key() == Qt.Key.Key_Minus else ZOOM_A_NOTCH
        middle = QPointF(0.5 * view.width(), 0.5 * view.height())
        view.look(view.viewport.zoomed(factor, *view.device(middle)))
        return True

    def _step_to_cell(self, event: QKeyEvent) -> bool:
        view = self._view
        cell = view.state.hovered_cell
        if view.view is None or view.ring.scene is None:
            return False
        if cell is None:
            found = view.ring.scene.finder.cell_at(view.viewport.centre_u, 0.5 * view.viewport.width)
        else:
            found = neighbour_by_key(event, view.view.built, cell)
        if found is None:
            return False
        view.state.set_hovered_cell(found)
        return True

    def _place_on_cell(self) -> bool:
        """Place what is being placed in the middle of the chosen cell, or of the view."""
        view = self._view
        assert view.view is not None
        u, v = view.viewport.centre_u, 0.5 * view.viewport.width
        if view.state.hovered_cell is not None:
            u, v = view.view.built.pattern.tiling.kernel[0][view.state.hovered_cell].tolist()
        view.state.finishing.place_clicked.emit(u, v)
        return True

    def _change_site(self, hold: bool) -> bool:
        """Hold or remove the site under the pointer, or that of the chosen cell."""
        view = self._view
        site = view.hand.site if view.hand.site is not None else view.state.hovered_cell
        if view.view is None or not has_sites(view.view.built) or site is None:
            return False
        change, label = (with_site_pinned, "hold a site") if hold else (with_site_removed, "remove a site")
        view.hand.edit(label, lambda shaped, design: change(shaped, design, site))
        return True
