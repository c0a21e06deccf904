"""Patterns to put on this ring: found by picture and name, saved, renamed, deleted."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QIcon, QPixmap
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListView,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from ringtex.basics.errors import RingtexError
from ringtex.design.design import Design
from ringtex.document.document import Document
from ringtex.document.pattern_library import OwnPattern, PatternLibrary
from ringtex.document.starting_points import StartingPoint
from ringtex.edits.pattern_ties import with_pattern_of
from ringtex.window.appearance.error_sentences import sentence_of
from ringtex.window.building.background_job import BackgroundJob

SHOWN: Final = QSize(120, 90)
SHOWN_COLUMNS: Final = 5
POINT: Final = Qt.ItemDataRole.UserRole


class PatternDialog(QDialog):
    """One list of pictures; what is done with the chosen one stands below.

    It stays open after a use, so that patterns can be tried one after the other; each use is one step to undo.
    """

    def __init__(self, document: Document, library: PatternLibrary, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._library = document, library
        self._jobs: list[BackgroundJob] = []
        self.setWindowTitle("Patterns")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.search = QLineEdit(self)
        self.search.setPlaceholderText("Search by name")
        self.search.setClearButtonEnabled(True)
        self.search.setAccessibleName("Search by name")
        self.list = QListWidget(self)
        self.list.setViewMode(QListView.ViewMode.IconMode)
        self.list.setResizeMode(QListView.ResizeMode.Adjust)
        self.list.setMovement(QListView.Movement.Static)
        self.list.setUniformItemSizes(True)
        self.list.setIconSize(SHOWN)
        self.list.setGridSize(SHOWN + QSize(24, 30))
        self.list.setAccessibleName("Patterns")
        self.name = QLineEdit(self)
        self.name.setPlaceholderText("Name of an own pattern")
        self.name.setAccessibleName("Name of an own pattern")
        self.status = QLabel(self)
        self.status.setWordWrap(True)
        self._add_buttons()
        self.search.textChanged.connect(lambda: self.fill())
        self.list.currentItemChanged.connect(lambda *_: self._refresh())
        self.list.itemDoubleClicked.connect(lambda _: self.use())
        self.name.textChanged.connect(lambda _: self._refresh())
        self.fill()
        columns = SHOWN_COLUMNS * self.list.gridSize().width()
        self.resize(columns + 2 * self.list.frameWidth() + self.list.verticalScrollBar().sizeHint().width() + 32, 600)

    def _add_buttons(self) -> None:
        self.save_button = self._button(
            "Save this ring's pattern", "Keep the pattern in hand under this name", self.save
        )
        self.rename_button = self._button("Rename", "Give the chosen own pattern this name", self.rename)
        self.delete_button = self._button("Delete", "Remove the chosen own pattern", self.delete)
        self.buttons = QDialogButtonBox(self)
        self.use_button = self.buttons.addButton("Use on this ring", QDialogButtonBox.ButtonRole.ActionRole)
        self.use_button.setToolTip(
            "Put its pattern, relief and rails on this ring: size, band, stones and making stay; one step to undo"
        )
        self.use_button.setDefault(True)
        self.use_button.clicked.connect(self.use)
        # While nothing is chosen, Qt would make Close the button that Enter presses, and leave it so.
        self.buttons.addButton(QDialogButtonBox.StandardButton.Close).setAutoDefault(False)
        self.buttons.rejected.connect(self.reject)
        own = QHBoxLayout()
        own.addWidget(self.name, 1)
        for button in (self.save_button, self.rename_button, self.delete_button):
            own.addWidget(button)
        column = QVBoxLayout(self)
        column.addWidget(self.search)
        column.addWidget(self.list, 1)
        column.addLayout(own)
        column.addWidget(self.status)
        column.addWidget(self.buttons)

    def _button(self, text: str, hint: str, act: Callable[[], None]) -> QPushButton:
        button = QPushButton(text, self)
        button.setToolTip(hint)
        button.setAutoDefault(False)
        button.clicked.connect(act)
        return button

    @property
    def chosen(self) -> StartingPoint | None:
        """The marked pattern."""
        item = self.list.currentItem()
        point = item.data(POINT) if item is not None else None
        return point if isinstance(point, StartingPoint) else None

    def fill(self, mark: str = "") -> None:
        """Show what the search finds, and mark one by its name."""
        self.list.clear()
        for point in self._library.patterns(self.search.text()):
            item = QListWidgetItem(QIcon(QPixmap(str(point.picture))), point.title, self.list)
            item.setData(POINT, point)
            item.setToolTip(f"{point.title}: {'your own' if isinstance(point, OwnPattern) else 'of the program'}")
            if point.name == mark:
                self.list.setCurrentItem(item)
        # What a search finds first is the one that is meant; without one nothing is chosen by itself.
        if self.search.text().strip() and self.list.currentItem() is None and self.list.count():
            self.list.setCurrentRow(0)
        self._say("" if self.list.count() else f'No pattern has "{self.search.text().strip()}" in its name')
        self._refresh()

    def use(self) -> None:
        """Put the chosen pattern on the ring as one step."""
        point = self.chosen
        if point is None:
            return

        def put() -> None:
            changed = with_pattern_of(self._document.design, point.design())
            self._document.end_drag()
            self._document.change(changed, f"use the pattern {point.title}")
            self._say(f"{point.title} is on the ring; undo takes it off again")

        self._try(put)

    def save(self) -> None:
        """Keep the pattern in hand under the typed name; its picture follows."""

        def keep() -> None:
            design: Design = self._document.design
            self._show_own(self._library.save(design, self.name.text()), "saved")

        self._try(keep)

    def rename(self) -> None:
        """Give the chosen own pattern the typed name."""
        point = self.chosen
        if isinstance(point, OwnPattern):
            self._try(lambda: self._show_own(self._library.rename(point, self.name.text()), "renamed"))

    def delete(self) -> None:
        """Remove the chosen own pattern; a second press on the same one means it."""
        point = self.chosen
        if not isinstance(point, OwnPattern):
            return
        if self.delete_button.text() == "Delete":
            self.delete_button.setText("Delete for good")
            self._say(f"{point.title} cannot be brought back; press once more to delete it")
            return

        def remove() -> None:
            self._library.delete(point)
            self.name.clear()
            self.fill()
            self._say(f"{point.title} is deleted")

        self._try(remove)

    def _show_own(self, point: OwnPattern, done: str) -> None:
        self.search.clear()
        self.fill(point.name)
        self._say(f"{point.title} is {done}")
        if not point.picture.exists():
            job = BackgroundJob(lambda progress: point.draw_picture(progress), "picture", self)
            job.done.connect(lambda _: self.fill(point.name))
            job.failed.connect(lambda error: self._say(sentence_of(error)))
            self._jobs.append(job)
            job.start()

    def done(self, result: int, /) -> None:
        """Close; pictures that are being drawn are left."""
        for job in self._jobs:
            job.blockSignals(True)
            job.stop()
        super().done(result)

    def _refresh(self) -> None:
        point, named = self.chosen, bool(self.name.text().strip())
        own = isinstance(point, OwnPattern)
        self.use_button.setEnabled(point is not None)
        self.save_button.setEnabled(named)
        self.rename_button.setEnabled(named and own)
        self.delete_button.setEnabled(own)
        self.delete_button.setText("Delete")

    def _say(self, text: str) -> None:
        self.status.setText(text)

    def _try(self, act: Callable[[], None]) -> None:
        try:
            act()
        except RingtexError as error:
            self._say(sentence_of(error))
