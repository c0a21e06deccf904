"""A process that works for another one: it ends with it, is told to stop by it, and tells it how far it is.

This file imports little, on purpose: a worker begins here, so that it already watches its parent while it imports the
rest of the program, which takes seconds on a busy machine.
"""

from __future__ import annotations

import os
import signal
import threading
import time
from multiprocessing import parent_process
from multiprocessing.connection import wait as wait_for_connection
from typing import TYPE_CHECKING, Final

from ringtex.basics.errors import Cancelled
from ringtex.basics.safe_files import end_cleanly_on_signals, remove_unfinished

if TYPE_CHECKING:
    from multiprocessing.queues import SimpleQueue
    from multiprocessing.synchronize import Event

    Reports = SimpleQueue[tuple[int, str, float]]

_REPORT_SECONDS: Final = 0.1
"""Between two reports."""

_stop: Event | None = None
"""Set when the work is to stop."""

_reports: Reports | None = None
_last_report = 0.0


def begin_worker(stop: Event, reports: Reports) -> None:
    """First call in a worker: Ctrl-C is left to the parent, other signals and the parent's end end it cleanly.

    `stop` is set by the parent when the work is to stop; into `reports` go index, stage and fraction.
    """
    global _stop, _reports
    _stop, _reports = stop, reports
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    end_cleanly_on_signals()
    threading.Thread(target=_end_with_parent, name="end with parent", daemon=True).start()


def _end_with_parent() -> None:
    """Wait until the parent has ended, however that came, and end then, with nothing half-written.

    The parent's sentinel becomes ready when the system closes it, so a killed parent is seen as well as one that ends.
    """
    parent = parent_process()
    if parent is not None:
        wait_for_connection([parent.sentinel])
        remove_unfinished()
        os._exit(1)


def report(index: int, stage: str, fraction: float) -> None:
    """Tell the parent, now and then, how far this worker is; outside a worker nothing happens.

    Parameters:
        index: of the piece of work.
        stage: at work.
        fraction: of the piece that is done.
    Raises: Cancelled where the work is to stop.
    """
    global _last_report
    if _stop is not None and _stop.is_set():
        raise Cancelled
    now = time.monotonic()
    if _reports is not None and now - _last_report >= _REPORT_SECONDS:
        _last_report = now
        _reports.put((index, stage, fraction))
