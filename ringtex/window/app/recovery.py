"""Work is never lost: autosave, the offer after a crash, and the warning that the file changed on disk."""

from __future__ import annotations

import contextlib
import time
from functools import partial
from typing import Final

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QWidget

from ringtex.basics.errors import RingtexError
from ringtex.basics.time_limit import within
from ringtex.document.autosave import Autosave, LostWork, damaged_files, lost_work, recovery_folder
from ringtex.document.document import Document
from ringtex.window.app.error_display import ErrorDisplay
from ringtex.window.app.file_handling import FileHandling
from ringtex.window.status.notices import Answer, NoticeBar

AUTOSAVE_MS: Final = 1000
"""At most so much work is lost, whatever happens."""
LOOK_SECONDS: Final = 2.0
"""How long a start waits at most for what earlier windows left behind."""
MAX_NAME: Final = 80
"""Characters of a name in a notice."""
BRING_BACK: Final = "Bring it back"
THROW_AWAY: Final = "Throw it away"
TAKE_DISK: Final = "Take what is on disk"
KEEP_MINE: Final = "Go on with mine"


class Recovery(QObject):
    """Watches over one document."""

    def __init__(
        self, document: Document, files: FileHandling, notices: NoticeBar, errors: ErrorDisplay, window: QWidget
    ) -> None:
        super().__init__(window)
        self._document = document
        self._files = files
        self._notices = notices
        self._errors = errors
        self._keep = True
        self._autosave: Autosave | None = None
        try:
            self._autosave = Autosave(recovery_folder())
        except OSError as error:
            reason = RingtexError(f"Unsaved work cannot be kept in {recovery_folder()}", "Save often", "")
            reason.__cause__ = error
            errors.show_error(reason, "autosave")
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(AUTOSAVE_MS)
        self._timer.timeout.connect(self.write)
        self._stop_listening = document.listen(self._document_changed)

    def offer(self) -> None:
        """Offer back what earlier windows left behind when they ended without a goodbye."""
        folder = recovery_folder()
        found = within(LOOK_SECONDS, lambda: (lost_work(folder), damaged_files(folder)), None)
        if found is None:
            text = f"Nobody could see whether unsaved work lies in {folder}: the folder did not answer."
            self._notices.tell("recovery", "note", text)
            return
        lost, damaged = found
        if damaged:
            what = "A recovery file" if len(damaged) == 1 else f"{len(damaged)} recovery files"
            text = f"{what} in {folder} could not be read, and was put aside there as {damaged[0].name}."
            self._notices.tell("recovery", "note", text)
        for number, work in enumerate(lost):
            when = time.strftime("%d %B, %H:%M", time.localtime(work.written_s))
            name = work.name[:MAX_NAME]
            text = f"ringtex ended unexpectedly. “{name}” had changes that were not saved ({when})."
            answers: list[Answer] = [(BRING_BACK, partial(self._bring_back, work)), (THROW_AWAY, work.discard)]
            self._notices.tell(f"lost {number}", "warning", text, answers)

    def write(self) -> None:
        """Bring the recovery file up to date now."""
        self._timer.stop()
        if self._autosave is None:
            return
        document = self._document
        if document.changed:
            self._autosave.write(document.design, document.path, document.name)
        else:
            self._autosave.forget()

    def forget(self) -> None:
        """The user has saved, or said that the changes may go."""
        self._keep = False

    def keep_for_next_time(self) -> None:
        """The window closes without a question: what is unsaved is offered at the next start."""
        self._document.end_drag()
        self.write()
        self._keep = self._document.changed

    def stop(self) -> None:
        """The window closes."""
        self._stop_listening()
        self._timer.stop()
        if self._autosave is not None:
            self._autosave.close(keep=self._keep)
            self._autosave = None

    def look_at_disk(self) -> None:
        """Say so where another program changed or removed the document's file."""
        state = self._document.changed_on_disk()
        name = self._document.name
        if state == "changed":
            text = f"“{name}” was changed on disk by another program. Your work here is untouched."
            answers = [(TAKE_DISK, self._take_disk), (KEEP_MINE, self._document.accept_disk)]
            self._notices.tell("disk", "warning", text, answers)
        elif state == "gone":
            text = f"The file of “{name}” is gone from the disk. Your work here is untouched; save it to have it back."
            self._notices.tell("disk", "warning", text)
        else:
            self._notices.clear("disk")

    def _document_changed(self) -> None:
        if not self._timer.isActive():
            self._timer.start()

    def _bring_back(self, work: LostWork) -> None:
        self._files.guard(lambda: self._recover(work))

    def _recover(self, work: LostWork) -> None:
        self._document.recover(work.design, work.path, work.name)
        self._files.begun.emit()
        if self._autosave is not None:
            # Ours must be on disk before the other one goes.
            with contextlib.suppress(RingtexError):
                self._autosave.write(work.design, work.path, work.name).result(timeout=10.0)
                work.discard()

    def _take_disk(self) -> None:
        try:
            self._document.revert()
        except RingtexError as error:
            self._errors.show_error(error, "file")
