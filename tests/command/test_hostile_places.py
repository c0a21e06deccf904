"""Files and folders that cannot be used: a sentence, and never a fault of ringtex."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from zoo import plain_design

from ringtex.command.main import run_command

FAULT = "fault of ringtex"
SMALL = plain_design(pattern={"around": 6, "across": 1})
LONG = "r" * 252 + ".stl"
"""256 bytes: one more than file systems take."""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A design in a folder, and a locked folder beside it with a design of its own."""
    monkeypatch.chdir(tmp_path)
    locked = tmp_path / "locked"
    locked.mkdir()
    for place in (tmp_path, locked):
        (place / "a.ring.json").write_text(json.dumps(SMALL), encoding="utf-8")
    locked.chmod(0)
    yield tmp_path
    locked.chmod(0o700)


LOCKED = {
    "make to": ["make", "a.ring.json", "--out", "locked/a.stl"],
    "make from": ["make", "locked/a.ring.json", "--out", "a.stl"],
    "make a picture to": ["make", "a.ring.json", "--picture", "locked/a.png"],
    "check": ["check", "locked/a.ring.json"],
    "check a mesh": ["check", "locked/a.stl"],
    "propose to": ["check", "a.ring.json", "--propose", "--out", "locked/b.ring.json"],
    "compare": ["compare", "locked/a.ring.json"],
    "compare to": ["compare", "a.ring.json", "--picture", "locked/a.png"],
    "sheet to": ["sheet", "a.ring.json", "--out", "locked/a.pdf"],
    "sheet from": ["sheet", "locked/a.ring.json", "--out", "a.pdf"],
    "run to": ["run", "a.ring.json", "--sizes", "54", "--keep", "cells", "--out-dir", "locked"],
    "run to a folder in it": ["run", "a.ring.json", "--sizes", "54", "--keep", "cells", "--out-dir", "locked/b"],
    "run from": ["run", "locked/a.ring.json", "--sizes", "54", "--keep", "cells", "--out-dir", "."],
    "new to": ["new", "--out", "locked/b.ring.json"],
    "new from": ["new", "--from", "locked/p.pattern.json", "--out", "b.ring.json"],
}


ALL_IN_ONE = """
import contextlib, io, json, sys
from ringtex.command.main import run_command
for name, arguments in json.loads(sys.argv[1]).items():
    told = io.StringIO()
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(told):
        code = run_command(arguments)
    print(json.dumps([name, code, told.getvalue()]))
"""


def test_a_folder_without_the_right_to_enter_is_the_users_matter(
    folder: Path, environment: dict[str, str], give_up_rights: Callable[[], None]
) -> None:
    """Every command in one process that has given up its rights."""
    command = [sys.executable, "-c", ALL_IN_ONE, json.dumps(LOCKED)]
    done = subprocess.run(
        command, cwd=folder, env=environment, preexec_fn=give_up_rights, capture_output=True, text=True, check=True
    )
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert [name for name, *_ in answers] == list(LOCKED)
    for name, code, told in answers:
        assert code == 2, name
        assert FAULT not in told, name
        sentences = [line for line in told.splitlines() if not line.endswith("%")]
        assert len(sentences) == 1, name
        assert sentences[0].startswith("ringtex: "), name
        assert "may not be" in sentences[0], name
    assert sorted(path.name for path in folder.iterdir()) == ["a.ring.json", "locked"]


@pytest.mark.parametrize(
    "arguments",
    [
        ["make", "a.ring.json", "--out", LONG],
        ["make", LONG.replace(".stl", ".json"), "--out", "a.stl"],
        ["make", "a.ring.json", "--picture", LONG.replace(".stl", ".png")],
        ["sheet", "a.ring.json", "--out", LONG.replace(".stl", ".pdf")],
        ["check", LONG],
        ["check", LONG.replace(".stl", ".json")],
        ["new", "--out", LONG],
        ["new", "--from", LONG, "--out", "b.ring.json"],
        ["run", "a.ring.json", "--sizes", "54", "--keep", "cells", "--out-dir", LONG],
        ["make", "a.ring.json/b", "--out", "b.stl"],
        ["make", "a.ring.json", "--out", "a.ring.json/b.stl"],
        ["make", "a\0b", "--out", "b.stl"],
        ["make", "a.ring.json", "--out", "a\0b.stl"],
    ],
    ids=lambda arguments: " ".join(arguments)[:30],
)
def test_names_that_no_disk_takes(arguments: list[str], folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(arguments) == 2
    told = capsys.readouterr().err
    assert FAULT not in told
    assert told.startswith("ringtex: ")
    # The name that was asked for, 256 letters of it, and the names of all patterns.
    assert len(told) < 1200


@pytest.mark.skipif(sys.platform != "linux", reason="other systems take no such names")
def test_a_name_that_is_no_text_is_written_and_told(
    folder: Path, environment: dict[str, str], capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    name = os.fsdecode(b"=ring\xff.ring.json")
    (folder / name).write_text(json.dumps(SMALL), encoding="utf-8")
    for arguments in (
        ["make", name, "--out", os.fsdecode(b"b\xff.stl"), "--tolerance", "0.03"],
        ["run", name, "--sizes", "54", "--keep", "cells", "--out-dir", ".", "--tolerance", "0.03", "--workers", "1"],
        ["run", name, "--sizes", "54", "--keep", "cells", "--out-dir", ".", "--tolerance", "0.03", "--json"],
        ["new", "--out", os.fsdecode(b"n\xff.ring.json")],
    ):
        command = [sys.executable, "-m", "ringtex", *arguments]
        done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, check=False)
        assert done.returncode in (0, 1), done.stderr
        assert b"fault" not in done.stderr
        assert b"ff" in done.stdout
    table = (folder / "run.csv").read_text(encoding="utf-8")
    assert "'=ring\\udcff_iso_54.stl" in table, "no formula, and the byte as an escape"


@pytest.mark.skipif(os.name == "nt", reason="pipes work otherwise there")
@pytest.mark.timeout(60)
def test_pipes_and_devices_are_not_waited_for(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("pipe.ring.json", "pipe.pattern.json", "pipe.stl"):
        os.mkfifo(name)
    for arguments in (
        ["make", "pipe.ring.json", "--out", "a.stl"],
        ["make", "/dev/zero", "--out", "a.stl"],
        ["check", "pipe.ring.json"],
        ["check", "pipe.stl"],
        ["compare", "pipe.ring.json"],
        ["sheet", "pipe.ring.json", "--out", "a.pdf"],
        ["new", "--from", "pipe.pattern.json", "--out", "n.ring.json"],
    ):
        assert run_command(arguments) == 2
        told = capsys.readouterr().err
        assert FAULT not in told
        assert "pipe" in told or "device" in told or "ordinary" in told


def test_an_error_of_the_system_is_never_called_a_fault(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that fails where nobody looked for it."""
    from ringtex.design import design_file

    def fail(path: Path) -> None:
        raise OSError(5, "Input/output error", str(path))

    monkeypatch.setattr(design_file, "read_design", fail)
    assert run_command(["make", "a.ring.json", "--out", "a.stl"]) == 2
    told = capsys.readouterr().err
    assert FAULT not in told
    assert "Input/output error" in told
    assert "a.ring.json" in told
