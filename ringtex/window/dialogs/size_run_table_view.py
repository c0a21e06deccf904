"""The table of a size run: what will be made, how far each size is, what was made or why not."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QProgressBar,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from ringtex.band.finger_size import FingerSize
from ringtex.document.size_run import RunRow, found_words
from ringtex.window.appearance.theme import even_figures

HEADS: Final = (
    ("Size", "The finger size"),
    ("Inside mm", "Inner diameter of the finished ring"),
    ("Around", "Cells round the ring"),
    ("Across", "Rows of cells"),
    ("Cell mm²", "Mean area of a cell on the ring"),
    ("Cast g", "Weight as cast, without sprue"),
    ("Finished g", "Weight after finishing, without stones"),
    ("Findings", "What the checks found; point at it to read the worst"),
    ("File", "How far it is; then what was written"),
)
ROW_HEIGHT: Final = 28
FIRST_MEASURED: Final = 3
FINDINGS: Final = 7
LAST: Final = 8


class SizeRunTable(QTableWidget):
    """One row a size."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(0, len(HEADS), parent)
        self.setFont(even_figures(self.font()))
        self.setAccessibleName("Sizes")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setWordWrap(True)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        self.verticalHeader().setMinimumSectionSize(ROW_HEIGHT)
        self.verticalHeader().setDefaultSectionSize(ROW_HEIGHT)
        for column, (text, about) in enumerate(HEADS):
            head = QTableWidgetItem(text)
            head.setToolTip(about)
            self.setHorizontalHeaderItem(column, head)
        header = self.horizontalHeader()
        header.setHighlightSections(False)
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(LAST, QHeaderView.ResizeMode.Stretch)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self.states: dict[int, _State] = {}
        """Of the sizes that are not done."""

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Room for some rows."""
        return QSize(640, 10 * QFontMetrics(self.font()).height())

    def show_sizes(self, sizes: Sequence[FingerSize], around: Sequence[int]) -> None:
        """Begin anew with these sizes and their repeats."""
        self.clearSpans()
        self.clearContents()
        self.setRowCount(len(sizes))
        self.states = {}
        for place, (size, repeats) in enumerate(zip(sizes, around, strict=True)):
            self._put(place, 0, size.label)
            self._put(place, 1, f"{size.diameter_mm:.2f}", right=True)
            self._put(place, 2, str(repeats), right=True)
            self.states[place] = _State(size.label, self)
            self.setCellWidget(place, LAST, self.states[place])

    def begin(self) -> None:
        """The run begins: all wait for their turn."""
        for state in self.states.values():
            state.stage.setText("waiting")

    def show_progress(self, place: int, stage: str, fraction: float) -> None:
        """How far a size is.

        Parameters:
            place: index of the size in the run.
            stage: at work.
            fraction: of it that is done.
        """
        if place in self.states:
            self.states[place].show_progress(stage, fraction)

    def show_row(self, place: int, row: RunRow) -> None:
        """What came of a size: its figures and file, or why there is none."""
        self._end(place)
        self._put(place, 2, str(row.around), right=True)
        if row.cells is None:
            self._show_reason(place, f"Not made: {row.error}")
        else:
            figures = (row.across, row.cell_mm2, row.as_cast_g, row.finished_g)
            for column, value in enumerate(figures, start=FIRST_MEASURED):
                text = f"{value:.2f}" if isinstance(value, float) else str(value)
                self._put(place, column, text, right=True)
            self._put(place, FINDINGS, found_words(row), about=row.worst)
            self._put(place, LAST, row.file or f"Not written: {row.error}", about=row.file or row.error)

    def _show_reason(self, place: int, text: str) -> None:
        """Across all columns of figures, in as many lines as it needs; no column grows for it."""
        self._put(place, FIRST_MEASURED, text, about=text).setSizeHint(QSize(0, ROW_HEIGHT))
        self.setSpan(place, FIRST_MEASURED, 1, len(HEADS) - FIRST_MEASURED)
        metrics = QFontMetrics(self.font())
        room = self.viewport().width() - self.columnViewportPosition(FIRST_MEASURED) - ROW_HEIGHT
        lines = -(-metrics.horizontalAdvance(text) // max(room, 1))
        self.setRowHeight(place, ROW_HEIGHT + (lines - 1) * metrics.lineSpacing())

    def stop_all(self) -> None:
        """The run was stopped: those that are not done say so."""
        for place in list(self.states):
            self._end(place)
            self._put(place, LAST, "stopped")

    def _end(self, place: int) -> None:
        self.states.pop(place, None)
        self.removeCellWidget(place, LAST)

    def _put(self, place: int, column: int, text: str, right: bool = False, about: str = "") -> QTableWidgetItem:
        item = QTableWidgetItem(text)
        side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
        item.setTextAlignment(side | Qt.AlignmentFlag.AlignVCenter)
        item.setToolTip(about)
        self.setItem(place, column, item)
        return item


class _State(QWidget):
    """How far one size is: a bar and the stage's name; nothing before it begins."""

    def __init__(self, label: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.bar = QProgressBar(self)
        self.bar.setRange(0, 1000)
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(6)
        self.bar.setAccessibleName(f"Progress of {label}")
        self.bar.hide()
        self.stage = QLabel(self)
        self.stage.setProperty("role", "soft")
        row = QHBoxLayout(self)
        row.setContentsMargins(4, 0, 4, 0)
        row.addWidget(self.bar, 1)
        row.addWidget(self.stage, 1)

    def show_progress(self, stage: str, fraction: float) -> None:
        """The stage and the fraction done."""
        self.bar.show()
        self.bar.setValue(max(self.bar.value(), round(fraction * 1000.0)))
        self.stage.setText(stage)
