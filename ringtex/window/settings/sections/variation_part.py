"""What differs from place to place, unfolded under its name: two curves, a brush for the strip, and a way back."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QLabel, QPushButton, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from ringtex.edits.brush_strokes import FIRST_BRUSHES
from ringtex.edits.place_curves import left_is_like_right, with_left_like_right
from ringtex.window.appearance.flow_layout import FlowLayout
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.curve_drawing import CurveDrawing
from ringtex.window.settings.sections.variation_kinds import VariationKind

ABOUT: Final = {
    "density": "How many cells there are in a place, beside the others. Their number as a whole stays.",
    "fade": "How much of the depth is left in a place: fade towards edges, palm or anywhere.",
}


class VariationPart(QWidget):
    """Unfolds itself once the design has something of its kind; whoever folds it by hand keeps it folded."""

    def __init__(
        self, kind: VariationKind, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.kind = kind
        self._editor, self._state = editor, state
        self._had = False
        self.header = _header(kind, self)
        self.header.toggled.connect(self._unfold)
        self.body = QWidget(self)
        self.about = QLabel(ABOUT[kind.subject], self.body)
        self.about.setProperty("role", "soft")
        self.about.setWordWrap(True)
        self.around = CurveDrawing(kind, "around", editor, state, watch, self.body)
        self.across = CurveDrawing(kind, "across", editor, state, watch, self.body)
        self.mirror = QCheckBox("Left like right", self.body)
        self.mirror.setToolTip("What is done to a point round the ring is done to its mirror image too")
        self.mirror.setChecked(True)
        self.mirror.clicked.connect(self._mirror)
        self.paint = QPushButton("Paint on the strip", self.body)
        self.paint.setCheckable(True)
        self.paint.setToolTip("Paint with a brush on the strip above; Esc ends it")
        self.paint.clicked.connect(self._take_brush)
        self.clear = QPushButton("As everywhere", self.body)
        self.clear.setToolTip("Take curves and paint back; undo brings them back again")
        self.clear.setAccessibleName(f"{kind.title}: as everywhere")
        self.clear.clicked.connect(lambda: editor.set_value(kind.key, None, "take curves and paint back"))
        self.painted = QLabel(self.body)
        self.painted.setProperty("role", "soft")
        self._lay_out()
        watch.watch(self, kind.subject)
        state.brush_changed.connect(self._show_brush)
        self.body.setVisible(False)
        self._unfold(False)

    def _lay_out(self) -> None:
        buttons = QWidget(self.body)
        flow = FlowLayout(buttons, 8)
        flow.setContentsMargins(0, 0, 0, 0)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        buttons.setSizePolicy(policy)
        for button in (self.paint, self.clear):
            flow.addWidget(button)
        inner = QVBoxLayout(self.body)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.setSpacing(8)
        for part in (self.about, self.around, self.mirror, self.across, self.painted, buttons):
            inner.addWidget(part)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(8)
        outer.addWidget(self.header)
        outer.addWidget(self.body)

    @property
    def drawings(self) -> tuple[CurveDrawing, CurveDrawing]:
        """Both curves, which show the design by themselves."""
        return self.around, self.across

    def refresh(self) -> None:
        """Show what the design says, but for the drawings."""
        options = self._editor.value(self.kind.key)
        if options is not None and not self._had:
            self.header.setChecked(True)
        self._had = options is not None
        spots = 0 if options is None else len(options.spots)
        self.painted.setText(f"{spots} painted spot{'' if spots == 1 else 's'}")
        self.painted.setVisible(spots > 0)
        self.clear.setEnabled(options is not None)
        if not self.around.dragging and not left_is_like_right(self.around.points):
            self.mirror.setChecked(False)
        self.around.mirrored = self.mirror.isChecked()
        self._show_brush()

    def _mirror(self, on: bool) -> None:
        """Ticked over two unlike sides, both become as the one from head to palm, counter-clockwise."""
        self.around.mirrored = on
        points = self.around.points
        if on and not left_is_like_right(points):
            made = self.kind.with_curve(self._editor, "around", with_left_like_right(points))
            self._editor.set_value(self.kind.key, made, "make left like right")

    def show_view(self, view: View) -> None:
        """Know the ring in view."""
        for drawing in self.drawings:
            drawing.set_strip(view.built.strip)

    def set_usable(self, usable: bool) -> None:
        """Leave it out where the design cannot have it."""
        self.setVisible(usable)
        if not usable and self._paints:
            self._state.set_brush(None)

    @property
    def _paints(self) -> bool:
        return self._state.brush is not None and self._state.brush.subject == self.kind.subject

    def _unfold(self, shown: bool) -> None:
        self.body.setVisible(shown)
        self.header.setArrowType(Qt.ArrowType.DownArrow if shown else Qt.ArrowType.RightArrow)
        self.header.setAccessibleName(self.kind.title)

    def _take_brush(self, on: bool) -> None:
        self._state.set_brush(FIRST_BRUSHES[self.kind.subject] if on else None)

    def _show_brush(self) -> None:
        self.paint.setChecked(self._paints)
        self.paint.setText("Stop painting" if self._paints else "Paint on the strip")


def _header(kind: VariationKind, parent: QWidget) -> QToolButton:
    """The line that folds."""
    header = QToolButton(parent)
    header.setText(kind.title)
    header.setCheckable(True)
    header.setProperty("role", "fold")
    header.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
    header.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
    header.setToolTip(ABOUT[kind.subject])
    return header
