"""`ringtex sheet`: written, the same bytes twice, refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from zoo import plain_design

from ringtex.command.main import run_command
from ringtex.document import workshop_sheet


@pytest.fixture(autouse=True)
def design(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(workshop_sheet, "PICTURE_PIXELS", 40)
    Path("a.ring.json").write_text(json.dumps(plain_design(pattern={"around": 12, "across": 2})), encoding="utf-8")
    return "a.ring.json"


@pytest.mark.parametrize("name", ["a.pdf", "a.html"])
def test_the_same_design_gives_the_same_bytes(
    design: str, name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert run_command(["sheet", design, "--out", name, "--paper", "letter", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    first = Path(name).read_bytes()
    assert (told["file"], told["bytes"], told["paper"]) == (name, len(first), "letter")
    assert run_command(["sheet", design, "--out", name, "--paper", "letter"]) == 0
    assert Path(name).read_bytes() == first


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--out", "a.png"], ".pdf or .html"),
        (["--out", "a.pdf", "--paper", "a5"], "a4 or letter"),
        (["--out", "none/a.pdf"], "no folder"),
        (["--out", "a.pdf", "--date", "x" * 50], "--date"),
    ],
)
def test_bad_arguments(design: str, arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["sheet", design, *arguments]) == 2
    assert said in capsys.readouterr().err
    assert [path.name for path in Path().iterdir()] == [design]


def test_a_bad_ring_still_gets_its_sheet(design: str, capsys: pytest.CaptureFixture[str]) -> None:
    bad = plain_design(pattern={"around": 12, "across": 2}, relief={"form": "sunk", "wall_width": 0.2})
    Path(design).write_text(json.dumps(bad), encoding="utf-8")
    assert run_command(["sheet", design, "--out", "a.html"]) == 1
    assert "thinnest ridge" in Path("a.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(("out", "said"), [("none/sheet.pdf", "no folder"), ("folder.pdf", "this is a folder")])
def test_a_place_that_cannot_be_written_is_refused_before_work(
    design: str, out: str, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("folder.pdf").mkdir()
    monkeypatch.setattr("ringtex.make_ring.make_ring", lambda *given, **named: pytest.fail("work was done"))
    assert run_command(["sheet", design, "--out", out]) == 2
    assert said in capsys.readouterr().err
