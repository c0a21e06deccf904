"""The finger: a size on one scale, and at once on every other."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from ringtex.band.finger_size import SCALES, FingerSize, size_in_every_scale, size_on
from ringtex.basics.errors import InputError
from ringtex.edits.size_edits import size_as, size_stepped
from ringtex.window.appearance.theme import even_figures
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.basic_rows import NoWheelComboBox
from ringtex.window.settings.controls.entry_field import EntryField
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_setting import number_of
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.sections.settings_section import SettingsSection

SCALE_NAMES: Final = {"iso": "ISO", "us": "US", "uk": "UK", "jp": "Japan", "it": "Italy"}
LABEL: Final = "change the finger size"


class SizeRow(SettingRow):
    """The scale and the size on it; the arrow keys go from mark to mark."""

    def __init__(self, editor: DesignEditor, parent: QWidget) -> None:
        super().__init__("size.value", "size", parent)
        self._editor = editor
        self.scale = NoWheelComboBox(self)
        for scale in SCALES:
            self.scale.addItem(SCALE_NAMES.get(scale, scale), scale)
        self.scale.setAccessibleName("Size scale")
        self.scale.setToolTip("The scale that the size is given on; the nearest mark of the new scale is taken")
        self.field = EntryField("Finger size", "Z+5 1/2 0", self)
        self.line.addWidget(self.scale)
        self.line.addStretch(1)
        self.line.addWidget(self.field)
        self.scale.activated.connect(self._take_scale)
        self.field.committed.connect(self._enter)
        self.field.stepped.connect(self._step)
        self.field.reverted.connect(self.clear_explanation)

    def refresh(self) -> None:
        """Show the design's size."""
        size = self._editor.design.size
        self.scale.setCurrentIndex(SCALES.index(size.scale))
        self.field.setToolTip(size_on(size.scale, size.circumference_mm).definition)
        typing = self.field.hasFocus() and self.field.is_uncommitted
        self.field.show_text(size.value)
        if not (typing and self.field.is_uncommitted):
            self.clear_explanation()

    def matches_design(self) -> bool:
        """Whether scale and size are the design's."""
        size = self._editor.design.size
        same = self.field.text() == size.value or bool(self.explained)
        return same and self.scale.currentData() == size.scale

    def _take_scale(self, place: int) -> None:
        scale = self.scale.itemData(place)
        if scale != self._editor.design.size.scale:
            self._set(size_as(scale, self._editor.design.size.circumference_mm))
        self.refresh()

    def _set(self, size: FingerSize) -> InputError | None:
        return self._editor.set_value("size", size, LABEL)

    def _enter(self, text: str) -> None:
        try:
            error = self._set(FingerSize(self._editor.design.size.scale, text.strip()))
        except InputError as refused:
            error = refused
        if error is None:
            self.field.show_text(self._editor.design.size.value, replacing=True)
            self.clear_explanation()
        else:
            size = self._editor.design.size
            near = nearest_size(size.scale, text) or size
            self.explain(error, f"Use {near.value}", lambda: self._take(near))

    def _take(self, size: FingerSize) -> None:
        self._set(size)
        self.field.revert()
        self.refresh()
        self.field.setFocus()

    def _step(self, count: int) -> None:
        """To the next marks of the scale."""
        if self.explained:
            return
        size = self._editor.design.size
        for wanted in range(count, 0, -1 if count > 0 else 1):
            try:
                stepped = size_stepped(size, wanted)
            except InputError:
                continue
            self._set(stepped)
            self.field.selectAll()
            return


def nearest_size(scale: str, text: str) -> FingerSize | None:
    """The size nearest to a number that is none on its scale; None where the text is no number."""
    grain, low, high = {
        "iso": (0.01, 36.0, 90.0),
        "it": (0.01, 0.0, 50.0),
        "us": (0.25, 0.0, 16.0),
        "jp": (1.0, 1.0, 30.0),
    }.get(scale, (0.0, 0.0, 0.0))
    try:
        number = number_of(text, "", whole=False)
    except InputError:
        return None
    if grain == 0.0:
        return None
    return FingerSize(scale, f"{round(min(max(round(number / grain) * grain, low), high), 2):g}")


class FingerSection(SettingsSection):
    """Size, inner diameter, and the nearest mark on every scale with how far the finger is off it."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("Finger", editor, state, watch, parent)
        self.size_row = self.add_row(SizeRow(editor, self.body))
        self.measures = QLabel(self.body)
        self.measures.setWordWrap(True)
        self.measures.setFont(even_figures(self.measures.font()))
        self.measures.setProperty("role", "soft")
        self.column.addWidget(self.measures)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(3, 1)
        self.column.addLayout(self._grid)
        self.readings: dict[str, tuple[QLabel, QLabel, QLabel]] = {}
        for place, scale in enumerate(SCALES):
            self.readings[scale] = self._reading_row(place, SCALE_NAMES.get(scale, scale))
        self._shown: FingerSize | None = None

    def _reading_row(self, place: int, name: str) -> tuple[QLabel, QLabel, QLabel]:
        labels = (QLabel(name, self.body), QLabel(self.body), QLabel(self.body))
        labels[0].setProperty("role", "soft")
        labels[2].setProperty("role", "soft")
        for column, label in enumerate(labels):
            label.setFont(even_figures(label.font()))
            if column:
                label.setAlignment(Qt.AlignmentFlag.AlignRight)
            self._grid.addWidget(label, place, column)
        return labels

    def refresh(self) -> None:
        """Also show the readings where the size has changed."""
        super().refresh()
        size = self.editor.design.size
        if size == self._shown:
            return
        self._shown = size
        self.measures.setText(f"inside {size.diameter_mm:.2f} mm across, {size.circumference_mm:.2f} mm round")
        for reading in size_in_every_scale(size.circumference_mm):
            name, mark, off = self.readings[reading.scale]
            mark.setText(reading.mark)
            exact = abs(reading.off_mm) < 0.005
            off.setText("exact" if exact else f"{reading.off_mm:+.2f} mm".replace("-", "\u2212"))
            tip = f"{reading.definition}. {reading.note}".rstrip(". ")
            for label in (name, mark, off):
                label.setToolTip(tip)

    def summary(self) -> str:
        """The size with its scale."""
        return self.editor.design.size.label
