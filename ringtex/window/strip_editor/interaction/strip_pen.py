"""Drawing on the strip: while a pen is in hand a stroke of the left button becomes the motif, or a part of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from PySide6.QtCore import QPointF

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.edits.drawn_curve import Pen, load_curve_fitting, with_curve, with_curve_added
from ringtex.edits.motif_edits import lost_to_motif
from ringtex.pattern.make_pattern import patterned_part
from ringtex.pattern.motif.motif_layout import MotifLayout
from ringtex.pattern.motif.motif_pattern import motif_pattern
from ringtex.window.building.background_job import BackgroundJob
from ringtex.window.strip_editor.interaction.pen_bar import PenBar
from ringtex.window.strip_editor.interaction.strip_tool import StripTool
from ringtex.window.strip_editor.state.strip_state import StripState


class StripPen(StripTool):
    """The pen, whose stroke becomes a curve when it ends."""

    def __init__(self, strip: StripState) -> None:
        super().__init__(strip)
        self._loading: BackgroundJob | None = None
        self.bar = PenBar(strip.shared, strip.widget)
        strip.shared.pen_changed.connect(self._pen_changed)
        strip.ring.changed.connect(self._show_bar)

    @property
    def pen(self) -> Pen | None:
        """The pen in hand."""
        return self._strip.shared.pen

    @property
    def _can_add(self) -> bool:
        """The design has a drawn motif, to which strokes may be added."""
        motif = self._strip.document.design.pattern.motif
        return motif is not None and motif.grey is None and self._strip.document.design.pattern.family == "motif"

    @property
    def in_hand(self) -> bool:
        """Whether a pen is in hand."""
        return self.pen is not None

    @property
    def at_work(self) -> bool:
        """Whether a stroke goes on."""
        return bool(self._strip.stroke)

    def begin(self, at: QPointF) -> None:
        """Begin to draw."""
        strip, pen = self._strip, self.pen
        _, v = strip.position(at)
        if pen is not None and 0.0 <= v <= strip.viewport.strip_width:
            strip.show_message("")
            lost = self._lost(pen)
            strip.document.begin_drag(f"{pen.label} in place of {' and '.join(lost)}" if lost else pen.label)
            strip.stroke = [strip.position(at)]
        strip.update()

    def go_on(self, at: QPointF) -> None:
        """Draw to the pointer, at most to the strip's edges."""
        strip = self._strip
        if not strip.document.dragging:
            strip.stroke = []
        elif strip.stroke:
            u, v = strip.position(at)
            strip.stroke.append((u, min(max(v, 0.0), strip.viewport.strip_width)))

    def end(self) -> None:
        """Put the curve on the ring."""
        strip, pen, stroke = self._strip, self.pen, self._strip.stroke
        strip.stroke = []
        if not stroke or pen is None or not strip.document.dragging:
            return
        lost = self._lost(pen)
        try:
            strip.document.change(self._drawn(pen, stroke), "")
            if lost:
                strip.show_message(f"A motif has no {' and no '.join(lost)}: they went. Undo brings them back.")
        except InputError as error:
            strip.show_message(f"{error.message}. {error.advice}")
        finally:
            strip.document.end_drag()
            strip.update()

    def _lost(self, pen: Pen) -> tuple[str, ...]:
        """What a stroke takes away, in words: nothing where it is added to the motif."""
        return () if pen.adds and self._can_add else lost_to_motif(self._strip.document.design)

    def _drawn(self, pen: Pen, stroke: list[tuple[float, float]]) -> Design:
        """The design with the stroke's curve. Raises: InputError."""
        strip, points = self._strip, np.array(stroke)
        design = strip.document.design
        part = patterned_part(strip.strip_size, design.rails)
        if not pen.adds or not self._can_add:
            return with_curve(design, part, points, pen)
        # The view may lag behind: the design alone says where its repeats are.
        layout = motif_pattern(part, design.pattern).motif
        assert isinstance(layout, MotifLayout)
        return with_curve_added(design, layout, points, pen)

    def forget_stroke(self) -> None:
        """Draw no more."""
        self._strip.stroke = []

    def lay_down(self) -> None:
        """Put the pen away."""
        self._strip.shared.set_pen(None)

    def _pen_changed(self) -> None:
        strip = self._strip
        if self.pen is None:
            if strip.stroke:
                strip.stroke = []
                strip.document.cancel_drag()
            strip.widget.unsetCursor()
        elif self._loading is None:
            # So that the first stroke need not wait for it.
            self._loading = BackgroundJob(lambda _: load_curve_fitting(), "curve fitting", self)
            self._loading.start()
        strip.forget_pointed()
        strip.shared.set_hovered_cell(None)
        self._show_bar()
        strip.update()

    def _show_bar(self) -> None:
        if self.pen is None and not self.bar.isVisible():
            return
        can_add = self._can_add
        if self.pen is not None and self.pen.adds and not can_add and not self._strip.document.dragging:
            self._strip.shared.set_pen(replace(self.pen, adds=False))
        self.bar.show_pen(can_add)
