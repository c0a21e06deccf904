"""The plain places: each with its shape, place and size."""

from __future__ import annotations

from typing import Any, Final

from PySide6.QtWidgets import QWidget

from ringtex.edits.finishing_edits import new_plain_place
from ringtex.relief.plain_options import PlainPlace
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.basic_rows import ChoiceRow
from ringtex.window.settings.controls.entry_rows import EntryRows, placing_button
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.position_rows import PositionEditor, position_rows
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.entries.stone_entries import at

SHAPES: Final = (("rectangle", "rectangle"), ("round", "round"))
LEVELS: Final = (("level with the relief's ground", "ground"), ("level with its highest", "top"))
WIDTH: Final = NumberSetting(
    "width", "Width", PlainPlace, 0.1, "Along the ring, through its middle", "mm", drag_span=(0.5, 20.0)
)
HEIGHT: Final = NumberSetting(
    "height", "Height", PlainPlace, 0.1, "Across the band; auto is as wide. It may reach over both edges", "mm",
    drag_span=(0.5, 20.0),
)  # fmt: skip
CORNER: Final = NumberSetting(
    "corner", "Corner", PlainPlace, 0.05, "Radius of its corners", "mm", drag_span=(0.05, 3.0)
)
FADE: Final = NumberSetting(
    "fade", "Fade", PlainPlace, 0.1,
    "Cells nearer than this grow shallower towards it; 0 ends the relief at its border",
    "mm", drag_span=(0.0, 6.0),
)  # fmt: skip


class PlainEntries(EntryRows):
    """Windows left smooth, for a hallmark, a sizing place or a signature."""

    noun = "plain place"

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("plain", editor, state, watch, parent)
        self.positions = PositionEditor(editor.document)
        hint = "Click on the strip or on the ring where it is to be; Esc ends"
        self.place = placing_button("Place by clicking", hint, "plain", state, self.adders)
        self.put_button(self.place)
        self.add = self.add_button(
            "Add a plain place", "A smooth window at the palm, or the next free place", new_plain_place
        )

    def rows_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """Shape, place and size.

        Parameters:
            index: of the entry in its list.
            kind: of the entry's options.
            holder: owner of the rows.
        Returns: the rows.
        """
        key = f"plain[{index}]"
        made: list[SettingRow] = [
            ChoiceRow(
                f"{key}.shape", "Shape", SHAPES, "A rectangle with round corners, or round", self.editor, key, holder
            )
        ]
        for setting in (WIDTH, HEIGHT, CORNER):
            automatic = setting is HEIGHT
            made.append(NumberRow(at(setting, key), self.editor, self.state, automatic, parent=holder, auto_value=None))
        made.extend(position_rows(key, self.positions, self.state, holder))
        hint = "Just under the relief's lowest, or just over its highest"
        made.append(ChoiceRow(f"{key}.level", "Lies", LEVELS, hint, self.editor, key, holder))
        made.append(NumberRow(at(FADE, key), self.editor, self.state, parent=holder))
        return made

    def refresh(self) -> None:
        """Leave corners out for a round place."""
        super().refresh()
        for group, entry in zip(self.groups, self.entries, strict=True):
            for row in group.rows:
                if row.key.endswith(".corner"):
                    row.setVisible(entry.shape == "rectangle")
                if row.key.endswith(".height") and isinstance(row, NumberRow):
                    row.set_auto_number(entry.width_mm)

    def title_of(self, index: int, entry: Any) -> tuple[str, str]:
        """By its number, with its size."""
        width, height = (2.0 * half for half in entry.half_mm)
        shape = "round" if entry.shape == "round" else "rectangle"
        return f"{index + 1}  Plain place", f"{shape} {width:.2f} × {height:.2f} mm"
