"""`ringtex run`: table, JSON, run.csv, refusals, Ctrl-C."""

from __future__ import annotations

import csv
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from zoo import DOME, plain_design

from ringtex.command.main import run_command
from ringtex.document.size_run import sizes_in

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def design(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.chdir(tmp_path)
    Path("tide.ring.json").write_text(json.dumps(plain_design(pattern={"around": 24, "across": 4})), encoding="utf-8")
    Path("out").mkdir()
    return "tide.ring.json"


def test_the_three_tables_say_the_same(design: str, capsys: pytest.CaptureFixture[str]) -> None:
    line = ["run", design, "--sizes", "50 56", "--keep", "cells", "--out-dir", "out", "--tolerance", "0.03"]
    assert run_command([*line, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    rows = list(csv.DictReader(Path("out/run.csv").read_text(encoding="utf-8").splitlines()))
    assert [row["size"] for row in rows] == [row["size"] for row in told["rows"]] == ["ISO 50", "ISO 56"]
    for written, row in zip(rows, told["rows"], strict=True):
        assert float(written["as_cast_g"]) == pytest.approx(row["as_cast_g"], rel=1e-5)
        assert Path("out", written["file"]).is_file()
    assert rows[0]["file"] == "tide_iso_50.stl"
    before = Path("out/run.csv").read_bytes(), Path("out/tide_iso_50.stl").read_bytes()
    assert run_command(line) == 0
    assert "ISO 56" in capsys.readouterr().out
    assert before == (Path("out/run.csv").read_bytes(), Path("out/tide_iso_50.stl").read_bytes())


def test_sizes_with_spaces_are_parted_by_commas() -> None:
    assert [size.label for size in sizes_in("L 1/2, M,N", "uk")] == ["UK L 1/2", "UK M", "UK N"]
    assert [size.label for size in sizes_in("6 6.75", "US")] == ["US 6", "US 6 3/4"]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"--sizes": ""}, "0 sizes"),
        ({"--sizes": "54 abc"}, "--sizes"),
        ({"--scale": "moon"}, "--scale"),
        ({"--keep": "both"}, "--keep"),
        ({"--out-dir": "none"}, "no folder"),
        ({"--format": "step"}, ".stl"),
        ({"--workers": "0"}, "--workers"),
        ({"--tolerance": "nan"}, "tolerance"),
    ],
)
def test_bad_options(design: str, capsys: pytest.CaptureFixture[str], changes: dict[str, str], said: str) -> None:
    options = {"--sizes": "54", "--keep": "cells", "--out-dir": "out", **changes}
    assert run_command(["run", design, *(word for pair in options.items() for word in pair)]) == 2
    assert said in capsys.readouterr().err
    assert not list(Path("out").iterdir())


@pytest.mark.skipif(os.name == "nt", reason="process groups and SIGINT are POSIX")
def test_ctrl_c_leaves_nothing_half_written(tmp_path: Path) -> None:
    """Ctrl-C reaches the whole process group, as from a terminal."""
    (tmp_path / "a.ring.json").write_text(json.dumps(plain_design(band=DOME, pattern={"around": 60})), encoding="utf-8")
    (tmp_path / "out").mkdir()
    sizes = " ".join(str(size) for size in range(44, 64))
    line = ["run", "a.ring.json", "--sizes", sizes, "--keep", "cells", "--out-dir", "out", "--tolerance", "0.003"]
    command = [sys.executable, "-m", "ringtex", *line]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    job = subprocess.Popen(
        command, cwd=tmp_path, env=environment, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    time.sleep(2.0)
    os.killpg(job.pid, signal.SIGINT)
    _, err = job.communicate(timeout=240)
    assert job.returncode == 130
    assert "Stopped" in err
    assert "Traceback" not in err
    assert not list((tmp_path / "out").glob(".ringtex*"))
    assert not (tmp_path / "out" / "run.csv").exists()


@pytest.mark.skipif(os.name == "nt", reason="SIGINT is POSIX")
def test_ctrl_c_while_a_library_is_imported(tmp_path: Path, environment: dict[str, str]) -> None:
    """Libraries make other errors of the KeyboardInterrupt, or pass over it."""
    code = """
import os, signal, sys, time
class Finder:
    def find_spec(self, name, path=None, target=None):
        if name == "numpy":
            try:
                os.kill(os.getpid(), signal.SIGINT)
                time.sleep(1)
            except BaseException:
                raise ImportError from None
sys.meta_path.insert(0, Finder())
sys.argv = ["ringtex", "make", "a.ring.json", "--out", "a.stl"]
from ringtex.__main__ import main
sys.exit(main())
"""
    (tmp_path / "a.ring.json").write_text(json.dumps(plain_design()), encoding="utf-8")
    command = [sys.executable, "-c", code]
    job = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)
    assert (job.returncode, job.stderr) == (130, "Stopped.\n")
    assert not (tmp_path / "a.stl").exists()
