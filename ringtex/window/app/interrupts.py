"""Ctrl-C and a polite kill close the window as its own close button would, without a question."""

from __future__ import annotations

import contextlib
import signal
import socket
from collections.abc import Callable

from PySide6.QtCore import QObject, QSocketNotifier


class Interrupts(QObject):
    """Wakes Qt's event loop when a signal comes, because Python handles signals only while it runs."""

    def __init__(self, close: Callable[[], None], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._close = close
        self._read, self._write = socket.socketpair()
        self._read.setblocking(False)
        self._write.setblocking(False)
        signal.set_wakeup_fd(self._write.fileno())
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, lambda *_: None)
        self._notifier = QSocketNotifier(self._read.fileno(), QSocketNotifier.Type.Read, self)
        self._notifier.activated.connect(self._woken)

    def _woken(self) -> None:
        with contextlib.suppress(OSError):
            self._read.recv(64)
        self._close()
