"""Entries of a list in the design, such as drains or stones: each with its own rows, added and removed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtWidgets import QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from ringtex.basics.errors import InputError
from ringtex.window.flow_layout import FlowLayout
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.design_keys import has_key
from ringtex.window.settings.setting_row import SettingRow, sentence
from ringtex.window.settings.touch_watch import TouchWatch
from ringtex.window.view_state import ViewState


class EntryGroup(QWidget):
    """One entry: its title, its rows, and the button that takes it away."""

    def __init__(self, rows_of: Callable[[QWidget], list[SettingRow]], remove: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.title = QLabel(self)
        self.title.setProperty("role", "strong")
        self.title.setWordWrap(True)
        self.rows = rows_of(self)
        self.remove = QPushButton(remove, self)
        self.remove.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 4, 0, 0)
        column.setSpacing(8)
        for part in (self.title, *self.rows, self.remove):
            column.addWidget(part)


class EntryRows(QWidget):
    """A group for each entry of the list at `key`, made anew where their number or kind changes."""

    def __init__(self, key: str, editor: DesignEditor, state: ViewState, watch: TouchWatch, parent: QWidget) -> None:
        super().__init__(parent)
        self.key = key
        self.editor, self.state, self._watch = editor, state, watch
        self._touched = key.rsplit(".", 1)[-1]
        self._kinds: list[type] = []
        self.groups: list[EntryGroup] = []
        self.message = QLabel(self)
        self.message.setProperty("role", "explanation")
        self.message.setWordWrap(True)
        self.message.setVisible(False)
        self.adders = QWidget(self)
        flow = FlowLayout(self.adders, 8)
        flow.setContentsMargins(0, 0, 0, 0)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.adders.setSizePolicy(policy)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(8)
        self._column.addWidget(self.message)
        self._column.addWidget(self.adders)

    # --- what a list says of itself

    def rows_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """The rows of an entry."""
        raise NotImplementedError

    def title_of(self, index: int, entry: Any) -> str:
        """What an entry is called."""
        raise NotImplementedError

    # --- the rest is the same for all

    def add_button(self, text: str, hint: str, make: Callable[[tuple[Any, ...]], object]) -> QPushButton:
        """A button that adds an entry; `make` is given those that are there."""
        button = QPushButton(text, self.adders)
        button.setToolTip(hint)
        label = f"{text[0].lower()}{text[1:]}"
        button.clicked.connect(lambda: self.set_entries((*self.entries, make(self.entries)), label))
        layout = self.adders.layout()
        assert layout is not None
        layout.addWidget(button)
        return button

    @property
    def rows(self) -> list[SettingRow]:
        """Every row of every entry."""
        return [row for group in self.groups for row in group.rows]

    @property
    def entries(self) -> tuple[Any, ...]:
        """The design's entries; none where it has no such list."""
        return tuple(self.editor.value(self.key)) if has_key(self.editor.design, self.key) else ()

    def refresh(self) -> None:
        """As many groups as there are entries."""
        kinds = [type(entry) for entry in self.entries]
        while self._kinds != kinds[: len(self._kinds)]:
            self._drop_group()
        for kind in kinds[len(self._kinds) :]:
            self._make_group(kind)
        for index, (group, entry) in enumerate(zip(self.groups, self.entries, strict=True)):
            group.title.setText(self.title_of(index, entry))
            for row in group.rows:
                row.refresh()
        self.message.setVisible(False)

    def _drop_group(self) -> None:
        self._kinds.pop()
        group = self.groups.pop()
        group.hide()
        group.deleteLater()

    def _make_group(self, kind: type) -> None:
        index = len(self.groups)
        group = EntryGroup(lambda holder: self.rows_of(index, kind, holder), "Remove", self)
        group.remove.setAccessibleName(f"Remove {self._touched.rstrip('s')} {index + 1}")
        group.remove.clicked.connect(lambda: self.remove_entry(index))
        self._watch.watch(group, self._touched)
        self._column.insertWidget(index, group)
        self._kinds.append(kind)
        self.groups.append(group)
        group.show()

    def remove_entry(self, index: int) -> None:
        """Take one entry away."""
        entries = self.entries
        self.set_entries(entries[:index] + entries[index + 1 :], f"remove a {self._touched.rstrip('s')}")

    def set_entries(self, entries: tuple[Any, ...], label: str) -> InputError | None:
        """Change the list as one step. Gives why not, and says it."""
        error = self.editor.set_values({self.key: entries}, label)
        if error is not None:
            self.message.setText(sentence(error))
            self.message.setVisible(True)
        return error
