"""Waiting in the window's thread while other threads run."""

from __future__ import annotations

from PySide6.QtCore import QEventLoop, QTimer


def pause(ms: int) -> None:
    """Go on with events; unlike QTest.qWait this lets the worker's thread run in between."""
    loop = QEventLoop()
    QTimer.singleShot(ms, loop.quit)
    loop.exec()
