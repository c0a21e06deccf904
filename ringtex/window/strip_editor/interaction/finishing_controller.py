"""Stones and plain places under the pointer: placing, choosing, dragging, pulling their sizes, removing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.edits.finishing_edits import (
    Entry,
    entry_in,
    entry_of,
    moved,
    with_plain_at,
    with_size,
    with_stone_at,
    without_entry,
)
from ringtex.edits.ring_positions import snapped_position
from ringtex.window.strip_editor.interaction.strip_drags import Answer, StripDrag, position_words
from ringtex.window.strip_editor.state.finishing_items import FinishItem
from ringtex.window.strip_editor.state.strip_state import StripState

GRIP_PX: Final = 8.0
SNAP_PX: Final = 6.0
"""What is dragged snaps to head, palm, middle and cell centres that are so near, logical pixels."""

FREE: Final = Qt.KeyboardModifier.AltModifier
"""Held down, nothing snaps."""

NAMES: Final = {"stones": "stone", "plain": "plain place"}
PLACED: Final = {"stone": ("stones", with_stone_at), "plain": ("plain", with_plain_at)}
GRIP_CURSORS: Final = {
    "width": Qt.CursorShape.SizeHorCursor,
    "diameter": Qt.CursorShape.SizeHorCursor,
    "height": Qt.CursorShape.SizeVerCursor,
}


class FinishingController:
    """Finds what lies under the pointer of one strip, and begins its drags."""

    def __init__(self, strip: StripState) -> None:
        self._strip = strip
        self._shown: tuple[float, float] | None = None
        finishing = strip.shared.finishing
        finishing.place_clicked.connect(self.place)
        finishing.pointed_out.connect(self._pick)
        finishing.placing_changed.connect(self._placing_changed)
        finishing.chosen_changed.connect(strip.update)
        strip.shared.hovered_setting_changed.connect(self._follow_settings)

    def _follow_settings(self) -> None:
        """Let the ring mark the entry whose setting is hovered."""
        strip = self._strip
        entry = entry_of(strip.shared.hovered_setting)
        found = next((item for item in strip.items if item.entry == entry), None)
        if found is not None or self._shown is not None:
            self._shown = None if found is None else (found.u, found.v)
            strip.set_own_position(self._shown)

    def point(self, x: float, y: float) -> None:
        """The pointer is at a device pixel."""
        strip = self._strip
        strip.item = strip.grip = None
        if strip.shared.finishing.placing is not None:
            return
        reach = GRIP_PX * strip.ratio
        for item in reversed(strip.items):
            if item.entry != entry_of(strip.shared.finishing.chosen):
                continue
            for name, at_x, at_y in strip.grips(item):
                if max(abs(at_x - x), abs(at_y - y)) <= reach:
                    strip.item, strip.grip = item, name
                    return
        strip.item = self._at(*strip.viewport.position(x, y))

    @property
    def cursor(self) -> Qt.CursorShape | None:
        """The pointer's shape here; None where nothing of this is under it."""
        strip = self._strip
        if strip.shared.finishing.placing is not None:
            return Qt.CursorShape.CrossCursor
        if strip.item is None:
            return None
        return GRIP_CURSORS[strip.grip] if strip.grip is not None else Qt.CursorShape.SizeAllCursor

    # --- placing

    def press(self, u: float, v: float) -> bool:
        """A button goes down at a place; True where that placed something."""
        strip = self._strip
        if strip.shared.finishing.placing is None:
            return False
        if 0.0 <= v <= strip.viewport.strip_width:
            strip.shared.finishing.place_clicked.emit(u, v)
        return True

    def place(self, u: float, v: float) -> None:
        """Add what is being placed at (u, v), mm."""
        strip = self._strip
        what = strip.shared.finishing.placing
        if what is None or strip.view is None:
            return
        kind, make = PLACED[what]
        try:
            design = make(strip.document.design, self._strip.strip_size, u, v)
        except InputError as error:
            strip.show_message(f"{error.message}. {error.advice}")
            return
        strip.document.change(design, f"add a {NAMES[kind]}")
        strip.shared.finishing.choose(Entry(kind, len(getattr(design, kind)) - 1).key, reveal=True)

    def _placing_changed(self) -> None:
        strip = self._strip
        strip.item = strip.grip = None
        if strip.shared.finishing.placing is None:
            strip.widget.unsetCursor()
        else:
            strip.set_cursor(Qt.CursorShape.CrossCursor)
        strip.update()

    # --- what is there

    def click(self) -> None:
        """What is under the pointer was clicked, and not dragged; beside everything, nothing is chosen any more."""
        item = self._strip.item
        self._strip.shared.finishing.choose(item.entry.key if item is not None else None, reveal=True)

    def _pick(self, u: float, v: float) -> None:
        """Choose what lies at a place that was clicked on the ring; beside everything nothing changes."""
        found = self._at(u, v)
        if found is not None:
            self._strip.shared.finishing.choose(found.entry.key, reveal=True)

    def _at(self, u: float, v: float) -> FinishItem | None:
        length = self._strip.viewport.length
        return next((item for item in reversed(self._strip.items) if item.holds(u, v, length)), None)

    def remove(self) -> bool:
        """Remove what is under the pointer, or else what is chosen; False where there is nothing."""
        strip = self._strip
        entry = strip.item.entry if strip.item is not None else entry_of(strip.shared.finishing.chosen)
        if entry is None or entry_in(strip.document.design, entry) is None:
            return False
        strip.document.change(without_entry(strip.document.design, entry), f"remove a {NAMES[entry.kind]}")
        strip.shared.finishing.choose(None)
        strip.item = strip.grip = None
        return True

    def begin(self, u: float, v: float) -> StripDrag | None:
        """The drag of what is under the pointer, begun at (u, v); None where there is nothing."""
        strip, item, grip = self._strip, self._strip.item, self._strip.grip
        if item is None:
            return None
        strip.shared.finishing.choose(item.entry.key)
        name = NAMES[item.entry.kind]
        strip.document.begin_drag(f"change the {grip} of a {name}" if grip else f"move a {name}")
        answer = self._sized(item, grip, u, v) if grip else self._moved(item, u, v)
        return StripDrag("finish", "", None, strip.document, answer)

    def _moved(self, item: FinishItem, from_u: float, from_v: float) -> Callable[[float, float], Answer]:
        design, size = self._strip.document.design, self._strip.strip_size
        assert self._strip.view is not None
        strip, centres = self._strip.view.built.strip, self._strip.view.built.pattern.tiling.kernel[0]
        before = _position(design, item.entry)
        start = before[0] * size.length, before[1] * size.width

        def answer(u: float, v: float) -> Answer:
            at_u, at_v, words = start[0] + u - from_u, start[1] + v - from_v, ""
            if not QGuiApplication.keyboardModifiers() & FREE:
                reach = SNAP_PX * self._strip.ratio / self._strip.viewport.scale
                at_u, at_v, words = snapped_position(strip, centres, (at_u, at_v), reach)
            made = moved(design, item.entry, size, at_u - start[0], at_v - start[1])
            place = _position(made, item.entry)
            told = position_words(strip, place[0] * size.length, place[1] * size.width)
            return made, f"{words}, {told}" if words else told, None

        return answer

    def _sized(self, item: FinishItem, grip: str, from_u: float, from_v: float) -> Callable[[float, float], Answer]:
        design, length = self._strip.document.design, self._strip.viewport.length
        wide, high = (2.0 * half for half in item.half_mm)
        from_along, from_across = item.away_mm(from_u, from_v, length)

        def answer(u: float, v: float) -> Answer:
            along, across = item.away_mm(u, v, length)
            wanted = wide + 2.0 * (along - from_along), high + 2.0 * (across - from_across)
            made, value = with_size(design, item.entry, grip, *wanted)
            return made, f"{grip} {value:.2f} mm", None

        return answer


def _position(design: Design, entry: Entry) -> tuple[float, float]:
    """Where an entry is, as fractions of the strip; of a row its first stone."""
    options = entry_in(design, entry)
    at = getattr(options, "stone", options)
    return at.u, at.v
