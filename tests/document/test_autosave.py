"""Unsaved work survives kill -9, and only that of windows that are really gone is offered."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from design_series import ring

from ringtex.document.autosave import Autosave, damaged_files, lost_work, recovery_folder

KILLED = Path(__file__).with_name("killed_window.py")


def killed_while_working(folder: Path, environment: dict[str, str]) -> int:
    """Kill a process in the middle of its edits; gives the last one that it said was on disk."""
    command = [sys.executable, str(KILLED), str(folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        assert process.stdout is not None
        last = 0
        while last < 30:
            last = int(process.stdout.readline())
        assert lost_work(folder) == [], "work of a window that still runs was offered"
        process.kill()
        rest = process.stdout.read().split()
    return int(rest[-1]) if rest else last


def test_work_of_a_killed_process_is_offered_whole(tmp_path: Path, environment: dict[str, str]) -> None:
    last = killed_while_working(tmp_path, environment)
    (work,) = lost_work(tmp_path)
    assert (work.name, work.path) == ("mine", Path("/rings/mine.ring.json"))
    # The kill may have hit between the file and the word about it.
    assert work.design.pattern.around in (last, last + 1)
    work.discard()
    assert lost_work(tmp_path) == []
    work.discard()


def test_a_running_window_is_left_alone_and_a_closed_one_leaves_nothing(tmp_path: Path) -> None:
    autosave = Autosave(tmp_path)
    autosave.write(ring(20), None, "one").result()
    assert lost_work(tmp_path) == []
    autosave.close(keep=False)
    assert list(tmp_path.iterdir()) == []


def test_work_kept_at_closing_is_offered_next_time(tmp_path: Path) -> None:
    autosave = Autosave(tmp_path)
    autosave.write(ring(20), None, "one").result()
    autosave.close(keep=True)
    (work,) = lost_work(tmp_path)
    assert (work.design, work.path, work.name) == (ring(20), None, "one")


def test_saving_removes_the_file(tmp_path: Path) -> None:
    autosave = Autosave(tmp_path)
    autosave.write(ring(20), None, "one")
    autosave.forget()
    autosave.close(keep=True)
    assert lost_work(tmp_path) == []


def test_of_several_in_a_row_the_newest_stays(tmp_path: Path) -> None:
    autosave = Autosave(tmp_path)
    for number in range(20, 60):
        autosave.write(ring(number), None, "one")
    autosave.close(keep=True)
    assert [work.design for work in lost_work(tmp_path)] == [ring(59)]


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b'{"kind": "ringtex.recovery"}', b"\xff\xfe", b"null"])
def test_damaged_files_are_not_offered_and_not_removed(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "x.recovery.json"
    file.write_bytes(content)
    assert lost_work(tmp_path) == []
    assert file.exists()


def test_a_missing_folder_holds_nothing(tmp_path: Path) -> None:
    assert lost_work(tmp_path / "none") == []


def test_the_folder_belongs_to_the_user(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    assert recovery_folder() == tmp_path / "ringtex" / "recovery"


def test_old_locks_of_killed_windows_are_cleared_and_living_ones_left(tmp_path: Path) -> None:
    abandoned, fresh = tmp_path / "1-gone.lock", tmp_path / "2-new.lock"
    abandoned.touch()
    os.utime(abandoned, (1.0, 1.0))
    fresh.touch()
    living = Autosave(tmp_path)
    (own,) = {*tmp_path.glob("*.lock")} - {abandoned, fresh}
    os.utime(own, (1.0, 1.0))
    assert lost_work(tmp_path) == []
    assert not abandoned.exists()
    assert fresh.exists()
    assert own.exists()
    living.close(keep=False)


def left_behind(folder: Path, **changed: object) -> Path:
    """A recovery file of a window that is gone, with some of its entries changed."""
    gone = Autosave(folder)
    gone.write(ring(54), None, "ring")
    gone.close(keep=True)
    body = {**json.loads(gone.file.read_bytes()), **changed}
    gone.file.write_text(json.dumps(body), encoding="utf-8")
    return gone.file


@pytest.mark.parametrize("written", [float("nan"), 1e300, -1e18, float("inf"), "yesterday", None, 10**400])
def test_a_time_that_cannot_be_is_taken_from_the_disk(tmp_path: Path, written: object) -> None:
    file = left_behind(tmp_path, written=written)
    (work,) = lost_work(tmp_path)
    assert work.written_s == file.stat().st_mtime
    time.localtime(work.written_s)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no named pipes")
def test_a_named_pipe_is_neither_read_nor_moved(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.recovery.json"
    os.mkfifo(pipe)
    assert lost_work(tmp_path) == []
    assert damaged_files(tmp_path) == []
    assert pipe.exists()


@pytest.mark.parametrize("content", [b"[" * 100_000, b'{"a":' * 100_000, b"{}", b"\xff\xfe", b"x" * 9_000_000])
def test_what_no_version_can_read_is_put_aside_once(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "some.recovery.json"
    file.write_bytes(content)
    assert lost_work(tmp_path) == []
    (aside,) = damaged_files(tmp_path)
    assert aside.exists()
    assert not file.exists()
    assert damaged_files(tmp_path) == []


def test_work_of_a_newer_version_stays(tmp_path: Path) -> None:
    file = left_behind(tmp_path, design={"format": "ringtex.design", "version": 999})
    assert lost_work(tmp_path) == []
    assert damaged_files(tmp_path) == []
    assert file.exists()


def test_the_lock_of_a_killed_window_without_work_goes_at_once(tmp_path: Path, environment: dict[str, str]) -> None:
    code = (
        "import sys; from pathlib import Path; from ringtex.document.autosave import Autosave\n"
        "autosave = Autosave(Path(sys.argv[1])); print('open', flush=True); input()\n"
    )
    command = [sys.executable, "-c", code, str(tmp_path)]
    window = subprocess.Popen(command, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert window.stdout is not None
    window.stdout.readline()
    assert lost_work(tmp_path) == []
    assert len(list(tmp_path.glob("*.lock"))) == 1, "of a window that is open"
    window.kill()
    window.communicate()
    assert lost_work(tmp_path) == []
    assert list(tmp_path.iterdir()) == []
