"""Unsaved work on disk, for the next start after a crash or a power cut.

Each running window has one recovery file, and holds a lock beside it for as long as it lives; the system lets go of the
lock however the process ends. A recovery file whose lock is free therefore belongs to a window that never said goodbye.
"""

from __future__ import annotations

import contextlib
import json
import stat
import sys
import threading
import time
import uuid
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Final

from ringtex.basics.errors import RingtexError
from ringtex.basics.process_owner import is_dead, owner_mark
from ringtex.basics.safe_files import remove_dead_parts, write_bytes
from ringtex.basics.user_folders import state_folder
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json

RECOVERY_KIND: Final = "ringtex.recovery"
RECOVERY_ENDING: Final = ".recovery.json"
LOCK_SECONDS: Final = 60.0
LOCK_ENDING: Final = ".lock"
DAMAGED_ENDING: Final = ".damaged"
DAY_SECONDS: Final = 86_400.0
MAX_BYTES: Final = 8_000_000
"""A design has some kilobytes, a thousand hand edits a hundred; what is larger is not read."""


@dataclass(frozen=True)
class LostWork:
    """What a window left behind: the design, its file (None if it never had one), its name, and when (epoch, s)."""

    file: Path
    design: Design
    path: Path | None
    name: str
    written_s: float

    def discard(self) -> None:
        """Remove it from the disk; nothing where that is done already."""
        for file in (self.file, _lock_of(self.file)):
            with contextlib.suppress(OSError):
                file.unlink()


class Autosave:
    """One window's recovery file. Files are written by a thread of its own, since a slow disk must not stop a hand."""

    def __init__(self, folder: Path) -> None:
        """Raises: OSError where the folder cannot be made or written."""
        folder.mkdir(parents=True, exist_ok=True)
        self.file = folder / f"{owner_mark()}-{uuid.uuid4().hex}{RECOVERY_ENDING}"
        self._lock = _lock_of(self.file).open("wb")
        _take_lock(self._lock)
        self._writer = ThreadPoolExecutor(1, thread_name_prefix="autosave")
        self._newest = 0
        self._guard = threading.Lock()

    def write(self, design: Design, path: Path | None, name: str) -> Future[None]:
        """Keep this work; of several calls in a row only the newest reaches the disk.

        Parameters:
            design: the design to store.
            path: of the design's own file, or None.
            name: of the design.
        Returns: a future that ends when the work is on disk; its result raises OutputError if that failed.
        """
        with self._guard:
            self._newest += 1
            return self._writer.submit(self._write, self._newest, design, path, name)

    def forget(self) -> None:
        """Nothing is unsaved any more: remove the file."""
        with self._guard:
            self._newest += 1
            self._writer.submit(self._remove)

    def close(self, keep: bool) -> None:
        """End: wait for what is being written; with `keep` the file stays, for the next start to offer."""
        if not keep:
            self.forget()
        self._writer.shutdown(wait=True)
        self._lock.close()
        if not self.file.exists():
            with contextlib.suppress(OSError):
                _lock_of(self.file).unlink()

    def _write(self, number: int, design: Design, path: Path | None, name: str) -> None:
        with self._guard:
            if number != self._newest:
                return
        body = {
            "kind": RECOVERY_KIND,
            "path": None if path is None else str(path),
            "name": name,
            "written": time.time(),
            "design": design_to_json(design),
        }
        write_bytes(self.file, json.dumps(body).encode())

    def _remove(self) -> None:
        with contextlib.suppress(OSError):
            self.file.unlink()


def recovery_folder() -> Path:
    """Where this user's recovery files lie on this system."""
    return state_folder("recovery")


def lost_work(folder: Path) -> list[LostWork]:
    """What windows that never said goodbye left in the folder, the newest first.

    Files of windows that are still open are left alone, and so are those that cannot be read (of a newer version, say).
    Locks that nobody holds and nothing lies beside are cleared away, and what was half-written.
    """
    _clear_locks(folder)
    with contextlib.suppress(OSError):
        remove_dead_parts(folder)
    found = [_read(file) for file in folder.glob(f"*{RECOVERY_ENDING}") if _is_abandoned(file)]
    return sorted((work for work in found if work is not None), key=lambda work: -work.written_s)


def _clear_locks(folder: Path) -> None:
    for lock in folder.glob(f"*{LOCK_ENDING}"):
        file = lock.with_name(lock.name.removesuffix(LOCK_ENDING) + RECOVERY_ENDING)
        with contextlib.suppress(OSError):
            # A window that is just opening makes its lock a moment before it takes it.
            old = is_dead(lock.name) or time.time() - lock.stat().st_mtime > LOCK_SECONDS
            if not file.exists() and old and _is_abandoned(file):
                lock.unlink()


def damaged_files(folder: Path) -> list[Path]:
    """Put recovery files aside that no version can read, under names that are not looked at again.

    Files of a newer version stay, and so does whatever is no plain file. Returns: their new names.
    """
    found = []
    for file in folder.glob(f"*{RECOVERY_ENDING}"):
        with contextlib.suppress(OSError):
            if _is_abandoned(file) and _body(file) is None and stat.S_ISREG(file.stat().st_mode):
                found.append(file.replace(file.with_name(file.name + DAMAGED_ENDING)))
    return found


def _body(file: Path) -> dict[str, Any] | None:
    """What a recovery file holds; None where it is damaged. Raises: OSError."""
    if not stat.S_ISREG(file.stat().st_mode) or file.stat().st_size > MAX_BYTES:
        return None
    try:
        body = json.loads(file.read_bytes())
    except (ValueError, RecursionError, MemoryError):
        return None
    return body if isinstance(body, dict) and body.get("kind") == RECOVERY_KIND else None


def _read(file: Path) -> LostWork | None:
    try:
        body = _body(file)
        if body is None:
            return None
        path = None if body["path"] is None else Path(body["path"])
        design = design_from_json(body["design"])
        return LostWork(file, design, path, str(body["name"]), _written(body.get("written"), file))
    except (OSError, ValueError, KeyError, TypeError, RecursionError, RingtexError):
        return None


def _written(told: object, file: Path) -> float:
    """When it was written: as the file tells, or by the disk where it tells no time that can be."""
    if isinstance(told, int | float) and 0.0 <= told <= time.time() + DAY_SECONDS:
        return float(told)
    return file.stat().st_mtime


def _lock_of(file: Path) -> Path:
    return file.with_name(file.name.removesuffix(RECOVERY_ENDING) + LOCK_ENDING)


def _is_abandoned(file: Path) -> bool:
    """Whether nobody holds the lock beside a recovery file."""
    try:
        with _lock_of(file).open("rb+") as lock:
            return _take_lock(lock)
    except FileNotFoundError:
        return True
    except OSError:
        return False


def _take_lock(stream: IO[bytes]) -> bool:
    """Take the lock without waiting; it goes when the stream is closed. Gives whether it could be had."""
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(stream.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
