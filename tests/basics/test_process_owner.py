"""Marks of processes in file names."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from ringtex.basics import process_owner
from ringtex.basics.process_owner import is_dead, owner_mark


def _mark_of_another_process(environment: dict[str, str]) -> tuple[str, subprocess.Popen[str]]:
    code = "from ringtex.basics.process_owner import owner_mark; print(owner_mark(), flush=True); input()"
    command = [sys.executable, "-c", code]
    other = subprocess.Popen(command, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert other.stdout is not None
    return other.stdout.readline().strip(), other


def test_a_process_is_dead_once_it_has_ended(environment: dict[str, str]) -> None:
    mark, other = _mark_of_another_process(environment)
    assert mark != owner_mark()
    assert not is_dead(f".ringtex-a.stl-{mark}-xyz.part")
    other.kill()
    other.communicate()
    assert is_dead(f".ringtex-a.stl-{mark}-xyz.part")


@pytest.mark.skipif(sys.platform != "linux", reason="how ended processes wait is Linux's own way")
def test_one_that_nobody_has_asked_for_its_result_is_dead_too(environment: dict[str, str]) -> None:
    mark, other = _mark_of_another_process(environment)
    other.kill()
    os.waitid(os.P_PID, other.pid, os.WEXITED | os.WNOWAIT)
    assert is_dead(mark)
    other.communicate()


def test_this_process_lives_and_names_without_a_mark_are_left_alone() -> None:
    assert not is_dead(owner_mark())
    assert not is_dead(".ringtex-abcdefgh.part")


def test_a_number_given_again_is_another_process(monkeypatch: pytest.MonkeyPatch) -> None:
    mark = owner_mark()
    if process_owner._start_of(os.getpid()) == 0:
        pytest.skip("this system does not say when processes began")
    monkeypatch.setattr(process_owner, "_start_of", lambda number: 1)
    assert is_dead(mark)


def test_other_machines_processes_are_left_alone() -> None:
    """A folder may be shared between machines; number 1 of another one says nothing about this one's."""
    assert not is_dead("p999999999s1h00000000")
