"""The workshop sheet: PDF or HTML, on which paper, where to; opened afterwards if wished."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PySide6.QtCore import QDate, QLocale, QUrl, Signal
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from ringtex.basics.errors import RingtexError
from ringtex.basics.progress import Progress
from ringtex.design.design import Design
from ringtex.document.workshop_sheet import MAX_DATE, refuse_unusable_sheet, write_sheet
from ringtex.make_ring import BuiltRing, make_ring
from ringtex.window.dialogs.export_dialog import PAPER_NAMES
from ringtex.window.dialogs.job_dialog import FolderRow, JobDialog

KINDS: Final = ((".pdf", "PDF, to print and pin up"), (".html", "HTML, one file for a browser"))
ABOUT: Final = (
    "Head, side, palm and section in pictures; a drawing with measures; the size in every scale; pattern, alloy, "
    "weights, stones, findings and cautions. One or two pages."
)


@dataclass(frozen=True, eq=False)
class SheetOrder:
    """What to write, frozen. built: the ring of this design where it is built and checked already, else None."""

    design: Design
    built: BuiltRing | None
    file: str
    paper: str
    date: str


class SheetDialog(JobDialog):
    """Writes one design's sheet."""

    written = Signal(object)
    """The Path of the sheet."""

    def __init__(
        self, design: Design, built: BuiltRing | None, folder: Path, name: str, parent: QWidget | None = None
    ) -> None:
        super().__init__("Workshop sheet", "Write the sheet", parent)
        self._design, self._built = design, built
        self.name = QLineEdit(f"{name}_sheet", self)
        self.place = FolderRow(folder, self)
        self.kinds = {ending: QRadioButton(words, self) for ending, words in KINDS}
        self.papers = {paper: QRadioButton(words, self) for paper, words in PAPER_NAMES.items()}
        self._groups = [_group(self, self.kinds), _group(self, self.papers)]
        self.date = QLineEdit(QLocale().toString(QDate.currentDate(), QLocale.FormatType.ShortFormat), self)
        self.date.setMaxLength(MAX_DATE)
        self.date.setToolTip("Stands in the corner of the sheet; leave it empty for none")
        self.open_after = QCheckBox("Open it when it is written", self)
        self.open_after.setChecked(True)
        self.open_file = QPushButton("Open the sheet", self)
        self.fields = [
            self.name, self.place, *self.kinds.values(), *self.papers.values(), self.date, self.open_after,
        ]  # fmt: skip
        self._lay_out()
        self.open_button.clicked.connect(self.place.show_folder)
        self.open_file.clicked.connect(self._open)
        self.kinds[".html"].toggled.connect(self._show_order)
        for field in (self.name, self.place.edit):
            field.textChanged.connect(self._show_order)
        self._path = Path()
        self._show_order()

    def order(self) -> SheetOrder:
        """What the fields say now."""
        ending = next(ending for ending, button in self.kinds.items() if button.isChecked())
        paper = next(paper for paper, button in self.papers.items() if button.isChecked())
        file = str(self.place.path / (self.name.text().strip() + ending))
        return SheetOrder(self._design, self._built, file, paper, self.date.text().strip())

    def start(self) -> None:
        """Begin to write; a second call while that goes on does nothing."""
        order = self.order()
        self.run(lambda progress: written_sheet(order, progress), "sheet")

    def on_success(self, result: object) -> None:
        """Show where it is, and open it on request."""
        assert isinstance(result, Path)
        self._path = result
        self._show_order()
        self.show_status(
            f"Wrote {result.name} ({result.stat().st_size / 1e6:.2f} MB) in {result.absolute().parent}.", "text"
        )
        self.open_button.show()
        self.open_file.show()
        self.written.emit(result)
        if self.open_after.isChecked():
            self._open()

    def on_failure(self, error: RingtexError) -> None:
        """The fields are as they were."""
        self._show_papers()

    def _open(self) -> None:
        if not QDesktopServices.openUrl(QUrl.fromLocalFile(str(self._path.absolute()))):
            self.show_status(f"{self.status.text()} No program here opens such files; find it in the folder.", "text")

    def _lay_out(self) -> None:
        about = QLabel(ABOUT, self)
        about.setProperty("role", "soft")
        about.setWordWrap(True)
        form = QFormLayout()
        form.setSpacing(8)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        form.addRow("&Name", self.name)
        form.addRow("&Folder", self.place)
        form.addRow("As", _side_by_side(self.kinds.values()))
        form.addRow("Paper", _side_by_side(self.papers.values()))
        form.addRow("&Date", self.date)
        form.addRow("", self.open_after)
        self.buttons.addButton(self.open_file, self.buttons.ButtonRole.ActionRole)
        self.open_file.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(16)
        column.addWidget(about)
        column.addLayout(form)
        column.addStretch(1)
        column.addWidget(self.status)
        column.addWidget(self.progress)
        column.addWidget(self.buttons)
        self.resize(600, 400)

    def _show_order(self) -> None:
        """Before anything is written: say what would be replaced."""
        order = self.order()
        self._show_papers()
        self.start_button.setEnabled(bool(self.name.text().strip()))
        there = Path(order.file).exists()
        self.start_button.setText("Replace the sheet" if there else "Write the sheet")
        self.show_status(f"Already there and replaced: {Path(order.file).name}." if there else "", "warning")

    def _show_papers(self) -> None:
        """A browser's page has no paper."""
        for button in self.papers.values():
            button.setEnabled(self.kinds[".pdf"].isChecked())


def written_sheet(order: SheetOrder, progress: Progress) -> Path:
    """Build the ring if that is still to be done, and write its sheet. Raises: InputError, OutputError, Cancelled."""
    refuse_unusable_sheet(order.file, order.paper)
    built = order.built or make_ring(order.design, progress=progress)
    with progress.stage("sheet", 1.0):
        write_sheet(built, order.file, order.paper, order.date, progress)
    return Path(order.file)


def _group(parent: QWidget, buttons: dict[str, QRadioButton]) -> QButtonGroup:
    """One of them is on; the first to begin with."""
    group = QButtonGroup(parent)
    for button in buttons.values():
        group.addButton(button)
        button.setChecked(group.checkedButton() is None)
    return group


def _side_by_side(buttons: Iterable[QWidget]) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(16)
    for button in buttons:
        row.addWidget(button)
    row.addStretch(1)
    return row
