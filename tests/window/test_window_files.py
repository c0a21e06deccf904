"""Documents from the window: open, save, dropped files, unsaved work, files changed on disk."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QMessageBox
from pytestqt.qtbot import QtBot

from ringtex.basics.resources import demo_folder
from ringtex.design.design_file import read_design, read_pattern, write_design
from ringtex.edits.pattern_ties import with_scatter
from ringtex.window.app.main_window import MainWindow
from ringtex.window.app.recovery import KEEP_MINE, TAKE_DISK


@pytest.fixture
def window(request: pytest.FixtureRequest) -> MainWindow:
    """One window for all tests of this file but those that close it or look at what it remembers."""
    fresh = request.node.get_closest_marker("usefixtures")
    return request.getfixturevalue("new_window" if fresh else "same_window")


def change_depth(window: MainWindow, depth_mm: float) -> None:
    design = window.document.design
    window.document.change(replace(design, relief=replace(design.relief, depth_mm=depth_mm)), "change the depth")


def answer(qtbot: QtBot, window: MainWindow, words: str) -> None:
    """Press the button with these words in the question that is asked."""
    qtbot.waitUntil(lambda: window.files.question is not None and window.files.question.isVisible())
    box = window.files.question
    assert isinstance(box, QMessageBox)
    button = next(button for button in box.buttons() if button.text().replace("&", "") == words)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def choose(qtbot: QtBot, window: MainWindow, path: Path) -> None:
    """Name a file in the file dialog that is open, and accept it."""
    qtbot.waitUntil(lambda: window.files.dialog is not None and window.files.dialog.isVisible())
    dialog = window.files.dialog
    assert dialog is not None
    dialog.setDirectory(str(path.parent))
    dialog.selectFile(path.name)
    qtbot.wait(50)
    dialog.accept()


def drop(window: MainWindow, path: Path) -> bool:
    """Drop a file on the window's middle; gives whether it was taken."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    middle = window.rect().center()
    state = (Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
    enter = QDragEnterEvent(QPoint(middle), *state)
    enter.setAccepted(False)
    QApplication.sendEvent(window, enter)
    if not enter.isAccepted():
        return False
    QApplication.sendEvent(window, QDropEvent(QPointF(middle), *state))
    return True


@pytest.mark.usefixtures("new_window")
def test_save_as_open_again_equal(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None], tmp_path: Path
) -> None:
    change_depth(window, 0.4)
    assert window.isWindowModified()
    window.menus.trigger("save")
    choose(qtbot, window, tmp_path / "mine.ring.json")
    qtbot.waitUntil(lambda: not window.document.changed)
    assert not window.isWindowModified()
    assert "mine" in window.windowTitle()
    kept = window.document.design
    assert read_design(tmp_path / "mine.ring.json") == kept
    qtbot.mouseClick(window.start_row.buttons["plain_flat"], Qt.MouseButton.LeftButton)
    assert window.document.design != kept
    window.menus.trigger("open")
    choose(qtbot, window, tmp_path / "mine.ring.json")
    qtbot.waitUntil(lambda: window.document.design == kept)
    assert window.document.path == tmp_path / "mine.ring.json"
    assert window.remembering.recent == [tmp_path / "mine.ring.json"]
    assert window.remembering.folder == tmp_path
    settled()


def test_undo_and_redo_by_name(window: MainWindow, settled: Callable[[], None]) -> None:
    first = window.document.design
    change_depth(window, 0.4)
    assert window.menus.all.actions["undo"].text() == "&Undo change the depth"
    window.menus.trigger("undo")
    assert window.document.design == first
    assert window.menus.all.actions["redo"].text() == "&Redo change the depth"
    assert not window.menus.all.actions["undo"].isEnabled()
    window.menus.trigger("redo")
    assert window.document.design.relief.depth_mm == 0.4
    settled()


def test_seed_keys_there_and_back(qtbot: QtBot, window: MainWindow) -> None:
    window.document.change(with_scatter(window.document.design), "scatter the cells")
    first = window.document.design
    window.strip.setFocus()
    qtbot.keyClick(window, Qt.Key.Key_N)
    assert window.document.design.pattern.seed == first.pattern.seed + 1
    qtbot.keyClick(window, Qt.Key.Key_N, Qt.KeyboardModifier.ShiftModifier)
    assert window.document.design == first


def test_a_seed_without_effect_says_so_and_offers_scatter(qtbot: QtBot, window: MainWindow) -> None:
    begun = window.document.design
    assert begun.pattern.scatter == 0.0
    window.menus.trigger("seed_next")
    assert window.document.design == begun
    assert window.document.undo_label is None
    notice = window.notices.notice("seed")
    assert notice is not None
    assert "seed changes nothing here" in notice.text
    (offer,) = notice.buttons.values()
    qtbot.mouseClick(offer, Qt.MouseButton.LeftButton)
    assert window.document.design.pattern.scatter > 0.0
    assert window.document.undo_label == "scatter the cells"
    window.menus.trigger("seed_next")
    assert window.notices.notice("seed") is None


def test_keep_and_flip_with_one_key(qtbot: QtBot, window: MainWindow, settled: Callable[[], None]) -> None:
    kept = window.document.design
    window.strip.setFocus()
    qtbot.keyClick(window, Qt.Key.Key_K)
    change_depth(window, 0.45)
    changed = window.document.design
    for expected in (kept, changed, kept):
        qtbot.keyClick(window, Qt.Key.Key_F)
        assert window.document.design == expected
        settled()
        assert window.view is not None
        assert window.view.design == expected


def test_a_dropped_design_is_opened(qtbot: QtBot, window: MainWindow, settled: Callable[[], None]) -> None:
    path = demo_folder() / "half_round.ring.json"
    assert drop(window, path)
    qtbot.waitUntil(lambda: window.document.path == path)
    assert window.document.design == read_design(path)
    settled()


def test_a_dropped_pattern_is_put_on_the_ring(qtbot: QtBot, window: MainWindow) -> None:
    path = demo_folder() / "brick_pillows.pattern.json"
    band = window.document.design.band
    assert drop(window, path)
    qtbot.waitUntil(lambda: window.document.changed)
    assert window.document.design.pattern == read_pattern(path).pattern
    assert window.document.design.band == band
    assert window.document.undo_label is not None


def test_other_files_are_not_taken(window: MainWindow, tmp_path: Path) -> None:
    other = tmp_path / "a.txt"
    other.write_text("a", encoding="utf-8")
    assert not drop(window, other)


def test_a_damaged_file_is_a_sentence_and_nothing_changes(qtbot: QtBot, window: MainWindow, tmp_path: Path) -> None:
    damaged = tmp_path / "damaged.ring.json"
    damaged.write_text('{"kind": "ringtex.design", "version": 2', encoding="utf-8")
    before = window.document.design
    window.files.open_file(damaged)
    assert str(damaged) in window.notices.text("file")
    assert window.document.design == before


@pytest.mark.parametrize("words", ["Save", "Don't save", "Go on editing"])
def test_unsaved_work_is_asked_about(qtbot: QtBot, window: MainWindow, tmp_path: Path, words: str) -> None:
    path = tmp_path / "mine.ring.json"
    write_design(window.document.design, path)
    window.files.open_file(path)
    saved = window.document.design
    change_depth(window, 0.4)
    changed = window.document.design
    qtbot.mouseClick(window.start_row.buttons["plain_flat"], Qt.MouseButton.LeftButton)
    answer(qtbot, window, words)
    begun = read_design(demo_folder() / "plain_flat.ring.json")
    assert window.document.design == (changed if words == "Go on editing" else begun)
    assert read_design(path) == (changed if words == "Save" else saved)


@pytest.mark.usefixtures("new_window")
def test_closing_asks_and_stays_open_when_one_goes_on_editing(qtbot: QtBot, window: MainWindow) -> None:
    change_depth(window, 0.4)
    window.close()
    answer(qtbot, window, "Go on editing")
    assert window.isVisible()
    window.close()
    answer(qtbot, window, "Don't save")
    qtbot.waitUntil(lambda: not window.isVisible())


def test_a_file_changed_on_disk_is_told_and_can_be_taken(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None], tmp_path: Path
) -> None:
    path = tmp_path / "mine.ring.json"
    write_design(window.document.design, path)
    window.files.open_file(path)
    other = read_design(demo_folder() / "half_round.ring.json")
    write_design(other, path)
    window.recovery.look_at_disk()
    notice = window.notices.notice("disk")
    assert notice is not None
    qtbot.mouseClick(notice.buttons[TAKE_DISK], Qt.MouseButton.LeftButton)
    assert window.document.design == other
    assert window.notices.notice("disk") is None
    settled()


def test_saving_over_a_file_changed_on_disk_is_asked_about(qtbot: QtBot, window: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "mine.ring.json"
    write_design(window.document.design, path)
    window.files.open_file(path)
    change_depth(window, 0.4)
    other = read_design(demo_folder() / "half_round.ring.json")
    write_design(other, path)
    window.menus.trigger("save")
    answer(qtbot, window, "Go on editing")
    assert read_design(path) == other
    window.menus.trigger("save")
    answer(qtbot, window, "Replace")
    assert read_design(path) == window.document.design


def test_going_on_with_ones_own_is_not_asked_again(qtbot: QtBot, window: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "mine.ring.json"
    write_design(window.document.design, path)
    window.files.open_file(path)
    mine = window.document.design
    write_design(read_design(demo_folder() / "half_round.ring.json"), path)
    window.recovery.look_at_disk()
    notice = window.notices.notice("disk")
    assert notice is not None
    qtbot.mouseClick(notice.buttons[KEEP_MINE], Qt.MouseButton.LeftButton)
    window.recovery.look_at_disk()
    assert window.notices.notice("disk") is None
    assert window.document.design == mine
    assert window.document.changed


@pytest.mark.usefixtures("new_window")
def test_layout_folder_scales_and_colours_are_remembered(qtbot: QtBot, window: MainWindow, tmp_path: Path) -> None:
    window.readings.set_scales(["us", "jp"])
    window.menus.trigger("finish_silver")
    window.menus.trigger("theme_dark")
    window.resize(1300, 800)
    window.across.setSizes([500, 800])
    sizes = window.across.sizes()
    window.remembering.set_folder(tmp_path)
    window.close()
    qtbot.waitUntil(lambda: not window.isVisible())
    again = MainWindow()
    qtbot.addWidget(again)
    again.show()
    qtbot.waitExposed(again)
    assert again.readings.scales == ("us", "jp")
    assert again.state.finish == "silver"
    assert again.state.dark
    assert (again.width(), again.height()) == (1300, 800)
    assert again.across.sizes() == pytest.approx(sizes, abs=8)
    assert again.remembering.folder == tmp_path
    again.menus.trigger("theme_system")
    again.close_without_asking()
