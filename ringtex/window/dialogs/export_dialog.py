"""Exporting: which files, where, how fine; what is allowed for and cautions; then what was checked."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDoubleSpinBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.design.design import Design
from ringtex.document.workshop_sheet import PAPERS
from ringtex.export.mesh_files.casting_pattern import casting_name
from ringtex.export.mesh_files.mesh_files import MESH_FORMATS
from ringtex.make_ring import COARSEST_MM, FINEST_MM
from ringtex.window.dialogs.export_job import (
    ExportOrder,
    ExportResult,
    allowance_sentence,
    export_ring,
    result_sentences,
)
from ringtex.window.dialogs.job_dialog import FolderRow, JobDialog, cautions_panel

PICTURE_ENDING: Final = ".png"
PAPER_NAMES: Final = {"a4": "A4", "letter": "Letter"}


class ExportDialog(JobDialog):
    """Exports one design; the document may change meanwhile without touching what is written."""

    exported = Signal(object)
    """An ExportResult."""

    def __init__(self, design: Design, folder: Path, name: str, parent: QWidget | None = None) -> None:
        super().__init__("Export", "Export", parent)
        self._design = design
        self.name = QLineEdit(name, self)
        self.place = FolderRow(folder, self)
        self.folder = self.place.edit
        self.tolerance = _tolerance_field(self)
        self.boxes = {ending: _format_box(ending, self) for ending in (*MESH_FORMATS, PICTURE_ENDING)}
        self.boxes[".stl"].setChecked(True)
        self.stones = _box("Stones", "apart from the ring, in their places and their own size", self)
        self.stones.setVisible(bool(design.stones))
        self.sheet = _box("Workshop sheet", "PDF with pictures, measures and weights, on", self)
        self.paper = QComboBox(self)
        for paper in PAPERS:
            self.paper.addItem(PAPER_NAMES[paper], paper)
        self.paper.setAccessibleName("Paper of the sheet")
        self.names = QLabel(self)
        self.names.setProperty("role", "soft")
        self.allowed = QLabel(self)
        for label in (self.names, self.allowed):
            label.setWordWrap(True)
        self.allowed.setText(allowance_sentence(design.make))
        self.allowed.setProperty("role", "strong" if design.make.changes_export else "soft")
        self.fields = [self.name, self.place, self.tolerance, *self.boxes.values(), self.stones, self.sheet, self.paper]
        self._lay_out()
        self.open_button.clicked.connect(self.place.show_folder)
        for box in (*self.boxes.values(), self.stones, self.sheet):
            box.toggled.connect(self._show_order)
        for field in (self.name, self.folder):
            field.textChanged.connect(self._show_order)
        self._show_order()

    def order(self) -> ExportOrder:
        """What the fields say now."""
        base = str(self.place.path / self.name.text().strip())
        chosen = [ending for ending, box in self.boxes.items() if box.isChecked()]
        endings = [ending for ending in chosen if ending != PICTURE_ENDING]
        stones_ending = endings[0] if endings else ".stl"
        return ExportOrder(
            design=self._design,
            meshes=tuple(casting_name(base + ending, self._design.make) for ending in endings),
            picture=base + PICTURE_ENDING if PICTURE_ENDING in chosen else None,
            tolerance_mm=self.tolerance.value(),
            stones=f"{base}_stones{stones_ending}" if self.stones.isChecked() else None,
            sheet=f"{base}_sheet.pdf" if self.sheet.isChecked() else None,
            paper=self.paper.currentData(),
        )

    def start(self) -> None:
        """Begin the export; a second call while one runs does nothing."""
        order = self.order()
        self.run(lambda progress: export_ring(order, progress), "export")

    def on_success(self, result: object) -> None:
        """Show what was written."""
        assert isinstance(result, ExportResult)
        self.show_status("\n".join(result_sentences(result)), "text")
        self.open_button.show()
        self._name_start(self.order())
        self.exported.emit(result)

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.setSpacing(8)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        form.addRow("&Name", self.name)
        form.addRow("&Folder", self.place)
        form.addRow("&Tolerance", self.tolerance)
        files = QVBoxLayout()
        files.setSpacing(4)
        for box in self.boxes.values():
            files.addWidget(box)
        files.addWidget(self.stones)
        sheet = QHBoxLayout()
        sheet.addWidget(self.sheet)
        sheet.addWidget(self.paper)
        sheet.addStretch(1)
        files.addLayout(sheet)
        form.addRow("Files", files)
        form.addRow("Named", self.names)
        form.addRow("Allowed for", self.allowed)
        left = QVBoxLayout()
        left.addLayout(form)
        left.addStretch(1)
        across = QHBoxLayout()
        across.setSpacing(16)
        across.addLayout(left, 3)
        across.addWidget(cautions_panel(self._design, self), 2)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(16)
        column.addLayout(across, 1)
        column.addWidget(self.status)
        column.addWidget(self.progress)
        column.addWidget(self.buttons)
        self.resize(920, 560)

    def _show_order(self) -> None:
        """Before anything is written: what will be, how large, and what would be replaced."""
        order = self.order()
        self.names.setText(", ".join(Path(name).name for name in order.files) or "nothing is chosen yet")
        self.start_button.setEnabled(bool(order.files) and bool(self.name.text().strip()))
        replaced = order.replaced
        self._name_start(order)
        self.show_status(f"Already there and replaced: {', '.join(replaced)}." if replaced else "", "warning")

    def _name_start(self, order: ExportOrder) -> None:
        self.start_button.setText("Replace and export" if order.replaced else "Export")


def _tolerance_field(parent: QWidget) -> QDoubleSpinBox:
    field = QDoubleSpinBox(parent)
    field.setDecimals(4)
    field.setRange(FINEST_MM, COARSEST_MM)
    field.setSingleStep(0.001)
    field.setValue(FINAL_CHORD_MM)
    field.setSuffix(" mm")
    field.setButtonSymbols(QDoubleSpinBox.ButtonSymbols.NoButtons)
    field.setMinimumHeight(28)
    field.setToolTip("Largest distance between the mesh and the true surface; a printer's pixel is about 0.04 mm")
    return field


def _format_box(ending: str, parent: QWidget) -> QCheckBox:
    kind = MESH_FORMATS.get(ending)
    name, about = (kind.name, kind.about) if kind else ("PNG", "a picture of the ring")
    box = _box(name, about, parent)
    box.setToolTip(f"Write a file that ends in {ending}")
    box.setAccessibleName(f"{name} file")
    return box


def _box(name: str, about: str, parent: QWidget) -> QCheckBox:
    box = QCheckBox(f"{name}   {about}", parent)
    box.setToolTip(f"{name}: {about}")
    box.setAccessibleName(name)
    return box
