"""What the dialogs that write files share: folder, status, progress, start, cancel; and cautions."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QCloseEvent, QDesktopServices
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
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
from ringtex.checks.making.cautions import cautions_for
from ringtex.design.design import Design
from ringtex.window.appearance.error_sentences import sentence_of
from ringtex.window.building.background_job import BackgroundJob, Work


class JobDialog(QDialog):
    """A dialog that does one job at a time in a thread of its own.

    Those who inherit lay out `status`, `progress` and `buttons`, fill `fields` with what may not be changed meanwhile,
    and call `run`; `on_success` and `on_failure` are told how it ended.
    """

    def __init__(self, title: str, start: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.job: BackgroundJob | None = None
        self.fields: list[QWidget] = []
        self.setWindowTitle(title)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.status = QLabel(self)
        self.status.setWordWrap(True)
        self.status.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.progress = QProgressBar(self)
        self.progress.setRange(0, 1000)
        self.progress.setTextVisible(False)
        self.progress.setFixedHeight(6)
        self.progress.setAccessibleName(f"Progress: {title.lower()}")
        self.progress.hide()
        self.buttons = QDialogButtonBox(self)
        self.start_button = self.buttons.addButton(start, QDialogButtonBox.ButtonRole.AcceptRole)
        self.start_button.setDefault(True)
        self.open_button = self.buttons.addButton("Show the folder", QDialogButtonBox.ButtonRole.ActionRole)
        self.open_button.hide()
        self.close_button = self.buttons.addButton(QDialogButtonBox.StandardButton.Close)
        self.buttons.accepted.connect(self.start)
        self.buttons.rejected.connect(self.reject)

    @property
    def running(self) -> bool:
        """Whether its job is at work."""
        return self.job is not None and self.job.running

    def start(self) -> None:
        """What the start button does."""
        raise NotImplementedError

    def run(self, work: Work, name: str) -> None:
        """Run the work in a thread; a second call while one runs does nothing."""
        if self.running:
            return
        self.job = BackgroundJob(work, name, self)
        self.job.progressed.connect(self._show_progress)
        self.job.done.connect(self._succeed)
        self.job.failed.connect(self._fail)
        self._set_running(True)
        self.show_status("", "soft")
        self.job.start()

    def on_success(self, result: object) -> None:
        """The job gave this."""

    def on_failure(self, error: RingtexError) -> None:
        """The job ended with an error, which is said already."""

    def reject(self) -> None:
        """Cancel a running job; otherwise close."""
        if self.job is not None and self.job.running:
            self.job.cancel()
            self.show_status("Stopping ...", "soft")
        else:
            super().reject()

    def closeEvent(self, event: QCloseEvent, /) -> None:  # noqa: N802 - Qt's name
        """The thread never outlives its dialog."""
        if self.job is not None:
            self.job.stop()
        super().closeEvent(event)

    def show_status(self, text: str, role: str) -> None:
        """A sentence over the buttons: role "soft", "text", "warning" or "error"."""
        self.status.setText(text)
        self.status.setProperty("role", role)
        self.status.style().unpolish(self.status)
        self.status.style().polish(self.status)
        self.status.setVisible(bool(text))

    def _show_progress(self, stage: str, fraction: float) -> None:
        self.progress.setValue(round(fraction * 1000.0))
        if self.running and self.job is not None and not self.job.stopping:
            self.show_status(f"{stage[:1].upper()}{stage[1:]}, {100.0 * fraction:.0f} %", "soft")

    def _succeed(self, result: object) -> None:
        self._set_running(False)
        self.on_success(result)

    def _fail(self, error: RingtexError) -> None:
        self._set_running(False)
        self.show_status(sentence_of(error), "error")
        self.on_failure(error)

    def _set_running(self, running: bool) -> None:
        self.progress.setVisible(running)
        self.progress.setValue(0)
        for field in (*self.fields, self.start_button):
            field.setEnabled(not running)
        self.close_button.setText("Cancel" if running else "Close")


class FolderRow(QWidget):
    """The folder to write to, typed or chosen."""

    def __init__(self, folder: Path, parent: QWidget) -> None:
        super().__init__(parent)
        self.edit = QLineEdit(str(folder), self)
        self.edit.setAccessibleName("Folder")
        browse = QPushButton("Choose ...", self)
        browse.setToolTip("Choose the folder to write to")
        browse.setAutoDefault(False)
        browse.clicked.connect(self._choose)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.edit, 1)
        row.addWidget(browse)
        self.setFocusProxy(self.edit)

    @property
    def path(self) -> Path:
        """The folder as it is typed now."""
        return Path(self.edit.text().strip() or ".").expanduser()

    def show_folder(self) -> None:
        """Open it in the system's own window."""
        QDesktopServices.openUrl(QUrl.fromLocalFile(str(self.path.absolute())))

    def _choose(self) -> None:
        chosen = QFileDialog.getExistingDirectory(self, "Folder to write to", self.edit.text())
        if chosen:
            self.edit.setText(chosen)


def cautions_panel(design: Design, parent: QWidget) -> QScrollArea:
    """Cautions when the ring is made and worn: a quiet column at the side."""
    closed = design.hollow is not None and design.hollow.floor_mm is not None
    return text_panel("Take care", [caution.text for caution in cautions_for(design.make, closed)], parent)


def text_panel(title: str, paragraphs: Sequence[str], parent: QWidget) -> QScrollArea:
    """A titled column of paragraphs that scrolls where it is too long.

    Parameters:
        title: heading.
        paragraphs: one label each.
        parent: owner of the widget.
    Returns: the scrolling panel.
    """
    inside = QWidget(parent)
    column = QVBoxLayout(inside)
    column.setContentsMargins(16, 0, 8, 0)
    column.setSpacing(8)
    head = QLabel(title, inside)
    head.setProperty("role", "strong")
    column.addWidget(head)
    for text in paragraphs:
        label = QLabel(text, inside)
        label.setProperty("role", "soft")
        label.setWordWrap(True)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        column.addWidget(label)
    column.addStretch(1)
    area = QScrollArea(parent)
    area.setWidget(inside)
    area.setWidgetResizable(True)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setMinimumWidth(240)
    area.setAccessibleName(title)
    return area
