"""What is written in the bore: the words, their font, size and place."""

from __future__ import annotations

from typing import Final

from PySide6.QtWidgets import QPushButton, QSizePolicy, QVBoxLayout, QWidget

from ringtex.basics.errors import InputError
from ringtex.solid.finishing.inscription_options import InscriptionOptions
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.basic_rows import ChoiceRow, TextRow
from ringtex.window.settings.controls.font_row import FontRow
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.position_rows import PLACES, MoveRow
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor

FIRST_TEXT: Final = "always"
NUMBERS: Final = (
    NumberSetting(
        "inscription.height", "Size", InscriptionOptions, 0.1,
        "Height of capital letters", "mm", drag_span=(0.6, 4.0),
    ),
    NumberSetting(
        "inscription.depth", "Depth", InscriptionOptions, 0.05,
        "How deep the letters are cut, or how high they stand", "mm"
    ),
    NumberSetting(
        "inscription.angle", "Angle", InscriptionOptions, 1.0,
        "Where the middle of the line is: 0 the head, 180 the palm",
        "°", 1,
    ),
    NumberSetting(
        "inscription.along", "Off middle", InscriptionOptions, 0.1,
        "How far from mid-width, towards the upper edge", "mm",
        drag_span=(-4.0, 4.0),
    ),
)  # fmt: skip
CHOICES: Final = (("cut into the bore", False), ("standing on the bore", True))
TEXT_HINT: Final = "One line, read from inside the ring with the upper edge up"


class InscriptionRows(QWidget):
    """Rows where the design has an inscription; else only the button that adds one."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__(parent)
        self._editor = editor
        self.text = TextRow("inscription.text", "Text", TEXT_HINT, editor, self)
        self.font_row = FontRow("inscription.font", editor, self)
        hint = "Sunk letters last; raised ones print more finely and wear"
        self.way = ChoiceRow("inscription.raised", "Letters", CHOICES, hint, editor, "inscription", self)
        numbers = [NumberRow(setting, editor, state, parent=self) for setting in NUMBERS]
        self.places = MoveRow("inscription", PLACES, self._move, self)
        self.rows: list[SettingRow] = [self.text, self.font_row, self.way, *numbers, self.places]
        self.add = QPushButton("Add an inscription", self)
        self.add.setToolTip("Words in the bore, at the palm")
        self.remove = QPushButton("Remove the inscription", self)
        self.remove.setToolTip("Leave the bore plain")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        for row in (*self.rows, self.remove, self.add):
            column.addWidget(row)
        for button in (self.add, self.remove):
            button.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self.add.clicked.connect(self._add)
        self.remove.clicked.connect(lambda: editor.set_value("inscription", None, "remove the inscription"))
        watch.watch(self, "inscription")

    def refresh(self) -> None:
        """Show what the design says."""
        written = self._editor.design.inscription is not None
        for row in self.rows:
            row.setVisible(written)
            row.refresh()
        self.remove.setVisible(written)
        self.add.setVisible(not written)

    def _move(self, to: str) -> InputError | None:
        key, value = ("along", 0.0) if to == "middle" else ("angle", 0.0 if to == "head" else 180.0)
        return self._editor.set_value(f"inscription.{key}", value, f"move the inscription to the {to}")

    def _add(self) -> None:
        self._editor.set_value("inscription", InscriptionOptions(FIRST_TEXT), "add an inscription")
        self.text.field.setFocus()
        self.text.field.selectAll()
