"""`ringtex sizes`."""

from __future__ import annotations

import json

import pytest

from ringtex.command.main import run_command


def test_a_size_in_every_scale(capsys: pytest.CaptureFixture[str]) -> None:
    """ISO 8653:1986: the size is the inner circumference; the encyclopaedia article "Ring size" has 53.8 mm for the US
    size 6 3/4; Italy is the circumference less 40."""
    assert run_command(["sizes", "54", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    marks = {reading["scale"]: reading["mark"] for reading in told["sizes"]}
    assert marks == {"iso": "54", "us": "6 3/4", "uk": "N", "jp": "14", "it": "14"}
    assert told["circumference_mm"] == 54.0
    assert told["diameter_mm"] == pytest.approx(17.189, abs=5e-4)


def test_the_table_names_every_scale_and_definition(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["sizes", "L 1/2", "--scale", "UK"]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("UK L 1/2: inner circumference 51.88 mm")
    assert all(f"\n{scale} " in out and f"\n{scale}: " in out for scale in ("iso", "us", "uk", "jp", "it"))
    assert err == ""


@pytest.mark.parametrize(
    "arguments",
    [
        ["abc"],
        [""],
        ["nan"],
        ["inf"],
        ["-5"],
        ["1e9"],
        ["9" * 4000],
        ["54", "--scale", "moon"],
        ["6.8", "--scale", "us"],
    ],
)
def test_unusable_sizes(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["--", *arguments] if arguments[0].startswith("-") else arguments
    assert run_command(["sizes", *arguments]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("ringtex: size.")
    assert err.count("\n") == 1


@pytest.mark.parametrize("words", ["us 6 3/4", "US 6.75"])
def test_the_scale_may_stand_before_the_value(words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["sizes", words, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["scale"] == "us"
    assert told["circumference_mm"] == pytest.approx(53.78, abs=0.01)


@pytest.mark.parametrize("words", ["fr 54", "moon 7", "EU 54.5"])
def test_an_unknown_scale_is_said_to_be_one(words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["sizes", words]) == 2
    err = capsys.readouterr().err
    assert "scale" in err
    assert words.split()[0].lower() in err
    assert "iso, us, uk, jp, it" in err
