"""What is done to the ring beside its pattern: hollow, stones, plain places, inscription, and changes by hand."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QLabel, QPushButton, QScrollArea, QSizePolicy, QWidget

from ringtex.design.edit_options import EditOptions
from ringtex.edits.finishing_edits import entry_of
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.entries.hollow_rows import HollowRows
from ringtex.window.settings.entries.inscription_rows import InscriptionRows
from ringtex.window.settings.entries.plain_entries import PlainEntries
from ringtex.window.settings.entries.stone_entries import StoneEntries, total_of
from ringtex.window.settings.sections.settings_section import SettingsSection

IN_SIGHT_PX = 48


class FinishingSection(SettingsSection):
    """Only what the design has is shown, and a button for each thing that it could have."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("Finish", editor, state, watch, parent)
        self.hollow = HollowRows(editor, state, watch, self.body)
        self._add_part(self.hollow)
        self.rows.extend(self.hollow.rows)
        self._add_heading("Stones")
        self.stones = StoneEntries(editor, state, watch, self.body)
        self._add_part(self.stones)
        self._add_heading("Plain places")
        self.plain = PlainEntries(editor, state, watch, self.body)
        self._add_part(self.plain)
        self._add_heading("Inscription")
        self.inscription = InscriptionRows(editor, state, watch, self.body)
        self._add_part(self.inscription)
        self.edits = QLabel(self.body)
        self.edits.setWordWrap(True)
        self.edits.setProperty("role", "soft")
        self.clear_edits = QPushButton("Take back all of them", self.body)
        self.clear_edits.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self.clear_edits.setToolTip("Make every cell and site as the pattern gives it; undo brings the changes back")
        self.clear_edits.clicked.connect(self._clear_edits)
        self.column.addWidget(self.edits)
        self.column.addWidget(self.clear_edits)
        state.finishing.revealed.connect(self._reveal)

    def _add_heading(self, text: str) -> None:
        heading = QLabel(text, self.body)
        heading.setProperty("role", "strong")
        heading.setContentsMargins(0, 8, 0, 0)
        self.column.addWidget(heading)

    def _add_part(self, part: HollowRows | StoneEntries | PlainEntries | InscriptionRows) -> None:
        self.column.addWidget(part)
        self.drawings.append(part)

    @property
    def inner_rows(self) -> list[SettingRow]:
        """The rows of drains, stones, plain places and inscription."""
        return [*self.hollow.drains.rows, *self.stones.rows, *self.plain.rows, *self._written_rows()]

    def _written_rows(self) -> list[SettingRow]:
        return self.inscription.rows if self.editor.design.inscription is not None else []

    def refresh(self) -> None:
        """Show only what the design has."""
        super().refresh()
        edits = self.editor.design.edits
        self.edits.setVisible(bool(edits))
        self.clear_edits.setVisible(bool(edits))
        self.edits.setText(_edits_text(edits))

    def show_view(self, view: View) -> None:
        """Show what the hollow saves, and positions on the ring in view."""
        self.hollow.show_view(view)
        for part in (self.stones, self.plain):
            if part.positions.show_view(view) and part.groups:
                part.refresh()

    def _clear_edits(self) -> None:
        self.editor.set_value("edits", EditOptions(), "take back all changes by hand")

    def _reveal(self, key: str) -> None:
        """Unfold an entry and scroll to it."""
        entry = entry_of(key)
        if entry is None:
            return
        group = (self.stones if entry.kind == "stones" else self.plain).reveal(entry.number)
        if group is not None:
            self.set_folded(False)
            # Its place is known only once it was laid out.
            QTimer.singleShot(0, group, lambda: self._scroll_to(group))

    def _scroll_to(self, group: QWidget) -> None:
        above: Any = self.parentWidget()
        while above is not None and not isinstance(above, QScrollArea):
            above = above.parentWidget()
        if above is not None:
            for widget in (group, getattr(group, "header", group)):
                above.ensureWidgetVisible(widget, 0, IN_SIGHT_PX)

    def summary(self) -> str:
        """What is in it."""
        design = self.editor.design
        parts = []
        if design.hollow is not None:
            parts.append("hollow")
        count, _ = total_of(design.stones)
        if count:
            parts.append(f"{count} stone{'s' if count > 1 else ''}")
        if design.plain:
            parts.append("plain places" if len(design.plain) > 1 else "plain place")
        if design.inscription is not None:
            parts.append("inscription")
        if design.edits:
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
