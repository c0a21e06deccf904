"""Nothing that was remembered stops the start."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QByteArray, QSettings
from pytestqt.qtbot import QtBot

from ringtex.window.app import preferences
from ringtex.window.app.main_window import MainWindow
from ringtex.window.app.preferences import Preferences


def remembered(**entries: object) -> None:
    """Write what an earlier window left in the settings file."""
    store = QSettings(QSettings.Format.IniFormat, QSettings.Scope.UserScope, "ringtex", "window")
    for key, value in entries.items():
        store.setValue(key.replace("__", "/"), value)
    store.sync()


@pytest.fixture
def gone_drive(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder that does not answer until the test is over."""
    drive, over = tmp_path / "drive", threading.Event()
    monkeypatch.setattr(preferences, "LOOK_SECONDS", 0.1)
    for name in ("is_file", "is_dir"):
        answer = getattr(Path, name)

        def slow(path: Path, answer: object = answer) -> bool:
            if drive in (path, *path.parents):
                over.wait(30.0)
            return answer(path)  # type: ignore[operator,no-any-return]

        monkeypatch.setattr(Path, name, slow)
    yield drive
    over.set()


def test_recent_files_that_do_not_answer_are_left_out(qapp: object, tmp_path: Path, gone_drive: Path) -> None:
    here = tmp_path / "here.ring.json"
    here.write_text("{}")
    away, long = gone_drive / "away.ring.json", tmp_path / ("x" * 300)
    remembered(recent=[str(away), str(here), str(long)], folder=str(gone_drive))
    kept = Preferences()
    assert kept.recent == [here]
    assert kept.unreachable == [away, long]
    assert kept.folder != gone_drive
    kept.opened(away)
    assert kept.unreachable == [long]


def test_a_window_opens_whatever_is_remembered(qtbot: QtBot, tmp_path: Path, gone_drive: Path) -> None:
    remembered(
        recent=[str(gone_drive / "a.ring.json"), "x" * 5000, "a\0b", ""],
        folder="y" * 5000,
        scales=["none such", "1e300"],
        folded=["no section"],
        theme="no theme",
        finish="no metal",
        strip="no look",
        start_row="maybe",
        layout__window=QByteArray(b"no geometry"),
        layout__down=QByteArray(b"\xff" * 100),
        price_per_g__silver_925="nan",
    )
    window = MainWindow()
    qtbot.addWidget(window)
    window.begin([])
    notice = window.notices.notice("recent")
    assert notice is not None
    assert "cannot be reached" in notice.text
    window.show()
    qtbot.waitExposed(window)
    window.close_without_asking()


def test_the_look_of_the_strip_is_remembered(qtbot: QtBot, window: MainWindow) -> None:
    assert not window.state.true_size
    window.menus.trigger("true_size")
    assert window.state.true_size
    assert window.strip.state.viewport.true_size is not None
    assert Preferences().true_size
    window.menus.trigger("true_size")
    assert window.strip.state.viewport.true_size is None
    assert not Preferences().true_size
