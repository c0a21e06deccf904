"""Ctrl-C: first a request, then an end at once, then nothing more."""

from __future__ import annotations

import gc
import os
import signal
from collections.abc import Iterator

import pytest

from ringtex.basics.progress import Progress
from ringtex.command.console import stop_on_interrupt


@pytest.fixture(autouse=True)
def handler() -> Iterator[object]:
    """The handler of the test run, put back whatever happens."""
    before = signal.getsignal(signal.SIGINT)
    yield before
    signal.signal(signal.SIGINT, before)


def test_the_first_asks_the_second_ends_and_later_ones_are_ignored() -> None:
    progress = Progress()
    with pytest.raises(KeyboardInterrupt), stop_on_interrupt(progress):  # noqa: PT012 - the second signal is the point
        os.kill(os.getpid(), signal.SIGINT)
        assert progress.cancelled
        os.kill(os.getpid(), signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    os.kill(os.getpid(), signal.SIGINT)


def test_without_one_all_is_as_before(handler: object) -> None:
    with stop_on_interrupt(Progress()):
        assert signal.getsignal(signal.SIGINT) is not handler
    assert signal.getsignal(signal.SIGINT) is handler


def test_rubbish_is_looked_for_again_from_here_on() -> None:
    gc.disable()
    frozen = gc.get_freeze_count()
    try:
        with stop_on_interrupt(Progress()):
            assert gc.isenabled()
            assert gc.get_freeze_count() > frozen
    finally:
        gc.unfreeze()
        gc.enable()
