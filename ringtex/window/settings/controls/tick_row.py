"""A yes or no of the design."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QCheckBox, QWidget

from ringtex.edits.design_keys import has_key
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor


class TickRow(SettingRow):
    """A box to tick. `when_on` and `when_off` make the key's values; a key counts as on unless it has the off value."""

    def __init__(
        self,
        key: str,
        label: str,
        hint: str,
        editor: DesignEditor,
        when_on: Callable[[], object] = lambda: True,
        when_off: object = False,
        touched: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(key, touched or key.rsplit(".", 1)[-1], parent)
        self._editor = editor
        self._on, self._off = when_on, when_off
        self._change_label = f"change {label[0].lower()}{label[1:]}"
        self.box = QCheckBox(label, self)
        self.box.setAccessibleName(label)
        self.box.setAccessibleDescription(hint)
        self.setToolTip(hint)
        self.line.addWidget(self.box, 1)
        self.box.clicked.connect(self._tick)

    def refresh(self) -> None:
        """Show what the design says."""
        if has_key(self._editor.design, self.key):
            self.box.setChecked(self._editor.value(self.key) != self._off)
            self.clear_explanation()

    def matches_design(self) -> bool:
        """Whether the box shows what the design says."""
        return self.box.isChecked() == bool(self._editor.value(self.key) != self._off)

    def _tick(self, on: bool) -> None:
        error = self._editor.set_value(self.key, self._on() if on else self._off, self._change_label)
        self.refresh()
        if error is not None:
            self.explain(error)
