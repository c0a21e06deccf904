"""One design under every way of laying its pattern on the band: pictures and numbers side by side, saved as a file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QCoreApplication, Qt, QTimer, Signal
from PySide6.QtGui import QImage, QPixmap
from PySide6.QtWidgets import QFormLayout, QGridLayout, QLabel, QLineEdit, QScrollArea, QVBoxLayout, QWidget

from ringtex.basics.errors import RingtexError
from ringtex.basics.progress import Progress
from ringtex.design.design import Design
from ringtex.document.compare_mappings import (
    ComparedMapping,
    compare_mappings,
    mapping_caption,
    mapping_pictures,
)
from ringtex.export.picture.picture import write_side_by_side
from ringtex.pattern.measure import percent_words
from ringtex.window.appearance.error_sentences import sentence_of
from ringtex.window.appearance.theme import even_figures
from ringtex.window.dialogs.job_dialog import FolderRow, JobDialog

SIDE: Final = 420
"""Pixels of each picture in the file."""
SHOWN: Final = 148
"""Logical pixels of each picture in the dialog: five fit a window of 1280."""
ABOUT: Final = (
    "The same design, with as many cells, laid on its band in five ways, without rails, stones and changes by hand. "
    "The naive wrap goes by angle and width alone."
)
NAMES: Final = (
    "Cells", "Area varies by", "Smallest, largest cell", "Largest / smallest", "Angles off: mean, worst", "Six-sided",
    "Roundness: mean, least",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Comparison:
    """What was worked out: each way, and its pictures, one row a view."""

    ways: list[ComparedMapping]
    pictures: list[list[NDArray[np.uint8]]]


def compare(design: Design, progress: Progress) -> Comparison:
    """Work out and draw. Raises: InputError, Cancelled."""
    with progress.stage("cells", 0.3):
        ways = compare_mappings(design, progress)
    with progress.stage("pictures", 1.0):
        return Comparison(ways, mapping_pictures(ways, design, SIDE, progress))


class CompareDialog(JobDialog):
    """Begins at once; what it shows can then be saved."""

    written = Signal(object)
    """The Path of the picture."""

    def __init__(self, design: Design, folder: Path, name: str, parent: QWidget | None = None) -> None:
        super().__init__("Compare the ways to lay the pattern on", "Save the picture", parent)
        self._design = design
        self.comparison: Comparison | None = None
        self.place = FolderRow(folder, self)
        self.name = QLineEdit(f"{name}_mappings", self)
        self.name.setAccessibleName("Name of the picture")
        self._lay_out()
        self.start_button.setEnabled(False)
        self.open_button.clicked.connect(self.place.show_folder)
        QTimer.singleShot(0, self, self._begin)

    def _lay_out(self) -> None:
        about = QLabel(ABOUT, self)
        about.setProperty("role", "soft")
        about.setWordWrap(True)
        self.table = QWidget(self)
        self.grid = QGridLayout(self.table)
        self.grid.setContentsMargins(0, 0, 0, 0)
        self.grid.setHorizontalSpacing(12)
        self.grid.setVerticalSpacing(4)
        self.area = QScrollArea(self)
        self.area.setWidget(self.table)
        self.area.setWidgetResizable(True)
        self.area.setMinimumHeight(80)
        form = QFormLayout()
        form.addRow("&Name", self.name)
        form.addRow("&Folder", self.place)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        for part in (about, self.area):
            column.addWidget(part, 1 if part is self.area else 0)
        column.addLayout(form)
        for widget in (self.status, self.progress, self.buttons):
            column.addWidget(widget)
        self.resize(1040, 690)

    def _begin(self) -> None:
        application = QCoreApplication.instance()
        if application is not None:
            application.aboutToQuit.connect(self.reject)
        self.run(lambda progress: compare(self._design, progress), "comparison")

    def on_success(self, result: object) -> None:
        """Show what was worked out."""
        assert isinstance(result, Comparison)
        self.comparison = result
        for column, way in enumerate(result.ways, start=1):
            self._add_way(column, way, [row[column - 1] for row in result.pictures])
        for row, name in enumerate(NAMES, start=1 + len(result.pictures)):
            self._put(name, row, 0, soft=True)
        self.start_button.setDefault(True)
        self.start_button.setFocus()
        self.show_status("Smallest and largest are areas on the ring, in mm².", "soft")

    def on_failure(self, error: object) -> None:
        """Nothing to save."""
        self.start_button.setEnabled(self.comparison is not None)

    def start(self) -> None:
        """Save the picture."""
        if self.comparison is None or self.running:
            return
        path = self.place.path / f"{self.name.text().strip() or 'mappings'}.png"
        try:
            captions = [mapping_caption(way) for way in self.comparison.ways]
            write_side_by_side(self.comparison.pictures, captions, path)
        except RingtexError as error:
            self.show_status(sentence_of(error), "error")
            return
        self.show_status(f"Wrote {path.name} in {path.parent.absolute()}.", "text")
        self.open_button.show()
        self.written.emit(path)

    def _add_way(self, column: int, way: ComparedMapping, pictures: list[NDArray[np.uint8]]) -> None:
        self._put(way.name, 0, column, strong=True)
        ratio = self.devicePixelRatioF()
        for row, picture in enumerate(pictures, start=1):
            height, width, _ = picture.shape
            image = QImage(
                np.ascontiguousarray(picture).tobytes(), width, height, 3 * width, QImage.Format.Format_RGB888
            )
            side = round(SHOWN * ratio)
            small = QPixmap.fromImage(image).scaled(
                side, side, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
            )
            small.setDevicePixelRatio(ratio)
            label = self._put("", row, column)
            label.setPixmap(small)
            label.setAccessibleName(f"The ring, {way.name}")
        for row, text in enumerate(numbers_of(way), start=1 + len(pictures)):
            self._put(text, row, column)

    def _put(self, text: str, row: int, column: int, soft: bool = False, strong: bool = False) -> QLabel:
        label = QLabel(text, self.table)
        label.setFont(even_figures(label.font()))
        if soft or strong:
            label.setProperty("role", "soft" if soft else "strong")
        if column:
            label.setAlignment(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignVCenter)
        self.grid.addWidget(label, row, column)
        return label


def numbers_of(way: ComparedMapping) -> list[str]:
    """In the order of NAMES."""
    areas, regular = way.cells.areas, way.regularity
    return [
        str(way.pattern.counted[0]),
        f"{100.0 * areas.cv:.2f} %",
        f"{areas.smallest:.2f}, {areas.largest:.2f}",
        f"{areas.largest / areas.smallest:.2f}",
        f"{way.cells.mean_angle_error_deg:.1f}°, {way.cells.worst_angle_error_deg:.1f}°",
        percent_words(regular.six_sided_share),
        f"{regular.mean_roundness:.2f}, {regular.least_roundness:.2f}",
    ]
