"""Ctrl-C asks the job to stop at its next safe place; a second one stops it at once."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

from ringtex.basics.progress import Progress


@contextmanager
def stop_on_interrupt(progress: Progress) -> Iterator[None]:
    """While the block runs, SIGINT cancels `progress`; once it is cancelled, SIGINT raises KeyboardInterrupt.

    Half-written files are impossible either way: `basics/safe_files.py` cleans up on any exception. After a cancel the
    process only has to end, so that further SIGINTs are ignored.
    """

    def interrupt(number: int, frame: FrameType | None) -> None:
        if progress.cancelled:
            raise KeyboardInterrupt
        progress.cancel()

    before = signal.signal(signal.SIGINT, interrupt)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, signal.SIG_IGN if progress.cancelled else before)
