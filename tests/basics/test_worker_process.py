"""A worker ends with its parent, even while it still imports what it is to work with."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

PARENT = """
import multiprocessing, os
from concurrent.futures import ProcessPoolExecutor
from ringtex.basics.worker_process import begin_worker

if __name__ == "__main__":
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(
        1, mp_context=context, initializer=begin_worker, initargs=(context.Event(), context.SimpleQueue())
    )
    import slow
    pool.submit(slow.work)
    import time
    time.sleep(600)
"""
SLOW = """
import multiprocessing, os, time
if multiprocessing.parent_process() is not None:
    open("worker", "w").write(str(os.getpid()))
    time.sleep(600)

def work():
    pass
"""


@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")
def test_a_worker_that_imports_ends_with_its_parent(tmp_path: Path, environment: dict[str, str]) -> None:
    (tmp_path / "parent.py").write_text(PARENT)
    (tmp_path / "slow.py").write_text(SLOW)
    parent = subprocess.Popen([sys.executable, "parent.py"], cwd=tmp_path, env=environment)
    noted = tmp_path / "worker"
    _until(lambda: noted.exists() and noted.read_text() != "")
    parent.kill()
    parent.wait()
    _until(lambda: not _works(int(noted.read_text())))


def _until(holds: Callable[[], bool]) -> None:
    """Wait, a minute at most."""
    end = time.monotonic() + 60.0
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.02)


def _works(number: int) -> bool:
    try:
        return Path(f"/proc/{number}/stat").read_bytes().rpartition(b")")[2].split()[0] not in (b"Z", b"X")
    except OSError:
        return False
