"""Where a stone or a plain place lies, in degrees from the head and millimetres from the middle, with snapping."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, Final

from PySide6.QtWidgets import QLabel, QPushButton, QSizePolicy, QWidget

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.document.document import Document
from ringtex.edits.design_keys import band_of
from ringtex.edits.ring_positions import across_limits, nearest_centre, ring_position, strip_fractions
from ringtex.strip.strip_map import StripMap
from ringtex.strip.unwrap import unwrap
from ringtex.window.appearance.flow_layout import FlowLayout
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor

ANGLE: Final = NumberSetting(
    "u",
    "Angle",
    (-180.0, 180.0),
    1.0,
    "Degrees from the head round the ring; 180 is the palm, where the seam is",
    "°",
    1,
)
OFF_MIDDLE: Final = NumberSetting(
    "v", "Off middle", (-30.0, 30.0), 0.1, "From the middle towards the upper edge, true on the ring", "mm",
    drag_span=(-6.0, 6.0),
)  # fmt: skip


class PositionEditor(DesignEditor):
    """Takes and gives degrees at a position's "u" and millimetres at its "v"; both change together where the strip is
    not straight.
    """

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._strip: StripMap | None = None
        self.centres: Floats | None = None
        """(n, 2) centres of the cells of the ring in view, mm on its strip."""

    def show_view(self, view: View) -> bool:
        """Take the strip and the cells of the ring in view. Gives whether positions may read otherwise now."""
        before, known = self._strip, self.centres is not None
        self._strip, self.centres = view.built.strip, view.built.pattern.tiling.kernel[0]
        return self._strip is not before or not known

    @property
    def strip(self) -> StripMap:
        """Of the ring in view; of the design where there is none yet."""
        if self._strip is None:
            self._strip = unwrap(band_of(self.design), self.design.strip.keep)
        return self._strip

    def position(self, key: str) -> tuple[float, float]:
        """Degrees and mm of the entry at a key; nearly so until a ring is in view, which saves unwrapping a band."""
        u, v = (super(PositionEditor, self).value(f"{key}.{name}") for name in ("u", "v"))
        if self._strip is not None:
            return ring_position(self._strip, u, v)
        return (u - 0.5) * 360.0 if u > 0.0 else 180.0, (v - 0.5) * self.design.band.stations[0].width_mm

    def value(self, key: str) -> Any:
        """Degrees, to a hundredth, or mm, to a hundredth."""
        base, name = key.rsplit(".", 1)
        return round(self.position(base)[0 if name == "u" else 1], 2)

    def set_value(self, key: str, value: Any, label: str) -> InputError | None:
        """Move the entry. Gives why not, where it would lie beyond an edge.

        Parameters:
            key: of the value in the design file.
            value: the new value.
            label: names the step in the history.
        Returns: why it cannot lie there, or None.
        """
        base, name = key.rsplit(".", 1)
        strip = self.strip
        angle, off = self.position(base)
        try:
            if name == "u":
                low, high = across_limits(strip, value)
                wanted = strip_fractions(strip, value, min(max(off, low), high))
            else:
                wanted = strip_fractions(strip, angle, value)
        except InputError as error:
            return InputError(error.message, error.advice, key)
        return self.place(base, wanted, label)

    def place(self, key: str, fractions: tuple[float, float], label: str) -> InputError | None:
        """Put the entry at a key at fractions (u, v) of the strip. Gives why not, where it cannot lie there.

        Parameters:
            key: of the entry that has u and v.
            fractions: of the strip's length and width.
            label: how undo calls it.
        Returns: why it cannot lie there, or None.
        """
        return self.set_values(dict(zip((f"{key}.u", f"{key}.v"), fractions, strict=True)), label)

    def nearest(self, setting: NumberSetting, wanted: float) -> float | None:
        """The nearest value on the band."""
        if setting.key.endswith(".u"):
            return min(max(wanted, setting.low), setting.high)
        low, high = across_limits(self.strip, self.position(setting.key.rsplit(".", 1)[0])[0])
        return min(max(round(wanted, 2), -int(-low * 100.0) / 100.0), int(high * 100.0) / 100.0)


PLACES: Final = (
    ("head", "Round the ring to the head"), ("palm", "Round the ring to the palm"),
    ("middle", "Across to the middle of the width"),
)  # fmt: skip
PLACES_AND_CELL: Final = (*PLACES, ("cell", "To the centre of the nearest cell"))


class MoveRow(SettingRow):
    """A button for each place that something can be moved to: (word, hint). `move` gives why it cannot lie there."""

    def __init__(
        self,
        key: str,
        places: Sequence[tuple[str, str]],
        move: Callable[[str], InputError | None],
        parent: QWidget,
        title: str = "Move to",
    ) -> None:
        super().__init__(f"{key}.position", key, parent)
        self._move = move
        holder = QWidget(self)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        holder.setSizePolicy(policy)
        flow = FlowLayout(holder, 8)
        flow.setContentsMargins(0, 0, 0, 0)
        name = QLabel(title, holder)
        name.setProperty("role", "soft")
        flow.addWidget(name)
        self.buttons: dict[str, QPushButton] = {}
        for text, hint in places:
            button = QPushButton(text, holder)
            button.setToolTip(hint)
            button.setAccessibleName(hint)
            button.clicked.connect(lambda _=False, text=text: self._moved(text))
            flow.addWidget(button)
            self.buttons[text] = button
        self.line.addWidget(holder, 1)

    def refresh(self) -> None:
        """It shows no value."""

    def matches_design(self) -> bool:
        """It shows no value."""
        return True

    def _moved(self, to: str) -> None:
        error = self._move(to)
        if error is not None:
            self.explain(error)


class SnapRow(MoveRow):
    """Buttons that move an entry to the head, the palm, the middle of the width, or the nearest cell's centre."""

    def __init__(self, key: str, editor: PositionEditor, parent: QWidget) -> None:
        self._editor, self._entry = editor, key
        super().__init__(key, PLACES_AND_CELL, self._snap, parent)

    def refresh(self) -> None:
        """Cells are known once a ring is in view."""
        self.buttons["cell"].setEnabled(self._editor.centres is not None)

    def _snap(self, to: str) -> InputError | None:
        editor, key = self._editor, self._entry
        label = f"move to the {'centre of a cell' if to == 'cell' else to}"
        if to == "cell" and editor.centres is not None:
            entry = DesignEditor.value(editor, key)
            return editor.place(key, nearest_centre(editor.strip, editor.centres, entry.u, entry.v), label)
        if to == "middle":
            return editor.set_value(f"{key}.v", 0.0, label)
        return editor.set_value(f"{key}.u", 0.0 if to == "head" else 180.0, label)


def position_rows(key: str, editor: PositionEditor, state: ViewState, parent: QWidget) -> list[SettingRow]:
    """Angle, distance from the middle and snapping of the entry at a key.

    Parameters:
        key: of the options that have u and v.
        editor: reads and writes positions.
        state: of the views.
        parent: of the rows.
    Returns: the three rows.
    """
    settings = (replace(each, key=f"{key}.{each.key}", highlight=key) for each in (ANGLE, OFF_MIDDLE))
    rows: list[SettingRow] = [NumberRow(setting, editor, state, parent=parent) for setting in settings]
    return [*rows, SnapRow(key, editor, parent)]
