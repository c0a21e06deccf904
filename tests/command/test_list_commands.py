"""`ringtex families` and `ringtex keys`, and what the README says of both."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from ringtex.command.main import run_command
from ringtex.pattern.lattice.families import ALL_FAMILIES

README = (Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8")


def test_families_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["families"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == list(ALL_FAMILIES)
    assert any("in the window: spiral rows" in line for line in lines if line.startswith("phyllotaxis"))
    assert max(map(len, lines)) <= 120


def test_families_by_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["families", "Stars", "rhombs", "--json"]) == 0
    assert [each["name"] for each in json.loads(capsys.readouterr().out)["families"]] == [
        "rhomb_star_8",
        "rhomb_star_12",
    ]
    assert run_command(["families", "no such words"]) == 2
    assert "`ringtex families` lists them all" in capsys.readouterr().err


def test_keys_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["keys", "relief.wall"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("relief.wall_width: 0 to 5 mm or null; left out: 0.4\n    full width of the level strip")
    assert run_command(["keys", "--json"]) == 0
    every = json.loads(capsys.readouterr().out)["keys"]
    assert {"path": "size", "takes": "an object", "default": "", "meaning": "the finger size."} in every


def test_the_readme_lists_the_families_that_there_are() -> None:
    (section,) = re.findall(r"^## Families\n(.*?)^## ", README, re.MULTILINE | re.DOTALL)
    assert re.findall(r"`(\w+)`", section) == list(ALL_FAMILIES)
    assert "ringtex families" in section


def test_the_readme_says_where_the_keys_are() -> None:
    assert "ringtex keys" in README
