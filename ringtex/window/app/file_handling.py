"""Files from the window's side: new, open, save, save as, recent, dropped files, and the guard of unsaved work.

Nothing here waits inside a nested event loop: every question is asked with a dialog that calls back.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QFileDialog, QMessageBox, QPushButton, QWidget

from ringtex.basics.errors import RingtexError
from ringtex.design.design_file import read_pattern
from ringtex.document.document import DESIGN_ENDING, Document, with_ending
from ringtex.document.starting_points import PATTERN_ENDING, StartingPoint
from ringtex.window.app.error_display import ErrorDisplay
from ringtex.window.app.preferences import Preferences
from ringtex.window.dialogs.export_dialog import ExportDialog
from ringtex.window.dialogs.export_job import ExportResult

FILTER: Final = f"Ring designs and patterns (*{DESIGN_ENDING} *{PATTERN_ENDING} *.json)"
SAVE_FILTER: Final = f"Ring designs (*{DESIGN_ENDING})"


class FileHandling(QObject):
    """What the File menu does with the one document."""

    begun = Signal()
    """Another design has taken the document's place."""
    about_to_use = Signal()
    """The document is about to be saved, exported or left: whatever is half typed is to be entered now."""

    def __init__(self, document: Document, remembering: Preferences, errors: ErrorDisplay, window: QWidget) -> None:
        super().__init__(window)
        self._document = document
        self._remembering = remembering
        self._errors = errors
        self._window = window
        self.question: QMessageBox | None = None
        self.dialog: QFileDialog | None = None
        self.export_dialog: ExportDialog | None = None

    def begin_with(self, point: StartingPoint) -> None:
        """Begin a new ring with a starting point, once unsaved work is settled."""
        self.guard(lambda: self._begin(point))

    def open(self) -> None:
        """Ask for a file and open it."""
        self.guard(lambda: self._ask("Open", QFileDialog.AcceptMode.AcceptOpen, self._open_any))

    def open_file(self, path: Path) -> None:
        """Open a file, once unsaved work is settled; a pattern is put on the ring at hand instead."""
        if path.name.endswith(PATTERN_ENDING):
            self._try(lambda: self._put_pattern(path))
        else:
            self.guard(lambda: self._open_any(path))

    def save(self, then: Callable[[], None] | None = None) -> None:
        """Save to the document's file, or ask for one; `then` is called only when it is saved."""
        self.about_to_use.emit()
        if self._document.path is None:
            self.save_as(then)
        elif self._document.changed_on_disk() == "changed":
            self._ask_overwrite(then)
        else:
            self._save(None, then)

    def save_as(self, then: Callable[[], None] | None = None) -> None:
        """Ask for a file and save to it."""
        self.about_to_use.emit()
        self._ask("Save as", QFileDialog.AcceptMode.AcceptSave, lambda path: self._save(with_ending(path), then))

    def revert(self) -> None:
        """Go back to the saved file; a step that can be undone."""
        self._try(self._document.revert)

    def export(self) -> None:
        """Ask what to export, and do it beside the window."""
        self.about_to_use.emit()
        self._document.end_drag()
        dialog = ExportDialog(self._document.design, self._remembering.folder, self._document.name, self._window)
        dialog.exported.connect(self._exported)
        dialog.finished.connect(self._export_closed)
        self.export_dialog = dialog
        dialog.open()

    def guard(self, then: Callable[[], None]) -> None:
        """Do `then` at once where nothing is unsaved; otherwise ask whether to save first."""
        self.about_to_use.emit()
        self._document.end_drag()
        if not self._document.changed:
            then()
            return
        box = self._box(
            f"“{self._document.name}” has changes that are not saved.",
            "If you don't save them, they are lost.",
        )
        save = box.addButton("Save", QMessageBox.ButtonRole.AcceptRole)
        drop = box.addButton("Don't save", QMessageBox.ButtonRole.DestructiveRole)
        box.addButton("Go on editing", QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(save)
        box.finished.connect(lambda _: self._answered(box, {save: lambda: self.save(then), drop: then}))
        box.open()

    def _ask_overwrite(self, then: Callable[[], None] | None) -> None:
        box = self._box(
            f"“{self._document.name}” was changed on disk by another program.",
            "Saving here replaces what that program wrote.",
        )
        replace = box.addButton("Replace", QMessageBox.ButtonRole.DestructiveRole)
        other = box.addButton("Save as ...", QMessageBox.ButtonRole.AcceptRole)
        box.addButton("Go on editing", QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(other)
        answers = {replace: lambda: self._save(None, then), other: lambda: self.save_as(then)}
        box.finished.connect(lambda _: self._answered(box, answers))
        box.open()

    def _box(self, text: str, more: str) -> QMessageBox:
        if self.question is not None:
            self.question.reject()
        box = QMessageBox(QMessageBox.Icon.Question, "ringtex", text, QMessageBox.StandardButton.NoButton, self._window)
        box.setInformativeText(more)
        self.question = box
        return box

    def _answered(self, box: QMessageBox, answers: Mapping[QPushButton, Callable[[], None]]) -> None:
        if self.question is box:
            self.question = None
        chosen = next((act for button, act in answers.items() if button is box.clickedButton()), None)
        box.deleteLater()
        if chosen is not None:
            chosen()

    def _ask(self, title: str, mode: QFileDialog.AcceptMode, use: Callable[[Path], None]) -> None:
        if self.dialog is not None:
            self.dialog.reject()
        saving = mode == QFileDialog.AcceptMode.AcceptSave
        dialog = QFileDialog(self._window, title, str(self._remembering.folder), SAVE_FILTER if saving else FILTER)
        dialog.setAcceptMode(mode)
        dialog.setFileMode(QFileDialog.FileMode.AnyFile if saving else QFileDialog.FileMode.ExistingFile)
        if saving:
            dialog.selectFile(self._document.name + DESIGN_ENDING)
        dialog.fileSelected.connect(lambda name: use(Path(name)))
        dialog.finished.connect(lambda _: self._asked(dialog))
        self.dialog = dialog
        dialog.open()

    def _asked(self, dialog: QFileDialog) -> None:
        if self.dialog is dialog:
            self.dialog = None
        dialog.deleteLater()

    def _begin(self, point: StartingPoint) -> None:
        if self._try(lambda: self._document.new(point.design(), point.title)):
            self.begun.emit()

    def _open_any(self, path: Path) -> None:
        self._try(lambda: self._put_pattern(path) if path.name.endswith(PATTERN_ENDING) else self._open(path))

    def _open(self, path: Path) -> None:
        self._document.open(path)
        self._remembering.opened(path)
        self.begun.emit()

    def _put_pattern(self, path: Path) -> None:
        sheet = read_pattern(path)
        self._document.end_drag()
        self._document.change(sheet.on(self._document.design), f"put on the pattern {sheet.name or path.stem}")

    def _save(self, path: Path | None, then: Callable[[], None] | None) -> None:
        if self._try(lambda: self._document.save(path)):
            if self._document.path is not None:
                self._remembering.opened(self._document.path)
            if then is not None:
                then()

    def _exported(self, result: ExportResult) -> None:
        self._remembering.set_folder(Path(result.order.files[0]).absolute().parent)

    def _export_closed(self) -> None:
        self.export_dialog = None

    def _try(self, act: Callable[[], None]) -> bool:
        """Do it, and say in a sentence what went wrong; gives whether it went well."""
        try:
            act()
        except RingtexError as error:
            self._errors.show_error(error, "file")
            return False
        return True


def dropped_file(event: QDropEvent) -> Path | None:
    """The one local JSON file that is being dropped, or None."""
    urls = event.mimeData().urls()
    if len(urls) != 1 or not urls[0].isLocalFile():
        return None
    path = Path(urls[0].toLocalFile())
    return path if path.suffix.lower() == ".json" else None
