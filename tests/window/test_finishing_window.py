"""Finishing in the whole window: settings, strip, ring and readings answer one another."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot
from ring_pictures import canvas_of

from ringtex.solid.finishing.stone_options import Stone
from ringtex.window.app.main_window import MainWindow
from ringtex.window.building.drawable_ring import View
from ringtex.window.settings.sections.finishing_section import FinishingSection

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def window(same_window: MainWindow) -> MainWindow:
    """One window for all tests of this file."""
    return same_window


@pytest.fixture
def finish(window: MainWindow) -> FinishingSection:
    section = window.settings.section("Finish")
    assert isinstance(section, FinishingSection)
    window.settings.area.ensureWidgetVisible(section.stones.place)
    return section


def test_stones_are_placed_on_both_views_and_escape_ends(
    qtbot: QtBot, window: MainWindow, finish: FinishingSection, settled: Callable[[], None]
) -> None:
    QTest.mouseClick(finish.stones.place, LEFT)
    strip, shown = window.strip, window.strip.state.viewport
    at = QPointF(shown.x_of(0.4 * shown.length), shown.y_of(0.5 * shown.width)) / strip.state.ratio
    QTest.mouseClick(strip, LEFT, pos=at.toPoint())
    settled()
    assert [each.stone.u for each in window.view.built.finished.stones] == pytest.approx([0.4], abs=0.002)  # type: ignore[union-attr]
    assert finish.stones.groups[0].title.isVisible()
    canvas = canvas_of(window.ring)
    canvas.controller.show_from("head", at_once=True)
    QTest.mouseClick(canvas, LEFT, pos=QPoint(canvas.width() // 2, canvas.height() // 2))
    settled()
    stones = window.document.design.stones
    assert len(stones) == 2
    assert isinstance(stones[1], Stone)
    assert stones[1].u == pytest.approx(0.5, abs=0.01)
    shown_figures = {figure.caption.text() for figure in window.readings.figures if figure.isVisible()}
    assert "With stones" in shown_figures
    QTest.keyClick(window, Qt.Key.Key_Escape)
    assert window.state.finishing.placing is None
    assert not finish.stones.place.isChecked()
    window.state.finishing.choose(None)
    QTest.mouseClick(canvas, LEFT, pos=QPoint(canvas.width() // 2, canvas.height() // 2))
    assert window.state.finishing.chosen == "stones[1]", "a click on a stone of the ring chooses it"
    assert len(window.document.design.stones) == 2


def test_the_hollow_tells_what_it_saves_while_the_hand_moves(
    qtbot: QtBot, window: MainWindow, finish: FinishingSection, settled: Callable[[], None]
) -> None:
    finish.hollow.tick.box.click()
    settled()
    assert "Thinnest wall" in finish.hollow.saved.text()
    before, drafts = finish.hollow.saved.text(), list[View]()
    window.worker.built.connect(lambda view: drafts.append(view) if view.is_draft else None)
    field = finish.hollow.numbers[0].field
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_Up)
    qtbot.waitUntil(lambda: bool(drafts), timeout=20_000)
    saved = drafts[-1].built.finished.saved_mm3
    qtbot.waitUntil(lambda: f"{saved:.0f} mm³" in finish.hollow.saved.text(), timeout=20_000)
    assert finish.hollow.saved.text() != before
    settled()
    finish.hollow.tick.box.click()
    settled()
    assert not finish.hollow.saved.isVisible()


def test_what_cannot_be_written_is_told_where_it_was_asked(
    qtbot: QtBot, window: MainWindow, finish: FinishingSection, settled: Callable[[], None]
) -> None:
    finish.inscription.add.click()
    settled()
    field = finish.inscription.text.field
    field.setFocus()
    field.selectAll()
    # A letter of a script that the packaged font does not have, pasted as one would.
    QGuiApplication.clipboard().setText("\u5b87")
    QTest.keyClick(field, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClick(field, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: "no letter" in finish.inscription.text.explained, timeout=20_000)
    assert "last that could be made" in finish.inscription.text.explained
    window.document.undo()
    settled()
    assert finish.inscription.text.explained == ""
