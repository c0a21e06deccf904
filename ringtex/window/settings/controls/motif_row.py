"""The own motif: buttons that ask for a drawing, a picture or a text, the pen, and the dialog that shows it round the
seam."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from ringtex.basics.errors import InputError, RingtexError
from ringtex.edits.drawn_curve import Pen
from ringtex.edits.motif_edits import lost_to_motif
from ringtex.pattern.motif.import_motif import ImportedMotif
from ringtex.pattern.picture.import_picture import read_drawing_or_picture
from ringtex.window.building.background_job import BackgroundJob
from ringtex.window.building.view_state import ViewState
from ringtex.window.dialogs.motif_dialog import MotifDialog
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor

HINT = "Repeat your own drawing (SVG) or grey picture (PNG, TIFF) round the ring; it is copied into the design"
ASK, ASK_AGAIN = "Own drawing or picture ...", "Another drawing or picture ..."
TEXT_HINT = "Repeat a line of text round the ring"
DRAW = "Draw on the strip"
DRAW_HINT = "Draw a curve with the mouse on the strip above; it is smoothed and repeated round the ring. Esc ends it"
FILES = "Drawings and grey pictures (*.svg *.SVG *.png *.PNG *.tif *.tiff *.TIF *.TIFF)"


class MotifRow(SettingRow):
    """Imports a drawing or a picture in a thread of its own; the newest request wins.

    folder: gives the folder to look for drawings in.
    """

    chosen = Signal(Path)
    """The file that is to become the motif."""

    def __init__(self, editor: DesignEditor, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__("pattern.motif", "family", parent)
        self._editor, self._state = editor, state
        self.button = QPushButton(ASK, self)
        self.button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.button.clicked.connect(self._ask)
        self.line.addWidget(self.button)
        self.text_button = QPushButton("Text ...", self)
        self.text_button.clicked.connect(lambda: self._open(None))
        self.text_button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.draw_button = QPushButton(DRAW, self)
        self.draw_button.setCheckable(True)
        self.draw_button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.draw_button.clicked.connect(lambda on: state.set_pen((state.last_pen or Pen()) if on else None))
        state.pen_changed.connect(self._show_pen)
        self.notes = QLabel(self)
        self.notes.setProperty("role", "soft")
        self.notes.setWordWrap(True)
        self.notes.setVisible(False)
        column = self.layout()
        assert isinstance(column, QVBoxLayout)
        column.insertWidget(1, self.text_button)
        column.insertWidget(2, self.draw_button)
        column.addWidget(self.notes)
        self.folder: Callable[[], Path] = Path.cwd
        self.dialog: QFileDialog | None = None
        self.job: BackgroundJob | None = None
        self.seam_dialog: MotifDialog | None = None

    def refresh(self) -> None:
        """Show whether there is a motif, and say what one would take away."""
        self.button.setText(ASK if self._editor.design.pattern.motif is None else ASK_AGAIN)
        lost = " and ".join(lost_to_motif(self._editor.design))
        for button, hint in ((self.button, HINT), (self.text_button, TEXT_HINT), (self.draw_button, DRAW_HINT)):
            said = f"{hint}. It takes the place of the {lost}" if lost else hint
            button.setToolTip(said)
            button.setAccessibleDescription(said)

    def _show_pen(self) -> None:
        drawing = self._state.pen is not None
        self.draw_button.setChecked(drawing)
        self.draw_button.setText("Stop drawing" if drawing else DRAW)

    def matches_design(self) -> bool:
        """Whether the button says what there is."""
        return self.button.text() == (ASK if self._editor.design.pattern.motif is None else ASK_AGAIN)

    def _ask(self) -> None:
        dialog = QFileDialog(self, "Drawing or picture for the motif", str(self.folder()), FILES)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.fileSelected.connect(lambda name: self.take(Path(name)))
        dialog.finished.connect(dialog.deleteLater)
        self.dialog = dialog
        dialog.open()

    def take(self, path: Path) -> None:
        """Read a drawing or picture beside the window and show it round the seam."""
        self.chosen.emit(path)
        if self.job is not None:
            self.job.cancel()
        job = BackgroundJob(lambda _: read_drawing_or_picture(path), "reading of the drawing", self)
        job.done.connect(lambda found: self._taken(job, found))
        job.failed.connect(lambda error: self._failed(job, error, path.name))
        self.job = job
        self._note(f"Reading {path.name} ...")
        job.start()

    def _taken(self, job: BackgroundJob, found: object) -> None:
        if job is not self.job or not isinstance(found, ImportedMotif):
            return
        self.job = None
        self.clear_explanation()
        self._note("")
        self._open(found)

    def _open(self, found: ImportedMotif | None) -> None:
        """Show the motif round the seam; None for one of text."""
        if self.seam_dialog is not None:
            return
        self.clear_explanation()
        dialog = MotifDialog(self._editor.document, self._state.material, found, self.window())
        dialog.finished.connect(self._closed)
        self.seam_dialog = dialog
        dialog.open()

    def _closed(self) -> None:
        self.seam_dialog = None

    def _failed(self, job: BackgroundJob, error: RingtexError, name: str) -> None:
        """Say what is wrong, with the file's name and the element, which a sentence in the settings leaves out."""
        if job is self.job:
            self.job = None
            self._note("")
            element = error.where.rpartition(", ")[2] if ", " in error.where else ""
            place = f"{name}, {element}" if " on line " in element else name
            self.explain(InputError(f"{error.message} ({place})", error.advice, error.where))

    def _note(self, text: str) -> None:
        self.notes.setText(text)
        self.notes.setVisible(bool(text))
