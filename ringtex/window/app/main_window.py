"""The window: the strip across the top, the ring and the settings under it, the readings at the bottom."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from PySide6.QtCore import QEvent, QSize, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QResizeEvent
from PySide6.QtWidgets import QSplitter, QStackedWidget, QVBoxLayout, QWidget

from ringtex.basics.errors import RingtexError
from ringtex.design.design import Design
from ringtex.document.document import Document
from ringtex.document.starting_points import starting_points
from ringtex.window.app.error_display import ErrorDisplay
from ringtex.window.app.file_handling import FileHandling, dropped_file
from ringtex.window.app.making_dialogs import MakingDialogs
from ringtex.window.app.menus import WindowMenus
from ringtex.window.app.preferences import Preferences
from ringtex.window.app.price_memory import PriceMemory
from ringtex.window.app.recovery import Recovery
from ringtex.window.app.start_row import StartRow
from ringtex.window.app.window_actions import CommandWindow
from ringtex.window.appearance.theme import Theme
from ringtex.window.building.background_job import BackgroundJob
from ringtex.window.building.build_worker import BuildWorker
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import FINISHES, ViewState
from ringtex.window.dialogs.proposal_pane import ProposalPane
from ringtex.window.dialogs.proposing import Proposing
from ringtex.window.platform_checks import NO_OPENGL
from ringtex.window.ring_view.ring_view import RingView
from ringtex.window.settings.settings_panel import SettingsPanel
from ringtex.window.status.notices import STOPPED, NoticeBar
from ringtex.window.status.readings_bar import ReadingsBar
from ringtex.window.strip_editor.strip_view import StripView

FIRST_SIZE: Final = QSize(1440, 900)
STRIP_SHARE: Final = (38, 62)
RING_SHARE: Final = (62, 38)


class MainWindow(CommandWindow):
    """One document with its views. Everything that changes it goes through the document; this only connects."""

    def __init__(self) -> None:
        super().__init__()
        self.state = ViewState(self)
        self.remembering = Preferences(self)
        self.prices = PriceMemory(self.state.finishing, self)
        first = starting_points()[0]
        self.document = Document(first.design(), first.title)
        self.worker = BuildWorker(self, held=lambda: self.document.dragging, in_true_size=lambda: self.state.true_size)
        self.view: View | None = None
        self.state.editing = self._editing
        self._frame_next = False
        self._asked: Design | None = None
        self._build()
        self._closing = False
        self.theme = Theme(self.state, self.remembering.theme)
        self.notices = NoticeBar(self.state, self)
        self.errors = ErrorDisplay(self.notices, self)
        self.files = FileHandling(self.document, self.remembering, self.errors, self)
        self.recovery = Recovery(self.document, self.files, self.notices, self.errors, self)
        self.start_row = StartRow(self.state, self)
        self.strip = StripView(self.document, self.state, self)
        self.ring = RingView(self.state, self)
        self.settings = SettingsPanel(self.document, self.state, self)
        self.readings = ReadingsBar(self.state, self)
        self.proposal = ProposalPane(self.state, self)
        self.proposing = Proposing(self.document, self.proposal, self)
        self.making = MakingDialogs(self.document, self.remembering, self.files, lambda: self.view, self)
        self.menus = WindowMenus(self)
        self._lay_out()
        self._connect()
        self._restore()
        self._show_document()
        self.theme.style(self)

    # --- making it

    def _lay_out(self) -> None:
        self.across = QSplitter(Qt.Orientation.Horizontal, self)
        self.across.addWidget(self.ring)
        self.side = QStackedWidget(self)
        self.side.addWidget(self.settings)
        self.side.addWidget(self.proposal)
        self.across.addWidget(self.side)
        self.down = QSplitter(Qt.Orientation.Vertical, self)
        self.down.addWidget(self.strip)
        self.down.addWidget(self.across)
        for splitter, share in ((self.across, RING_SHARE), (self.down, STRIP_SHARE)):
            splitter.setChildrenCollapsible(False)
            splitter.setHandleWidth(4)
            for place, stretch in enumerate(share):
                splitter.setStretchFactor(place, stretch)
            splitter.setSizes([part * 100 for part in share])
        inside = QWidget(self)
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.notices)
        column.addWidget(self.start_row)
        column.addWidget(self.down, 1)
        column.addWidget(self.readings)
        self.setCentralWidget(inside)
        self.setAcceptDrops(True)
        self.resize(FIRST_SIZE.boundedTo(self.screen().availableSize() - QSize(8, 40)))

    def _connect(self) -> None:
        self._stop_listening = self.document.listen(self._document_changed)
        self.worker.built.connect(self._show_view)
        self.worker.failed.connect(self._show_failure)
        self.worker.busy.connect(self.readings.show_progress)
        self.files.begun.connect(self._begun)
        self.start_row.chosen.connect(self.files.begin_with)
        self.start_row.closed.connect(self.toggle_start_row)
        self.notices.changed.connect(self._fit_start_row)
        self.files.about_to_use.connect(self.settings.commit_typed_text)
        self.readings.findings.proposal_wanted.connect(lambda: self.proposing.begin(self.view))
        self.proposing.begun.connect(lambda: self._show_side(self.proposal))
        self.proposing.ended.connect(lambda: self._show_side(self.settings))
        self.proposing.view_wanted.connect(self._show_pictures)
        self.proposing.failed.connect(lambda error: self.errors.show_error(error, "proposal"))
        self.readings.scales_changed.connect(self.remembering.set_scales)
        self.settings.motif.folder = lambda: self.remembering.drawings
        self.settings.motif.chosen.connect(lambda path: self.remembering.set_drawings(path.absolute().parent))
        self.state.finish_changed.connect(lambda: self.remembering.set_finish(self.state.finish))
        self.state.true_size_changed.connect(lambda: self.remembering.set_true_size(self.state.true_size))
        state = self.state
        for changed in (state.overlay_changed, state.finish_changed, state.theme_changed, state.true_size_changed):
            changed.connect(self.menus.refresh)

    def _restore(self) -> None:
        if self.remembering.finish in FINISHES:
            self.state.set_finish(self.remembering.finish)
        self.state.set_true_size(self.remembering.true_size)
        if self.remembering.scales:
            self.readings.set_scales(self.remembering.scales)
        self.settings.set_folded(self.remembering.folded)
        geometry = self.remembering.layout("window")
        if geometry is not None:
            self.restoreGeometry(geometry)
        self._fit_start_row()
        for name, splitter in (("down", self.down), ("across", self.across)):
            kept = self.remembering.layout(name)
            if kept is not None:
                splitter.restoreState(kept)

    def _fit_start_row(self) -> None:
        """The pictures, as long as they leave enough for strip and ring: not under notices in a low window."""
        self.start_row.fit_window(self.height())
        has_room = self.start_row.has_room(self.height() - self.notices.wanted_height)
        self.start_row.setVisible(self.remembering.start_row_shown and has_room)
        self.menus.refresh()

    def begin(self, files: Sequence[Path]) -> None:
        """After the window was made: offer lost work back, and open the file that was named."""
        self.recovery.offer()
        unreachable = self.remembering.unreachable
        if unreachable:
            count = "1 recent file" if len(unreachable) == 1 else f"{len(unreachable)} recent files"
            text = f"{count} cannot be reached and not shown in the File menu, such as {unreachable[0].name[:60]}."
            self.notices.tell("recent", "note", text)
        if files:
            self.files.open_file(files[0])
        if not self.ring.has_opengl:
            self.notices.tell("opengl", "note", NO_OPENGL)

    def _editing(self) -> bool:
        awaited = self.view is None or self.view.design != self.document.design
        return self.document.dragging or (awaited and not self.worker.idle)

    def _document_changed(self) -> None:
        self._build()
        self._show_document()

    def _build(self) -> None:
        if self.document.design != self._asked:
            self._asked = self.document.design
            self.worker.request(self._asked)

    def _show_document(self) -> None:
        self.setWindowTitle(f"{self.document.name}[*]")
        self.setWindowModified(self.document.changed)
        self.menus.refresh()

    def _show_view(self, view: View) -> None:
        self.view = view
        self.notices.clear("stopped")
        self._show_pictures(view)
        if self._frame_next and view.design == self.document.design:
            self._frame_next = False
            self.ring.show_from("three_quarter")
        self.settings.show_view(view)

    def _show_pictures(self, view: View) -> None:
        """A ring on both views with its readings: that of the document, or one that is only proposed."""
        self.strip.show_view(view)
        self.ring.show_view(view)
        self.readings.show_view(view)
        if self.proposing.active:
            self.readings.findings.propose.hide()

    def _show_side(self, shown: QWidget) -> None:
        """The settings or the proposal beside the ring."""
        self.side.setCurrentWidget(shown)
        self.readings.findings.propose.setEnabled(shown is self.settings)

    def _show_failure(self, design: Design, error: RingtexError) -> None:
        if design == self.document.design:
            self.settings.show_error(error)
            self.readings.show_error(error)

    def _begun(self) -> None:
        """Another ring, perhaps of quite another size: it is put into the picture whole, and what was said is over."""
        self._frame_next = True
        for subject in ("disk", "file", "seed"):
            self.notices.clear(subject)

    def stop(self) -> None:
        """Esc: roll back the drag that goes on, or end placing; otherwise stop what is being built, or build on."""
        if self.document.dragging:
            self.document.cancel_drag()
        elif self.state.has_tool:
            self.state.set_brush(None)
            self.state.set_pen(None)
        elif self.state.finishing.placing is not None:
            self.state.finishing.set_placing(None)
        elif self.proposing.active:
            self.proposing.end()
        elif self.worker.idle:
            self._build()
        else:
            self.worker.cancel()
            self._asked = None
            self.notices.tell("stopped", "note", STOPPED)

    def toggle_start_row(self) -> None:
        """Show or hide the pictured starting points."""
        shown = not self.start_row.isVisibleTo(self)
        self.start_row.setVisible(shown)
        self.remembering.set_start_row_shown(shown)
        self.menus.refresh()

    def set_theme(self, mode: str) -> None:
        """Follow the system, or stay light or dark; remembered."""
        self.theme.set_mode(mode)
        self.remembering.set_theme(mode)
        self.menus.refresh()

    # --- what Qt tells

    def resizeEvent(self, event: QResizeEvent, /) -> None:  # noqa: N802 - Qt's name
        """The row of pictures takes what the height allows."""
        super().resizeEvent(event)
        if hasattr(self, "start_row"):
            self.start_row.fit_window(self.height())

    def changeEvent(self, event: QEvent, /) -> None:  # noqa: N802 - Qt's name
        """Coming back to the window is the time to see whether the file was changed meanwhile."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.ActivationChange and self.isActiveWindow() and hasattr(self, "recovery"):
            self.recovery.look_at_disk()

    def dragEnterEvent(self, event: QDragEnterEvent, /) -> None:  # noqa: N802 - Qt's name
        """Files may be dropped anywhere."""
        if dropped_file(event) is not None:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent, /) -> None:  # noqa: N802 - Qt's name
        """Open a dropped design, or put a dropped pattern on the ring."""
        path = dropped_file(event)
        if path is not None:
            event.acceptProposedAction()
            # Not from inside the drop: the other program waits until it is over.
            QTimer.singleShot(0, lambda: self.files.open_file(path))

    def closeEvent(self, event: QCloseEvent, /) -> None:  # noqa: N802 - Qt's name
        """Ask about unsaved work; then remember the layout and end the worker."""
        if not self._closing:
            event.ignore()
            # Not from inside this event: Qt takes no second close while the first is being answered.
            QTimer.singleShot(0, lambda: self.files.guard(self._close_guarded))
            return
        self._leave()
        super().closeEvent(event)

    def close_without_asking(self) -> None:
        """The system ends the program: unsaved work stays in the recovery file and is offered at the next start."""
        self.recovery.keep_for_next_time()
        self._close()

    def _close_guarded(self) -> None:
        self.recovery.forget()
        self._close()

    def _close(self) -> None:
        self._closing = True
        self.close()

    def _leave(self) -> None:
        self.remembering.set_layout("window", self.saveGeometry())
        self.remembering.set_layout("down", self.down.saveState())
        self.remembering.set_layout("across", self.across.saveState())
        self.remembering.set_folded(self.settings.folded)
        self.remembering.flush()
        self._stop_listening()
        self.recovery.stop()
        if self.files.export_dialog is not None:
            self.files.export_dialog.close()
        self.making.close()
        self.proposing.stop()
        self.worker.stop()
        self.ring.release()
        self._end_jobs()

    def _end_jobs(self) -> None:
        """End every job of the window: a thread that is still inside a library when the interpreter takes its libraries
        down ends the process with a crash."""
        jobs = self.findChildren(BackgroundJob)
        for job in jobs:
            job.cancel()
        for job in jobs:
            job.stop()
