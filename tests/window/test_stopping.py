"""Esc stops what is being built and says so; once more builds on."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from ringtex.window.app.main_window import MainWindow
from ringtex.window.status.notices import STOPPED

PATIENCE_MS = 30_000


@pytest.fixture
def window(same_window: MainWindow) -> MainWindow:
    """One window for all tests of this file."""
    return same_window


@pytest.mark.usefixtures("final_tolerance")
def test_esc_stops_says_so_and_builds_on(qtbot: QtBot, window: MainWindow) -> None:
    document = window.document
    pattern = replace(document.design.pattern, family="cellular", around=240, scatter=0.0)
    document.change(replace(document.design, pattern=pattern), "many cells")
    qtbot.waitUntil(lambda: not window.worker.idle)
    qtbot.keyClick(window, Qt.Key.Key_Escape)
    assert window.notices.text("stopped") == STOPPED
    qtbot.waitUntil(lambda: window.worker.idle, timeout=PATIENCE_MS)
    qtbot.wait(100)
    assert window.view is not None
    assert window.view.design != document.design
    document.change(replace(document.design, pattern=replace(pattern, around=12)), "few cells")
    qtbot.waitUntil(lambda: window.view is not None and window.view.design == document.design, timeout=PATIENCE_MS)
    assert window.notices.text("stopped") == ""


def test_esc_once_more_builds_what_was_stopped(qtbot: QtBot, window: MainWindow) -> None:
    document = window.document
    document.change(replace(document.design, pattern=replace(document.design.pattern, around=19)), "nineteen")
    qtbot.keyClick(window, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: window.worker.idle, timeout=PATIENCE_MS)
    qtbot.wait(100)
    qtbot.keyClick(window, Qt.Key.Key_Escape)
    qtbot.waitUntil(
        lambda: window.view is not None and window.view.design == document.design and not window.view.is_draft,
        timeout=PATIENCE_MS,
    )
    assert window.notices.text("stopped") == ""
