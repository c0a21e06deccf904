"""Sizes and shapes of the cells on the ring, of the ring in view and of the one that is kept beside it."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QSizePolicy, QWidget

from ringtex.design.design import Design
from ringtex.pattern.pattern_options import FREE_FORM_FAMILIES
from ringtex.window.appearance.theme import even_figures
from ringtex.window.building.cell_numbers import CellNumbers
from ringtex.window.building.drawable_ring import View
from ringtex.window.settings.design_editor import DesignEditor

TIPS: Final = (
    "Area of a cell on the finished ring, before the relief",
    "1 where all cells have the same area",
    "Deviation of the cells' areas on the ring over their mean; 0 for even cells",
    "Of the cells that no border cuts; all others are five- and seven-sided pairs, where a row begins or ends",
    "4 π area / outline², mean and least: 1 for a disc, 0.91 for a regular hexagon, 0.79 for a square",
)


class CellTable(QWidget):
    """Numbers of the last finished ring; a second column for the kept one, once it has been in view."""

    def __init__(self, editor: DesignEditor, parent: QWidget) -> None:
        super().__init__(parent)
        self._editor = editor
        self._now: CellNumbers | None = None
        self._kept: tuple[Design, CellNumbers] | None = None
        self._last: tuple[Design, CellNumbers] | None = None
        self.setAccessibleName("Cells on the ring")
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(16)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(0, 1)
        self.heads = [self._label(grid, 0, column, words) for column, words in enumerate(("", "kept", "now"))]
        self.names: list[QLabel] = []
        self.values: list[tuple[QLabel, QLabel]] = []
        for row, tip in enumerate(TIPS, start=1):
            self.names.append(self._label(grid, row, 0, ""))
            self.values.append((self._label(grid, row, 1, ""), self._label(grid, row, 2, "", strong=True)))
            for part in (self.names[-1], *self.values[-1]):
                part.setToolTip(tip)
        self.setVisible(False)

    def _label(self, grid: QGridLayout, row: int, column: int, words: str, strong: bool = False) -> QLabel:
        label = QLabel(words, self)
        label.setFont(even_figures(label.font()))
        if not strong:
            label.setProperty("role", "soft")
        if column:
            label.setAlignment(Qt.AlignmentFlag.AlignRight)
        else:
            label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        grid.addWidget(label, row, column)
        return label

    def show_view(self, view: View) -> None:
        """Take a finished ring's numbers; a draft's are not worth telling."""
        if view.cells is None:
            return
        self._now, self._last = view.cells, (view.design, view.cells)
        self.refresh()

    def refresh(self) -> None:
        """Show what is known."""
        kept = self._editor.document.kept
        if kept is not None and self._last is not None and self._last[0] == kept:
            self._kept = self._last
        beside = self._kept if kept is not None and self._kept is not None and self._kept[0] == kept else None
        # Repeats of an own motif and growth rings are no cells whose sides and areas matter.
        self.setVisible(self._now is not None and self._editor.design.pattern.family not in FREE_FORM_FAMILIES)
        if self._now is None:
            return
        before = [("", "")] * len(TIPS) if beside is None else beside[1].lines()
        for name, (old, new), (words, number), (_, was) in zip(
            self.names, self.values, self._now.lines(), before, strict=True
        ):
            name.setText(words)
            new.setText(number)
            new.setAccessibleName(f"{words}: {number}")
            old.setText(was)
            old.setVisible(beside is not None)
        for head in self.heads:
            head.setVisible(beside is not None)
