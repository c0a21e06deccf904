"""The drains of a closed hollow: each with its place and size."""

from __future__ import annotations

from typing import Any, Final

from PySide6.QtWidgets import QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.design_keys import has_key
from ringtex.window.settings.number_row import NumberRow
from ringtex.window.settings.number_setting import NumberSetting
from ringtex.window.settings.setting_row import sentence
from ringtex.window.settings.touch_watch import TouchWatch
from ringtex.window.view_state import ViewState

MOST_DRAINS: Final = 24
"""As many as the panel adds; more would be a sieve."""


def _settings(index: int) -> tuple[NumberSetting, ...]:
    key = f"hollow.drains[{index}]"
    return (
        NumberSetting(f"{key}.angle", "Angle", -180.0, 180.0, 1.0, "Where it is: 0 is the head", "°", 1, "drains"),
        NumberSetting(
            f"{key}.along", "Off middle", -20.0, 20.0, 0.1, "How far from the middle of the width", "mm", 2, "drains",
            (-5.0, 5.0),
        ),
        NumberSetting(f"{key}.diameter", "Diameter", 0.5, 5.0, 0.1, "Diameter of the hole", "mm", 2, "drains"),
    )  # fmt: skip


class DrainRows(QWidget):
    """One group of rows for each drain, made anew where their number changes."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: TouchWatch, parent: QWidget) -> None:
        super().__init__(parent)
        self._editor, self._state, self._watch = editor, state, watch
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(8)
        self.groups: list[tuple[QWidget, list[NumberRow]]] = []
        self.add = QPushButton("Add a drain", self)
        self.add.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self.add.setToolTip("One more hole through the floor")
        self.add.clicked.connect(self._add)
        self.message = QLabel(self)
        self.message.setProperty("role", "error")
        self.message.setWordWrap(True)
        self.message.setVisible(False)
        self._column.addWidget(self.message)
        self._column.addWidget(self.add)

    @property
    def rows(self) -> list[NumberRow]:
        """Every number of every drain."""
        return [row for _, rows in self.groups for row in rows]

    def _drains(self) -> tuple[Any, ...]:
        key = "hollow.drains"
        return self._editor.value(key) if has_key(self._editor.design, key) else ()

    def refresh(self) -> None:
        """As many groups as there are drains."""
        count = len(self._drains())
        while len(self.groups) > count:
            holder, _ = self.groups.pop()
            holder.hide()
            holder.deleteLater()
        while len(self.groups) < count:
            self._make_group(len(self.groups))
        for row in self.rows:
            row.refresh()
        self.message.setVisible(False)
        self.add.setEnabled(count < MOST_DRAINS)

    def _make_group(self, index: int) -> None:
        holder = QWidget(self)
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        rows = [NumberRow(setting, self._editor, self._state, parent=holder) for setting in _settings(index)]
        remove = QPushButton(f"Remove drain {index + 1}", holder)
        remove.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        remove.clicked.connect(lambda: self._remove(index))
        for part in (*rows, remove):
            column.addWidget(part)
            self._watch.watch(part, "drains")
        self._column.insertWidget(len(self.groups), holder)
        self.groups.append((holder, rows))

    def _add(self) -> None:
        from ringtex.solid.hollow_options import Drain

        taken = {drain.angle_deg for drain in self._drains()}
        angle = next(float(a) for a in (0, 30, -30, 60, -60, 15, -15, *range(-90, 91)) if float(a) not in taken)
        self._set((*self._drains(), Drain(angle)), "add a drain")

    def _remove(self, index: int) -> None:
        drains = self._drains()
        self._set(drains[:index] + drains[index + 1 :], "remove a drain")

    def _set(self, drains: tuple[Any, ...], label: str) -> None:
        error = self._editor.set_values({"hollow.drains": drains}, label)
        if error is not None:
            self.message.setText(sentence(error))
            self.message.setVisible(True)
