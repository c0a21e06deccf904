"""A file is replaced whole or not at all."""

from __future__ import annotations

import errno
import os
import signal
import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from ringtex.basics import safe_files
from ringtex.basics.errors import Cancelled, OutputError
from ringtex.basics.safe_files import write_bytes, write_text, written_beside


def _names(folder: Path) -> list[str]:
    return sorted(os.listdir(folder))


def test_new_file(tmp_path: Path) -> None:
    write_bytes(tmp_path / "ring.stl", b"metal")
    assert (tmp_path / "ring.stl").read_bytes() == b"metal"
    assert _names(tmp_path) == ["ring.stl"]


def test_text_is_utf8_with_line_feeds(tmp_path: Path) -> None:
    write_text(tmp_path / "ring.json", "Größe\n")
    assert (tmp_path / "ring.json").read_bytes() == b"Gr\xc3\xb6\xc3\x9fe\n"


def test_old_file_is_replaced_and_keeps_its_permissions(tmp_path: Path) -> None:
    target = tmp_path / "ring.stl"
    target.write_bytes(b"old")
    target.chmod(0o640)
    write_bytes(target, b"new")
    assert target.read_bytes() == b"new"
    assert stat.S_IMODE(target.stat().st_mode) == 0o640


def test_new_file_obeys_the_umask(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        write_bytes(tmp_path / "a", b"")
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o640


def test_a_link_is_followed(tmp_path: Path) -> None:
    real, link = tmp_path / "real.stl", tmp_path / "link.stl"
    real.write_bytes(b"old")
    link.symlink_to(real)
    write_bytes(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"


@pytest.mark.parametrize(
    "failure", [ValueError("x"), Cancelled(), KeyboardInterrupt(), OutputError("x"), SystemExit(1)]
)
def test_failure_in_the_block_leaves_the_old_file(tmp_path: Path, failure: BaseException) -> None:
    target = tmp_path / "ring.stl"
    target.write_bytes(b"old")

    def stopped_half_way() -> None:
        with written_beside(target) as beside:
            beside.write_bytes(b"half")
            assert target.read_bytes() == b"old"
            raise failure

    with pytest.raises(type(failure)):
        stopped_half_way()
    assert target.read_bytes() == b"old"
    assert _names(tmp_path) == ["ring.stl"]


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "disk is full"),
        (errno.EDQUOT, "disk is full"),
        (errno.EACCES, "may not be written"),
        (errno.EROFS, "can only be read"),
        (errno.EFBIG, "too big"),
        (errno.EIO, "could not be written"),
    ],
)
def test_system_errors_become_sentences(tmp_path: Path, number: int, words: str) -> None:
    target = tmp_path / "ring.stl"
    target.write_bytes(b"old")
    with pytest.raises(OutputError, match=words) as caught, written_beside(target):
        raise OSError(number, os.strerror(number))
    assert caught.value.where == str(target)
    assert target.read_bytes() == b"old"
    assert _names(tmp_path) == ["ring.stl"]


def test_error_at_the_last_step(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that fills when the file is flushed leaves nothing behind either."""
    target = tmp_path / "ring.stl"
    target.write_bytes(b"old")

    def full(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(safe_files.os, "fsync", full)
    with pytest.raises(OutputError, match="disk is full"):
        write_bytes(target, b"new")
    assert target.read_bytes() == b"old"
    assert _names(tmp_path) == ["ring.stl"]


@pytest.fixture
def tiny_disk(tmp_path: Path) -> Iterator[Path]:
    """A real disk of 64 kB, where this process may mount one."""
    place = tmp_path / "tiny"
    place.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)]
    try:
        done = subprocess.run(command, capture_output=True, check=False)
    except FileNotFoundError:
        pytest.skip("no mount command")
    if done.returncode != 0:
        pytest.skip("this process may not mount a disk")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_disk_that_is_really_full(tiny_disk: Path) -> None:
    target = tiny_disk / "ring.stl"
    target.write_bytes(b"old")
    with pytest.raises(OutputError, match="disk is full"):
        write_bytes(target, b"x" * 200_000)
    assert target.read_bytes() == b"old"
    assert _names(tiny_disk) == ["ring.stl"]


def test_target_is_a_folder(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="This is a folder"):
        write_bytes(tmp_path, b"x")
    with pytest.raises(OutputError, match="folder"):
        write_bytes(f"{tmp_path}/new/", b"x")
    assert _names(tmp_path) == []


def test_folder_is_missing(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="There is no folder"):
        write_bytes(tmp_path / "missing" / "ring.stl", b"x")


def test_a_file_stands_where_the_folder_should(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"x")
    with pytest.raises(OutputError, match="file and not a folder"):
        write_bytes(tmp_path / "file" / "ring.stl", b"x")


def test_longest_name_that_the_disk_takes(tmp_path: Path) -> None:
    name = "r" * (os.pathconf(tmp_path, "PC_NAME_MAX") - 4) + ".stl"
    write_bytes(tmp_path / name, b"x")
    assert _names(tmp_path) == [name]
    with pytest.raises(OutputError, match="name is too long") as caught:
        write_bytes(tmp_path / ("r" + name), b"x")
    assert len(str(caught.value)) < 200


def test_a_device_is_not_replaced() -> None:
    with pytest.raises(OutputError, match="not an ordinary file"):
        write_bytes("/dev/null", b"x")
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode)


@pytest.mark.parametrize("name", ["", "a\0b"])
def test_no_name(name: str) -> None:
    with pytest.raises(OutputError, match="not a file name"):
        write_bytes(name, b"x")


def test_write_protected_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Root may write anything, so the answer of the system is given here."""
    target = tmp_path / "ring.stl"
    target.write_bytes(b"old")
    monkeypatch.setattr(safe_files.os, "access", lambda path, mode: False)
    with pytest.raises(OutputError, match="write-protected"):
        write_bytes(target, b"new")
    assert target.read_bytes() == b"old"


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_folder_may_not_be_written(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(OutputError, match="may not be written"):
            write_bytes(tmp_path / "ring.stl", b"x")
    finally:
        tmp_path.chmod(0o700)


def _killed_while_writing(folder: Path, environment: dict[str, str], number: int) -> None:
    code = (
        "from ringtex.basics.safe_files import *; end_cleanly_on_signals()\n"
        "with written_beside('ring.stl') as beside:\n"
        "    beside.write_bytes(b'half'); print('ready', flush=True); input()\n"
    )
    command = [sys.executable, "-c", code]
    writer = subprocess.Popen(
        command, cwd=folder, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert writer.stdout is not None
    assert writer.stdout.readline() == "ready\n"
    writer.send_signal(number)
    writer.communicate()
    assert writer.returncode == -number


@pytest.mark.skipif(os.name == "nt", reason="signals work otherwise there")
def test_what_a_killed_writer_left_goes_with_the_next_writing(tmp_path: Path, environment: dict[str, str]) -> None:
    _killed_while_writing(tmp_path, environment, signal.SIGKILL)
    (left,) = _names(tmp_path)
    assert left.startswith(".ringtex-ring.stl-p")
    with written_beside(tmp_path / "other.stl") as beside:
        assert _names(tmp_path) == [beside.name], "its own file is no dead one's"
        write_bytes(tmp_path / "third.stl", b"x")
        beside.write_bytes(b"x")
    assert _names(tmp_path) == ["other.stl", "third.stl"]


@pytest.mark.skipif(os.name == "nt", reason="signals work otherwise there")
@pytest.mark.parametrize("number", [signal.SIGTERM, getattr(signal, "SIGHUP", signal.SIGTERM)])
def test_a_signal_that_ends_the_program_leaves_nothing(
    number: int, tmp_path: Path, environment: dict[str, str]
) -> None:
    _killed_while_writing(tmp_path, environment, number)
    assert _names(tmp_path) == []
