"""Painting on the strip: while a brush is chosen the left button paints; everything else stays as it is."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QKeyEvent

from ringtex.basics.errors import InputError
from ringtex.edits.brush_strokes import Brush, BrushStroke
from ringtex.window.strip_editor.interaction.brush_bar import BrushBar
from ringtex.window.strip_editor.interaction.strip_tool import StripTool
from ringtex.window.strip_editor.state.strip_state import StripState


class StripBrush(StripTool):
    """The brush, which paints while it moves."""

    def __init__(self, strip: StripState) -> None:
        super().__init__(strip)
        self._stroke: BrushStroke | None = None
        self.bar = BrushBar(strip.shared, strip.widget)
        strip.shared.brush_changed.connect(self._brush_changed)

    @property
    def brush(self) -> Brush | None:
        """The chosen brush."""
        return self._strip.shared.brush

    @property
    def in_hand(self) -> bool:
        """Whether a brush is chosen."""
        return self.brush is not None

    @property
    def at_work(self) -> bool:
        """Whether a stroke goes on."""
        return self._stroke is not None

    def begin(self, at: QPointF) -> None:
        """Paint where the stroke begins."""
        strip, brush = self._strip, self.brush
        _, v = strip.position(at)
        if brush is None or strip.view is None or not 0.0 <= v <= strip.viewport.strip_width:
            return
        strip.document.begin_drag(brush.label)
        self._stroke = BrushStroke(strip.view.built.strip, brush)
        self.go_on(at)

    def go_on(self, at: QPointF) -> None:
        """Paint where the pointer is."""
        strip = self._strip
        if self._stroke is None or not strip.document.dragging:
            self._stroke = None
            return
        u, v = strip.position(at)
        try:
            strip.document.change(self._stroke.move(strip.document.design, u, v), "")
        except InputError as error:
            strip.show_message(f"{error.message}. {error.advice}")

    def end(self) -> None:
        """Keep what was painted, as one step."""
        if self._stroke is not None:
            self._stroke = None
            self._strip.document.end_drag()

    def forget_stroke(self) -> None:
        """Paint no more."""
        self._stroke = None

    def lay_down(self) -> None:
        """Put the brush away."""
        self._strip.shared.set_brush(None)

    def press_key(self, event: QKeyEvent) -> bool:
        """Paint with the keyboard."""
        if event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            return False
        self._dab_on_cell()
        return True

    def _dab_on_cell(self) -> None:
        """By keyboard: paint in the middle of the chosen cell, or of the view."""
        strip = self._strip
        if strip.view is None or self._stroke is not None:
            return
        u, v = strip.viewport.centre_u, 0.5 * strip.viewport.strip_width
        if strip.shared.hovered_cell is not None:
            u, v = strip.view.built.pattern.tiling.kernel[0][strip.shared.hovered_cell].tolist()
        self.begin(QPointF(*strip.viewport.pixel(u, v)) / strip.ratio)
        self.end()

    def _brush_changed(self) -> None:
        if self.brush is None:
            self.end()
            self._strip.widget.unsetCursor()
        self._strip.forget_pointed()
        self._strip.shared.set_hovered_cell(None)
        self.bar.show_brush()
        self._strip.update()
