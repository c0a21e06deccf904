"""The zones: each with its pattern, its width and the rail below it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from PySide6.QtWidgets import QPushButton, QWidget

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.edits.zone_edits import first_zone_pattern, why_no_zone, with_zone_added, with_zone_moved, without_zone
from ringtex.pattern.lattice.families import family_label
from ringtex.pattern.pattern_options import PatternOptions
from ringtex.pattern.zone_options import ZoneOptions
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.basic_rows import TickRow
from ringtex.window.settings.controls.entry_rows import EntryRows
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.picture_choice import PictureChoice
from ringtex.window.settings.controls.position_rows import MoveRow
from ringtex.window.settings.controls.setting_row import SettingRow, sentence
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.choice_pictures import cell_family_pictures
from ringtex.window.settings.entries.stone_entries import at

WIDTH: Final = NumberSetting(
    "width", "Width", ZoneOptions, 0.05, "On the strip; auto is an even part of what the other zones leave", "mm",
    drag_span=(0.3, 8.0),
)  # fmt: skip
RAIL: Final = NumberSetting(
    "rail", "Rail below", ZoneOptions, 0.05, "Plain border to the zone below; 0: they share a line", "mm",
    drag_span=(0.0, 2.0),
)  # fmt: skip
BLEND: Final = NumberSetting(
    "blend", "Blend below", ZoneOptions, 0.05,
    "How far to both sides of the border below the relief fades out; 0: a clean border", "mm", drag_span=(0.0, 4.0),
)  # fmt: skip
DEPTH: Final = NumberSetting(
    "depth", "Depth", ZoneOptions, 0.05, "Multiple of the relief's depth; below 0 the cells go the other way"
)
ROUNDING: Final = NumberSetting(
    "rounding", "Rounding", ZoneOptions, 0.05, "Of its cells in plan, 0 sharp to 1 round; auto is the relief's"
)


def own_pattern(noun: str, around_hint: str, most_around: float) -> tuple[NumberSetting, ...]:
    """Around, across, seed and scatter of the pattern of a zone or panel.

    Parameters:
        noun: "zone" or "panel".
        around_hint: tool tip of around.
        most_around: where a drag of around ends.
    Returns: the four settings.
    """
    return (
        NumberSetting(
            "pattern.around", "Around", PatternOptions, 1, around_hint, decimals=0, drag_span=(3, most_around)
        ),
        NumberSetting(
            "pattern.across", "Across", PatternOptions, 1, f"Rows of repeats across this {noun}",
            decimals=0, drag_span=(1, 12),
        ),
        NumberSetting(
            "pattern.seed", "Seed", PatternOptions, 1, f"Start of this {noun}'s random choices",
            decimals=0, drag_span=(0, 100),
        ),
        NumberSetting("pattern.scatter", "Scatter", PatternOptions, 0.05, f"How irregular this {noun}'s cells are"),
    )  # fmt: skip


AROUND, ACROSS, SEED, SCATTER = own_pattern("zone", "Repeats of this zone's pattern round the ring", 120)
ADD_HINT: Final = "A band with a pattern of its own: the first one in the middle, later ones on top"
FEW_FAMILIES: Final = 6
"""Shown until all are asked for."""


MOVES: Final = (("up", "Exchange it with the zone above"), ("down", "Exchange it with the zone below"))


class ZoneEntries(EntryRows):
    """Bands across the ring, from the lower edge up."""

    noun = "zone"

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("zones", editor, state, watch, parent)
        self.add = QPushButton("Add a zone", self.adders)
        self.add.clicked.connect(self.add_zone)
        self.put_button(self.add)

    def rows_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """Pattern, width, rail and relief.

        Parameters:
            index: of the entry in its list.
            kind: of the entry's options.
            holder: owner of the rows.
        Returns: the rows.
        """
        key, editor, state = f"{self.key}[{index}]", self.editor, self.state
        hint = "Its own cells in place of the ring's pattern, which zones without share"
        pictures = cell_family_pictures()
        made: list[SettingRow] = [
            TickRow(
                f"{key}.pattern", "Pattern of its own", hint, editor, lambda: first_zone_pattern(editor.design), None,
                key, holder,
            ),
            PictureChoice(f"{key}.pattern.family", "Family", pictures, editor, state, holder, FEW_FAMILIES),
        ]  # fmt: skip
        for setting in (AROUND, ACROSS, SEED, SCATTER):
            made.append(NumberRow(at(setting, key), editor, state, setting is ACROSS, parent=holder))
        for setting in (WIDTH, RAIL, BLEND, DEPTH, ROUNDING):
            automatic = setting in (WIDTH, ROUNDING)
            made.append(NumberRow(at(setting, key), editor, state, automatic, parent=holder, auto_value=None))
        hint = "Turned over, so that its lower edge is up"
        made.append(TickRow(f"{key}.mirrored", "Mirrored", hint, editor, highlight_name=key, parent=holder))
        made.append(MoveRow(key, MOVES, lambda to: self._move(index, to), holder, "Move"))
        return made

    def refresh(self) -> None:
        """Show only what each zone has."""
        super().refresh()
        zones = self.entries
        why_not = why_no_zone(self.editor.design)
        self.add.setEnabled(not why_not)
        self.add.setToolTip(why_not or ADD_HINT)
        self.add.setAccessibleDescription(why_not or ADD_HINT)
        for index, (group, zone) in enumerate(zip(self.groups, zones, strict=True)):
            for row in group.rows:
                if ".pattern." in row.key:
                    row.setVisible(zone.pattern is not None)
                elif row.key.endswith((".rail", ".blend")):
                    row.setVisible(index > 0)
                elif row.key.endswith(".rounding") and isinstance(row, NumberRow):
                    row.set_auto_number(self.editor.design.relief.rounding)
                elif isinstance(row, MoveRow):
                    row.buttons["up"].setEnabled(index + 1 < len(zones))
                    row.buttons["down"].setEnabled(index > 0)

    def show_view(self, view: View) -> None:
        """Show the widths and rows that auto came to."""
        for group, zone in zip(self.groups, view.built.pattern.zones, strict=False):
            tiling = zone.pattern.tiling
            for row in group.rows:
                if isinstance(row, NumberRow) and row.key.endswith("].width"):
                    row.set_auto_number(round(tiling.upper - tiling.lower, 2))
                elif isinstance(row, NumberRow) and row.key.endswith(".across"):
                    row.set_auto_number(zone.pattern.across)

    def title_of(self, index: int, entry: Any) -> tuple[str, str]:
        """By its number, counted from the lower edge, with its cells."""
        what = "the ring's pattern" if entry.pattern is None else family_label(entry.pattern.family)
        width = "" if entry.width_mm is None else f", {entry.width_mm:.2f} mm"
        return f"{index + 1}  Zone", f"{what}{width}"

    def add_zone(self) -> None:
        """One more; the first time a band in the middle."""
        self._opens_next = True
        self._take(with_zone_added, "add a zone")
        self._opens_next = False

    def remove_entry(self, index: int) -> None:
        """Take one zone away."""
        self._take(lambda design: without_zone(design, index), "remove a zone")

    def _move(self, index: int, to: str) -> InputError | None:
        step = 1 if to == "up" else -1
        return self._change(lambda design: with_zone_moved(design, index, step), "move a zone")

    def _take(self, change: Callable[[Design], Design], label: str) -> None:
        error = self._change(change, label)
        if error is not None:
            self.message.setText(sentence(error))
            self.message.setVisible(True)

    def _change(self, change: Callable[[Design], Design], label: str) -> InputError | None:
        try:
            made = change(self.editor.design)
        except InputError as error:
            return error
        return self.editor.set_values({"pattern": made.pattern, "zones": made.zones}, label)
