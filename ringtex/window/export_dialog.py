"""Exporting: which files, where, how fine; progress and cancel; what was checked, and what to beware of."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import Qt, QUrl, Signal
from PySide6.QtGui import QCloseEvent, QDesktopServices
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from ringtex.basics.errors import RingtexError
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.checks.cautions import cautions_for
from ringtex.design.design import Design
from ringtex.export.mesh_files import MESH_FORMATS
from ringtex.make_ring import COARSEST_MM, FINEST_MM
from ringtex.window.export_job import ExportJob, ExportOrder, ExportResult, result_sentences
from ringtex.window.sentences import sentence_of

PICTURE_ENDING: Final = ".png"
ABOUT: Final = {
    ".stl": "Triangles only; read by every slicer. It carries no unit: these are millimetres",
    ".3mf": "Triangles with their unit, packed; for newer slicers",
    ".obj": "Text, for modelling programs",
    ".ply": "Exact to the last digit",
    ".glb": "For showing in three dimensions, in metres",
    PICTURE_ENDING: "A picture of the ring",
}


class ExportDialog(QDialog):
    """Exports one design; the document may change meanwhile without touching what is written."""

    exported = Signal(object)
    """An ExportResult."""

    def __init__(self, design: Design, folder: Path, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._design = design
        self.job: ExportJob | None = None
        self.setWindowTitle("Export")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.name = QLineEdit(name, self)
        self.folder = QLineEdit(str(folder), self)
        self.tolerance = _tolerance_field(self)
        self.boxes = {ending: _box(ending, self) for ending in (*MESH_FORMATS, PICTURE_ENDING)}
        self.boxes[".stl"].setChecked(True)
        self.status = QLabel(self)
        self.status.setWordWrap(True)
        self.status.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.progress = QProgressBar(self)
        self.progress.setRange(0, 1000)
        self.progress.setAccessibleName("Progress of the export")
        self.progress.hide()
        self._lay_out()
        for box in self.boxes.values():
            box.toggled.connect(self._show_order)
        self.name.textChanged.connect(self._show_order)
        self.folder.textChanged.connect(self._show_order)
        self._show_order()

    def order(self) -> ExportOrder:
        """What the fields say now."""
        base = str(Path(self.folder.text().strip() or ".").expanduser() / self.name.text().strip())
        chosen = [ending for ending, box in self.boxes.items() if box.isChecked()]
        meshes = tuple(base + ending for ending in chosen if ending != PICTURE_ENDING)
        picture = base + PICTURE_ENDING if PICTURE_ENDING in chosen else None
        return ExportOrder(self._design, meshes, picture, self.tolerance.value())

    def start(self) -> None:
        """Begin the export; a second call while one runs does nothing."""
        if self.job is not None and self.job.running:
            return
        self.job = ExportJob(self.order(), self)
        self.job.progressed.connect(self._show_progress)
        self.job.done.connect(self._show_done)
        self.job.failed.connect(self._show_failed)
        self._set_running(True)
        self._say("", "soft")
        self.job.start()

    def reject(self) -> None:
        """Cancel a running export; otherwise close."""
        if self.job is not None and self.job.running:
            self.job.cancel()
            self._say("Stopping ...", "soft")
        else:
            super().reject()

    def closeEvent(self, event: QCloseEvent, /) -> None:  # noqa: N802 - Qt's name
        """The thread never outlives its dialog."""
        if self.job is not None:
            self.job.stop()
        super().closeEvent(event)

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.setSpacing(8)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        form.addRow("&Name", self.name)
        browse = QPushButton("Choose ...", self)
        browse.setToolTip("Choose the folder to write to")
        browse.setAutoDefault(False)
        browse.clicked.connect(self._choose_folder)
        place = QHBoxLayout()
        place.addWidget(self.folder, 1)
        place.addWidget(browse)
        label = QLabel("&Folder", self)
        label.setBuddy(self.folder)
        form.addRow(label, place)
        form.addRow("&Tolerance", self.tolerance)
        formats = QVBoxLayout()
        for box in self.boxes.values():
            formats.addWidget(box)
        form.addRow("Files", formats)
        self.buttons = QDialogButtonBox(self)
        self.start_button = self.buttons.addButton("Export", QDialogButtonBox.ButtonRole.AcceptRole)
        self.start_button.setDefault(True)
        self.open_button = self.buttons.addButton("Show the folder", QDialogButtonBox.ButtonRole.ActionRole)
        self.open_button.hide()
        self.close_button = self.buttons.addButton(QDialogButtonBox.StandardButton.Close)
        self.buttons.accepted.connect(self.start)
        self.buttons.rejected.connect(self.reject)
        self.open_button.clicked.connect(self._open_folder)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(16)
        column.addLayout(form)
        column.addWidget(_cautions(self._design, self), 1)
        column.addWidget(self.status)
        column.addWidget(self.progress)
        column.addWidget(self.buttons)
        self.resize(640, 620)

    def _choose_folder(self) -> None:
        chosen = QFileDialog.getExistingDirectory(self, "Folder to write to", self.folder.text())
        if chosen:
            self.folder.setText(chosen)

    def _open_folder(self) -> None:
        QDesktopServices.openUrl(QUrl.fromLocalFile(str(Path(self.folder.text()).expanduser().absolute())))

    def _show_order(self) -> None:
        """Before anything is written: say what would be replaced."""
        order = self.order()
        self.start_button.setEnabled(bool(order.files) and bool(self.name.text().strip()))
        replaced = order.replaced if order.files else []
        self.start_button.setText("Replace and export" if replaced else "Export")
        self._say(f"Already there and replaced: {', '.join(replaced)}." if replaced else "", "warning")

    def _show_progress(self, stage: str, fraction: float) -> None:
        self.progress.setValue(round(fraction * 1000.0))
        self.progress.setFormat(f"{stage}  %p %")

    def _show_done(self, result: ExportResult) -> None:
        self._set_running(False)
        self._say("\n".join(result_sentences(result)), "text")
        self.open_button.show()
        self.exported.emit(result)

    def _show_failed(self, error: RingtexError) -> None:
        self._set_running(False)
        self._say(sentence_of(error), "error")

    def _set_running(self, running: bool) -> None:
        self.progress.setVisible(running)
        self.progress.setValue(0)
        for field in (self.name, self.folder, self.tolerance, *self.boxes.values(), self.start_button):
            field.setEnabled(not running)
        self.close_button.setText("Cancel" if running else "Close")

    def _say(self, text: str, role: str) -> None:
        self.status.setText(text)
        self.status.setProperty("role", role)
        self.status.style().unpolish(self.status)
        self.status.style().polish(self.status)
        self.status.setVisible(bool(text))


def _tolerance_field(parent: QWidget) -> QDoubleSpinBox:
    field = QDoubleSpinBox(parent)
    field.setDecimals(4)
    field.setRange(FINEST_MM, COARSEST_MM)
    field.setSingleStep(0.001)
    field.setValue(FINAL_CHORD_MM)
    field.setSuffix(" mm")
    field.setButtonSymbols(QDoubleSpinBox.ButtonSymbols.NoButtons)
    field.setToolTip("Largest distance between the mesh and the true surface; a printer's pixel is about 0.04 mm")
    return field


def _box(ending: str, parent: QWidget) -> QCheckBox:
    name = MESH_FORMATS[ending].name if ending in MESH_FORMATS else "PNG"
    box = QCheckBox(f"{name}   {ABOUT[ending]}", parent)
    box.setToolTip(f"Write a file that ends in {ending}")
    box.setAccessibleName(f"{name} file")
    return box


def _cautions(design: Design, parent: QWidget) -> QScrollArea:
    """What to beware of when the ring is made and worn."""
    text = "\n\n".join(caution.text for caution in cautions_for(design.make))
    label = QLabel(f"Take care\n\n{text}", parent)
    label.setWordWrap(True)
    label.setAlignment(Qt.AlignmentFlag.AlignTop)
    label.setContentsMargins(8, 8, 8, 8)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    area = QScrollArea(parent)
    area.setWidget(label)
    area.setWidgetResizable(True)
    area.setMinimumHeight(96)
    area.setAccessibleName("Cautions")
    return area
