"""The hand on stones and plain places: placing, choosing, dragging, pulling their sizes, removing."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

import numpy as np
from PySide6.QtCore import Qt

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.edits.finishing_edits import (
    Entry,
    StripSize,
    entry_in,
    entry_of,
    moved,
    with_diameter,
    with_plain_at,
    with_plain_size,
    with_stone_at,
    without_entry,
)
from ringtex.window.strip_editor.finishing_items import FinishItem, FinishItems
from ringtex.window.strip_editor.strip_drags import Answer, StripDrag

if TYPE_CHECKING:
    from ringtex.window.strip_editor.strip_view import StripView

GRIP_PX: Final = 8.0
GRIP_BESIDE_PX: Final = 9.0
"""Grips lie so far outside of what they size, so that small stones stay in sight."""
NAMES: Final = {"stones": "stone", "plain": "plain place"}
PLACED: Final = {"stone": ("stones", with_stone_at), "plain": ("plain", with_plain_at)}
GRIP_CURSORS: Final = {
    "width": Qt.CursorShape.SizeHorCursor,
    "diameter": Qt.CursorShape.SizeHorCursor,
    "height": Qt.CursorShape.SizeVerCursor,
}


class FinishingController:
    """Knows what lies under the pointer of one StripView, and begins the drags of it."""

    def __init__(self, view: StripView) -> None:
        self._view = view
        self._known = FinishItems()
        self.item: FinishItem | None = None
        self.grip: str | None = None
        self._shown: tuple[float, float] | None = None
        finishing = view.state.finishing
        finishing.place_clicked.connect(self.place)
        finishing.pointed_out.connect(self._pick)
        finishing.placing_changed.connect(self._placing_changed)
        finishing.chosen_changed.connect(view.update)
        view.state.hovered_setting_changed.connect(self._follow_settings)

    @property
    def items(self) -> tuple[FinishItem, ...]:
        """What the document's design has, on the strip in view."""
        view = self._view
        return self._known.of(view.view.built.strip, view.document.design) if view.view is not None else ()

    @property
    def marked(self) -> Entry | None:
        """The entry that is under the pointer, in the settings' hand, or chosen."""
        if self.item is not None:
            return self.item.entry
        return entry_of(self._view.state.hovered_setting) or entry_of(self._view.state.finishing.chosen)

    def _follow_settings(self) -> None:
        """Let the ring mark the entry that the hand is on in the settings."""
        entry = entry_of(self._view.state.hovered_setting)
        found = next((item for item in self.items if item.entry == entry), None)
        if found is not None or self._shown is not None:
            self._shown = None if found is None else (found.u, found.v)
            self._view.set_own_place(self._shown)

    def forget(self) -> None:
        """Nothing is under the pointer."""
        self.item = self.grip = None

    def point(self, x: float, y: float) -> None:
        """The pointer is at a device pixel."""
        self.forget()
        view = self._view
        if view.state.finishing.placing is not None:
            return
        reach = GRIP_PX * view.ratio
        for item in reversed(self.items):
            if item.entry != entry_of(view.state.finishing.chosen):
                continue
            for name, at_x, at_y in self.grips(item):
                if max(abs(at_x - x), abs(at_y - y)) <= reach:
                    self.item, self.grip = item, name
                    return
        self.item = self._at(*view.viewport.place(x, y))

    def grips(self, item: FinishItem) -> list[tuple[str, float, float]]:
        """Name and device pixel of each grip of an item, on its copy nearest to the middle of the view."""
        viewport = self._view.viewport
        turn = viewport.nearest_copy(item.u, viewport.centre_u) - item.u
        beside = GRIP_BESIDE_PX * self._view.ratio
        right = viewport.x_of(float(np.max(item.border[:, 0])) + turn) + beside
        if item.stone is not None:
            return [("diameter", right, viewport.y_of(item.v))]
        top = viewport.y_of(float(np.max(item.border[:, 1]))) - beside
        return [("width", right, viewport.y_of(item.v)), ("height", viewport.x_of(item.u + turn), top)]

    @property
    def cursor(self) -> Qt.CursorShape | None:
        """The pointer's shape here; None where nothing of this is under it."""
        if self._view.state.finishing.placing is not None:
            return Qt.CursorShape.CrossCursor
        if self.item is None:
            return None
        return GRIP_CURSORS[self.grip] if self.grip is not None else Qt.CursorShape.SizeAllCursor

    # --- placing

    def press(self, u: float, v: float) -> bool:
        """A button goes down at a place; True where that placed something."""
        view = self._view
        if view.state.finishing.placing is None:
            return False
        if 0.0 <= v <= view.viewport.width:
            view.state.finishing.place_clicked.emit(u, v)
        return True

    def place(self, u: float, v: float) -> None:
        """Add what is being placed at (u, v), mm."""
        view = self._view
        what = view.state.finishing.placing
        if what is None or view.view is None:
            return
        kind, make = PLACED[what]
        try:
            design = make(view.document.design, self._size(), u, v)
        except InputError as error:
            view.say(f"{error.message}. {error.advice}")
            return
        view.document.change(design, f"add a {NAMES[kind]}")
        view.state.finishing.choose(Entry(kind, len(getattr(design, kind)) - 1).key, reveal=True)

    def _placing_changed(self) -> None:
        view = self._view
        self.forget()
        if view.state.finishing.placing is None:
            view.unsetCursor()
        else:
            view.setCursor(Qt.CursorShape.CrossCursor)
        view.update()

    # --- what is there

    def click(self) -> None:
        """What is under the pointer was clicked, and not dragged; beside everything, nothing is chosen any more."""
        self._view.state.finishing.choose(self.item.entry.key if self.item is not None else None, reveal=True)

    def _pick(self, u: float, v: float) -> None:
        """Choose what lies at a place that was clicked on the ring; beside everything nothing changes."""
        found = self._at(u, v)
        if found is not None:
            self._view.state.finishing.choose(found.entry.key, reveal=True)

    def _at(self, u: float, v: float) -> FinishItem | None:
        length = self._view.viewport.length
        return next((item for item in reversed(self.items) if item.holds(u, v, length)), None)

    def remove(self) -> bool:
        """Remove what is under the pointer, or else what is chosen; False where there is nothing."""
        view = self._view
        entry = self.item.entry if self.item is not None else entry_of(view.state.finishing.chosen)
        if entry is None or entry_in(view.document.design, entry) is None:
            return False
        view.document.change(without_entry(view.document.design, entry), f"remove a {NAMES[entry.kind]}")
        view.state.finishing.choose(None)
        self.forget()
        return True

    def begin(self, u: float, v: float) -> StripDrag | None:
        """The drag of what is under the pointer, begun at (u, v); None where there is nothing."""
        view, item, grip = self._view, self.item, self.grip
        if item is None:
            return None
        view.state.finishing.choose(item.entry.key)
        name = NAMES[item.entry.kind]
        view.document.begin_drag(f"change the {grip} of a {name}" if grip else f"move a {name}")
        answer = self._sized(item, grip, u, v) if grip else self._moved(item, u, v)
        return StripDrag("finish", "", None, view.document, answer)

    def _moved(self, item: FinishItem, from_u: float, from_v: float) -> Callable[[float, float], Answer]:
        design, size = self._view.document.design, self._size()

        def answer(u: float, v: float) -> Answer:
            made = moved(design, item.entry, size, u - from_u, v - from_v)
            at = entry_in(made, item.entry)
            at = getattr(at, "stone", at)
            return made, f"{at.u * size.length:.2f} mm along, {at.v * size.width:.2f} mm across", None

        return answer

    def _sized(self, item: FinishItem, grip: str, from_u: float, from_v: float) -> Callable[[float, float], Answer]:
        design, length = self._view.document.design, self._view.viewport.length
        wide, high = (2.0 * half for half in item.half_mm)
        from_along, from_across = item.away_mm(from_u, from_v, length)

        def answer(u: float, v: float) -> Answer:
            along, across = item.away_mm(u, v, length)
            wanted = wide + 2.0 * (along - from_along), high + 2.0 * (across - from_across)
            made, value = self._with_size(design, item.entry, grip, *wanted)
            return made, f"{grip} {value:.2f} mm", None

        return answer

    @staticmethod
    def _with_size(design: Design, entry: Entry, grip: str, along: float, across: float) -> tuple[Design, float]:
        if grip == "diameter":
            made = with_diameter(design, entry, along)
            options = entry_in(made, entry)
            return made, getattr(options, "stone", options).diameter_mm
        made = with_plain_size(design, entry, along if grip == "width" else None, across)
        options = entry_in(made, entry)
        return made, options.width_mm if grip == "width" else options.height_mm

    def _size(self) -> StripSize:
        return StripSize(self._view.viewport.length, self._view.viewport.width)
