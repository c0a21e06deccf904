"""Errors reach the user as a sentence, with the details behind a button; the window stays."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt, QTimer
from pytestqt.qtbot import QtBot

from ringtex.basics.errors import InputError
from ringtex.window.app.error_display import DetailsDialog
from ringtex.window.app.main_window import MainWindow


@pytest.fixture
def window(same_window: MainWindow) -> MainWindow:
    """One window for all tests of this file."""
    return same_window


@pytest.fixture
def hooked(window: MainWindow) -> Iterator[MainWindow]:
    before = (sys.excepthook, threading.excepthook)
    window.errors.install()
    yield window
    sys.excepthook, threading.excepthook = before


def fault() -> None:
    raise ZeroDivisionError("the details of it")


@pytest.mark.qt_no_exception_capture
@pytest.mark.parametrize("where", ["timer", "thread"])
def test_an_uncaught_exception_becomes_a_sentence(
    qtbot: QtBot, hooked: MainWindow, where: str, capsys: pytest.CaptureFixture[str]
) -> None:
    if where == "timer":
        QTimer.singleShot(0, fault)
    else:
        threading.Thread(target=fault).start()
    qtbot.waitUntil(lambda: "Something went wrong" in hooked.notices.text("error"))
    notice = hooked.notices.notice("error")
    assert notice is not None
    assert "ZeroDivisionError" not in notice.text
    qtbot.mouseClick(notice.buttons["Details"], Qt.MouseButton.LeftButton)
    (dialog,) = hooked.findChildren(DetailsDialog)
    assert "the details of it" in dialog.report.toPlainText()
    assert "fault()" in dialog.report.toPlainText() or "in fault" in dialog.report.toPlainText()
    dialog.reject()
    assert hooked.isVisible()
    assert "ZeroDivisionError" in capsys.readouterr().err


def test_a_sentence_with_advice_has_no_details(window: MainWindow) -> None:
    window.errors.show_error(InputError("the file is damaged", "Take another one"))
    notice = window.notices.notice("error")
    assert notice is not None
    assert notice.text == "The file is damaged. Take another one."
    assert notice.buttons == {}


def test_an_impossible_ring_is_told_in_place_and_the_last_one_stays(qtbot: QtBot, window: MainWindow) -> None:
    good = window.view
    design = window.document.design
    window.document.change(replace(design, rails=replace(design.rails, lower_mm=8.0, upper_mm=8.0)), "change the rails")
    qtbot.waitUntil(lambda: window.readings.stale.isVisible(), timeout=10_000)
    assert window.view is good
    assert "rails" in window.readings.stale.text()
    window.document.undo()
    qtbot.waitUntil(lambda: not window.readings.stale.isVisible(), timeout=10_000)


def test_esc_rolls_a_drag_back(qtbot: QtBot, new_window: MainWindow) -> None:
    before = new_window.document.design
    new_window.document.begin_drag("change the depth")
    new_window.document.change(replace(before, relief=replace(before.relief, depth_mm=0.5)), "change the depth")
    new_window.settings.setFocus()
    qtbot.keyClick(new_window, Qt.Key.Key_Escape)
    assert new_window.document.design == before
    assert new_window.document.undo_label is None
