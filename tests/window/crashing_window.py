"""A window that is changed by a script and then waits to be killed. Run as a script; prints "ready" when it may be."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QTimer

from ringtex.document.autosave import lost_work, recovery_folder
from ringtex.window.app import recovery
from ringtex.window.app.application import make_application
from ringtex.window.app.main_window import MainWindow
from ringtex.window.building import build_worker

recovery.AUTOSAVE_MS = 200  # type: ignore[misc]
build_worker.FINAL_CHORD_MM = 0.05  # type: ignore[misc]
application = make_application(["ringtex"])
window = MainWindow()
window.begin([])
window.show()


def change() -> None:
    design = window.document.design
    window.document.change(replace(design, relief=replace(design.relief, depth_mm=0.37)), "change the depth")


def look() -> None:
    """Ready as soon as the change is on disk (which our own lock keeps from being offered)."""
    assert lost_work(recovery_folder()) == []
    if any(Path(recovery_folder()).glob("*.recovery.json")):
        print("ready", flush=True)
        timer.stop()


QTimer.singleShot(100, change)
timer = QTimer()
timer.timeout.connect(look)
timer.start(50)
sys.exit(application.exec())
