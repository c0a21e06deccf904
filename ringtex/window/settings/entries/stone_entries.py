"""The stones: single ones and rows, each with its size, position, seat and proportions."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from PySide6.QtWidgets import QLabel, QWidget

from ringtex.basics.errors import InputError
from ringtex.edits.design_keys import nearest_allowed
from ringtex.edits.finishing_edits import new_row, new_stone
from ringtex.solid.finishing.stone_options import GRAM_PER_CARAT, MAX_IN_ROW, Proportions, Stone, StoneRow, diameter_of
from ringtex.window.appearance.theme import even_figures
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.basic_rows import ChoiceRow, TickRow
from ringtex.window.settings.controls.entry_rows import EntryRows, placing_button
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.position_rows import PositionEditor, position_rows
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor

DECIMALS = 3


class CaratEditor(DesignEditor):
    """Takes and gives carats at the key of a stone's diameter; other proportions give another weight."""

    def value(self, key: str) -> Any:
        """The estimated weight, carat."""
        return round(self._stone(key).carat, DECIMALS)

    def set_value(self, key: str, value: Any, label: str) -> InputError | None:
        """Change the diameter to that of so many carats.

        Parameters:
            key: of the value in the design file.
            value: the new value.
            label: names the step in the history.
        Returns: why the value cannot be had, or None.
        """
        low, high = self.limits(key)
        if not low <= value <= high:
            message, advice = f"{value:g} ct is out of reach", f"Use {low:.3f} to {high:.2f} ct"
            return InputError(message, advice, key)
        return super().set_value(key, self._diameter(key, float(value)), label)

    def nearest(self, setting: NumberSetting, wanted: float) -> float | None:
        """The nearest weight that the stone can have."""
        low, high = self.limits(setting.key)
        held = self._diameter(setting.key, min(max(wanted, low), high))
        found = nearest_allowed(self.design, setting.key, held, DIAMETER.low, DIAMETER.high, 4)
        return None if found is None else min(max(round(self._carat(setting.key, found), DECIMALS), low), high)

    def limits(self, key: str) -> tuple[float, float]:
        """Least and most carats of a stone of these proportions, rounded inwards."""
        grain = 10.0**-DECIMALS
        return self._carat(key, DIAMETER.low) + grain, self._carat(key, DIAMETER.high) - grain

    def _stone(self, key: str) -> Stone:
        stone = super().value(key.removesuffix(".diameter"))
        assert isinstance(stone, Stone)
        return stone

    def _shape(self, key: str) -> Proportions:
        return self._stone(key).proportions

    def _diameter(self, key: str, carat: float) -> float:
        return round(diameter_of(carat, self._shape(key)), 4)

    def _carat(self, key: str, diameter_mm: float) -> float:
        return Stone(0.5, 0.5, diameter_mm, proportions=self._shape(key)).carat


_UNDERSIZE: Final = "How much the seat is smaller than the stone, to be opened when setting; bench practice, no source"

DIAMETER: Final = NumberSetting("diameter", "Diameter", Stone, 0.05, "Across the girdle", "mm", drag_span=(0.8, 6.0))
CARAT: Final = NumberSetting(
    "diameter", "Weight", (0.002, 6.5), 0.005, "Estimated: diameter² × depth × 0.0061; a round brilliant", "ct", 3,
    drag_span=(0.002, 0.8),
)  # fmt: skip
COLLAR: Final = NumberSetting(
    "collar", "Collar", Stone, 0.05, "Plain metal round the stone", "mm", drag_span=(0.2, 2.0)
)
SEAT_NUMBERS: Final = (
    NumberSetting("hole", "Hole", Stone, 0.01, "The through hole as a fraction of the stone; half to two thirds"),
    NumberSetting("bearing", "Bearing", Stone, 1.0, "Slope of the bearing that carries the girdle", "°", 1),
    NumberSetting("undersize", "Undersize", Stone, 0.01, _UNDERSIZE, "mm"),
    NumberSetting(
        "proportions.table", "Table", Proportions, 0.01, "The table as a fraction of the diameter (Tolkowsky 0.53)"
    ),
    NumberSetting("proportions.crown", "Crown", Proportions, 0.5, "Slope of the crown (Tolkowsky 34.5°)", "°", 2),
    NumberSetting(
        "proportions.pavilion", "Pavilion", Proportions, 0.25, "Slope of the pavilion (Tolkowsky 40.75°)", "°", 2
    ),
    NumberSetting(
        "proportions.girdle",
        "Girdle",
        Proportions,
        0.001,
        "The girdle's thickness as a fraction of the diameter",
        "",
        3,
    ),
)
COUNT: Final = NumberSetting(
    "count", "Stones", (1, MAX_IN_ROW), 1, "How many in the row", decimals=0, drag_span=(1, 40)
)
SPACING: Final = NumberSetting(
    "spacing",
    "Spacing",
    StoneRow,
    0.05,
    "From middle to middle; auto spreads the row evenly",
    "mm",
    drag_span=(0.5, 8.0),
)


def at(setting: NumberSetting, key: str) -> NumberSetting:
    """The same number of the entry at a key."""
    return replace(setting, key=f"{key}.{setting.key}", highlight=key)


FLUSH_CHOICES: Final = (
    ("table at the middle", "table"), ("table at the rim", "rim"), ("girdle at the rim", "girdle"),
)  # fmt: skip
_FLUSH: Final = (
    "What is level with the metal, which on a curved face falls away from the stone's middle: the table, with the face "
    "at the middle or with the lowest metal at the rim; or the girdle, with that at the rim: the crown stands free"
)

DIRECTIONS: Final = (("around the ring", "around"), ("across the band", "across"))


class StoneEntries(EntryRows):
    """Stones set into the metal, and rows of them."""

    noun = "stone"
    details = "Seat and proportions"

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("stones", editor, state, watch, parent)
        self._by_carat, self.positions = CaratEditor(editor.document), PositionEditor(editor.document)
        self.total = QLabel(self)
        self.total.setProperty("role", "soft")
        self.total.setWordWrap(True)
        self.total.setFont(even_figures(self.total.font()))
        self._column.insertWidget(0, self.total)
        hint = "Click on the strip or on the ring, once for each stone; Esc ends"
        self.place = placing_button("Place by clicking", hint, "stone", state, self.adders)
        self.put_button(self.place)
        self.add = self.add_button("Add a stone", "A round stone, set flush at the head", new_stone)
        self.add_row = self.add_button("Add a row of stones", "Several stones alike, in one row", new_row)

    def rows_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """A row's own rows, then those of its stone.

        Parameters:
            index: of the entry in its list.
            kind: of the entry's options.
            holder: owner of the rows.
        Returns: the rows.
        """
        key = f"stones[{index}]"
        made: list[SettingRow] = []
        if kind is StoneRow:
            made.append(self._number(at(COUNT, key), holder))
            made.append(self._number(at(SPACING, key), holder, automatic=True))
            hint = "Along the ring, or from edge to edge"
            made.append(ChoiceRow(f"{key}.direction", "Row runs", DIRECTIONS, hint, self.editor, key, holder))
            hint = "The same row once more half a turn away: head and palm in one go"
            opposite = f"{key}.also_opposite"
            made.append(TickRow(opposite, "Also opposite", hint, self.editor, highlight_name=key, parent=holder))
        inner = _stone_key(index, kind)
        made.append(self._number(at(DIAMETER, inner), holder))
        made.append(NumberRow(at(CARAT, inner), self._by_carat, self.state, parent=holder))
        made.extend(position_rows(inner, self.positions, self.state, holder))
        made.append(ChoiceRow(f"{inner}.flush", "Level", FLUSH_CHOICES, _FLUSH, self.editor, key, holder))
        return [*made, self._number(at(COLLAR, inner), holder)]

    def details_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """The seat, and the brilliant's proportions.

        Parameters:
            index: of the entry in its list.
            kind: of the entry's options.
            holder: owner of the rows.
        Returns: the rows.
        """
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
        """Also show what all stones weigh."""
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
