"""The stones: single ones and rows, each with its place, size and seat, and what they weigh."""

from __future__ import annotations

from typing import Any, Final

from PySide6.QtWidgets import QLabel, QWidget

from ringtex.solid.finishing.stone_options import GRAM_PER_CARAT, Stone, StoneRow
from ringtex.window.appearance.theme import even_figures
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.carat_editor import CaratEditor
from ringtex.window.settings.controls.choice_row import ChoiceRow
from ringtex.window.settings.controls.entry_rows import EntryRows
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.place_button import place_button
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.controls.tick_row import TickRow
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.sections.stone_numbers import (
    CARAT,
    COUNT,
    DIAMETER,
    PLACE_NUMBERS,
    SEAT_NUMBERS,
    SPACING,
    at,
)

DIRECTIONS: Final = (("around the ring", "around"), ("across the band", "across"))


class StoneEntries(EntryRows):
    """Stones set flush, and rows of them."""

    noun = "stone"
    details = "Seat and proportions"

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("stones", editor, state, watch, parent)
        self._by_carat = CaratEditor(editor.document)
        self.total = QLabel(self)
        self.total.setProperty("role", "soft")
        self.total.setWordWrap(True)
        self.total.setFont(even_figures(self.total.font()))
        self._column.insertWidget(0, self.total)
        hint = "Click on the strip or on the ring, once for each stone; Esc ends"
        self.place = place_button("Place by clicking", hint, "stone", state, self.adders)
        self.put_button(self.place)
        self.add = self.add_button("Add a stone", "A round stone, set flush at the head", _new_stone)
        self.add_row = self.add_button("Add a row of stones", "Several stones alike, in one row", _new_row)

    def rows_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """A row's own rows, then those of its stone."""
        key = f"stones[{index}]"
        made: list[SettingRow] = []
        if kind is StoneRow:
            made.append(self._number(at(COUNT, key), holder))
            made.append(self._number(at(SPACING, key), holder, automatic=True))
            hint = "Along the ring, or from edge to edge"
            made.append(ChoiceRow(f"{key}.direction", "Row runs", DIRECTIONS, hint, self.editor, key, holder))
            hint = "The same row once more half a turn away: head and palm in one go"
            opposite = f"{key}.also_opposite"
            made.append(TickRow(opposite, "Also opposite", hint, self.editor, touched=key, parent=holder))
        inner = _stone_key(index, kind)
        made.append(self._number(at(DIAMETER, inner), holder))
        made.append(NumberRow(at(CARAT, inner), self._by_carat, self.state, parent=holder))
        return made + [self._number(at(setting, inner), holder) for setting in PLACE_NUMBERS]

    def details_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """The seat, and the brilliant's proportions."""
        return [self._number(at(setting, _stone_key(index, kind)), holder) for setting in SEAT_NUMBERS]

    def _number(self, setting: NumberSetting, holder: QWidget, automatic: bool = False) -> NumberRow:
        return NumberRow(setting, self.editor, self.state, automatic, holder, auto_value=None)

    def title_of(self, index: int, entry: Any) -> tuple[str, str]:
        """By its number and size, with the estimated weight of each stone."""
        stone = entry.stone if isinstance(entry, StoneRow) else entry
        name = f"Row of {entry.count}" if isinstance(entry, StoneRow) else "Stone"
        each = " each" if isinstance(entry, StoneRow) else ""
        return f"{index + 1}  {name}", f"{stone.diameter_mm:.2f} mm, about {stone.carat:.3f} ct{each}"

    def refresh(self) -> None:
        """As always, and what all stones weigh."""
        super().refresh()
        count, carat = total_of(self.entries)
        self.total.setVisible(count > 0)
        stones = f"{count} stones" if count > 1 else "1 stone"
        self.total.setText(f"{stones}, about {carat:.3f} ct, {carat * GRAM_PER_CARAT:.3f} g")


def total_of(entries: tuple[Any, ...]) -> tuple[int, float]:
    """How many stones there are, and their estimated weight, carat."""
    count, carat = 0, 0.0
    for entry in entries:
        one = entry.stone if isinstance(entry, StoneRow) else entry
        many = entry.count * (2 if entry.also_opposite else 1) if isinstance(entry, StoneRow) else 1
        count, carat = count + many, carat + many * one.carat
    return count, carat


def _stone_key(index: int, kind: type) -> str:
    return f"stones[{index}].stone" if kind is StoneRow else f"stones[{index}]"


def _new_stone(entries: tuple[Any, ...]) -> Stone:
    """At the head, or at the next free place to its sides."""
    taken = {entry.u for entry in entries if isinstance(entry, Stone)}
    free = (round(0.5 + side * 0.05 * step, 3) for step in range(10) for side in (1, -1))
    return Stone(next((u for u in free if u not in taken), 0.5), 0.5, 2.0)


def _new_row(entries: tuple[Any, ...]) -> StoneRow:
    return StoneRow(5, Stone(0.5, 0.5, 1.5), spacing_mm=2.5)
