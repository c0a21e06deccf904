"""Work that may never end, such as a look at a network drive that does not answer: given up after a time limit."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

Result = TypeVar("Result")


def within(seconds: float, work: Callable[[], Result], otherwise: Result) -> Result:
    """What the work gives, or something else where it fails at the disk or is not done in time.

    Parameters:
        seconds: how long to wait; the work itself goes on, in a thread that ends with the program.
        work: what to do; OSError and ValueError count as failed.
        otherwise: the result where it failed or took too long.
    Returns: the work's result, or `otherwise`.
    """
    found = [otherwise]

    def run() -> None:
        try:
            found.append(work())
        except (OSError, ValueError):
            return

    thread = threading.Thread(target=run, name="within a time limit", daemon=True)
    thread.start()
    thread.join(seconds)
    return found[-1]


def files_within(seconds: float, paths: Sequence[Path]) -> dict[Path, bool | None]:
    """Whether each path is a file; None where that cannot be told.

    Parameters:
        seconds: for all of them together.
        paths: where to look, each in a thread of its own, so that a drive that is gone holds up no other.
    Returns: None for a folder that may not be entered, a name that is too long, and no answer in time.
    """
    answers: dict[Path, bool | None] = dict.fromkeys(paths)
    until = time.monotonic() + seconds

    def look(path: Path) -> None:
        try:
            answers[path] = path.is_file()
        except (OSError, ValueError):
            return

    threads = [threading.Thread(target=look, args=(path,), name="look at a file", daemon=True) for path in answers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(max(until - time.monotonic(), 0.0))
    return dict(answers)
