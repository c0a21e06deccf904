"""A line of text of the design."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from ringtex.edits.design_keys import has_key
from ringtex.window.settings.controls.entry_field import EntryField
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor


class TextField(EntryField):
    """As wide as there is room, read from the left."""

    def __init__(self, name: str, parent: QWidget) -> None:
        super().__init__(name, parent=parent)
        self.setAlignment(Qt.AlignmentFlag.AlignLeft)

    def _fit(self) -> None:
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMinimumWidth(self.fontMetrics().horizontalAdvance("m" * 8))


class TextRow(SettingRow):
    """Some words: taken on Enter or when the line is left."""

    def __init__(self, key: str, label: str, hint: str, editor: DesignEditor, parent: QWidget) -> None:
        super().__init__(key, key.split(".", maxsplit=1)[0], parent)
        self._editor = editor
        self._change_label = f"change the {label.lower()}"
        name = QLabel(label, self)
        self.field = TextField(label, self)
        self.field.setAccessibleDescription(hint)
        name.setBuddy(self.field)
        self.setToolTip(hint)
        self.line.addWidget(name)
        self.line.addWidget(self.field, 1)
        self.field.entered.connect(self._enter)
        self.field.restored.connect(self.clear_explanation)

    def refresh(self) -> None:
        """Show the design's text."""
        if has_key(self._editor.design, self.key):
            typing = self.field.hasFocus() and self.field.half_typed
            self.field.show_text(str(self._editor.value(self.key)))
            if not (typing and self.field.half_typed):
                self.clear_explanation()

    def matches_design(self) -> bool:
        """Whether the line shows the design's text, or says why it shows another."""
        return self.field.text() == self._editor.value(self.key) or bool(self.explained)

    def _enter(self, text: str) -> None:
        error = self._editor.set_value(self.key, text, self._change_label)
        if error is not None:
            self.explain(error)
        else:
            self.field.show_text(str(self._editor.value(self.key)), replacing=True)
            self.clear_explanation()
