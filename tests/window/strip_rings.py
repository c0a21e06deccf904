"""Rings, documents and pixels for the tests of the strip."""

from __future__ import annotations

from dataclasses import replace
from functools import cache, lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.design.design import Design
from ringtex.design.design_file import read_design
from ringtex.document.document import Document
from ringtex.make_ring import make_ring, shape_ring
from ringtex.pattern.pattern_options import PatternOptions
from ringtex.relief.relief_options import ReliefOptions
from ringtex.window.building.drawable_ring import View, make_view
from ringtex.window.building.view_state import ViewState
from ringtex.window.strip_editor import StripView

KEPT = 16
DEMOS = Path(__file__).resolve().parents[2] / "demo_patterns"


@cache
def design_named(name: str) -> Design:
    """flat: 24 x 6 hexagons; fine: 60 x 15; many: 150 x 34; rails; dome; cellular: about 200 cells."""
    if name == "dome":
        dome = read_design(DEMOS / "dome.ring.json")
        return replace(dome, pattern=PatternOptions(around=24))
    flat = read_design(DEMOS / "plain_flat.ring.json")
    # The demo may change; the tests count on these.
    flat = replace(flat, pattern=PatternOptions(around=24, across=6), relief=ReliefOptions())
    pattern, relief = flat.pattern, flat.relief
    if name == "fine":
        thin = replace(relief, wall_width_mm=0.2, depth_mm=0.2)
        return replace(flat, pattern=replace(pattern, around=60, across=15), relief=thin)
    if name == "many":
        thin = replace(relief, wall_width_mm=0.05, depth_mm=0.05)
        return replace(flat, pattern=replace(pattern, around=150, across=34), relief=thin)
    if name == "cellular":
        grown = replace(pattern, family="cellular", around=28, across=7, scatter=0.5)
        return replace(flat, pattern=grown, relief=replace(relief, form="pillow", wall_width_mm=0.3))
    if name == "rails":
        return replace(flat, rails=replace(flat.rails, lower_mm=0.8, upper_mm=0.8))
    return flat


@lru_cache(KEPT)
def view_of(design: Design) -> View:
    """A design built, checked and laid out for drawing; the last few are cached."""
    return make_view(make_ring(design, DRAFT_CHORD_MM), False)


@lru_cache(KEPT)
def unchecked_view_of(design: Design) -> View:
    """The same without checks, which take most of the time and which the strip shows nothing of but findings."""
    return make_view(shape_ring(design, DRAFT_CHORD_MM, Progress()), False)


class Bench:
    """A strip on the screen that shows every change at once, as the window's worker does a moment later."""

    def __init__(self, qtbot, name: str = "flat", size: tuple[int, int] = (1280, 260)) -> None:  # type: ignore[no-untyped-def]
        self.qtbot = qtbot
        self.document = Document(design_named(name))
        self.state = ViewState()
        self.strip = StripView(self.document, self.state)
        qtbot.addWidget(self.strip)
        self.strip.resize(*size)
        self.strip.show()
        qtbot.waitExposed(self.strip)
        self.document.listen(self.rebuild)
        self.state.overlay_changed.connect(self._check)
        self.rebuild()
        self.rest()

    def rebuild(self) -> None:
        """Show the ring of the document's design."""
        checked = self.state.overlay == "findings"
        self.strip.show_view((view_of if checked else unchecked_view_of)(self.document.design))

    def _check(self) -> None:
        if self.state.overlay == "findings":
            self.rebuild()

    def move(self, position: QPoint, buttons: Qt.MouseButton = Qt.MouseButton.NoButton) -> None:
        """Move the mouse. Sent straight to the widget: the display's own pointer comes late, or not at all."""
        place = QPointF(position)
        where = self.strip.mapToGlobal(place)
        none, plain = Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier
        QApplication.sendEvent(self.strip, QMouseEvent(QEvent.Type.MouseMove, place, where, none, buttons, plain))

    def rest(self) -> None:
        """Wait until the picture is as fine as it gets."""
        self.qtbot.waitUntil(lambda: self.strip.is_at_rest() and not self.strip.state.ring.is_waiting, timeout=20000)

    def point(self, u: float, v: float) -> QPoint:
        """The widget's pixel of a place on the strip, in the turn nearest to the middle of the view."""
        strip = self.strip.state
        near = strip.viewport.nearest_copy(u, strip.viewport.centre_u)
        return (QPointF(*strip.viewport.pixel(near, v)) / strip.ratio).toPoint()

    def centre(self, cell: int) -> QPoint:
        """The pixel of a cell's inner point."""
        assert self.strip.state.view is not None
        u, v = self.strip.state.view.built.pattern.tiling.kernel[0][cell]
        return self.point(float(u), float(v))

    def handle(self, name: str) -> QPoint:
        """The pixel of a handle."""
        strip = self.strip.state
        handle = next(handle for handle in strip.handles() if handle.name == name)
        return QPointF(*strip.viewport.pixel(handle.u, handle.v)).toPoint()

    def grip(self, name: str, number: int = 0) -> QPoint:
        """The pixel of a grip of a stone or a plain place."""
        strip = self.strip.state
        x, y = next((x, y) for found, x, y in strip.grips(strip.items[number]) if found == name)
        return (QPointF(x, y) / strip.ratio).toPoint()


def drag(
    bench: Bench,
    start: QPoint,
    *stops: QPoint,
    button: Qt.MouseButton = Qt.MouseButton.LeftButton,
    release: bool = True,
) -> None:
    """Press, move through the stops, and let go."""
    strip = bench.strip
    bench.move(start)
    QTest.mousePress(strip, button, pos=start)
    for stop in stops:
        bench.move(stop, button)
        QApplication.processEvents()
    if release:
        QTest.mouseRelease(strip, button, pos=stops[-1])


def pixels(widget: QWidget) -> NDArray[np.int32]:
    """(h, w, 3) what the widget shows, red, green, blue."""
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3).astype(np.int32)
