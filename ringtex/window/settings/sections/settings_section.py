"""One part of the column: its rows, its drawings, its summary."""

from __future__ import annotations

from typing import Protocol, TypeVar

from PySide6.QtWidgets import QMenu, QSizePolicy, QToolButton, QWidget

from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.fold_section import FoldSection
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor

Row = TypeVar("Row", bound=SettingRow)


class Refreshing(Protocol):
    """What shows something of the design."""

    def refresh(self) -> None:
        """Show what the design says."""


class SettingsSection(FoldSection):
    """Rows in the order of the job. A section whose `shows` is False is left out."""

    def __init__(
        self, title: str, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget | None = None
    ) -> None:
        super().__init__(title, state, parent)
        self.editor = editor
        self.state = state
        self.watch = watch
        self.rows: list[SettingRow] = []
        self.drawings: list[Refreshing] = []

    def add_row(self, row: Row) -> Row:
        """Put a row at the end."""
        self.rows.append(row)
        self.column.addWidget(row)
        self.watch.watch(row, row.highlight_name)
        return row

    def add_number(self, setting: NumberSetting, automatic: bool = False) -> NumberRow:
        """Put a number at the end."""
        return self.add_row(NumberRow(setting, self.editor, self.state, automatic, self.body))

    def add_menu(self, text: str, hint: str) -> QToolButton:
        """Put a button at the end that drops down a menu."""
        button = QToolButton(self.body)
        button.setText(text)
        button.setToolTip(hint)
        button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        menu = QMenu(button)
        menu.setToolTipsVisible(True)
        button.setMenu(menu)
        self.column.addWidget(button)
        return button

    def number(self, key: str) -> NumberRow:
        """The row of a number. Raises: StopIteration for no such key."""
        return next(row for row in self.rows if isinstance(row, NumberRow) and row.key == key)

    @property
    def inner_rows(self) -> list[SettingRow]:
        """Rows that lie deeper, such as those of entries or of a fold."""
        return []

    @property
    def shows(self) -> bool:
        """Whether the design has what this section is about."""
        return True

    def refresh(self) -> None:
        """Show what the design says. Never changes it."""
        self.setVisible(self.shows)
        self.show_message("")
        for row in self.rows:
            row.refresh()
        for drawing in self.drawings:
            drawing.refresh()
        self.header.set_summary(self.summary())

    def summary(self) -> str:
        """The section in a few words."""
        return ""

    def show_view(self, view: View) -> None:
        """Show what only the built ring knows."""
