"""Whether a file is still the one that was read or written: looked at when asked, nothing runs in the background."""

from __future__ import annotations

import hashlib
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

FRESH_NS: Final = 2_000_000_000
"""File systems count time in steps of up to 2 s (FAT): a file younger than this may change without a new time."""

DiskState = Literal["same", "changed", "gone"]


@dataclass(frozen=True)
class DiskStamp:
    """A file as it was: its size, its time of change, a digest of its bytes, and when it was looked at (ns)."""

    size: int
    changed_ns: int
    digest: bytes
    seen_ns: int


def stamp_of(path: Path) -> DiskStamp | None:
    """The file as it is now; None where it cannot be read."""
    try:
        status, digest = path.stat(), _digest(path)
    except OSError:
        return None
    return DiskStamp(status.st_size, status.st_mtime_ns, digest, time.time_ns())


def disk_state(path: Path, stamp: DiskStamp) -> DiskState:
    """What became of the file since the stamp was taken.

    "same" where its bytes are the same, even if it was touched or written again. The bytes are only read where size
    and time leave a doubt.
    """
    try:
        status = path.stat()
        if status.st_size != stamp.size:
            return "changed"
        settled = stamp.seen_ns - stamp.changed_ns > FRESH_NS
        if settled and status.st_mtime_ns == stamp.changed_ns:
            return "same"
        return "same" if _digest(path) == stamp.digest else "changed"
    except OSError:
        return "gone"


def _digest(path: Path) -> bytes:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").digest()
