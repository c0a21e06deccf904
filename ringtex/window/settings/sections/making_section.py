"""The making: of what, how, what that takes away, what it can do, and what the metal costs."""

from __future__ import annotations

from typing import Final

from PySide6.QtWidgets import QLabel, QWidget

from ringtex.checks.making.alloys import ALLOYS
from ringtex.checks.making.make_options import MAX_POLISH_MM, MAX_SHRINKAGE_PERCENT
from ringtex.checks.making.making_limits import Allowance, Process
from ringtex.window.appearance.theme import even_figures
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.choice_row import ChoiceRow
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.number_text import text_of
from ringtex.window.settings.controls.price_row import PriceRow
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.sections.making_limits import LimitRows
from ringtex.window.settings.sections.settings_section import SettingsSection

PROCESS_NAMES: Final = {way: way.words for way in Process}
SHRINKAGE: Final = NumberSetting(
    "make.shrinkage_percent", "Shrinkage", 0.0, MAX_SHRINKAGE_PERCENT, 0.1,
    "Linear shrinkage from the pattern to the finished metal: measure your own, published figures differ tenfold", "%",
    touches="shrinkage", reach=(0.0, 8.0),
)  # fmt: skip
POLISH: Final = NumberSetting(
    "make.polish", "Polishing loss", 0.0, MAX_POLISH_MM, 0.01,
    "Metal that finishing takes off each face; the exported bore is made that much smaller", "mm",
    touches="polish", reach=(0.0, 0.3),
)  # fmt: skip


class MakingSection(SettingsSection):
    """Alloy, process and allowances, what follows from them, the limits, and the price of the metal."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("Making", editor, state, watch, parent)
        alloys = [(alloy.name, alloy.key) for alloy in ALLOYS.values()]
        self.alloy = self.add_row(ChoiceRow("make.alloy", "Alloy", alloys, "What the ring is made of", editor))
        self.density = self._soft_label()
        ways = [(PROCESS_NAMES.get(way, way.value), way.value) for way in Process]
        self.process = self.add_row(ChoiceRow("make.process", "Process", ways, "How the ring comes to be", editor))
        self.shrinkage = self.add_number(SHRINKAGE)
        self.polish = self.add_number(POLISH)
        self.scale = self._soft_label()
        self.price = self.add_row(PriceRow(editor, state, self.body))
        self.limits = LimitRows(editor, state, watch, self.body)
        self.column.addWidget(self.limits)
        self.drawings.append(self.limits)

    def _soft_label(self) -> QLabel:
        label = QLabel(self.body)
        label.setProperty("role", "soft")
        label.setWordWrap(True)
        label.setFont(even_figures(label.font()))
        self.column.addWidget(label)
        return label

    @property
    def inner_rows(self) -> list[SettingRow]:
        """The rows of the limits, where they are not folded away."""
        return [] if self.limits.folded else list(self.limits.rows)

    def refresh(self) -> None:
        """As always, and what follows from the choices."""
        super().refresh()
        make = self.editor.design.make
        alloy = make.material
        fine = f", {alloy.fineness} ‰ fine" if alloy.fineness is not None else ""
        nickel = ", contains nickel" if alloy.contains_nickel else ""
        self.density.setText(f"{alloy.density_g_cm3:.2f} g/cm³{fine}{nickel}")
        self.density.setToolTip(f"Density: {alloy.source}")
        limits = make.making_limits
        usual = f"Usual: shrinkage {_usual(limits.shrinkage, '%')}, polishing loss {_usual(limits.polish, 'mm')}."
        larger = f"Exported {make.pattern_scale:.4f} times as large"
        smaller = f"bore {make.polish_mm:g} mm smaller all round"
        changed = [text for text, on in ((larger, make.shrinkage_percent > 0.0), (smaller, make.polish_mm > 0.0)) if on]
        self.scale.setText(f"{', '.join(changed) if changed else 'Exported as large as drawn'}. {usual}")
        self.scale.setToolTip(f"Shrinkage: {limits.shrinkage.source}.\nPolishing: {limits.polish.source}.")

    def summary(self) -> str:
        """The alloy."""
        return self.editor.design.make.material.name


def _usual(allowance: Allowance, unit: str) -> str:
    return f"{text_of(allowance.usual, 1)} {unit}" if allowance.usual else "none"
