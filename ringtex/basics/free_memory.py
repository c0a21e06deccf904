"""Giving freed memory back to the system, or keeping it."""

from __future__ import annotations

import ctypes
import sys
from typing import Any, Final

_TRIM_THRESHOLD: Final = -1
_MMAP_THRESHOLD: Final = -3
"""Names in malloc.h."""

_LARGEST_BLOCK: Final = 1 << 25
"""Bytes: larger blocks always have pages of their own (mallopt(3))."""


def return_free_memory() -> bool:
    """Return the allocator's free pages to the system; True where that can be done (glibc).

    glibc keeps what threads have freed in an arena for each thread: after some minutes of building rings 150 MB and
    more, which nobody uses. Source: malloc_trim(3). Takes some milliseconds.
    """
    trim = _of_allocator("malloc_trim")
    if trim is None:
        return False
    trim(0)
    return True


def keep_free_memory() -> bool:
    """Keep all that will be freed for what comes next; True where that can be done (glibc).

    For a process that does one job and ends. Without it each array of some megabytes is given back to the system when
    it is freed, and the next one's pages are all made anew: a tenth of the time. Source: mallopt(3).
    """
    set_option = _of_allocator("mallopt")
    if set_option is None:
        return False
    return bool(set_option(_TRIM_THRESHOLD, 1 << 30) and set_option(_MMAP_THRESHOLD, _LARGEST_BLOCK))


def _of_allocator(name: str) -> Any:
    """A function of the C library; None where there is none, or on other systems than Linux."""
    return getattr(ctypes.CDLL(None), name, None) if sys.platform.startswith("linux") else None
