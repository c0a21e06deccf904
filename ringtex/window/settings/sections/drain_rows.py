"""The drains of a closed hollow: each with its place and size."""

from __future__ import annotations

from typing import Any

from PySide6.QtWidgets import QWidget

from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.entry_rows import EntryRows
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor


class DrainRows(EntryRows):
    """Holes through the floor."""

    noun = "drain"

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("hollow.drains", editor, state, watch, parent)
        self.add = self.add_button("Add a drain", "One more hole through the floor", _new_drain)

    def rows_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """Angle, place across, diameter."""
        key = f"hollow.drains[{index}]"
        settings = (
            NumberSetting(f"{key}.angle", "Angle", -180.0, 180.0, 1.0, "Where it is: 0 is the head", "°", 1, key),
            NumberSetting(
                f"{key}.along", "Off middle", -20.0, 20.0, 0.1, "How far from the middle of the width", "mm",
                touches=key, reach=(-5.0, 5.0),
            ),
            NumberSetting(f"{key}.diameter", "Diameter", 0.5, 5.0, 0.1, "Of the hole", "mm", touches=key),
        )  # fmt: skip
        return [NumberRow(setting, self.editor, self.state, parent=holder) for setting in settings]

    def title_of(self, index: int, entry: Any) -> tuple[str, str]:
        """By its number, with its place and size."""
        return f"Drain {index + 1}", f"{entry.diameter_mm:g} mm at {entry.angle_deg:g}°"


def _new_drain(drains: tuple[Any, ...]) -> object:
    """At the head, or at the next free place to its sides."""
    from ringtex.solid.finishing.hollow_options import Drain

    taken = {drain.angle_deg for drain in drains}
    free = (float(angle) for angle in (0, 30, -30, 60, -60, 15, -15, 45, -45, *range(-90, 91)))
    return Drain(next((angle for angle in free if angle not in taken), 0.0))
