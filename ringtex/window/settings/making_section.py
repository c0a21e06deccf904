"""The making: of what, how, and what that way of making can do."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from ringtex.checks.alloys import ALLOYS
from ringtex.checks.limits import Process
from ringtex.checks.make_options import MOST_SHRINKAGE_PERCENT
from ringtex.window.settings.choice_row import ChoiceRow
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.number_setting import NumberSetting
from ringtex.window.settings.settings_section import SettingsSection
from ringtex.window.settings.touch_watch import TouchWatch
from ringtex.window.theme import even_figures
from ringtex.window.view_state import ViewState

PROCESS_NAMES: Final = {way: way.words for way in Process}
SHRINKAGE: Final = NumberSetting(
    "make.shrinkage_percent", "Shrinkage", 0.0, MOST_SHRINKAGE_PERCENT, 0.1,
    "Linear shrinkage from the pattern to the finished metal: measure your own, published figures differ tenfold", "%",
    touches="shrinkage", reach=(0.0, 8.0),
)  # fmt: skip
LIMIT_NAMES: Final = (
    ("metal_mm", "Metal"), ("edge_mm", "Edge"), ("ridge_mm", "Ridge"), ("groove_mm", "Groove")
)  # fmt: skip


class MakingSection(SettingsSection):
    """Alloy, process, shrinkage; below them the alloy's density and the process's least sizes with their sources."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: TouchWatch, parent: QWidget) -> None:
        super().__init__("Making", editor, state, watch, parent)
        alloys = [(alloy.name, alloy.key) for alloy in ALLOYS.values()]
        self.alloy = self.add_row(ChoiceRow("make.alloy", "Alloy", alloys, "What the ring is made of", editor))
        self.density = self._soft_label()
        ways = [(PROCESS_NAMES.get(way, way.value), way.value) for way in Process]
        self.process = self.add_row(ChoiceRow("make.process", "Process", ways, "How the ring comes to be", editor))
        self.shrinkage = self.add_number(SHRINKAGE)
        self.scale = self._soft_label()
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(0, 1)
        self.column.addLayout(self._grid)
        self.limits: dict[str, tuple[QLabel, QLabel, QLabel]] = {}
        self._add_limits()

    def _soft_label(self) -> QLabel:
        label = QLabel(self.body)
        label.setProperty("role", "soft")
        label.setWordWrap(True)
        label.setFont(even_figures(label.font()))
        self.column.addWidget(label)
        return label

    def _add_limits(self) -> None:
        heads = [QLabel(text, self.body) for text in ("Least sizes", "can be made", "with ease")]
        rows = [heads, *([QLabel(name, self.body), QLabel(self.body), QLabel(self.body)] for _, name in LIMIT_NAMES)]
        for place, labels in enumerate(rows):
            for column, label in enumerate(labels):
                label.setProperty("role", "soft")
                label.setFont(even_figures(label.font()))
                label.setWordWrap(place == 0)
                if column:
                    label.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom)
                self._grid.addWidget(label, place, column)
            if place:
                self.limits[LIMIT_NAMES[place - 1][0]] = (labels[0], labels[1], labels[2])

    def refresh(self) -> None:
        """As always, and what follows from the choices."""
        super().refresh()
        make = self.editor.design.make
        alloy = make.material
        fine = f", {alloy.fineness} ‰ fine" if alloy.fineness is not None else ""
        nickel = ", contains nickel" if alloy.contains_nickel else ""
        self.density.setText(f"{alloy.density_g_cm3:.2f} g/cm³{fine}{nickel}")
        self.density.setToolTip(f"Density: {alloy.source}")
        larger = f"the pattern is made {make.pattern_scale:.4f} times as large"
        self.scale.setText(larger if make.shrinkage_percent > 0.0 else "the pattern is made as large as the ring")
        for name, labels in self.limits.items():
            limit = getattr(make.making_limits, name)
            for label, text in zip(labels[1:], (f"{limit.least:.2f} mm", f"{limit.near:.2f} mm"), strict=True):
                label.setText(text)
            for label in labels:
                label.setToolTip(limit.source)

    def summary(self) -> str:
        """The alloy."""
        return self.editor.design.make.material.name
