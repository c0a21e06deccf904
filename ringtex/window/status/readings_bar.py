"""The bar at the bottom that is always in sight: the finished ring's figures and what the checks found."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QFrame, QLabel, QProgressBar, QVBoxLayout, QWidget

from ringtex.basics.errors import RingtexError
from ringtex.document.proposal import clearable
from ringtex.window.appearance.error_sentences import sentence_of
from ringtex.window.appearance.flow_layout import FlowLayout
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.status.figures import Figure, SizeFigure
from ringtex.window.status.findings_row import FindingsRow
from ringtex.window.status.readings import READINGS, SCALE_NAMES, readings_of

LATE_MS: Final = 150
FIRST_SCALES: Final = ("iso", "us", "uk")


class ReadingsBar(QFrame):
    """Size in the chosen scales, the figures, the findings, and a thin line while a ring is being built."""

    scales_changed = Signal(object)
    """The chosen scales as a tuple of "iso", "us", "uk", "jp", "it"."""

    def __init__(self, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "bar")
        self.setAccessibleName("Readings")
        self._circumference_mm: float | None = None
        self._measured: View | None = None
        self._finishing = state.finishing
        self._finishing.prices_changed.connect(self._show_figures)
        self._scales: tuple[str, ...] = FIRST_SCALES
        self.progress = _thin_line(self)
        self._late = QTimer(self)
        self._late.setSingleShot(True)
        self._late.setInterval(LATE_MS)
        self._late.timeout.connect(lambda: self._draw_progress(1))
        self.finger_size = SizeFigure(self)
        self.finger_size.scales_chosen.connect(self.set_scales)
        self.figures = [Figure(reading, state, self) for reading in READINGS]
        self.findings = FindingsRow(state, self)
        self.stale = QLabel(self)
        self.stale.setProperty("role", "error")
        self.stale.setWordWrap(True)
        self.stale.hide()
        figures = FlowLayout(gap=16)
        figures.addWidget(self.finger_size)
        for figure in self.figures:
            figures.addWidget(figure)
        inside = QVBoxLayout()
        inside.setContentsMargins(16, 4, 16, 4)
        inside.setSpacing(4)
        inside.addLayout(figures)
        inside.addWidget(self.findings)
        inside.addWidget(self.stale)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.progress)
        whole.addLayout(inside)

    def show_view(self, view: View) -> None:
        """Show a ring's figures; a draft's are not measured yet, so the last ones stay, in a softer tone."""
        self._set_stale("")
        self._circumference_mm = view.design.size.circumference_mm
        self.finger_size.show_size(self._circumference_mm, self._scales)
        report = view.report
        for figure in self.figures:
            figure.set_settled(report is not None)
        self.findings.setEnabled(report is not None)
        if report is None:
            return
        self._measured = view
        self._show_figures()
        self.findings.set_findings(report.findings, bool(clearable(view.design, report)))

    def _show_figures(self) -> None:
        """The figures of the ring that was measured last, at the price that holds now."""
        view = self._measured
        if view is None or view.report is None or view.amounts is None:
            return
        price = self._finishing.prices.get(view.design.make.alloy)
        counted = view.built.pattern.counted
        found = readings_of(view.design, counted, view.report.readings, view.amounts, price)
        for figure, reading in zip(self.figures, found, strict=True):
            figure.show_reading(reading)

    def show_error(self, error: RingtexError) -> None:
        """Show that the ring in view is the last good one, and why there is no newer."""
        self._set_stale(f"In view is the last ring that could be made. {sentence_of(error)}")

    def _set_stale(self, text: str) -> None:
        """In the place of the findings' sentence, so that the bar grows no higher."""
        self.stale.setText(text)
        self.stale.setVisible(bool(text))
        self.findings.sentence.setVisible(not text)

    def show_progress(self, stage: str, fraction: float) -> None:
        """Draw the thin line once building takes longer than a draft should; stage "" takes it away."""
        if not stage:
            self._late.stop()
            self._draw_progress(0)
        elif self.progress.value() > 0:
            self._draw_progress(round(fraction * 1000.0))
        elif not self._late.isActive():
            self._late.start()
        self.progress.setToolTip(f"Building: {stage}. Esc stops it." if stage else "")

    def _draw_progress(self, value: int) -> None:
        """Qt's bar paints itself at once at every value, with what lies under it: here with the next frame instead."""
        self.progress.setUpdatesEnabled(False)
        self.progress.setValue(value)
        self.progress.setUpdatesEnabled(True)

    @property
    def scales(self) -> tuple[str, ...]:
        """The chosen scales."""
        return self._scales

    def set_scales(self, scales: Sequence[str]) -> None:
        """Read the finger size in these scales; at least one stays."""
        chosen = tuple(scale for scale in SCALE_NAMES if scale in scales) or FIRST_SCALES[:1]
        if chosen != self._scales:
            self._scales = chosen
            self.scales_changed.emit(chosen)
        self.finger_size.show_size(self._circumference_mm, chosen)


def _thin_line(parent: QWidget) -> QProgressBar:
    """A line that shows how far a ring is."""
    line = QProgressBar(parent)
    line.setRange(0, 1000)
    line.setTextVisible(False)
    line.setFixedHeight(3)
    line.setAccessibleName("Progress of the ring being built")
    return line
