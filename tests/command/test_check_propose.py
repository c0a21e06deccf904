"""`ringtex check --propose`: told, written, refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from zoo import plain_design

from ringtex.command.main import run_command

THIN = plain_design(pattern={"around": 24, "across": 4}, relief={"form": "sunk", "wall_width": 0.25})


@pytest.fixture
def design(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.chdir(tmp_path)
    Path("a.ring.json").write_text(json.dumps(THIN), encoding="utf-8")
    return "a.ring.json"


def test_what_is_proposed_is_clean_when_written(design: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["check", design, "--propose", "--out", "b.ring.json", "--json"]) == 1
    told = json.loads(capsys.readouterr().out)["proposal"]
    assert told["clears"]
    assert [change["key"] for change in told["changes"]] == ["relief.wall_width"]
    assert run_command(["check", "b.ring.json"]) == 0
    told = capsys.readouterr().out
    assert not any(word in told for word in ("error:", "warning:"))


def test_it_is_told_in_sentences(design: str, capsys: pytest.CaptureFixture[str]) -> None:
    run_command(["check", design, "--propose"])
    assert "- ridge width 0.25 -> 0.3" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [(["a.ring.json", "--out", "b.ring.json"], "--propose"), (["a.stl", "--propose"], "not for meshes")],
)
def test_what_makes_no_sense_is_refused(
    design: str, capsys: pytest.CaptureFixture[str], arguments: list[str], said: str
) -> None:
    assert run_command(["check", *arguments]) == 2
    assert said in capsys.readouterr().err
    assert not Path("b.ring.json").exists()
