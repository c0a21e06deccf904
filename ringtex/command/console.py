"""What the command line shows: results on standard output, progress and errors on standard error."""

from __future__ import annotations

import json
import sys
import time
from typing import Any, Final, TextIO

SPARSE_SECONDS: Final = 1.0
"""Where standard error is no terminal, a line of progress at most this often: a quick job writes none."""


class Console:
    """One command's two streams. With `as_json` only the one object goes to standard output."""

    def __init__(self, as_json: bool = False, out: TextIO | None = None, err: TextIO | None = None) -> None:
        self.as_json = as_json
        self._out = sys.stdout if out is None else out
        self._err = sys.stderr if err is None else err
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
