"""The process's limits: each with its own value, where it comes from, and the maker's own in its place."""

from __future__ import annotations

from dataclasses import fields
from typing import Final

from PySide6.QtWidgets import QLabel, QWidget

from ringtex.basics.limits import key_of
from ringtex.checks.making.making_limits import LIMITS, Limit
from ringtex.checks.making.own_limits import OwnLimits
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.fold_section import FoldSection
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.number_text import text_of
from ringtex.window.settings.design_editor import DesignEditor

RESET: Final = "Reset"
LIMIT_NAMES: Final = {
    "metal_mm": ("Metal", "Between the relief and the finger hole"),
    "edge_mm": ("Edge", "At the band's edges"),
    "ridge_mm": ("Ridge", "Narrowest metal standing between two grooves"),
    "groove_mm": ("Groove", "Narrowest gap"),
    "relief_mm": ("Relief", "Least height of a feature"),
    "draft_deg": ("Draft", "Least lean of a flank from upright"),
    "hole_mm": ("Hole", "Least diameter that stays open"),
    "web_mm": ("Bars", "Bars between pierced cells"),
    "hollow_wall_mm": ("Hollow's wall", "Between the hollow and the outside, and of its floor"),
    "stone_gap_mm": ("Between stones", "Metal between two girdles"),
    "stone_edge_mm": ("Stone to edge", "Metal between a girdle and the band's edge"),
    "seat_mm": ("Under a girdle", "Metal between a girdle and the hollow"),
    "culet_mm": ("Culet to finger", "How far a stone's tip stays clear of the finger"),
    "high_head_mm": ("High head", "From this height over the finger on it is said that a head is high"),
    "wide_head_mm": ("Wide head", "From this width along the finger on it is said that a ring is wide"),
    "heavy_g": ("Heavy", "From this weight on it is said that a ring is heavy"),
    "off_axis_mm": ("Off balance", "Of the centre of mass from the finger's middle"),
}
"""Every limit by its name in `OwnLimits`, with its name for the screen and what it is about."""

UNITS: Final = {"draft_deg": ("°", 60.0, 1.0), "heavy_g": ("g", 1000.0, 1.0)}
MAX_MM: Final = {"high_head_mm": 50.0, "wide_head_mm": 50.0}
REACH: Final = {"draft_deg": 20.0, "heavy_g": 100.0, "high_head_mm": 20.0, "wide_head_mm": 40.0, "off_axis_mm": 10.0}
"""How far a drag across the name goes, where 2 mm are too little."""


class LimitRow(NumberRow):
    """One limit: the process's own until another is typed; the button brings the process's back."""

    def __init__(self, name: str, editor: DesignEditor, state: ViewState, parent: QWidget) -> None:
        label, about = LIMIT_NAMES[name]
        unit, most, step = UNITS.get(name, ("mm", MAX_MM.get(name, 20.0), 0.05))
        reach = (0.0, REACH.get(name, 2.0))
        key = f"make.limits.{key_of(name)}"
        setting = NumberSetting(key, label, 0.0, most, step, about, unit, 2, "limits", reach)
        self._name = name
        super().__init__(setting, editor, state, True, parent, auto_value=None)
        self.auto.setText(RESET)
        self.auto.setAccessibleName(f"{label}: back to the process's own limit")

    def refresh(self) -> None:
        """Show the limit that holds, and say on hover where it comes from."""
        shipped = getattr(LIMITS[self._editor.design.make.way], self._name)
        self._auto_number = shipped.least if isinstance(shipped, Limit) else shipped
        super().refresh()
        own = self.value is not None
        said = self._shipped_words(shipped)
        tip = f"{self.setting.hint}. {'Your own; shipped is ' if own else 'As shipped: '}{said}"
        for part in (self, self.label, self.field):
            part.setToolTip(tip)
        self.field.setAccessibleDescription(tip)
        self.auto.setToolTip(f"Back to the process's own: {said}")
        self.auto.setVisible(own)

    def _shipped_words(self, shipped: Limit | float) -> str:
        unit, places = self.setting.unit, self.setting.decimals
        space = "" if unit == "°" else " "
        if isinstance(shipped, Limit):
            least, near = text_of(shipped.least, places), text_of(shipped.near, places)
            return f"{least}{space}{unit}, with a warning under {near}{space}{unit} ({shipped.source})"
        source = getattr(LIMITS[self._editor.design.make.way], f"{self._name.rsplit('_', 1)[0]}_source")
        return f"{text_of(shipped, places)}{space}{unit} ({source})"


class LimitRows(FoldSection):
    """Every limit, folded away; its header says how many are the maker's own."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("Limits", state, parent)
        self._editor = editor
        self.set_folded(True)
        self.column.setContentsMargins(8, 0, 0, 0)
        about = QLabel("Under a limit is an error, near it a warning. Hover for where it comes from.", self.body)
        about.setProperty("role", "soft")
        about.setWordWrap(True)
        self.column.addWidget(about)
        self.rows = [LimitRow(name, editor, state, self.body) for name in LIMIT_NAMES]
        for row in self.rows:
            self.column.addWidget(row)
        watch.watch(self.body, "limits")

    def refresh(self) -> None:
        """Show the limits that hold."""
        for row in self.rows:
            row.refresh()
        limits = self._editor.design.make.limits
        own = sum(getattr(limits, field.name) is not None for field in fields(OwnLimits))
        self.header.set_summary(f"{own} of your own" if own else "as shipped")
