from __future__ import annotations

import os
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from ringtex.basics.time_limit import files_within, within


@pytest.fixture
def gone() -> Iterator[threading.Event]:
    """A drive that answers only when the test is over."""
    event = threading.Event()
    yield event
    event.set()


def test_work_that_is_done_in_time_gives_its_result() -> None:
    assert within(5.0, lambda: 3, 4) == 3


def test_work_that_fails_or_hangs_gives_the_other_result(gone: threading.Event) -> None:
    def fails() -> int:
        raise PermissionError

    assert within(5.0, fails, 4) == 4
    begun = time.monotonic()
    assert within(0.05, lambda: gone.wait(30.0) and 3, 4) == 4
    assert time.monotonic() - begun < 20.0


def test_each_file_is_looked_at_for_itself(
    tmp_path: Path, gone: threading.Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    here, hung = tmp_path / "here.json", tmp_path / "hung.json"
    here.write_text("{}")
    is_file = Path.is_file
    monkeypatch.setattr(Path, "is_file", lambda path: gone.wait(30.0) if path == hung else is_file(path))
    too_long = tmp_path / ("x" * 300)
    found = files_within(1.0, [hung, here, tmp_path / "none", tmp_path, too_long])
    assert found == {hung: None, here: True, tmp_path / "none": False, tmp_path: False, too_long: None}


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="the superuser may enter every folder")
def test_a_folder_that_may_not_be_entered_is_no_error(tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir()
    closed.chmod(0)
    try:
        assert files_within(5.0, [closed / "a.json"]) == {closed / "a.json": None}
    finally:
        closed.chmod(0o700)
