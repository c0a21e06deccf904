"""How each ending of a command becomes an exit code and one sentence."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

import pytest

from ringtex.basics.errors import Cancelled, InputError, OutputError, SelfCheckError
from ringtex.command import sizes_command
from ringtex.command.console import Console
from ringtex.command.main import run_command

Ending = Callable[[Exception], None]


@pytest.fixture
def ending(monkeypatch: pytest.MonkeyPatch) -> Callable[[BaseException], None]:
    """Let `ringtex sizes` end with an exception."""

    def prepare(error: BaseException) -> None:
        def run(arguments: argparse.Namespace, console: Console) -> int:
            raise error

        monkeypatch.setattr(sizes_command, "run", run)

    return prepare


@pytest.mark.parametrize(
    ("error", "code", "words"),
    [
        (InputError("wrong", "Do this", "there"), 2, "ringtex: there: wrong. Do this.\n"),
        (OutputError("full", "Make room", "x.stl"), 2, "ringtex: x.stl: full. Make room.\n"),
        (SelfCheckError("open", "Report it"), 2, "ringtex: open. Report it.\n"),
        (Cancelled(), 130, "Stopped. Nothing was written.\n"),
        (KeyboardInterrupt(), 130, "Stopped.\n"),
        (MemoryError(), 2, "ringtex: there is not enough memory. Use a coarser --tolerance or fewer cells.\n"),
    ],
)
def test_endings(
    error: BaseException, code: int, words: str, ending: Ending, capsys: pytest.CaptureFixture[str]
) -> None:
    ending(error)
    assert run_command(["sizes", "54"]) == code
    assert capsys.readouterr() == ("", words)


def test_a_fault_is_one_line_and_its_details_are_kept(
    ending: Ending, capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    ending(ZeroDivisionError("a\nb"))
    assert run_command(["sizes", "54"]) == 2
    err = capsys.readouterr().err
    (details,) = tmp_path.iterdir()
    told = f"Please report it with the details saved in {details}.\n"
    assert err == f"ringtex: This is a fault of ringtex (ZeroDivisionError: a). {told}"
    assert "Traceback" in details.read_text(encoding="utf-8")


def test_a_fault_where_nothing_can_be_saved(
    ending: Ending, capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "none"))
    ending(ZeroDivisionError("a"))
    assert run_command(["sizes", "54"]) == 2
    assert "could not be saved" in capsys.readouterr().err


def test_whoever_works_on_the_program_may_ask_for_the_traceback(
    ending: Ending, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RINGTEX_TRACEBACK", "1")
    ending(ZeroDivisionError("a"))
    with pytest.raises(ZeroDivisionError):
        run_command(["sizes", "54"])
