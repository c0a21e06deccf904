"""What is done to the ring beside its pattern: the hollow, and what was changed by hand."""

from __future__ import annotations

from typing import Final

from PySide6.QtWidgets import QLabel, QPushButton, QSizePolicy, QWidget

from ringtex.design.edit_options import EditOptions
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.design_keys import has_key
from ringtex.window.settings.drain_rows import DrainRows
from ringtex.window.settings.number_row import NumberRow
from ringtex.window.settings.number_setting import NumberSetting
from ringtex.window.settings.setting_row import SettingRow
from ringtex.window.settings.settings_section import SettingsSection
from ringtex.window.settings.stone_entries import StoneEntries
from ringtex.window.settings.tick_row import TickRow
from ringtex.window.settings.touch_watch import TouchWatch
from ringtex.window.view_state import ViewState

WALL: Final = NumberSetting(
    "hollow.wall", "Wall", 0.4, 5.0, 0.05, "Least metal between the hollow and the relief's ground and sides", "mm",
    reach=(0.4, 3.0),
)  # fmt: skip
LIP: Final = NumberSetting(
    "hollow.lip", "Lip", 0.3, 10.0, 0.1, "Plain bore left at each edge of the band", "mm", reach=(0.3, 5.0)
)
REACH: Final = NumberSetting(
    "hollow.reach", "Reach", 20.0, 165.0, 1.0, "How far the hollow goes to each side of the head", "°", 1
)
CORNER: Final = NumberSetting(
    "hollow.corner", "Inner corner", 0.1, 2.0, 0.05, "Radius of the hollow's inner corners", "mm",
    touches="hollow_corner",
)  # fmt: skip
FLOOR: Final = NumberSetting(
    "hollow.floor", "Floor", 0.4, 5.0, 0.05, "Thickness of the floor above the bore", "mm", reach=(0.4, 2.0)
)
USUAL_FLOOR_MM: Final = 0.8


def _hollow() -> object:
    from ringtex.solid.hollow_options import HollowOptions

    return HollowOptions()


class FinishSection(SettingsSection):
    """Shows what the design can have; left out where that is nothing."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: TouchWatch, parent: QWidget) -> None:
        super().__init__("Finish", editor, state, watch, parent)
        self.hollow: TickRow | None = None
        self.hollow_numbers: list[NumberRow] = []
        if has_key(editor.design, "hollow"):
            self._add_hollow()
        self.stones: StoneEntries | None = None
        if has_key(editor.design, "stones"):
            self._add_stones()
        self.edits = QLabel(self.body)
        self.edits.setWordWrap(True)
        self.edits.setProperty("role", "soft")
        self.clear_edits = QPushButton("Take back all of them", self.body)
        self.clear_edits.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self.clear_edits.setToolTip("Make every cell and site as the pattern gives it; undo brings the changes back")
        self.clear_edits.clicked.connect(self._clear_edits)
        self.column.addWidget(self.edits)
        self.column.addWidget(self.clear_edits)

    def _add_hollow(self) -> None:
        hint = "Take metal out from the finger's side under the head"
        self.hollow = self.add_row(TickRow("hollow", "Hollow under the head", hint, self.editor, _hollow, None))
        self.hollow_numbers = [self.add_number(setting) for setting in (WALL, LIP, REACH, CORNER)]
        hint = "Close the hollow towards the finger; it then needs drains"
        self.floor_tick = self.add_row(
            TickRow("hollow.floor", "Closed by a floor", hint, self.editor, lambda: USUAL_FLOOR_MM, None)
        )
        self.floor = self.add_number(FLOOR)
        self.drains = DrainRows(self.editor, self.state, self.watch, self.body)
        self.column.addWidget(self.drains)
        self.drawings.append(self.drains)

    def _add_stones(self) -> None:
        self.stones = StoneEntries(self.editor, self.state, self.watch, self.body)
        self.column.addWidget(self.stones)
        self.drawings.append(self.stones)

    @property
    def inner_rows(self) -> list[SettingRow]:
        """The rows of drains and stones, whose number changes."""
        drains = [] if self.hollow is None else self.drains.rows
        return drains + ([] if self.stones is None else self.stones.rows)

    @property
    def shows(self) -> bool:
        """Whether there is anything in it."""
        return self.hollow is not None or self.stones is not None or bool(self.editor.design.edits)

    def refresh(self) -> None:
        """As always; only what the design has is shown."""
        super().refresh()
        design = self.editor.design
        if self.hollow is not None:
            hollow = self.editor.value("hollow")
            for row in (*self.hollow_numbers, self.floor_tick):
                row.setVisible(hollow is not None)
            closed = hollow is not None and hollow.floor_mm is not None
            self.floor.setVisible(closed)
            self.drains.setVisible(closed)
        self.edits.setVisible(bool(design.edits))
        self.clear_edits.setVisible(bool(design.edits))
        self.edits.setText(_edits_text(design.edits))

    def _clear_edits(self) -> None:
        self.editor.set_value("edits", EditOptions(), "take back all changes by hand")

    def summary(self) -> str:
        """What is in it."""
        parts = []
        if self.hollow is not None and self.editor.value("hollow") is not None:
            parts.append("hollow")
        if self.stones is not None and self.stones.entries:
            parts.append("stones")
        if self.editor.design.edits:
            parts.append("changed by hand")
        return ", ".join(parts)


def _edits_text(edits: EditOptions) -> str:
    said = []
    if edits.cells:
        count = len(edits.cells)
        said.append(f"{count} cell{'s' if count > 1 else ''}")
    if edits.sites:
        said.append("some sites")
    return f"Changed by hand: {' and '.join(said)}." if said else ""
