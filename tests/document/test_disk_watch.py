"""Whether a file is still the one that was read."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from ringtex.document import disk_watch
from ringtex.document.disk_watch import disk_state, stamp_of


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "a.ring.json"
    path.write_text("one")
    return path


def test_same_while_nothing_happens(file: Path) -> None:
    stamp = stamp_of(file)
    assert stamp is not None
    assert disk_state(file, stamp) == "same"


def test_changed_at_the_same_length_and_the_same_time(file: Path) -> None:
    """Written within one tick of the file system's clock: only the bytes tell."""
    stamp = stamp_of(file)
    assert stamp is not None
    file.write_text("two")
    os.utime(file, ns=(stamp.changed_ns, stamp.changed_ns))
    assert disk_state(file, stamp) == "changed"


def test_touched_or_written_again_with_the_same_bytes_is_the_same(file: Path) -> None:
    stamp = stamp_of(file)
    assert stamp is not None
    os.utime(file, ns=(1, 1))
    assert disk_state(file, stamp) == "same"


def test_other_length_is_changed(file: Path) -> None:
    stamp = stamp_of(file)
    assert stamp is not None
    file.write_text("longer")
    assert disk_state(file, stamp) == "changed"


def test_gone(file: Path) -> None:
    stamp = stamp_of(file)
    assert stamp is not None
    file.unlink()
    assert disk_state(file, stamp) == "gone"
    assert stamp_of(file) is None


def test_an_old_untouched_file_is_not_read_again(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    os.utime(file, ns=(10**18, 10**18))
    stamp = stamp_of(file)
    assert stamp is not None

    def fail(path: Path) -> bytes:
        raise AssertionError(path)

    monkeypatch.setattr(disk_watch, "_digest", fail)
    assert disk_state(file, stamp) == "same"
