"""The program as a process of its own: exit codes, the two streams, Ctrl-C, a closed pipe."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
import types
from collections.abc import Callable
from pathlib import Path

import pytest
from zoo import plain_design

from ringtex.basics.resources import demo_folder

Process = subprocess.CompletedProcess[str]
Run = Callable[..., Process]
Demo = Callable[[str], Path]


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere there is always a display")
def test_without_a_display_it_says_where_to_go(ringtex: Run) -> None:
    done = ringtex()
    assert done.returncode == 2
    assert "display" in done.stderr or "ringtex[window]" in done.stderr
    assert "ringtex make" in done.stderr
    assert done.stdout == ""


def test_help_and_version(ringtex: Run) -> None:
    done = ringtex("--help")
    assert done.returncode == 0
    assert all(command in done.stdout for command in ("make", "check", "sizes", "new"))
    assert ringtex("--version").stdout.startswith("ringtex ")


def test_json_is_one_object_and_progress_goes_elsewhere(ringtex: Run, demo: Demo, tmp_path: Path) -> None:
    done = ringtex("make", demo("plain_flat.ring.json"), "--out", "ring.stl", "--json")
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["closed"] is True
    assert done.stdout.count("\n") == 1
    assert (tmp_path / "ring.stl").stat().st_size > 10_000


@pytest.mark.parametrize("design", ["hollow_dome.ring.json", "pierced_signet.ring.json"])
def test_the_end_is_silent(ringtex: Run, demo: Demo, design: str) -> None:
    """manifold3d complains of bodies that still live then, as those would in caches of modules that stay."""
    done = ringtex("make", demo(design), "--out", "ring.stl", "--tolerance", "0.03")
    assert done.returncode == 0
    assert "leak" not in done.stderr


def test_an_unusable_design_is_one_sentence_on_standard_error(ringtex: Run, tmp_path: Path) -> None:
    (tmp_path / "a.ring.json").write_text(json.dumps(plain_design(pattern={"around": 0})), encoding="utf-8")
    for arguments in (
        ["make", "a.ring.json", "--out", "ring.stl"],
        ["make", "a.ring.json", "--out", "b.stl", "--json"],
    ):
        done = ringtex(*arguments)
        assert done.returncode == 2
        assert done.stdout == ""
        assert done.stderr.startswith("ringtex: a.ring.json, pattern.around: ")
        assert done.stderr.count("\n") == 1
    assert [path.name for path in tmp_path.iterdir()] == ["a.ring.json"]


def test_unknown_options_end_with_2(ringtex: Run) -> None:
    for arguments in (
        ["make"],
        ["fly"],
        ["make", "a", "--out"],
        ["sizes", "54", "--jsn"],
        ["make", "a", "--tolerance", "x"],
    ):
        done = ringtex(*arguments)
        assert done.returncode == 2
        assert "Traceback" not in done.stderr


@pytest.mark.skipif(os.name == "nt", reason="signals work otherwise there")
@pytest.mark.parametrize("presses", [1, 2])
def test_ctrl_c_leaves_nothing_half_written(presses: int, tmp_path: Path, environment: dict[str, str]) -> None:
    """A large job is interrupted as soon as it says that it works."""
    design = plain_design(
        pattern={"around": 240, "across": 60}, relief={"wall_width": 0.05, "corner": 0.0, "depth": 0.05}
    )
    (tmp_path / "big.ring.json").write_text(json.dumps(design), encoding="utf-8")
    (tmp_path / "ring.obj").write_text("old", encoding="utf-8")
    command = [sys.executable, "-m", "ringtex", "make", "big.ring.json", "--out", "ring.obj", "--tolerance", "0.001"]
    job = subprocess.Popen(
        command, cwd=tmp_path, env=environment, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert job.stderr is not None
    first = job.stderr.readline()
    assert "%" in first
    for _ in range(presses):
        job.send_signal(signal.SIGINT)
        time.sleep(0.05)
    out, err = job.communicate(timeout=120)
    assert job.returncode == 130
    lines = [line for line in err.splitlines() if not line.endswith("%")]
    assert len(lines) == 1
    assert lines[0].startswith("Stopped")
    assert out == ""
    assert sorted(path.name for path in tmp_path.iterdir()) == ["big.ring.json", "ring.obj"]
    assert (tmp_path / "ring.obj").read_text(encoding="utf-8") == "old"


@pytest.mark.skipif(os.name == "nt", reason="pipes work otherwise there")
def test_a_reader_that_goes_away_is_no_fault(tmp_path: Path, environment: dict[str, str]) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    command = [sys.executable, "-m", "ringtex", "sizes", "54"]
    done = subprocess.run(command, cwd=tmp_path, env=environment, stdout=writing, stderr=subprocess.PIPE, check=False)
    os.close(writing)
    assert done.stderr == b""


def test_only_what_a_command_needs_is_imported(tmp_path: Path, environment: dict[str, str]) -> None:
    """`make` of a plain flat band needs no scipy, no picture and no ray caster; `sizes` not even numpy."""
    design = tmp_path / "a.ring.json"
    design.write_text(json.dumps(plain_design()), encoding="utf-8")
    heavy = ("scipy", "PIL", "embreex", "trimesh", "shapely", "pyqtgraph", "PySide6", "numpy")
    code = (
        "import sys; from ringtex.command.main import run_command; run_command(sys.argv[1:]); "
        f"print([name for name in {heavy} if name in sys.modules], file=sys.stderr)"
    )
    for arguments, expected in ((["make", "a.ring.json", "--out", "a.stl"], "['numpy']"), (["sizes", "54"], "[]")):
        command = [sys.executable, "-c", code, *arguments]
        done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)
        assert done.stderr.splitlines()[-1] == expected


def test_two_processes_make_the_same_bytes(tmp_path: Path, environment: dict[str, str]) -> None:
    """Whatever the order of sets and the number of threads may be: even cells on a hollow dome."""
    body, hollow = (
        json.loads((demo_folder() / f"{demo}.ring.json").read_text(encoding="utf-8"))
        for demo in ("even_dome", "hollow_dome")
    )
    body["pattern"]["around"] = 10
    body["hollow"] = hollow["hollow"]
    design = tmp_path / "small.ring.json"
    design.write_text(json.dumps(body), encoding="utf-8")
    for name, hashes, threads in (("a.stl", "1", "1"), ("b.stl", "2", "2")):
        command = [sys.executable, "-m", "ringtex", "make", str(design), "--out", name, "--tolerance", "0.1"]
        own = {**environment, "PYTHONHASHSEED": hashes, "OPENBLAS_NUM_THREADS": threads, "OMP_NUM_THREADS": threads}
        subprocess.run(command, cwd=tmp_path, env=own, check=False, capture_output=True)
    written = sorted(tmp_path.glob("*.stl"))
    assert len(written) == 2
    assert written[0].read_bytes() == written[1].read_bytes()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="processes are listed in Linux's own way")
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGKILL])
def test_workers_end_with_their_run(number: int, tmp_path: Path, environment: dict[str, str]) -> None:
    """Two sizes are in work, two wait; whatever ends the run, no process goes on and nothing more is written."""
    design = plain_design(pattern={"around": 240, "across": 60}, relief={"wall_width": 0.05, "corner": 0.0})
    (tmp_path / "big.ring.json").write_text(json.dumps(design), encoding="utf-8")
    command = [sys.executable, "-m", "ringtex", "run", "big.ring.json", "--sizes", "52 54 56 58", "--keep", "repeats",
               "--out-dir", ".", "--workers", "2", "--tolerance", "0.002"]  # fmt: skip
    job = subprocess.Popen(command, cwd=tmp_path, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    while len(workers := _workers_of(job.pid)) < 2:
        assert job.poll() is None
        time.sleep(0.05)
    time.sleep(1.0)
    job.send_signal(number)
    assert job.wait() == -number
    # Two seconds are the promise; on a busy machine the test waits longer before it gives up.
    begun = time.monotonic()
    while any(map(_runs, workers)) and time.monotonic() - begun < 60.0:
        time.sleep(0.05)
    assert not any(map(_runs, workers))
    assert [path.name for path in tmp_path.iterdir()] == ["big.ring.json"]


def _workers_of(parent: int) -> list[int]:
    """The spawned processes of a run, without its resource tracker."""
    children = Path(f"/proc/{parent}/task/{parent}/children").read_text(encoding="ascii").split()
    commands = {int(child): Path(f"/proc/{child}/cmdline").read_bytes() for child in children}
    return [child for child, command in commands.items() if b"spawn_main" in command]


def _runs(number: int) -> bool:
    try:
        return Path(f"/proc/{number}/stat").read_bytes().rpartition(b")")[2].split()[0] not in (b"Z", b"X")
    except OSError:
        return False


def test_a_design_named_alone_is_for_the_window(monkeypatch: pytest.MonkeyPatch) -> None:
    import ringtex.__main__ as program

    opened: list[list[str]] = []
    window = types.ModuleType("ringtex.window.app.main")
    window.open_window = lambda arguments: opened.append(list(arguments)) or 0  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "ringtex.window.app.main", window)
    for arguments in ([], ["mine.ring.json"]):
        monkeypatch.setattr(sys, "argv", ["ringtex", *arguments])
        assert program.main() == 0
    assert opened == [[], ["mine.ring.json"]]
