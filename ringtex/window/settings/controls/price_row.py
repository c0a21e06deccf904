"""What a gram of the alloy costs: the user's own figure, kept with the window and not with the design."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QWidget

from ringtex.basics.errors import InputError
from ringtex.checks.making.weights import MAX_PRICE, checked_price
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.entry_field import EntryField
from ringtex.window.settings.controls.number_text import number_of, text_of
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor

HINT = (
    "What a gram of this alloy costs you, in your own currency; the readings then say what the metal as cast costs. "
    "Empty for none. Kept on this computer, not in the design"
)


class PriceRow(SettingRow):
    """A price for each alloy; empty where none was given."""

    def __init__(self, editor: DesignEditor, state: ViewState, parent: QWidget) -> None:
        super().__init__("price", "price", parent)
        self._editor, self._finishing = editor, state.finishing
        name = QLabel("Price of the metal", self)
        name.setWordWrap(True)
        self.field = EntryField("Price of the metal per gram", "0000.00", self)
        self.field.setAccessibleDescription(HINT)
        self.field.setPlaceholderText("none")
        name.setBuddy(self.field)
        unit = QLabel("per g", self)
        unit.setProperty("role", "soft")
        self.setToolTip(HINT)
        self.line.addWidget(name, 1)
        self.line.addWidget(self.field)
        self.line.addWidget(unit)
        self.field.entered.connect(self._enter)
        self.field.restored.connect(self.clear_explanation)
        self._finishing.prices_changed.connect(self.refresh)

    @property
    def price(self) -> float | None:
        """The price of the design's alloy."""
        return self._finishing.prices.get(self._editor.design.make.alloy)

    def refresh(self) -> None:
        """Show the price of the design's alloy."""
        self.field.show_text(self._text())
        if not self.field.half_typed:
            self.clear_explanation()

    def matches_design(self) -> bool:
        """Whether the field shows the price."""
        return self.field.text() == self._text() or bool(self.explained)

    def _text(self) -> str:
        return "" if self.price is None else text_of(self.price, 2)

    def _enter(self, text: str) -> None:
        price: float | None = None
        try:
            if text.strip():
                price = checked_price(number_of(text, "", whole=False, where="price"))
        except InputError as error:
            self.explain(InputError(error.message, f"Give 0 to {MAX_PRICE:g}, or nothing", "price"))
            return
        self._finishing.set_price(self._editor.design.make.alloy, price)
        self.field.show_text(self._text(), replacing=True)
        self.clear_explanation()
