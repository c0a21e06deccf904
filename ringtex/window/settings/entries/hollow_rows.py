"""The hollow's part of the settings: its measures, its floor and drains, and the metal that it saves."""

from __future__ import annotations

from typing import Any, Final

from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from ringtex.checks.making.alloys import weight_g
from ringtex.edits.finishing_edits import new_drain
from ringtex.solid.finishing.hollow_options import Drain, HollowOptions
from ringtex.window.appearance.theme import even_figures
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.basic_rows import TickRow
from ringtex.window.settings.controls.entry_rows import EntryRows
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor


class DrainRows(EntryRows):
    """Holes through the floor."""

    noun = "drain"

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("hollow.drains", editor, state, watch, parent)
        self.add = self.add_button("Add a drain", "One more hole through the floor", new_drain)

    def rows_of(self, index: int, kind: type, holder: QWidget) -> list[SettingRow]:
        """Angle, place across, diameter.

        Parameters:
            index: of the entry in its list.
            kind: of the entry's options.
            holder: owner of the rows.
        Returns: the rows.
        """
        key = f"hollow.drains[{index}]"
        settings = (
            NumberSetting(f"{key}.angle", "Angle", Drain, 1.0, "Where it is: 0 is the head", "°", 1, key),
            NumberSetting(
                f"{key}.along", "Off middle", Drain, 0.1, "How far from the middle of the width", "mm",
                highlight=key, drag_span=(-5.0, 5.0),
            ),
            NumberSetting(f"{key}.diameter", "Diameter", Drain, 0.1, "Of the hole", "mm", highlight=key),
        )  # fmt: skip
        return [NumberRow(setting, self.editor, self.state, parent=holder) for setting in settings]

    def title_of(self, index: int, entry: Any) -> tuple[str, str]:
        """By its number, with its place and size."""
        return f"Drain {index + 1}", f"{entry.diameter_mm:g} mm at {entry.angle_deg:g}°"


WALL: Final = NumberSetting(
    "hollow.wall", "Wall", HollowOptions, 0.05,
    "Least metal between the hollow and the relief's ground and sides; about 1 is usual (common practice, no source)",
    "mm", drag_span=(0.4, 3.0),
)  # fmt: skip
LIP: Final = NumberSetting(
    "hollow.lip",
    "Lip",
    HollowOptions,
    0.1,
    "Plain bore left at each edge, at least as much as the wall",
    "mm",
    drag_span=(0.3, 5.0),
)
REACH: Final = NumberSetting(
    "hollow.reach", "Reach", HollowOptions, 1.0, "How far the hollow goes to each side of the head", "°", 1
)
CORNER: Final = NumberSetting(
    "hollow.corner", "Inner corner", HollowOptions, 0.05, "Radius of the hollow's inner corners", "mm",
    highlight="hollow_corner",
)  # fmt: skip
FLOOR: Final = NumberSetting(
    "hollow.floor", "Floor", HollowOptions, 0.05, "Thickness of the floor above the bore", "mm", drag_span=(0.4, 2.0)
)
USUAL_FLOOR_MM: Final = 0.8
SAVED_HINT: Final = "Against the same ring without a hollow, in the chosen alloy"


class HollowRows(QWidget):
    """The hollow's measures, shown as far as the design has them."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__(parent)
        self._editor, self._walls = editor, ""
        hint = "Take metal out from the finger's side under the head"
        self.tick = TickRow("hollow", "Hollow under the head", hint, editor, HollowOptions, None, parent=self)
        self.saved = QLabel(self)
        self.saved.setProperty("role", "soft")
        self.saved.setWordWrap(True)
        self.saved.setFont(even_figures(self.saved.font()))
        self.saved.setToolTip(SAVED_HINT)
        self.numbers = [NumberRow(setting, editor, state, parent=self) for setting in (WALL, LIP, REACH, CORNER)]
        hint = "Close the hollow towards the finger; it then needs drains"
        self.floor_tick = TickRow("hollow.floor", "Closed by a floor", hint, editor, _usual_floor, None, parent=self)
        self.floor = NumberRow(FLOOR, editor, state, parent=self)
        self.drains = DrainRows(editor, state, watch, self)
        self.rows: list[SettingRow] = [self.tick, *self.numbers, self.floor_tick, self.floor]
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        for part in (self.tick, self.saved, *self.rows[1:], self.drains):
            column.addWidget(part)
        for row in self.rows:
            watch.watch(row, row.highlight_name)

    def refresh(self) -> None:
        """Show only what the design has, and its drains."""
        hollow = self._editor.design.hollow
        for row in (*self.numbers, self.floor_tick):
            row.setVisible(hollow is not None)
        closed = hollow is not None and hollow.floor_mm is not None
        self.floor.setVisible(closed)
        self.drains.setVisible(closed)
        self.drains.refresh()
        self.saved.setVisible(hollow is not None and bool(self.saved.text()))

    def show_view(self, view: View) -> None:
        """Show what the hollow of the ring in view saves, and how thin its wall is once that was measured."""
        finished, alloy = view.built.finished, view.design.make.material
        if finished.hollow is None:
            self.saved.setText("")
        else:
            text = f"Saves {finished.saved_mm3:.0f} mm³, {weight_g(finished.saved_mm3, alloy):.2f} g of {alloy.name}"
            self._walls = _measured(view) or self._walls
            self.saved.setText(f"{text}\n{self._walls}" if self._walls else text)
        self.refresh()


def _usual_floor() -> float:
    return USUAL_FLOOR_MM


def _measured(view: View) -> str:
    """The hollow's thinnest wall and floor; empty for a draft, so that the last figures stay."""
    report = view.report
    if report is None or report.readings.hollow_wall_mm is None:
        return ""
    floor = report.readings.hollow_floor_mm
    thickness = "" if floor is None else f", floor {floor:.2f} mm"
    return f"Thinnest wall {report.readings.hollow_wall_mm:.2f} mm{thickness}"
