"""The panels: framed rectangles of the ring, each with its place, size and cells."""

from __future__ import annotations

from typing import Any, Final

from PySide6.QtWidgets import QWidget

from ringtex.edits.panel_edits import next_panel
from ringtex.edits.pattern_ties import EVEN_FAMILIES
from ringtex.pattern.lattice.families import family_label
from ringtex.pattern.panels.panel_options import MAX_PANELS, Panel
from ringtex.pattern.pattern_options import FREE_FORM_FAMILIES, PatternOptions
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.entry_rows import EntryRows
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.picture_choice import PictureChoice
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.choice_pictures import cell_family_pictures
from ringtex.window.settings.entries.stone_entries import at
from ringtex.window.settings.entries.zone_entries import DEPTH, FEW_FAMILIES, ROUNDING, own_pattern

AROUND, ACROSS, SEED, SCATTER = own_pattern("panel", "Repeats round the ring within this panel", 60)
EVENNESS: Final = NumberSetting(
    "pattern.evenness", "Evenness", PatternOptions, 0.05, "How nearly equal this panel's cells are on the ring"
)
ALONG: Final = NumberSetting(
    "u", "Place round", Panel, 0.01, "Its middle round the ring: 0 and 1 are the palm, 0.5 is the head",
    drag_span=(0.0, 1.0),
)  # fmt: skip
OVER: Final = NumberSetting(
    "v", "Place across", Panel, 0.01, "Its middle across the ring, from the lower edge 0 to the upper 1",
    drag_span=(0.0, 1.0),
)  # fmt: skip
WIDTH: Final = NumberSetting(
    "width", "Width", Panel, 0.1, "Round the ring on the strip, with its frame", "mm", drag_span=(1.0, 24.0)
)
HEIGHT: Final = NumberSetting(
    "height", "Height", Panel, 0.1, "Across the ring on the strip; near a rail it ends there", "mm",
    drag_span=(1.0, 16.0),
)  # fmt: skip
FRAME: Final = NumberSetting(
    "frame", "Frame", Panel, 0.05, "Level border between its cells and those round it", "mm", drag_span=(0.1, 2.0)
)


class PanelEntries(EntryRows):
    """Framed rectangles in the ring's pattern."""

    noun = "panel"

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("panels", editor, state, watch, parent)
        hint = "A framed rectangle with cells of its own, at the head or the next free place"
        self.add = self.add_button("Add a panel", hint, lambda _: next_panel(editor.design))

    def rows_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """Cells, place, size and relief.

        Parameters:
            index: of the entry in its list.
            kind: of the entry's options.
            holder: owner of the rows.
        Returns: the rows.
        """
        key, editor, state = f"{self.key}[{index}]", self.editor, self.state
        pictures = cell_family_pictures()
        family = PictureChoice(f"{key}.pattern.family", "Family", pictures, editor, state, holder, FEW_FAMILIES)
        made: list[SettingRow] = [family]
        for setting in (AROUND, ACROSS, SEED, SCATTER, EVENNESS):
            made.append(NumberRow(at(setting, key), editor, state, setting is ACROSS, parent=holder))
        for setting in (ALONG, OVER, WIDTH, HEIGHT, FRAME, DEPTH):
            made.append(NumberRow(at(setting, key), editor, state, parent=holder))
        made.append(NumberRow(at(ROUNDING, key), editor, state, True, parent=holder, auto_value=None))
        return made

    def refresh(self) -> None:
        """Show what auto is."""
        super().refresh()
        design = self.editor.design
        self.add.setEnabled(len(design.panels) < MAX_PANELS and not design.zones)
        self.setVisible(bool(design.panels) or (not design.zones and design.pattern.family not in FREE_FORM_FAMILIES))
        for group, panel in zip(self.groups, design.panels, strict=True):
            for row in group.rows:
                if row.key.endswith(".evenness"):
                    row.setVisible(panel.pattern.family in EVEN_FAMILIES)
                elif row.key.endswith(".rounding") and isinstance(row, NumberRow):
                    row.set_auto_number(design.relief.rounding)

    def show_view(self, view: View) -> None:
        """Show the rows that auto came to."""
        for group, panel in zip(self.groups, view.built.pattern.panels, strict=False):
            for row in group.rows:
                if isinstance(row, NumberRow) and row.key.endswith(".across"):
                    row.set_auto_number(panel.pattern.across)

    def title_of(self, index: int, entry: Any) -> tuple[str, str]:
        """By its number, with its cells and size."""
        size = f"{entry.width_mm:.2f} × {entry.height_mm:.2f} mm"
        return f"{index + 1}  Panel", f"{family_label(entry.pattern.family)}, {size}"
