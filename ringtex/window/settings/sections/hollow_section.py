"""The hollow's part of the settings: its measures, its floor and drains, and the metal that it saves."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from PySide6.QtWidgets import QLabel

from ringtex.checks.making.alloys import weight_g
from ringtex.solid.finishing.hollow_options import HollowOptions
from ringtex.window.appearance.theme import even_figures
from ringtex.window.building.drawable_ring import View
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.tick_row import TickRow
from ringtex.window.settings.sections.drain_rows import DrainRows

if TYPE_CHECKING:
    from ringtex.window.settings.sections.finishing_section import FinishSection

WALL: Final = NumberSetting(
    "hollow.wall", "Wall", 0.4, 5.0, 0.05,
    "Least metal between the hollow and the relief's ground and sides; about 1 is usual (common practice, no source)",
    "mm", reach=(0.4, 3.0),
)  # fmt: skip
LIP: Final = NumberSetting(
    "hollow.lip",
    "Lip",
    0.3,
    10.0,
    0.1,
    "Plain bore left at each edge, at least as much as the wall",
    "mm",
    reach=(0.3, 5.0),
)
REACH: Final = NumberSetting(
    "hollow.reach", "Reach", 20.0, 165.0, 1.0, "How far the hollow goes to each side of the head", "°", 1
)
CORNER: Final = NumberSetting(
    "hollow.corner", "Inner corner", 0.1, 2.0, 0.05, "Radius of the hollow's inner corners", "mm",
    touches="hollow_corner",
)  # fmt: skip
FLOOR: Final = NumberSetting(
    "hollow.floor", "Floor", 0.4, 5.0, 0.05, "Thickness of the floor above the bore", "mm", reach=(0.4, 2.0)
)
USUAL_FLOOR_MM: Final = 0.8
SAVED_HINT: Final = "Against the same ring without a hollow, in the chosen alloy"


class FinishHollow:
    """Puts the hollow's rows at the top of a FinishSection, and shows of them what the design has."""

    def __init__(self, section: FinishSection) -> None:
        self._section = section
        self._walls = ""
        hint = "Take metal out from the finger's side under the head"
        editor = section.editor
        self.tick = section.add_row(TickRow("hollow", "Hollow under the head", hint, editor, HollowOptions, None))
        self.saved = QLabel(section.body)
        self.saved.setProperty("role", "soft")
        self.saved.setWordWrap(True)
        self.saved.setFont(even_figures(self.saved.font()))
        self.saved.setToolTip(SAVED_HINT)
        section.column.addWidget(self.saved)
        self.numbers = [section.add_number(setting) for setting in (WALL, LIP, REACH, CORNER)]
        hint = "Close the hollow towards the finger; it then needs drains"
        self.floor_tick = section.add_row(
            TickRow("hollow.floor", "Closed by a floor", hint, editor, lambda: USUAL_FLOOR_MM, None)
        )
        self.floor = section.add_number(FLOOR)
        self.drains = DrainRows(editor, section.state, section.watch, section.body)
        section.column.addWidget(self.drains)
        section.drawings.append(self.drains)

    def refresh(self) -> None:
        """Only what the design has is shown."""
        hollow = self._section.editor.design.hollow
        for row in (*self.numbers, self.floor_tick):
            row.setVisible(hollow is not None)
        closed = hollow is not None and hollow.floor_mm is not None
        self.floor.setVisible(closed)
        self.drains.setVisible(closed)
        self.saved.setVisible(hollow is not None and bool(self.saved.text()))

    def show_view(self, view: View) -> None:
        """Say what the hollow of the ring in view saves, and how thin its wall is once that was measured."""
        finished, alloy = view.built.finished, view.design.make.material
        if finished.hollow is None:
            self.saved.setText("")
        else:
            text = f"Saves {finished.saved_mm3:.0f} mm³, {weight_g(finished.saved_mm3, alloy):.2f} g of {alloy.name}"
            self._walls = _measured(view) or self._walls
            self.saved.setText(f"{text}\n{self._walls}" if self._walls else text)
        self.refresh()


def _measured(view: View) -> str:
    """The hollow's thinnest wall and floor; empty for a draft, so that what was said last stays."""
    report = view.report
    if report is None or report.readings.hollow_wall_mm is None:
        return ""
    floor = report.readings.hollow_floor_mm
    thickness = "" if floor is None else f", floor {floor:.2f} mm"
    return f"Thinnest wall {report.readings.hollow_wall_mm:.2f} mm{thickness}"
