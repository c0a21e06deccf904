"""Work is never lost: autosave, the offer after a crash, and the warning that the file changed on disk."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from ringtex.basics.errors import RingtexError
from ringtex.document.document import Document
from ringtex.window.error_display import ErrorDisplay
from ringtex.window.notices import NoticeBar


class Recovery(QObject):
    """Watches over one document."""

    def __init__(self, document: Document, notices: NoticeBar, errors: ErrorDisplay, window: QWidget) -> None:
        super().__init__(window)
        self._document = document
        self._notices = notices
        self._errors = errors

    def offer(self) -> None:
        pass

    def forget(self) -> None:
        pass

    def keep_for_next_time(self) -> None:
        pass

    def stop(self) -> None:
        pass

    def look_at_disk(self) -> None:
        """Say so where another program changed or removed the document's file."""
        state = self._document.changed_on_disk()
        name = self._document.name
        if state == "changed":
            text = f"“{name}” was changed on disk by another program. Your work here is untouched."
            answers = [("Take what is on disk", self._take_disk), ("Go on with mine", self._document.accept_disk)]
            self._notices.tell("disk", "warning", text, answers)
        elif state == "gone":
            text = f"The file of “{name}” is gone from the disk. Your work here is untouched; save it to have it back."
            self._notices.tell("disk", "warning", text)
        else:
            self._notices.clear("disk")

    def _take_disk(self) -> None:
        try:
            self._document.revert()
        except RingtexError as error:
            self._errors.show_error(error, "file")
