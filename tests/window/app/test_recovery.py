"""Kill -9 while editing, then start: the work is offered back."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from ringtex.basics.resources import demo_folder
from ringtex.design.design_file import read_design
from ringtex.document.autosave import Autosave, lost_work, recovery_folder
from ringtex.window.app.main_window import MainWindow
from ringtex.window.app.recovery import BRING_BACK, THROW_AWAY

CRASHING = Path(__file__).resolve().parents[1] / "crashing_window.py"


def crashed() -> None:
    """A window is changed, and killed without any chance to tidy up."""
    environment = {**os.environ, "PYTHONPATH": str(CRASHING.parents[2])}
    process = subprocess.Popen([sys.executable, str(CRASHING)], stdout=subprocess.PIPE, text=True, env=environment)
    assert process.stdout is not None
    assert process.stdout.readline().strip() == "ready"
    process.send_signal(signal.SIGKILL)
    process.wait()
    process.stdout.close()


@pytest.mark.skipif(sys.platform == "win32", reason="there is no kill -9")
def test_killed_work_is_offered_and_brought_back(qtbot: QtBot, window: MainWindow) -> None:
    crashed()
    window.recovery.offer()
    notice = window.notices.notice("lost 0")
    assert notice is not None
    assert "Dome" in notice.text
    qtbot.mouseClick(notice.buttons[BRING_BACK], Qt.MouseButton.LeftButton)
    first = read_design(demo_folder() / "dome.ring.json")
    assert window.document.design == replace(first, relief=replace(first.relief, depth_mm=0.37))
    assert window.document.changed
    assert window.notices.notice("lost 0") is None
    # From now on it is this window's own unsaved work: its file is on disk, and offered to nobody else.
    assert lost_work(recovery_folder()) == []
    assert len(list(recovery_folder().glob("*.recovery.json"))) == 1


def test_thrown_away_is_not_offered_again(qtbot: QtBot, window: MainWindow) -> None:
    gone = Autosave(recovery_folder())
    gone.write(window.document.design, None, "Lost")
    gone.close(keep=True)
    window.recovery.offer()
    notice = window.notices.notice("lost 0")
    assert notice is not None
    qtbot.mouseClick(notice.buttons[THROW_AWAY], Qt.MouseButton.LeftButton)
    assert lost_work(recovery_folder()) == []


def test_a_polite_kill_keeps_unsaved_work_and_asks_nothing(window: MainWindow) -> None:
    design = window.document.design
    window.document.change(replace(design, relief=replace(design.relief, depth_mm=0.41)), "change the depth")
    window.close_without_asking()
    assert not window.isVisible()
    (work,) = lost_work(recovery_folder())
    assert work.design.relief.depth_mm == 0.41
    work.discard()


def test_work_that_was_given_up_is_not_offered(qtbot: QtBot, window: MainWindow) -> None:
    design = window.document.design
    window.document.change(replace(design, relief=replace(design.relief, depth_mm=0.41)), "change the depth")
    window.recovery.write()
    window.document.undo()
    window.close()
    qtbot.waitUntil(lambda: not window.isVisible())
    assert list(recovery_folder().glob("*.recovery.json")) == []
