"""The stones: single ones and rows, each with its place, size and seat."""

from __future__ import annotations

from typing import Any, Final

from PySide6.QtWidgets import QWidget

from ringtex.solid.stone_options import MOST_IN_ROW, Stone, StoneRow
from ringtex.window.settings.choice_row import ChoiceRow
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.entry_rows import EntryRows
from ringtex.window.settings.number_row import NumberRow
from ringtex.window.settings.number_setting import NumberSetting
from ringtex.window.settings.setting_row import SettingRow
from ringtex.window.settings.tick_row import TickRow
from ringtex.window.settings.touch_watch import TouchWatch
from ringtex.window.view_state import ViewState

_UNDERSIZE_HINT: Final = "How much the seat is smaller than the stone, to be opened when setting"
STONE_NUMBERS: Final = (
    NumberSetting("diameter", "Diameter", 0.8, 12.0, 0.05, "Across the girdle", "mm", reach=(0.8, 6.0)),
    NumberSetting("u", "Around", 0.0, 1.0, 0.005, "Share of the strip's length: 0.5 is the head, 0 the seam", "", 3),
    NumberSetting("v", "Across", 0.0, 1.0, 0.005, "Share of the strip's width: 0.5 is the middle", "", 3),
    NumberSetting("collar", "Collar", 0.2, 5.0, 0.05, "Plain metal round the stone", "mm", reach=(0.2, 2.0)),
    NumberSetting("hole", "Hole", 0.3, 0.85, 0.01, "The through hole as a share of the stone's diameter"),
    NumberSetting("bearing", "Bearing", 20.0, 70.0, 1.0, "Slope of the bearing that carries the girdle", "°", 1),
    NumberSetting("undersize", "Undersize", 0.0, 0.3, 0.01, _UNDERSIZE_HINT, "mm"),
)
COUNT: Final = NumberSetting("count", "Stones", 1, MOST_IN_ROW, 1, "How many in the row", decimals=0, reach=(1, 40))
SPACING: Final = NumberSetting(
    "spacing", "Spacing", 0.5, 50.0, 0.05, "From middle to middle; auto spreads the row evenly", "mm", reach=(0.5, 8.0)
)
DIRECTIONS: Final = (("around the ring", "around"), ("across the band", "across"))


def _at(setting: NumberSetting, key: str) -> NumberSetting:
    return NumberSetting(
        f"{key}.{setting.key}", setting.label, setting.low, setting.high, setting.step, setting.hint, setting.unit,
        setting.decimals, "stones", setting.reach,
    )  # fmt: skip


class StoneEntries(EntryRows):
    """Stones set flush, and rows of them."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: TouchWatch, parent: QWidget) -> None:
        super().__init__("stones", editor, state, watch, parent)
        self.add = self.add_button("Add a stone", "A round stone, set flush at the head", _new_stone)
        self.add_row = self.add_button("Add a row of stones", "Several stones alike, in one row", _new_row)

    def rows_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """A row's own rows, then those of its stone."""
        key = f"stones[{index}]"
        made: list[SettingRow] = []
        if kind is StoneRow:
            made.append(self._number(_at(COUNT, key), holder))
            made.append(self._number(_at(SPACING, key), holder, automatic=True))
            hint = "Along the ring, or from edge to edge"
            made.append(ChoiceRow(f"{key}.direction", "Row runs", DIRECTIONS, hint, self.editor, "stones", holder))
            hint = "The same row once more half a turn away"
            opposite = f"{key}.also_opposite"
            made.append(TickRow(opposite, "Also opposite", hint, self.editor, touched="stones", parent=holder))
            key = f"{key}.stone"
        return made + [self._number(_at(setting, key), holder) for setting in STONE_NUMBERS]

    def _number(self, setting: NumberSetting, holder: QWidget, automatic: bool = False) -> NumberRow:
        return NumberRow(setting, self.editor, self.state, automatic, holder, auto_value=None)

    def title_of(self, index: int, entry: Any) -> str:
        """By its number, with the estimated weight of each stone."""
        stone = entry.stone if isinstance(entry, StoneRow) else entry
        name = f"Row of {entry.count}" if isinstance(entry, StoneRow) else "Stone"
        each = " each" if isinstance(entry, StoneRow) else ""
        return f"{index + 1}  {name}, about {stone.carat:.3f} ct{each}"


def _new_stone(entries: tuple[Any, ...]) -> Stone:
    """At the head, or at the next free place to its sides."""
    taken = {entry.u for entry in entries if isinstance(entry, Stone)}
    free = (round(0.5 + side * 0.05 * step, 3) for step in range(10) for side in (1, -1))
    return Stone(next((u for u in free if u not in taken), 0.5), 0.5, 2.0)


def _new_row(entries: tuple[Any, ...]) -> StoneRow:
    return StoneRow(5, Stone(0.5, 0.5, 1.5), spacing_mm=2.5)
