"""The first start: a finished ring, pictures to begin with, everything reachable and named."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QWheelEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget
from pytestqt.qtbot import QtBot

from ringtex.document.starting_points import starting_points
from ringtex.window.app.main_window import MainWindow


@pytest.fixture
def window(window_as_it_opens: MainWindow) -> MainWindow:
    """The window as it opens; tests that change the ring or the colours stand last."""
    return window_as_it_opens


def colours_of(widget: QWidget) -> np.ndarray:
    """(h, w, 3) what the widget shows."""
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : image.width() * 3].reshape(image.height(), image.width(), 3)


def test_it_opens_on_the_finished_dome(window: MainWindow) -> None:
    assert window.document.name == "Dome"
    assert not window.document.changed
    assert window.view is not None
    assert window.view.report is not None
    assert window.document.undo_label is None


def test_the_strip_shows_metal_across_the_whole_width(window: MainWindow) -> None:
    """Gold is far from grey: red well above blue, in the middle of the strip and near both ends (its copies)."""
    window.state.set_finish("yellow_gold")
    shown = colours_of(window.strip).astype(int)
    middle = shown[shown.shape[0] // 2]
    golden = middle[:, 0] - middle[:, 2] > 15
    thirds = np.array_split(golden, 3)
    assert all(np.mean(third) > 0.5 for third in thirds)
    assert window.strip.width() == window.centralWidget().width()


def test_the_ring_shows_gold(window: MainWindow) -> None:
    window.state.set_finish("yellow_gold")
    image = window.ring.picture().convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    shown = rows[:, : image.width() * 3].reshape(image.height(), image.width(), 3).astype(int)
    golden = shown[..., 0] - shown[..., 2] > 40
    assert 0.05 < np.mean(golden) < 0.8


def test_the_wheel_brings_every_starting_point_into_view(window: MainWindow) -> None:
    """At 1280 pixels half of them lie beyond the right end, and the bar below is thin."""
    last = list(window.start_row.buttons.values())[-1]
    assert last.visibleRegion().isEmpty()
    for _ in range(40):
        place = window.start_row.rect().center()
        event = QWheelEvent(
            QPointF(place), QPointF(window.start_row.mapToGlobal(place)), QPoint(), QPoint(0, -120),
            Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
        )  # fmt: skip
        QApplication.sendEvent(window.start_row._area.viewport(), event)
    assert last.visibleRegion().boundingRect().width() == last.width()


def test_every_starting_point_has_its_picture(window: MainWindow) -> None:
    for point in starting_points():
        assert not QImage(str(point.picture)).isNull(), point.name
    assert list(window.start_row.buttons) == [point.name for point in starting_points()]


def test_layout_of_the_job(window: MainWindow) -> None:
    """Strip on top across the whole width, ring under it on the left, settings on the right, readings at the bottom."""

    def corner(widget: QWidget) -> tuple[int, int]:
        place = widget.mapTo(window, widget.rect().topLeft())
        return place.x(), place.y()

    assert corner(window.strip)[1] < corner(window.ring)[1]
    assert corner(window.ring)[0] < corner(window.settings)[0]
    assert corner(window.readings)[1] > corner(window.ring)[1] + window.ring.height() // 2
    bottom = corner(window.readings)[1] + window.readings.height()
    assert bottom <= 720


def test_nothing_asks_for_more_than_1280_by_720(window: MainWindow) -> None:
    least = window.minimumSizeHint()
    assert least.width() <= 1280
    assert least.height() <= 720


def test_large_text_still_fits(qtbot: QtBot, window: MainWindow, settled: Callable[[], None]) -> None:
    font = QApplication.font()
    larger = QApplication.font()
    larger.setPointSizeF(font.pointSizeF() * 2.0)
    try:
        QApplication.setFont(larger)
        qtbot.wait(100)
        assert window.minimumSizeHint().width() <= 1280
        for figure in window.readings.figures:
            assert figure.value.width() >= figure.value.sizeHint().width()
            right = figure.mapTo(window, figure.rect().topRight()).x()
            assert right <= window.width()
    finally:
        QApplication.setFont(font)
    settled()


def test_every_button_has_a_name_for_screen_readers(window: MainWindow) -> None:
    unnamed = [
        (type(button).__name__, button.objectName(), button.parent().__class__.__name__)
        for button in window.findChildren(QAbstractButton)
        if button.isVisible() and not (button.accessibleName() or button.text())
        if not button.objectName().startswith("qt_")
    ]
    assert unnamed == []


def test_every_command_has_words_and_a_line_that_explains_it(window: MainWindow) -> None:
    for name, command in window.menus.all.commands.items():
        assert command.words, name
        assert command.about, name


def test_no_key_stands_for_two_commands(window: MainWindow) -> None:
    keys = [key.toString() for action in window.menus.all.actions.values() for key in action.shortcuts()]
    assert sorted(keys) == sorted(set(keys))


def test_dark_and_light_change_the_ground(window: MainWindow) -> None:
    brightness = {}
    for mode in ("light", "dark"):
        window.menus.trigger(f"theme_{mode}")
        brightness[mode] = float(np.median(colours_of(window.readings)))
    assert brightness["light"] > 200
    assert brightness["dark"] < 70
    assert window.state.dark


@pytest.mark.parametrize("name", ["plain_flat", "diamond_peaks"])
def test_one_click_begins_with_another_ring(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None], name: str
) -> None:
    point = next(point for point in starting_points() if point.name == name)
    qtbot.mouseClick(window.start_row.buttons[name], Qt.MouseButton.LeftButton)
    assert window.document.design == point.design()
    assert not window.document.changed
    settled()
