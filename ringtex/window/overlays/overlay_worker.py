"""Works out overlays beside the window; the newest question wins."""

from __future__ import annotations

import contextlib
import threading
import weakref
from typing import Final

from PySide6.QtCore import QObject, QRunnable, Qt, QThreadPool, Signal, Slot

from ringtex.window.building.drawable_ring import View
from ringtex.window.overlays.overlay_values import OverlayValues, overlay_values


class _Shared:
    """Strip and ring ask for the same figures: who comes second gets what the first worked out."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._last: tuple[weakref.ref[View], str, OverlayValues | None] | None = None

    def values(self, view: View, name: str) -> OverlayValues | None:
        with self._lock:
            last = self._last
            if last is None or last[0]() is not view or last[1] != name:
                last = self._last = (weakref.ref(view), name, overlay_values(view, name))
            return last[2]


_SHARED: Final = _Shared()


class _Task(QRunnable):
    def __init__(self, worker: OverlayWorker, number: int, view: View, name: str) -> None:
        super().__init__()
        self._worker, self._number, self._view, self._name = worker, number, view, name

    def run(self) -> None:
        """In a pool thread: reads the frozen view only."""
        values: OverlayValues | None = None
        try:
            if self._number == self._worker.newest:
                values = _SHARED.values(self._view, self._name)
        finally:
            # The window may have been closed meanwhile, and the worker with it.
            with contextlib.suppress(RuntimeError):
                self._worker.finished.emit(self._number, self._view, values)


class OverlayWorker(QObject):
    """`request` a view's overlay; `ready` brings it, unless something newer was asked for meanwhile."""

    ready = Signal(object, object)
    """The View and its OverlayValues."""
    finished = Signal(int, object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.newest = 0
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self.finished.connect(self._tell, Qt.ConnectionType.QueuedConnection)

    def request(self, view: View, name: str) -> None:
        """Work out this overlay; whatever was asked before is forgotten."""
        self.newest += 1
        self._pool.clear()
        self._pool.start(_Task(self, self.newest, view, name))

    def forget(self) -> None:
        """Tell of nothing that was asked so far."""
        self.newest += 1
        self._pool.clear()

    def stop(self) -> None:
        """Forget all and wait for what runs."""
        self.forget()
        self._pool.waitForDone(5000)

    @Slot(int, object, object)
    def _tell(self, number: int, view: View, values: OverlayValues | None) -> None:
        if number == self.newest and values is not None:
            self.ready.emit(view, values)
