"""One piece of work in a thread of its own, with progress and cancel; what it says comes in the window's thread."""

from __future__ import annotations

import threading
from collections.abc import Callable

from PySide6.QtCore import QObject, Qt, Signal

from ringtex.basics.errors import RingtexError, SelfCheckError
from ringtex.basics.progress import Progress

Work = Callable[[Progress], object]


class BackgroundJob(QObject):
    """Runs one function, which gets the job's progress and gives the result."""

    progressed = Signal(str, float)
    """The stage at work and the fraction done."""
    done = Signal(object)
    """What the function gave."""
    failed = Signal(object)
    """A RingtexError; Cancelled where the user stopped it."""

    def __init__(self, work: Work, name: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._work = work
        self._name = name
        self._inner = _Signals()
        self._inner.progressed.connect(self.progressed, Qt.ConnectionType.QueuedConnection)
        self._inner.done.connect(self.done, Qt.ConnectionType.QueuedConnection)
        self._inner.failed.connect(self.failed, Qt.ConnectionType.QueuedConnection)
        self._progress = Progress(self._inner.progressed.emit)
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def cancel(self) -> None:
        """Stop at the next step; `failed` then tells Cancelled."""
        self._progress.cancel()

    @property
    def running(self) -> bool:
        """Whether it is at work."""
        return self._thread.is_alive()

    @property
    def stopping(self) -> bool:
        """Whether it was told to stop."""
        return self._progress.cancelled

    def stop(self, seconds: float = 10.0) -> bool:
        """Cancel and wait for the end. Gives False where it did not end in time."""
        self._progress.cancel()
        if self._thread.ident is not None:
            self._thread.join(seconds)
        return not self._thread.is_alive()

    def _run(self) -> None:
        try:
            self._inner.done.emit(self._work(self._progress))
        except RingtexError as error:
            self._inner.failed.emit(error)
        except MemoryError:
            self._inner.failed.emit(RingtexError("There is not enough memory", "Choose a coarser tolerance"))
        except Exception as error:
            fault = SelfCheckError(f"The {self._name} failed: a fault of ringtex", "Nothing was replaced")
            fault.__cause__ = error
            self._inner.failed.emit(fault)


class _Signals(QObject):
    """Emitted in the worker's thread; it lives as long as the job."""

    progressed = Signal(str, float)
    done = Signal(object)
    failed = Signal(object)
