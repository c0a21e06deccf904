"""What is read was sent by anybody: ordinary files only, of a size that was agreed, and a sentence for the rest."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from ringtex.basics import guarded_files
from ringtex.basics.errors import InputError
from ringtex.basics.guarded_files import read_ordinary_file, shown_path

posix = pytest.mark.skipif(os.name == "nt", reason="pipes and permissions work otherwise there")


def test_bytes_up_to_the_limit_are_read(tmp_path: Path) -> None:
    path = tmp_path / "a"
    path.write_bytes(b"x" * 100)
    assert read_ordinary_file(path, 100, "design") == b"x" * 100
    with pytest.raises(InputError, match="far too big for a design") as caught:
        read_ordinary_file(path, 99, "design")
    assert caught.value.where == str(path)


def test_a_sparse_giant_is_refused_before_it_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a"
    with path.open("wb") as stream:
        stream.truncate(2_000_000_000)
    monkeypatch.setattr(guarded_files, "open", _must_not_read(open), raising=False)
    with pytest.raises(InputError, match="far too big"):
        read_ordinary_file(path, 1_000_000, "font")


def _must_not_read(original: Callable[..., object]) -> Callable[..., object]:
    class Unreadable:
        def __init__(self, descriptor: int, mode: str) -> None:
            self._stream = original(descriptor, mode)

        def __enter__(self) -> Unreadable:
            return self

        def __exit__(self, *_: object) -> None:
            self._stream.close()  # type: ignore[attr-defined]

        def read(self, size: int) -> bytes:
            raise AssertionError("read")

    return Unreadable


@posix
def test_a_file_that_grows_while_it_is_read_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a"
    path.write_bytes(b"x")
    fstat = os.fstat

    def grow(descriptor: int) -> os.stat_result:
        status = fstat(descriptor)
        path.write_bytes(b"x" * 50)
        return status

    monkeypatch.setattr(guarded_files.os, "fstat", grow)
    with pytest.raises(InputError, match="far too big"):
        read_ordinary_file(path, 10, "design")


@posix
@pytest.mark.timeout(20)
@pytest.mark.parametrize("swapped", [False, True])
def test_a_pipe_never_makes_the_reader_wait(swapped: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also where the pipe takes the file's place after it was looked at."""
    pipe, file = tmp_path / "pipe", tmp_path / "file"
    os.mkfifo(pipe)
    file.write_bytes(b"x")
    if swapped:
        stat_of = os.stat
        monkeypatch.setattr(guarded_files.os, "stat", lambda path: stat_of(file))
    with pytest.raises(InputError, match="this is a pipe"):
        read_ordinary_file(pipe, 100, "design")


@posix
@pytest.mark.timeout(20)
def test_devices_and_sockets_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for device in ("/dev/zero", "/dev/null"):
        with pytest.raises(InputError, match="this is a device"):
            read_ordinary_file(device, 100, "design")
    monkeypatch.chdir(tmp_path)
    with socket.socket(socket.AF_UNIX) as open_one:
        open_one.bind("s")
        with pytest.raises(InputError, match="this is a socket"):
            read_ordinary_file("s", 100, "design")


def test_missing_folder_long_and_no_name(tmp_path: Path) -> None:
    for path, words in (
        (tmp_path / "none", "no such file"),
        (tmp_path, "a folder"),
        (tmp_path / ("x" * 256), "too long"),
        ("a\0b", "not a file name"),
    ):
        with pytest.raises(InputError, match=words) as caught:
            read_ordinary_file(path, 100, "design")
        assert len(str(caught.value)) < 600
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(InputError, match="a file and not a folder"):
        read_ordinary_file(tmp_path / "file" / "a", 100, "design")


def test_what_may_not_be_read_or_entered(
    tmp_path: Path, environment: dict[str, str], give_up_rights: Callable[[], None]
) -> None:
    """Root may read everything, so a process without its rights looks."""
    locked = tmp_path / "locked"
    locked.mkdir()
    (locked / "a").write_bytes(b"x")
    (tmp_path / "b").write_bytes(b"x")
    (tmp_path / "b").chmod(0)
    locked.chmod(0)
    code = (
        "from ringtex.basics.guarded_files import *; from ringtex.basics.errors import RingtexError\n"
        'for act in (\'read_ordinary_file("locked/a", 9, "design")\', \'read_ordinary_file("b", 9, "design")\','
        ' \'refuse_unusable_folder("locked", "--out-dir")\', \'is_folder("locked/a", "a")\'):\n'
        "    try: print(eval(act))\n"
        "    except RingtexError as error: print(error)\n"
    )
    command = [sys.executable, "-c", code]
    done = subprocess.run(
        command, cwd=tmp_path, env=environment, preexec_fn=give_up_rights, capture_output=True, text=True, check=True
    )
    locked.chmod(0o700)
    first, second, third, fourth = done.stdout.splitlines()
    assert "may not be read" in first
    assert "may not be read" in second
    assert "may not be entered" in third
    assert "may not be entered" in fourth


def test_paths_are_shown_as_text() -> None:
    assert shown_path(os.fsdecode(b"a\xff.json")).isascii()
    assert len(shown_path("x" * 5000)) < 250
    assert shown_path("Ring für Åse.json") == "Ring für Åse.json"
