"""How errors reach the user: a sentence with advice, the details behind a button; nothing closes the window."""

from __future__ import annotations

import platform
import sys
import threading
import traceback
from types import TracebackType
from typing import Final

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QApplication, QDialog, QDialogButtonBox, QPlainTextEdit, QVBoxLayout, QWidget

from ringtex import __version__
from ringtex.basics.errors import RingtexError
from ringtex.window.appearance.error_sentences import sentence_of
from ringtex.window.status.notices import NoticeBar

FAULT = "Something went wrong inside ringtex. Your design is as it was; save it, then try again or undo the last step."


SHOWN: Final = 20
"""As many errors are remembered: their traces hold arrays."""


class ErrorDisplay(QObject):
    """Shows errors as notices; takes uncaught exceptions of every thread once `install` was called."""

    _caught = Signal(object)

    def __init__(self, notices: NoticeBar, parent: QWidget) -> None:
        super().__init__(parent)
        self._notices = notices
        self._window = parent
        self.shown: list[BaseException] = []
        self._caught.connect(self.show_error, Qt.ConnectionType.QueuedConnection)

    def install(self) -> None:
        """Take over `sys.excepthook` and `threading.excepthook`."""
        sys.excepthook = self._take
        threading.excepthook = self._take_of_thread

    def uninstall(self) -> None:
        """Give both hooks back to Python."""
        sys.excepthook = sys.__excepthook__
        threading.excepthook = threading.__excepthook__

    def show_error(self, error: BaseException, subject: str = "error") -> None:
        """Say what went wrong in a sentence; whatever is not for a person stays behind "Details"."""
        self.shown.append(error)
        del self.shown[:-SHOWN]
        text = sentence_of(error) if isinstance(error, RingtexError) else FAULT
        cause = error.__cause__ if isinstance(error, RingtexError) else error
        answers = [("Details", lambda: self.show_details(cause))] if cause is not None else []
        self._notices.tell(subject, "error", text, answers)

    def show_details(self, error: BaseException) -> None:
        """Open a window with the whole report, ready to be copied."""
        DetailsDialog(details_of(error), self._window).open()

    def _take(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        sys.__excepthook__(kind, error, trace)
        if isinstance(error, KeyboardInterrupt):
            QApplication.quit()
        else:
            self._caught.emit(error)

    def _take_of_thread(self, caught: threading.ExceptHookArgs) -> None:
        if caught.exc_value is not None:
            self._take(caught.exc_type, caught.exc_value, caught.exc_traceback)


class DetailsDialog(QDialog):
    """A report for whoever mends the program."""

    def __init__(self, report: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("Details of what went wrong")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.resize(720, 480)
        self.report = QPlainTextEdit(report, self)
        self.report.setReadOnly(True)
        self.report.setAccessibleName("Report")
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        copy = buttons.addButton("Copy", QDialogButtonBox.ButtonRole.ActionRole)
        copy.clicked.connect(lambda: QApplication.clipboard().setText(report))
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.addWidget(self.report)
        column.addWidget(buttons)


def details_of(error: BaseException) -> str:
    """Versions and the whole trace of an error."""
    about = f"ringtex {__version__}, Python {platform.python_version()}, {platform.platform()}"
    return f"{about}\n\n{''.join(traceback.format_exception(error))}"
