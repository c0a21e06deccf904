"""One lattice that grows and shrinks with the band, or cells of one size on the ring."""

from __future__ import annotations

import math
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QButtonGroup, QLabel, QSizePolicy, QVBoxLayout, QWidget

from ringtex.edits.pattern_ties import ALWAYS_GRADED, can_be_even
from ringtex.window.appearance.colours import Colours
from ringtex.window.appearance.flow_layout import FlowLayout
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.picture_choice import Picture, PictureButton
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor

GRADED_HINT: Final = "One lattice all round: rows run on unbroken, and cells are smaller where the band is narrower"
EVEN_HINT: Final = "Every cell has the same area on the ring; where the band narrows, rows give cells off one by one"
GRADED: Final = "one lattice, graded"
EVEN_NOTE: Final = "Even cells are grown to fit their places: they neither slide nor twist."
DENSITY_NOTE: Final = "Closer or wider by place: rows take up and give off cells there, and neither slide nor twist."


class WideButton(PictureButton):
    """A picture twice as wide as those of the families."""

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Room for a piece of band."""
        usual = super().sizeHint()
        return QSize(max(usual.width(), int(self.fontMetrics().height() * 7.5)), usual.height())


class EvennessRow(SettingRow):
    """Graded is evenness 0, even anything above it; the number row below says how far."""

    def __init__(self, editor: DesignEditor, state: ViewState, parent: QWidget) -> None:
        super().__init__("pattern.evenness", "evenness", parent)
        self._editor = editor
        self._last = 1.0
        holder = QWidget(self)
        holder.setAccessibleName("Sizes of the cells")
        flow = FlowLayout(holder, 4)
        flow.setContentsMargins(0, 0, 0, 0)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        holder.setSizePolicy(policy)
        self.graded = WideButton(Picture(False, GRADED, paint_graded, GRADED_HINT), state, holder)
        self.even = WideButton(Picture(True, "even cells", paint_even, EVEN_HINT), state, holder)
        self._group = QButtonGroup(self)
        for button in (self.graded, self.even):
            self._group.addButton(button)
            flow.addWidget(button)
        self.graded.clicked.connect(lambda: self._choose(0.0))
        self.even.clicked.connect(lambda: self._choose(self._last))
        self.note = QLabel(self)
        self.note.setProperty("role", "soft")
        self.note.setWordWrap(True)
        column = self.layout()
        assert isinstance(column, QVBoxLayout)
        column.insertWidget(0, holder)
        column.insertWidget(1, self.note)

    def refresh(self) -> None:
        """Show the design's choice, and for which families there is one."""
        pattern = self._editor.design.pattern
        if pattern.evenness > 0.0:
            self._last = pattern.evenness
        (self.even if pattern.evenness > 0.0 else self.graded).setChecked(True)
        self.even.setEnabled(can_be_even(self._editor.design))
        self.graded.setText("graded" if pattern.family == "cellular" else GRADED)
        self.graded.setAccessibleName(self.graded.text())
        note = "" if can_be_even(self._editor.design) else ALWAYS_GRADED
        if not note and pattern.uses_target_density:
            note = EVEN_NOTE if pattern.evenness > 0.0 else DENSITY_NOTE
        self.note.setText(note)
        self.note.setVisible(bool(note))
        self.clear_explanation()

    def matches_design(self) -> bool:
        """Whether the marked picture is the design's choice."""
        return self.even.isChecked() == (self._editor.design.pattern.evenness > 0.0)

    def _choose(self, evenness: float) -> None:
        label = "make the cells even" if evenness > 0.0 else "take one lattice, graded"
        if (evenness > 0.0) != (self._editor.design.pattern.evenness > 0.0):
            error = self._editor.set_value("pattern.evenness", evenness, label)
            if error is not None:
                self.explain(error)
                return
        self.refresh()


def paint_graded(painter: QPainter, box: QRectF, chosen: Colours) -> None:
    """Three rows all along, smaller towards the narrow end.

    Parameters:
        painter: paints in the widget's pixels.
        box: where to paint, pixels.
        chosen: the theme's colours.
    """
    _pen(painter, chosen)
    x, k = box.left(), 0
    while x < box.right() and k < 40:
        size = _width_at(box, x) / 3.5
        for row in range(3):
            y = box.center().y() + (row - 1.0 + (0.25 if k % 2 else -0.25)) * size
            painter.drawPolygon(_hexagon(x + 0.5 * size, y, 0.54 * size))
        x += 0.86 * size
        k += 1


def paint_even(painter: QPainter, box: QRectF, chosen: Colours) -> None:
    """Cells of one size, fewer across where it is narrow.

    Parameters:
        painter: paints in the widget's pixels.
        box: where to paint, pixels.
        chosen: the theme's colours.
    """
    _pen(painter, chosen)
    size = box.height() / 4.6
    k, x = 0, box.left()
    while x < box.right() and k < 40:
        rows = max(1, round(_width_at(box, x) / size - (0.5 if k % 2 else 0.0)))
        for row in range(rows):
            y = box.center().y() + (row - 0.5 * (rows - 1)) * size
            painter.drawPolygon(_hexagon(x + 0.5 * size, y, 0.54 * size))
        x += 0.86 * size
        k += 1


def _pen(painter: QPainter, chosen: Colours) -> None:
    painter.setPen(QPen(QColor(chosen.soft_text), 1.2))
    painter.setBrush(QColor(chosen.hover))


def _width_at(box: QRectF, x: float) -> float:
    share = (x - box.left()) / box.width()
    return box.height() * (1.0 - 0.68 * share)


def _hexagon(x: float, y: float, radius: float) -> QPolygonF:
    turns = [math.radians(60.0 * corner) for corner in range(6)]
    return QPolygonF([QPointF(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns])
