"""Files are written beside their target and then put in its place, so that no reader ever meets half a file.

Whatever goes wrong before the last step (a full disk, a cancel, a failed check of what was written), the old file is
untouched and the file beside it is gone.
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ringtex.basics.errors import OutputError

# A fixed short name, because a target whose own name is as long as allowed must still find room beside it.
_PREFIX, _SUFFIX = ".ringtex-", ".part"

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
        handle, beside = tempfile.mkstemp(prefix=_PREFIX, suffix=_SUFFIX, dir=path.parent)
    except OSError as error:
        raise _output_error(error, shown) from error
    try:
        os.close(handle)
        os.chmod(beside, mode)
        yield Path(beside)
        _flush_to_disk(beside)
        os.replace(beside, path)
    except OSError as error:
        raise _output_error(error, shown) from error
    finally:
        # After a good end the name is gone already; after a bad one (a cancel or Ctrl-C too) nothing may stay behind.
        with contextlib.suppress(OSError):
            os.unlink(beside)
    _flush_folder(path.parent)


def write_bytes(target: str | os.PathLike[str], data: bytes) -> None:
    """Write a whole file by `written_beside`."""
    with written_beside(target) as beside:
        beside.write_bytes(data)


def write_text(target: str | os.PathLike[str], text: str) -> None:
    """Write a whole file as UTF-8 with plain line feeds by `written_beside`."""
    write_bytes(target, text.encode("utf-8"))


def _checked_target(shown: str) -> tuple[Path, int]:
    """The file that will be replaced (links followed) and the permissions that it will carry."""
    if not shown or "\0" in shown:
        raise OutputError("This is not a file name", "Give the name of a file to write", shown.replace("\0", "?"))
    try:
        path = Path(os.path.realpath(shown, strict=False))
        status = os.stat(path)
    except FileNotFoundError:
        if not path.parent.is_dir():
            advice = "Make the folder first, or choose another one"
            raise OutputError(f"There is no folder {path.parent}", advice, shown) from None
        if shown.endswith(os.sep):
            raise OutputError("This names a folder", "Give the name of a file to write", shown) from None
        return path, 0o666 & ~_umask()
    except OSError as error:
        raise _output_error(error, shown) from error
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


def _output_error(error: OSError, shown: str) -> OutputError:
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
