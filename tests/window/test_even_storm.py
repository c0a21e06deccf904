"""Even cells, curves, brush, overlays and the bare surface in any order: nothing breaks, and undo leads back."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING, Any

import pytest

pytest.importorskip("PySide6")

from even_hands import dome_design
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from settings_hands import drag

from ringtex.basics.errors import SelfCheckError
from ringtex.edits.brush_strokes import Brush
from ringtex.window.building.view_state import OVERLAYS
from ringtex.window.settings.sections.pattern_section import PatternSection
from ringtex.window.settings.sections.relief_section import ReliefSection

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from ringtex.window.app.main_window import MainWindow

ACTIONS = 24


class Storm:
    """One seeded hand on a whole window."""

    def __init__(self, window: MainWindow, seed: int) -> None:
        self.window, self.draw = window, random.Random(seed)
        pattern, relief = window.settings.section("Pattern"), window.settings.section("Relief")
        assert isinstance(pattern, PatternSection)
        assert isinstance(relief, ReliefSection)
        self.pattern, self.relief = pattern, relief
        pattern.density.header.setChecked(True)
        relief.fade.header.setChecked(True)

    def step(self) -> None:
        names = [name for name in dir(self) if name.startswith("_do_")]
        getattr(self, self.draw.choice(names))()
        QApplication.processEvents()

    def _do_sizes(self) -> None:
        button = self.draw.choice((self.pattern.sizes.even, self.pattern.sizes.graded))
        if button.isEnabled():
            button.click()

    def _do_family(self) -> None:
        self.pattern.family.button_of(self.draw.choice(("hexagon", "cellular", "hexagon", "brick"))).click()

    def _do_curve(self) -> None:
        part = self.draw.choice((self.pattern.density, self.relief.fade))
        if part.isHidden():
            return
        drawing: Any = self.draw.choice(part.drawings)
        handle = self.draw.choice(drawing.handles)
        by = (self.draw.uniform(-90, 90), self.draw.uniform(-60, 60))
        drag(drawing, drawing.frame.point(handle.x, handle.y), by, steps=4, release=self.draw.random() < 0.9)
        if drawing.dragging:
            QTest.keyClick(drawing, self.draw.choice((Qt.Key.Key_Escape, Qt.Key.Key_A)))

    def _do_point(self) -> None:
        drawing = self.draw.choice((*self.pattern.density.drawings, *self.relief.fade.drawings))
        if drawing.isVisibleTo(self.window):
            QTest.keyClick(drawing, self.draw.choice((Qt.Key.Key_Insert, Qt.Key.Key_Delete, Qt.Key.Key_Up)))

    def _do_brush(self) -> None:
        subjects = ("density", "fade") if not self.pattern.density.isHidden() else ("fade",)
        subject: Any = self.draw.choice(subjects)
        act: Any = self.draw.choice(Brush(subject).acts)
        self.window.state.set_brush(Brush(subject, act, self.draw.uniform(0.8, 4.0)))

    def _do_stroke(self) -> None:
        strip = self.window.strip
        start = QPointF(self.draw.uniform(0.0, strip.width()), self.draw.uniform(40.0, strip.height() - 40.0))
        drag(strip, start, (self.draw.uniform(-200, 200), self.draw.uniform(-40, 40)), steps=5)

    def _do_undo(self) -> None:
        self.draw.choice((self.window.document.undo, self.window.document.redo))()

    def _do_look(self) -> None:
        self.window.state.set_overlay(self.draw.choice(OVERLAYS))

    def _do_surface(self) -> None:
        if self.window.ring.has_opengl:
            self.window.ring.row.surface.toggle()

    def _do_escape(self) -> None:
        QTest.keyClick(self.window.strip, Qt.Key.Key_Escape)

    def _do_number(self) -> None:
        field = self.draw.choice((self.pattern.around, self.pattern.evenness)).field
        if field.isVisibleTo(self.window):
            QTest.keyClick(field, self.draw.choice((Qt.Key.Key_Up, Qt.Key.Key_Down)))


@pytest.mark.parametrize("seed", [1])
def test_a_storm_of_even_cells(qtbot: QtBot, window: MainWindow, settled: Callable[[], None], seed: int) -> None:
    begun = dome_design(around=14)
    window.document.new(begun)
    settled()
    faults: list[object] = []
    window.worker.failed.connect(lambda design, error: faults.append(error))
    storm = Storm(window, seed)
    for _ in range(ACTIONS):
        storm.step()
    window.state.set_brush(None)
    window.document.end_drag()
    qtbot.waitUntil(lambda: window.worker.idle, timeout=60_000)
    broken = [error for error in faults if isinstance(error, SelfCheckError)]
    assert broken == [], [getattr(error, "__cause__", None) for error in broken]
    last = window.document.design
    done = 0
    while window.document.undo_label is not None:
        window.document.undo()
        done += 1
    assert window.document.design == begun
    for _ in range(done):
        window.document.redo()
    assert window.document.design == last
