"""Reading files that anybody may have sent: ordinary files only, and never more of them than was agreed."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path
from typing import BinaryIO

from ringtex.basics.errors import InputError, OutputError

_KINDS = {
    stat.S_IFDIR: "a folder",
    stat.S_IFIFO: "a pipe",
    stat.S_IFSOCK: "a socket",
    stat.S_IFCHR: "a device",
    stat.S_IFBLK: "a device",
}


def read_ordinary_file(path: str | os.PathLike[str], max_bytes: int, noun: str, where: str | None = None) -> bytes:
    """All bytes of an ordinary file.

    A pipe or a device, which could make the reader wait for ever, is refused before a byte is read, and so is a file
    that is too large; one that grows while it is read is refused as well.
    Parameters:
        path: the file.
        max_bytes: the most that is read.
        noun: what the file should be, for the messages: "design", "font".
        where: what errors name; the path unless given.
    Returns: the bytes.
    Raises: InputError.
    """
    named = shown_path(path) if where is None else where
    try:
        _refuse_other_kinds(os.stat(path), noun, named)
        # Whatever took the file's place since then: opening a pipe must not wait for a writer.
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        with open(descriptor, "rb") as stream:
            status = os.fstat(descriptor)
            _refuse_other_kinds(status, noun, named)
            content = _read(stream, status.st_size, max_bytes)
    except (OSError, ValueError) as error:
        raise read_error(error, named) from None
    if status.st_size > max_bytes or len(content) > max_bytes:
        advice = f"At most {max_bytes / 1e6:g} MB are read; check that this is the right file"
        raise InputError(f"this file is far too big for a {noun}", advice, named)
    return content


def _read(stream: BinaryIO, size: int, max_bytes: int) -> bytes:
    """What a file of that size holds: nothing where that is too much, a byte too many where it grew beyond the limit.

    The buffer is as large as the file: a read of n bytes makes room for n.
    """
    if size > max_bytes:
        return b""
    content = stream.read(size + 1)
    return content if len(content) <= size else content + stream.read(max_bytes + 1 - len(content))


def read_error(error: OSError | ValueError, where: str) -> InputError:
    """The sentence for an error of the operating system at a file that is read."""
    number = getattr(error, "errno", None)
    if number == errno.ENOENT:
        return InputError("there is no such file", "Check the name and the folder", where)
    if number in (errno.EACCES, errno.EPERM):
        advice = "Change its permissions or its folder's, or copy it to your own folder"
        return InputError("this file may not be read", advice, where)
    if number == errno.ENAMETOOLONG:
        return InputError("this file's name is too long", "Check the name", where)
    if number == errno.ENOTDIR:
        return InputError("a part of this path is a file and not a folder", "Check the path", where)
    reason = getattr(error, "strerror", None) or "not a file name"
    return InputError(f"this file cannot be read ({reason})", "Check the name and the disk", where)


def shown_path(path: str | os.PathLike[str]) -> str:
    """A path as it can be printed: bytes that are no text as escapes, the middle of a very long one left out."""
    text = os.fspath(path).encode("utf-8", "backslashreplace").decode().replace("\0", "?")
    return text if len(text) <= 240 else f"{text[:100]} ... {text[-100:]}"


def refuse_unusable_folder(folder: str | os.PathLike[str], where: str) -> None:
    """Refuse a folder that is missing or cannot be entered; `where` is what errors name.

    Raises: InputError.
    """
    try:
        status = os.stat(folder)
    except FileNotFoundError:
        raise InputError(f"there is no folder {shown_path(folder)}", "Make the folder first", where) from None
    except (OSError, ValueError) as error:
        raise _folder_error(error, folder, where) from None
    if not stat.S_ISDIR(status.st_mode):
        raise InputError(f"{shown_path(folder)} is a file and not a folder", "Choose another folder", where)
    if not os.access(folder, os.X_OK):
        raise InputError(f"the folder {shown_path(folder)} may not be entered", "Change its permissions", where)


def is_folder(path: str | os.PathLike[str], where: str) -> bool:
    """Whether a folder stands at a path at which a file is to be written.

    Raises: OutputError where that cannot be seen: the path's own folder may not be entered, or its name is too long.
    """
    try:
        return stat.S_ISDIR(os.stat(path).st_mode)
    except (FileNotFoundError, NotADirectoryError):
        return False
    except (OSError, ValueError) as error:
        refused = _folder_error(error, Path(path).parent, where)
        raise OutputError(refused.message, refused.advice, refused.where) from None


def _folder_error(error: OSError | ValueError, folder: str | os.PathLike[str], where: str) -> InputError:
    number = getattr(error, "errno", None)
    if number in (errno.EACCES, errno.EPERM):
        advice = "Choose another folder, or change its permissions"
        return InputError(f"the folder {shown_path(folder)} may not be entered", advice, where)
    if number == errno.ENAMETOOLONG:
        return InputError("the name is too long", "Choose a shorter one", where)
    reason = getattr(error, "strerror", None) or "not a file name"
    return InputError(f"this place cannot be used ({reason})", "Choose another one", where)


def _refuse_other_kinds(status: os.stat_result, noun: str, where: str) -> None:
    kind = stat.S_IFMT(status.st_mode)
    if kind == stat.S_IFDIR:
        raise InputError("this is a folder, not a file", f"Name the {noun} file inside it", where)
    if kind != stat.S_IFREG:
        what = _KINDS.get(kind, "no ordinary file")
        raise InputError(f"this is {what}, not an ordinary file", f"Name a {noun} file", where)
