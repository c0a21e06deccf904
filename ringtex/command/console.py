"""Output streams, progress lines, failures in one sentence, and the stop on Ctrl-C."""

from __future__ import annotations

import gc
import io
import json
import os
import platform
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any, Final, TextIO

from ringtex import __version__
from ringtex.basics.free_memory import keep_free_memory
from ringtex.basics.progress import Progress
from ringtex.basics.safe_files import end_cleanly_on_signals

SPARSE_SECONDS: Final = 1.0
"""Where standard error is no terminal, a line of progress at most this often: a quick job writes none."""


class Console:
    """One command's two streams. With `as_json` only the one object goes to standard output."""

    def __init__(self, as_json: bool = False, out: TextIO | None = None, err: TextIO | None = None) -> None:
        self.as_json = as_json
        self._out = sys.stdout if out is None else out
        self._err = sys.stderr if err is None else err
        if isinstance(self._out, io.TextIOWrapper):
            # File names may hold bytes that are no text, or letters that the terminal does not have.
            self._out.reconfigure(errors="backslashreplace")
        self._live = self._err.isatty()
        self._shown = False
        self._last_time = time.monotonic()
        self._last_stage = ""

    def say(self, line: str = "") -> None:
        """A line for a person on standard output; nothing with `--json`."""
        if not self.as_json:
            print(line, file=self._out)

    def give(self, result: dict[str, Any]) -> None:
        """With `--json` the one object on standard output; nothing otherwise."""
        if self.as_json:
            print(json.dumps(result, ensure_ascii=True, allow_nan=False), file=self._out)

    def warn(self, line: str) -> None:
        """A line on standard error, clear of the progress line."""
        self.clear()
        print(line, file=self._err, flush=True)

    def progress(self, stage: str, fraction: float) -> None:
        """A listener for `Progress`: one line in place on a terminal, else a line now and then."""
        now = time.monotonic()
        if self._live:
            if now - self._last_time > 0.05:
                print(f"\r\033[K{stage} {fraction:4.0%}", end="", file=self._err, flush=True)
                self._shown, self._last_time = True, now
        elif stage != self._last_stage and now - self._last_time > SPARSE_SECONDS:
            print(f"{stage} {fraction:.0%}", file=self._err, flush=True)
            self._last_time, self._last_stage = now, stage

    def clear(self) -> None:
        """Take the progress line off the terminal."""
        if self._shown:
            print("\r\033[K", end="", file=self._err, flush=True)
            self._shown = False


ENVIRONMENT_FLAG = "RINGTEX_TRACEBACK"
"""Set to anything, a fault raises as usual instead; for whoever works on the program."""


def fault_sentence(error: Exception) -> str:
    """One line about an unexpected exception, its details saved in a file of the temporary folder."""
    summary = f"{type(error).__name__}: {error}".splitlines()[0][:200]
    details = "".join(traceback.format_exception(error))
    text = f"ringtex {__version__}, Python {platform.python_version()}, {platform.platform()}\n{sys.argv}\n\n{details}"
    try:
        handle, path = tempfile.mkstemp(prefix="ringtex-fault-", suffix=".txt")
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as stream:
            stream.write(text)
    except OSError:
        return f"This is a fault of ringtex ({summary}); its details could not be saved."
    return f"This is a fault of ringtex ({summary}). Please report it with the details saved in {path}."


def begin_work() -> None:
    """In a process of its own, once all is loaded: keep memory that is freed, and look for cyclic rubbish again, which
    `__main__` puts off, but not among what has been loaded: a tenth of the time of a plain ring, most of it at the end.
    """
    if not gc.isenabled():
        gc.freeze()
        gc.enable()
        keep_free_memory()


@contextmanager
def stop_on_interrupt(progress: Progress) -> Iterator[None]:
    """While the block runs, SIGINT cancels `progress`; once it is cancelled, SIGINT raises KeyboardInterrupt. It begins
    the command's work (`begin_work`).

    SIGTERM and SIGHUP end the process as always, but leave no half-written file.
    Half-written files are impossible either way: `basics/safe_files.py` cleans up on any exception. After a cancel the
    process only has to end, so that further SIGINTs are ignored.
    """
    begin_work()

    def interrupt(number: int, frame: FrameType | None) -> None:
        if progress.cancelled:
            raise KeyboardInterrupt
        progress.cancel()

    before = signal.signal(signal.SIGINT, interrupt)
    end_cleanly_on_signals()
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, signal.SIG_IGN if progress.cancelled else before)
