"""Files are written beside their target and then put in its place, so that no reader ever meets half a file.

Whatever goes wrong before the last step (a full disk, a cancel, a failed check of what was written), the old file is
untouched and the file beside it is gone. Only a killed process leaves one: it bears its target's name and its owner's
mark, and the next writer in that folder removes those whose owners run no more.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import signal
import stat
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

from ringtex.basics.errors import OutputError
from ringtex.basics.process_owner import is_dead, owner_mark

_PREFIX, _SUFFIX = ".ringtex-", ".part"

_NAME_LENGTH = 40
"""Characters of the target's name in that of the file beside it: a target whose own name is as long as allowed must
still find room."""

_unfinished: set[str] = set()
"""The files beside their targets that this process is writing now."""

_FULL = {errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)}


@contextmanager
def written_beside(target: str | os.PathLike[str]) -> Iterator[Path]:
    """Give a new empty file in the target's folder; when the block ends well, it takes the target's place.

    The block writes to the given path (and may read it back and raise when it is not as it should be). A link is
    followed: the file that it points to is replaced. An existing file's permissions are kept.

    Raises OutputError, with `where` the target: it is a folder or a device, its folder is missing, it may not be
    written, the disk is full, the name is too long. What the block raises passes through; OSError becomes OutputError.
    """
    shown = os.fspath(target)
    path, mode = _checked_target(shown)
    try:
        remove_dead_parts(path.parent)
        handle, beside = tempfile.mkstemp(prefix=_prefix_for(path.name), suffix=_SUFFIX, dir=path.parent)
    except OSError as error:
        raise output_error(error, shown) from error
    _unfinished.add(beside)
    try:
        os.close(handle)
        os.chmod(beside, mode)
        yield Path(beside)
        _flush_to_disk(beside)
        os.replace(beside, path)
    except OSError as error:
        raise output_error(error, shown) from error
    finally:
        # After a good end the name is gone already; after a bad one (a cancel or Ctrl-C too) nothing may stay behind.
        with contextlib.suppress(OSError):
            os.unlink(beside)
        _unfinished.discard(beside)
    _flush_folder(path.parent)


def remove_unfinished() -> None:
    """Remove what this process has written in part: for one that is about to end at once, by a signal or otherwise."""
    for beside in list(_unfinished):
        with contextlib.suppress(OSError):
            os.unlink(beside)


def end_cleanly_on_signals() -> None:
    """From here on SIGTERM and SIGHUP, where they are not ignored, remove what is half-written before they end us."""
    if threading.current_thread() is not threading.main_thread():
        return
    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) == signal.SIG_DFL:
            signal.signal(number, _end_cleanly)


def _end_cleanly(number: int, frame: FrameType | None) -> None:
    remove_unfinished()
    signal.signal(number, signal.SIG_DFL)
    os.kill(os.getpid(), number)


def remove_dead_parts(folder: Path) -> None:
    """Remove what killed processes of this machine left half-written in a folder. Raises: OSError."""
    with os.scandir(folder) as entries:
        dead = [entry.path for entry in entries if _is_part(entry.name) and is_dead(entry.name)]
    for path in dead:
        with contextlib.suppress(OSError):
            os.unlink(path)


def _is_part(name: str) -> bool:
    return name.startswith(_PREFIX) and name.endswith(_SUFFIX)


def _prefix_for(name: str) -> str:
    """What the name of the file beside a target begins with: the target's name, and the mark of this process."""
    return f"{_PREFIX}{re.sub(r'[^A-Za-z0-9._-]', '_', name)[:_NAME_LENGTH]}-{owner_mark()}-"


def write_bytes(target: str | os.PathLike[str], data: bytes) -> None:
    """Write a whole file by `written_beside`."""
    with written_beside(target) as beside:
        beside.write_bytes(data)


def write_text(target: str | os.PathLike[str], text: str) -> None:
    """Write a whole file as UTF-8 with plain line feeds by `written_beside`; bytes of file names that are no text
    stand as escapes."""
    write_bytes(target, text.encode("utf-8", "backslashreplace"))


def _checked_target(shown: str) -> tuple[Path, int]:
    """The file that will be replaced (links followed) and the permissions that it will carry."""
    if not shown or "\0" in shown:
        raise OutputError("This is not a file name", "Give the name of a file to write", shown.replace("\0", "?"))
    try:
        path = Path(os.path.realpath(shown, strict=False))
        status = os.stat(path)
    except FileNotFoundError:
        if not os.path.isdir(path.parent):
            advice = "Make the folder first, or choose another one"
            raise OutputError(f"There is no folder {path.parent}", advice, shown) from None
        if shown.endswith(os.sep):
            raise OutputError("This names a folder", "Give the name of a file to write", shown) from None
        return path, 0o666 & ~_umask()
    except OSError as error:
        raise output_error(error, shown) from error
    if stat.S_ISDIR(status.st_mode):
        raise OutputError("This is a folder", "Give the name of a file inside it", shown)
    if not stat.S_ISREG(status.st_mode):
        raise OutputError("This is not an ordinary file, so it is not replaced", "Choose another name", shown)
    if not os.access(path, os.W_OK):
        raise OutputError("This file is write-protected", "Choose another name, or allow writing to it", shown)
    return path, stat.S_IMODE(status.st_mode)


def _umask() -> int:
    """The process's mask of permissions; it can only be read by setting it."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


def _flush_to_disk(path: str) -> None:
    descriptor = os.open(path, os.O_RDWR | getattr(os, "O_BINARY", 0))
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _flush_folder(folder: Path) -> None:
    """Make the new name last through a power cut where the system can; the file is complete in any case."""
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def output_error(error: OSError, shown: str) -> OutputError:
    """The sentence for an error of the operating system."""
    if error.errno in _FULL:
        return OutputError("The disk is full", "Make room, or choose another disk; the old file is untouched", shown)
    if error.errno in (errno.EACCES, errno.EPERM):
        return OutputError("This place may not be written to", "Choose another folder, or allow writing to it", shown)
    if error.errno == errno.EROFS:
        return OutputError("This disk can only be read", "Choose another disk", shown)
    if error.errno == errno.ENAMETOOLONG:
        short = shown if len(shown) < 60 else f"{shown[:25]}...{shown[-25:]}"
        return OutputError("The file's name is too long", "Choose a shorter one", short)
    if error.errno == errno.ENOTDIR:
        return OutputError("A part of this path is a file and not a folder", "Choose another folder", shown)
    if error.errno == errno.EFBIG:
        return OutputError("The file is too big for this disk", "Choose another disk, or a coarser tolerance", shown)
    reason = error.strerror or type(error).__name__
    return OutputError(f"The file could not be written ({reason})", "Choose another place", shown)
