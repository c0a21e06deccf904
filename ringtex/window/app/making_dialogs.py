"""The dialogs that make something of the design beside its export: workshop sheet, size run, comparison of mappings."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from ringtex.document.document import Document
from ringtex.make_ring import BuiltRing
from ringtex.window.app.file_handling import FileHandling
from ringtex.window.app.preferences import Preferences
from ringtex.window.building.drawable_ring import View
from ringtex.window.dialogs.compare_dialog import CompareDialog
from ringtex.window.dialogs.job_dialog import JobDialog
from ringtex.window.dialogs.sheet_dialog import SheetDialog
from ringtex.window.dialogs.size_run_dialog import SizeRunDialog


class MakingDialogs(QObject):
    """Opens them, one at a time, with the design as it is at that moment."""

    def __init__(
        self,
        document: Document,
        remembering: Preferences,
        files: FileHandling,
        shown: Callable[[], View | None],
        window: QWidget,
    ) -> None:
        super().__init__(window)
        self._document = document
        self._remembering = remembering
        self._shown = shown
        self._files = files
        self._window = window
        self.dialog: JobDialog | None = None

    def open_sheet(self) -> None:
        """Ask where the workshop sheet goes, and write it beside the window."""
        self._settle()
        dialog = SheetDialog(
            self._document.design, self._built(), self._remembering.folder, self._document.name, self._window
        )
        dialog.written.connect(lambda path: self._remembering.set_folder(Path(path).absolute().parent))
        self._open(dialog)

    def open_size_run(self) -> None:
        """Ask for which sizes the ring is to be made, and make them beside the window."""
        self._settle()
        folder = self._remembering.folder / f"{self._document.name} sizes"
        self._open(SizeRunDialog(self._document.design, folder, self._document.name, self._window))

    def open_comparison(self) -> None:
        """Compare the ways to lay the design's pattern on its band."""
        self._settle()
        dialog = CompareDialog(self._document.design, self._remembering.folder, self._document.name, self._window)
        dialog.written.connect(lambda path: self._remembering.set_folder(path.absolute().parent))
        self._open(dialog)

    def close(self) -> None:
        """The window closes."""
        if self.dialog is not None:
            self.dialog.close()

    def _built(self) -> BuiltRing | None:
        """The ring in view, where it is finished and the document's own."""
        view = self._shown()
        if view is None or view.design != self._document.design or not isinstance(view.built, BuiltRing):
            return None
        return view.built

    def _settle(self) -> None:
        self._files.about_to_use.emit()
        self._document.end_drag()

    def _open(self, dialog: JobDialog) -> None:
        dialog.finished.connect(self._closed)
        self.dialog = dialog
        dialog.open()

    def _closed(self) -> None:
        self.dialog = None
