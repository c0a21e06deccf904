"""Who is told of changes, and that one failing listener harms nobody."""

from __future__ import annotations

import sys

import pytest

from ringtex.document.listeners import Listeners


def test_all_are_told_in_order_until_they_stop() -> None:
    told: list[str] = []
    listeners = Listeners()
    stop = listeners.add(lambda: told.append("first"))
    listeners.add(lambda: told.append("second"))
    listeners.tell()
    stop()
    stop()
    listeners.tell()
    assert told == ["first", "second", "second"]


def test_one_that_fails_does_not_keep_the_others_from_being_told(monkeypatch: pytest.MonkeyPatch) -> None:
    failures: list[BaseException] = []
    monkeypatch.setattr(sys, "excepthook", lambda kind, error, trace: failures.append(error))
    told: list[str] = []
    listeners = Listeners()

    def fail() -> None:
        raise ZeroDivisionError

    listeners.add(fail)
    listeners.add(lambda: told.append("second"))
    listeners.tell()
    assert told == ["second"]
    assert [type(failure) for failure in failures] == [ZeroDivisionError]


def test_one_that_was_stopped_by_another_is_not_told_any_more() -> None:
    told: list[str] = []
    listeners = Listeners()
    stops = []
    listeners.add(lambda: stops[0]())
    stops.append(listeners.add(lambda: told.append("second")))
    listeners.tell()
    assert told == []
