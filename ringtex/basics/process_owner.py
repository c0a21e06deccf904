"""Which process a file on the disk belongs to, and whether that process still runs: for files left by killed ones."""

from __future__ import annotations

import os
import platform
import re
import sys
import zlib
from functools import cache
from pathlib import Path
from typing import Final

_MARK: Final = re.compile(r"p(\d{1,10})s(\d{1,20})h([0-9a-f]{8})")


def owner_mark() -> str:
    """A word for this process, to stand in file names: its number, its start and its machine."""
    return f"p{os.getpid()}s{_start_of(os.getpid())}h{_machine()}"


def is_dead(name: str) -> bool:
    """Whether the file's name holds the mark of a process of this machine that runs no more.

    False where there is no mark, or it is another machine's: a folder may be shared.
    """
    found = _MARK.search(name)
    if found is None or found[3] != _machine():
        return False
    number, start = int(found[1]), int(found[2])
    if not _runs(number):
        return True
    now = _start_of(number)
    # The number of a process may be given again; where starts cannot be read (0) the number alone must do.
    return now != 0 and start != 0 and now != start


@cache
def _machine() -> str:
    """This machine, and the space of process numbers that this process sees, as a short word."""
    space = ""
    if sys.platform == "linux":
        try:
            space = f"{os.stat('/proc/self/ns/pid').st_ino}"
        except OSError:
            space = ""
    return f"{zlib.crc32(f'{platform.node()} {space}'.encode()):08x}"


def _start_of(number: int) -> int:
    """When a process began, in ticks since the machine's start; 0 where the system does not say."""
    try:
        text = Path(f"/proc/{number}/stat").read_bytes()
        # The name in brackets may hold anything; the start is the 20th field after it (proc(5), field 22).
        return int(text.rpartition(b")")[2].split()[19])
    except (OSError, ValueError, IndexError):
        return 0


def _runs(number: int) -> bool:
    """Whether a process of that number runs; True where the system does not say."""
    if sys.platform == "win32":
        return _runs_on_windows(number)
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return not _is_zombie(number)


def _is_zombie(number: int) -> bool:
    """Whether a process has ended and only waits to be asked for its result."""
    try:
        return Path(f"/proc/{number}/stat").read_bytes().rpartition(b")")[2].split()[0] in (b"Z", b"X")
    except (OSError, IndexError):
        return False


def _runs_on_windows(number: int) -> bool:
    """As `_runs`: there a signal 0 would end the process."""
    import ctypes

    kernel = ctypes.windll.kernel32  # type: ignore[attr-defined,unused-ignore]
    handle = kernel.OpenProcess(0x00100000, False, number)  # SYNCHRONIZE
    if not handle:
        # 87, a wrong parameter: there is no such process; 5, access denied: there is one.
        return bool(kernel.GetLastError() != 87)
    running = kernel.WaitForSingleObject(handle, 0) == 0x102  # WAIT_TIMEOUT
    kernel.CloseHandle(handle)
    return bool(running)
