"""The two streams and the progress line."""

from __future__ import annotations

import io

import pytest

from ringtex.command.console import Console


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """A clock that is set by hand."""
    now = [100.0]
    monkeypatch.setattr("time.monotonic", lambda: now[0])
    return now


def test_on_a_terminal_one_line_is_kept_in_place(clock: list[float]) -> None:
    err = Terminal()
    console = Console(err=err, out=io.StringIO())
    for step in range(5):
        clock[0] += 0.1
        console.progress("solid", step / 5)
    console.warn("done")
    assert err.getvalue().count("\n") == 1
    assert err.getvalue().count("\r\033[K") == 6
    assert err.getvalue().endswith("solid  80%\r\033[Kdone\n")


def test_elsewhere_lines_are_sparse(clock: list[float]) -> None:
    err = io.StringIO()
    console = Console(err=err, out=io.StringIO())
    console.progress("band", 0.0)
    clock[0] += 1.5
    console.progress("solid", 0.5)
    console.progress("checks", 0.8)
    clock[0] += 1.5
    console.progress("solid", 0.85)
    console.progress("write", 0.9)
    console.clear()
    assert err.getvalue() == "solid 50%\nwrite 90%\n"


def test_with_json_only_the_object_is_printed() -> None:
    out = io.StringIO()
    console = Console(as_json=True, out=out, err=io.StringIO())
    console.say("for a person")
    console.give({"name": "Öse", "x": 1.5})
    assert out.getvalue() == '{"name": "\\u00d6se", "x": 1.5}\n'


def test_without_json_only_lines_are_printed() -> None:
    out = io.StringIO()
    console = Console(out=out, err=io.StringIO())
    console.say("for a person")
    console.give({"x": 1})
    assert out.getvalue() == "for a person\n"
