"""Entries of a list in the design, such as drains or stones: each with its own rows, added, removed and folded."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from ringtex.basics.errors import InputError
from ringtex.edits.design_keys import has_key
from ringtex.window.appearance.flow_layout import FlowLayout
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.fold_section import FoldSection
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.setting_row import SettingRow, sentence
from ringtex.window.settings.design_editor import DesignEditor


def placing_button(text: str, hint: str, what: str, state: ViewState, parent: QWidget) -> QPushButton:
    """A button that stays down while clicks place `what`, "stone" or "plain".

    Parameters:
        text: on the button.
        hint: tool tip.
        what: "stone" or "plain".
        state: what the views share.
        parent: owner of the widget.
    Returns: the button.
    """
    button = QPushButton(text, parent)
    button.setCheckable(True)
    button.setToolTip(hint)
    button.setAccessibleName(f"{text}: {what}")
    button.setAccessibleDescription(hint)
    finishing = state.finishing
    button.clicked.connect(lambda on: finishing.set_placing(what if on else None))
    finishing.placing_changed.connect(lambda: button.setChecked(finishing.placing == what))
    return button


Maker = Callable[[QWidget], list[SettingRow]]


class EntryGroup(FoldSection):
    """One entry: its title, which folds its rows, and the button that takes it away.

    details: rows that few want, folded apart under their own name.
    """

    def __init__(self, rows_of: Maker, details_of: Maker, details: str, state: ViewState, parent: QWidget) -> None:
        super().__init__("", state, parent)
        self.rows = rows_of(self.body)
        self.column.setContentsMargins(8, 0, 0, 8)
        for row in self.rows:
            self.column.addWidget(row)
        inner = details_of(self.body)
        self.details: FoldSection | None = None
        if inner:
            self.details = FoldSection(details, state, self.body)
            self.details.set_folded(True)
            self.details.column.setContentsMargins(8, 0, 0, 0)
            for row in inner:
                row.setParent(self.details.body)
                self.details.column.addWidget(row)
            self.column.addWidget(self.details)
        self.rows += inner
        self.remove = QToolButton(self)
        self.remove.setText("Remove")
        self.remove.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._put_beside_title(self.remove)

    def _put_beside_title(self, button: QWidget) -> None:
        outer = self.layout()
        assert isinstance(outer, QVBoxLayout)
        outer.removeWidget(self.header)
        line = QHBoxLayout()
        line.setSpacing(4)
        line.addWidget(self.header, 1)
        line.addWidget(button)
        outer.insertLayout(0, line)

    @property
    def title(self) -> QWidget:
        """What says which entry it is; its `text()` is all that it says."""
        return self.header

    def set_title(self, title: str, summary: str) -> None:
        """Say which entry it is, and the rest in a softer tone."""
        self.header.title = title
        self.header.setText(f"{title}, {summary}" if summary else title)
        self.header.set_summary(summary)
        self.header.setToolTip(f"Fold or unfold {title}")
        self.header.updateGeometry()


class EntryRows(QWidget):
    """A group for each entry of the list at `key`, made anew where their number or kind changes."""

    noun = "entry"
    details = ""

    def __init__(self, key: str, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__(parent)
        self.key = key
        self.editor, self.state, self._watch = editor, state, watch
        self._kinds: list[type] = []
        self._opens_next = False
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
        self._column.setSpacing(4)
        self._column.addWidget(self.message)
        self._column.addWidget(self.adders)

    # --- what a list says of itself

    def rows_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """The rows of an entry.

        Parameters:
            index: of the entry in its list.
            kind: of the entry's options.
            holder: owner of the rows.
        Returns: the rows.
        """
        raise NotImplementedError

    def details_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """The rows of an entry that few want, folded under `details`.

        Parameters:
            index: of the entry in its list.
            kind: of the entry's options.
            holder: owner of the rows.
        Returns: the rows.
        """
        return []

    def title_of(self, index: int, entry: Any) -> tuple[str, str]:
        """What an entry is called, and what it is like in a few words."""
        raise NotImplementedError

    # --- the rest is the same for all

    def add_button(self, text: str, hint: str, make: Callable[[tuple[Any, ...]], object]) -> QPushButton:
        """A button that adds an entry; `make` is given those that are there.

        Parameters:
            text: on the button.
            hint: tool tip.
            make: gives the new entry from those that are there.
        Returns: the button.
        """
        button = QPushButton(text, self.adders)
        button.setToolTip(hint)
        label = f"{text[0].lower()}{text[1:]}"
        button.clicked.connect(lambda: self._add(make, label))
        self.put_button(button)
        return button

    def put_button(self, button: QPushButton) -> None:
        """Put a button in the row under the entries."""
        layout = self.adders.layout()
        assert layout is not None
        layout.addWidget(button)

    def _add(self, make: Callable[[tuple[Any, ...]], object], label: str) -> None:
        try:
            entry = make(self.entries)
        except InputError as error:
            self._say(error)
            return
        self._opens_next = True
        self.set_entries((*self.entries, entry), label)
        self._opens_next = False

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
            self._make_group(kind, opened=self._opens_next or len(kinds) == 1)
        for index, (group, entry) in enumerate(zip(self.groups, self.entries, strict=True)):
            group.set_title(*self.title_of(index, entry))
            for row in group.rows:
                row.refresh()
        self.message.setVisible(False)

    def reveal(self, index: int) -> QWidget | None:
        """Unfold an entry and fold the others; gives its group, None where there is no such entry."""
        if index >= len(self.groups):
            return None
        for number, group in enumerate(self.groups):
            group.set_folded(number != index)
        return self.groups[index]

    def _drop_group(self) -> None:
        self._kinds.pop()
        group = self.groups.pop()
        group.hide()
        group.deleteLater()

    def _make_group(self, kind: type, opened: bool) -> None:
        index = len(self.groups)
        group = EntryGroup(
            lambda holder: self.rows_of(index, kind, holder),
            lambda holder: self.details_of(index, kind, holder),
            self.details,
            self.state,
            self,
        )
        group.set_folded(not opened)
        group.remove.setAccessibleName(f"Remove {self.noun} {index + 1}")
        group.remove.setToolTip(f"Remove this {self.noun}")
        group.remove.clicked.connect(lambda: self.remove_entry(index))
        self._watch.watch(group, f"{self.key}[{index}]")
        self._column.insertWidget(index, group)
        self._kinds.append(kind)
        self.groups.append(group)
        group.show()

    def remove_entry(self, index: int) -> None:
        """Take one entry away."""
        entries = self.entries
        self.set_entries(entries[:index] + entries[index + 1 :], f"remove a {self.noun}")

    def set_entries(self, entries: tuple[Any, ...], label: str) -> InputError | None:
        """Change the list as one step. Gives why not, and says it."""
        error = self.editor.set_values({self.key: entries}, label)
        if error is not None:
            self._say(error)
        return error

    def _say(self, error: InputError) -> None:
        self.message.setText(sentence(error))
        self.message.setVisible(True)
