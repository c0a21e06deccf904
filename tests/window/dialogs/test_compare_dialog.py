"""The ways to lay a pattern on, side by side: worked out beside the window, shown, saved as one picture."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

pytest.importorskip("PySide6")

from even_hands import click, dome_design
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from settings_hands import type_number

from ringtex.window.dialogs import compare_dialog
from ringtex.window.dialogs.compare_dialog import CompareDialog

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from ringtex.window.app.main_window import MainWindow


@pytest.fixture(autouse=True)
def _small_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compare_dialog, "SIDE", 96)
    monkeypatch.setattr("ringtex.document.compare_mappings.DRAFT_CHORD_MM", 0.1)


@pytest.fixture
def window(same_window: MainWindow) -> MainWindow:
    """One window for all tests of this file."""
    return same_window


def opened(qtbot: QtBot, window: MainWindow) -> CompareDialog:
    window.menus.trigger("compare")
    qtbot.waitUntil(lambda: bool(window.findChildren(CompareDialog)))
    dialog: CompareDialog = window.findChildren(CompareDialog)[0]
    qtbot.waitUntil(dialog.isVisible)
    return dialog


def test_five_ways_are_shown_and_saved_by_mouse(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None], tmp_path: Path
) -> None:
    from PIL import Image

    window.document.new(dome_design(around=14, family="hexagon"), "little dome")
    settled()
    dialog = opened(qtbot, window)
    assert dialog.name.text() == "little dome_mappings"
    qtbot.waitUntil(lambda: dialog.comparison is not None, timeout=60_000)
    assert dialog.comparison is not None
    ways = dialog.comparison.ways
    assert [way.name for way in ways] == ["naive wrap", "keep length", "keep shape", "keep area", "even cells"]
    # On the same dome: keeping shape keeps angles, even cells have one area, and the naive wrap has neither.
    assert ways[2].cells.worst_angle_error_deg < 1.0
    assert ways[4].cells.areas.cv < 0.02
    assert ways[0].cells.areas.cv > 10 * ways[4].cells.areas.cv
    texts = [label.text() for label in dialog.table.findChildren(type(dialog.status))]
    for way in ways:
        assert f"{100.0 * way.cells.areas.cv:.2f} %" in texts
    dialog.place.edit.setText(str(tmp_path / "nowhere"))
    click(dialog.start_button)
    assert dialog.status.property("role") == "error", "what cannot be written is said"
    assert list(tmp_path.glob("**/*.png")) == []
    dialog.place.edit.setText(str(tmp_path))
    type_number(dialog.name, "domes", enter=False)
    click(dialog.start_button)
    picture = np.asarray(Image.open(tmp_path / "domes.png"))
    assert picture.shape[1] == 5 * 96
    assert picture.shape[0] > 2 * 96
    assert "domes.png" in dialog.status.text()
    assert window.remembering.folder == tmp_path
    click(dialog.close_button)
    qtbot.waitUntil(lambda: not window.findChildren(CompareDialog))


def test_it_can_be_stopped_and_closed(qtbot: QtBot, window: MainWindow, settled: Callable[[], None]) -> None:
    window.document.new(dome_design(around=14))
    settled()
    dialog = opened(qtbot, window)
    qtbot.waitUntil(lambda: dialog.running)
    assert dialog.progress.isVisible()
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not dialog.running, timeout=20_000)
    qtbot.waitUntil(lambda: not dialog.progress.isVisible())
    assert not dialog.start_button.isEnabled(), "there is nothing to save"
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not window.findChildren(CompareDialog))
