"""Giving freed memory back to the system."""

from __future__ import annotations

import ctypes
import sys


def return_free_memory() -> bool:
    """Return the allocator's free pages to the system; True where that can be done (glibc).

    glibc keeps what threads have freed in an arena for each thread: after some minutes of building rings 150 MB and
    more, which nobody uses. Source: malloc_trim(3). Takes some milliseconds.
    """
    if not sys.platform.startswith("linux"):
        return False
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is None:
        return False
    trim(0)
    return True
