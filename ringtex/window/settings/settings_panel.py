"""The column of settings in the order of the job: finger, band, pattern, relief, finishing, making."""

from __future__ import annotations

import re
from importlib import import_module

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QApplication, QFrame, QLabel, QScrollArea, QVBoxLayout, QWidget

from ringtex.basics.errors import RingtexError
from ringtex.document.document import Document
from ringtex.window.building.background_job import BackgroundJob
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.basic_rows import TextRow
from ringtex.window.settings.controls.entry_field import EntryField
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.motif_row import MotifRow
from ringtex.window.settings.controls.setting_row import SettingRow, sentence
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.choice_pictures import prepare_family_pictures
from ringtex.window.settings.drawings.handle_drawing import LATER_MS, PLOT_MODULE, HandleDrawing, plots_loaded
from ringtex.window.settings.sections.band_section import BandSection
from ringtex.window.settings.sections.finger_section import FingerSection
from ringtex.window.settings.sections.finishing_section import FinishingSection
from ringtex.window.settings.sections.making_section import MakingSection
from ringtex.window.settings.sections.pattern_section import PatternSection
from ringtex.window.settings.sections.relief_section import ReliefSection
from ringtex.window.settings.sections.settings_section import SettingsSection

NAME_HINT = "What the ring is called: the title of its workshop sheet"
LAST_GOOD = "The ring in view is the last that could be made."
SECTION_OF = {
    "size": "Finger", "band": "Band", "bore": "Band", "pattern": "Pattern", "rails": "Pattern", "strip": "Pattern",
    "panels": "Pattern", "zones": "Pattern",
    "relief": "Relief", "hollow": "Finish", "drains": "Finish", "edits": "Finish", "stones": "Finish",
    "plain": "Finish", "inscription": "Finish", "make": "Making",
}  # fmt: skip
"""Where a key's first word belongs."""


class SettingsPanel(QWidget):
    """Shows the document's design and changes it; whatever else changes the document shows here at once."""

    def __init__(self, document: Document, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self._editor = DesignEditor(document)
        self._watch = HoverWatch(state, self)
        self._column = QWidget(self)
        self.message = QLabel(self._column)
        self.message.setProperty("role", "explanation")
        self.message.setWordWrap(True)
        self.message.setContentsMargins(8, 8, 8, 8)
        self.message.setVisible(False)
        self.name = TextRow("name", "Name", NAME_HINT, self._editor, self._column)
        self.name.setContentsMargins(16, 12, 16, 4)
        self.name.field.setPlaceholderText("of the ring, for the sheet")
        self.sections: list[SettingsSection] = [
            kind(self._editor, state, self._watch, self._column)
            for kind in (FingerSection, BandSection, PatternSection, ReliefSection, FinishingSection, MakingSection)
        ]
        self._drawings = self._column.findChildren(HandleDrawing)
        self._lay_out()
        self._failed = False
        self._loading: BackgroundJob | None = None
        self._picturing: BackgroundJob | None = None
        self._document = document
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(LATER_MS)
        self._later.timeout.connect(self.refresh)
        self._stop_listening = document.listen(self._follow_document)
        self.destroyed.connect(self._stop_listening)
        self.refresh()

    def _lay_out(self) -> None:
        inner = QVBoxLayout(self._column)
        inner.setContentsMargins(0, 0, 0, 16)
        inner.setSpacing(0)
        inner.addWidget(self.message)
        inner.addWidget(self.name)
        for section in self.sections:
            inner.addWidget(section)
        inner.addStretch(1)
        self.area = QScrollArea(self)
        self.area.setWidget(self._column)
        self.area.setWidgetResizable(True)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setAccessibleName("Settings")
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self.area)
        self.setAccessibleName("Settings")

    @property
    def rows(self) -> list[SettingRow]:
        """Every control of the design, in order."""
        made: list[SettingRow] = [self.name]
        for section in self.sections:
            made.extend(section.rows)
            made.extend(section.inner_rows)
        return made

    @property
    def motif(self) -> MotifRow:
        """The row that asks for own drawings."""
        return next(row for row in self.rows if isinstance(row, MotifRow))

    def section(self, title: str) -> SettingsSection:
        """A section by its title. Raises: StopIteration for no such section."""
        return next(section for section in self.sections if section.header.title == title)

    @property
    def folded(self) -> list[str]:
        """The titles of the sections that are folded, to be kept for the next start."""
        return [section.header.title for section in self.sections if section.folded]

    def set_folded(self, titles: list[str]) -> None:
        """Fold these sections and unfold the others."""
        for section in self.sections:
            section.set_folded(section.header.title in titles)

    def _follow_document(self) -> None:
        """While something is dragged only the section in use follows at once: the draft needs the time."""
        if not self._document.dragging:
            self.refresh()
            return
        focused = QApplication.focusWidget()
        for section in self.sections:
            if section.underMouse() or (focused is not None and section.isAncestorOf(focused)):
                section.refresh()
        self._later.start()

    def refresh(self) -> None:
        """Show what the document's design says. Never changes it."""
        self._later.stop()
        self._clear_failure()
        self.name.refresh()
        for section in self.sections:
            section.refresh()

    def showEvent(self, event: QShowEvent, /) -> None:  # noqa: N802 - Qt's name
        """Know when the window is deleted."""
        super().showEvent(event)
        self.window().installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent, /) -> bool:  # noqa: N802 - Qt's name
        """Empty the drawings before their window is deleted: Qt must not ask items that Python has half taken down."""
        if event.type() == QEvent.Type.DeferredDelete:
            for drawing in self._drawings:
                drawing.discard()
        return super().eventFilter(watched, event)

    def _load_plots(self) -> None:
        """Load the plotting library beside the window once the first ring is in view, and draw."""
        if self._loading is None and not plots_loaded():
            self._loading = BackgroundJob(lambda progress: import_module(PLOT_MODULE), "drawings", self)
            self._loading.done.connect(self._draw)
            self._loading.start()
            self._picturing = BackgroundJob(prepare_family_pictures, "pictures", self)
            self._picturing.start()

    def _draw(self) -> None:
        for number, drawing in enumerate(self._drawings):
            # One at a time, so that the window never stands still.
            QTimer.singleShot(20 * number, drawing, drawing.redraw)

    def show_view(self, view: View) -> None:
        """Show what only the built ring knows: rows chosen by themselves, how far cells are from regular."""
        self._load_plots()
        if view.design == self._editor.design:
            if self._failed:
                self.refresh()
            for section in self.sections:
                section.show_view(view)
        for drawing in self._drawings:
            drawing.redraw_soon()

    def show_error(self, error: RingtexError) -> None:
        """Explain why the design cannot be built, at the control that it is about."""
        self._load_plots()
        self._clear_failure()
        self._failed = True
        self._turn_to_station(error.where)
        row = self._row_of(error.where)
        if row is not None:
            row.explain(error)
            row.explanation.setText(f"{row.explanation.text()} {LAST_GOOD}")
            for section in self.sections:
                if section.isAncestorOf(row):
                    section.set_folded(False)
            return
        title = SECTION_OF.get(error.where.split(".")[0].split("[")[0])
        text = f"{sentence(error)} {LAST_GOOD}"
        if title is not None and self.section(title).shows:
            self.section(title).set_folded(False)
            self.section(title).show_message(text)
        else:
            self.message.setText(text)
            self.message.setVisible(True)

    def commit_typed_text(self) -> None:
        """Commit the typed text of the focused field, such as before saving or exporting."""
        field = self.focusWidget()
        if isinstance(field, EntryField):
            field.commit()

    def _turn_to_station(self, where: str) -> None:
        found = re.match(r"band\.stations\[(\d+)\]\.", where)
        band = self.section("Band")
        if found is not None and isinstance(band, BandSection):
            band.choice.choose(int(found[1]))

    def _row_of(self, where: str) -> SettingRow | None:
        """The row of a key; a number for a key that lies above several rows is none."""
        return next((row for row in self.rows if where and row.key == where and not row.isHidden()), None)

    def _clear_failure(self) -> None:
        if self._failed:
            self._failed = False
            self.message.setVisible(False)
