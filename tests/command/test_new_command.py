"""`ringtex new`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from ringtex.basics.resources import demo_folder, resource
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.checks.finding import Level
from ringtex.command.main import run_command
from ringtex.design.design_file import read_design, read_pattern
from ringtex.make_ring import make_ring

WITH_THIN_STROKES = (0, 1)
"""What `new` may end with where letters are a motif: their thin strokes are errors that no small change mends."""


def test_a_new_design_is_the_starting_design(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "mine.ring.json"
    assert run_command(["new", "--out", str(out)]) == 0
    assert read_design(out) == read_design(resource("starting_design.ring.json"))
    assert str(out) in capsys.readouterr().out


@pytest.mark.parametrize("pattern", sorted(demo_folder().glob("*.pattern.json")), ids=lambda path: path.name)
def test_from_a_pattern_by_path_and_by_name(pattern: Path, tmp_path: Path) -> None:
    by_path, by_name = tmp_path / "a.ring.json", tmp_path / "b.ring.json"
    assert run_command(["new", "--out", str(by_path), "--from", str(pattern)]) == 0
    assert run_command(["new", "--out", str(by_name), "--from", pattern.name.removesuffix(".pattern.json")]) == 0
    assert by_path.read_bytes() == by_name.read_bytes()
    design, sheet = read_design(by_path), read_pattern(pattern)
    assert (design.pattern, design.relief, design.rails) == (sheet.pattern, sheet.relief, sheet.rails)


def test_borders_between_zones_blend_where_asked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "mine.ring.json"
    assert run_command(["new", "--out", str(out), "--from", "kerb_and_cobbles", "--blend", "0.8"]) == 0
    lowest, *others = read_design(out).zones
    assert (lowest.blend_mm, {zone.blend_mm for zone in others}) == (0.0, {0.8})
    assert run_command(["new", "--out", str(tmp_path / "other.ring.json"), "--blend", "0.8"]) == 2
    assert "no zones" in capsys.readouterr().err


def test_panels_of_the_families_asked_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "mine.ring.json"
    # On so narrow a band cells beside the frames stay too small: it is said what to change.
    assert run_command(["new", "--out", str(out), "--panel", "diamond", "--panel", "cellular"]) == 1
    assert "Make it 0.3 mm or more: a narrower groove, or fewer and larger cells" in capsys.readouterr().out
    assert [(panel.u, panel.pattern.family) for panel in read_design(out).panels] == [
        (0.5, "diamond"), (0.0, "cellular"),
    ]  # fmt: skip
    other = ["new", "--out", str(tmp_path / "other.ring.json")]
    assert run_command([*other, "--panel", "no_such"]) == 2
    assert run_command([*other, *["--panel", "brick"] * 9]) == 2
    assert "at most 8 panels" in capsys.readouterr().err


def test_a_new_ring_begins_without_errors(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """On the dome a panel of diamonds had two errors: what the proposals change is changed, and said."""
    out = tmp_path / "dome.ring.json"
    assert run_command(["new", "--out", str(out), "--band", "dome", "--panel", "diamond", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert [change.split(" 0")[0] for change in said["changed"]] == ["groove width"]
    design = read_design(out)
    assert (design.strip.keep, design.panels[0].pattern.family) == ("shape", "diamond")
    findings = make_ring(design, DRAFT_CHORD_MM).report.findings
    assert [finding for finding in findings if finding.level is Level.ERROR] == []


@pytest.mark.parametrize(("typed", "section"), [("flat", "flat"), ("half_round", "half_round"), ("Court", "court")])
def test_a_band_by_its_section(typed: str, section: str, tmp_path: Path) -> None:
    out = tmp_path / "mine.ring.json"
    assert run_command(["new", "--out", str(out), "--band", typed]) == 0
    assert read_design(out).band.section == section


def test_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = str(tmp_path / "mine.ring.json")
    assert run_command(["new", "--out", out, "--from", "river_pebbles", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"file": out, "name": "River pebbles"}


def test_an_existing_file_stays(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "mine.ring.json"
    out.write_text("my work", encoding="utf-8")
    assert run_command(["new", "--out", str(out)]) == 2
    assert out.read_text(encoding="utf-8") == "my work"
    assert "already" in capsys.readouterr().err


@pytest.mark.parametrize("pattern", ["nothing", "no/such.pattern.json", "plain_flat.ring.json", ".", ""])
def test_unusable_patterns(pattern: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    given = str(demo_folder() / pattern) if pattern.endswith("ring.json") else pattern
    assert run_command(["new", "--out", str(tmp_path / "x.ring.json"), "--from", given]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_a_missing_name_lists_the_patterns(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["new", "--out", str(tmp_path / "x"), "--from", "nothing"]) == 2
    assert "comb_walls, courtyard_paving" in capsys.readouterr().err


def test_a_drawing_becomes_the_motif_and_what_is_left_out_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing, out = tmp_path / "star.svg", str(tmp_path / "star.ring.json")
    page = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">'
    drawing.write_text(f'{page}<path d="M1 1h7v7z"/><text>a</text></svg>', encoding="utf-8")
    assert run_command(["new", "--out", out, "--motif", str(drawing), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert len(said["left_out"]) == 1
    assert "text" in said["left_out"][0]
    made = str(tmp_path / "star.stl")
    assert run_command(["make", out, "--out", made, "--tolerance", "0.05", "--json"]) == 0
    ring = json.loads(capsys.readouterr().out)
    assert (ring["closed"], ring["genus"], ring["around"]) == (True, 1, 12)
    assert Path(made).is_file()


def test_an_unusable_drawing_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawing = tmp_path / "star.svg"
    drawing.write_text('<!DOCTYPE svg [<!ENTITY a "b">]><svg/>', encoding="utf-8")
    assert run_command(["new", "--out", str(tmp_path / "a.ring.json"), "--motif", str(drawing)]) == 2
    assert "star.svg" in capsys.readouterr().err
    assert not (tmp_path / "a.ring.json").exists()


def test_a_text_becomes_the_motif(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "tide.ring.json"
    assert run_command(["new", "--out", str(out), "--motif-text", "tide", "--json"]) in WITH_THIN_STROKES
    capsys.readouterr()
    motif = json.loads(out.read_text(encoding="utf-8"))["pattern"]["motif"]
    assert (motif["text"], motif["font"]) == ("tide", "dejavu_sans")
    assert run_command(["new", "--out", str(tmp_path / "b.ring.json"), "--font", "a.ttf"]) == 2
    assert "no text" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("asked", "lost"),
    [
        (["--from", "sawmill_yard"], "growth rings"),
        (["--from", "kerb_and_cobbles"], "zones"),
        (["--panel", "diamond"], "panels"),
    ],
)
def test_what_goes_for_a_motif_is_said(
    asked: list[str], lost: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    given = [*asked, "--motif-text", "tide"]
    assert run_command(["new", "--out", str(tmp_path / "a.ring.json"), *given]) in WITH_THIN_STROKES
    assert f"Note: {lost} went" in capsys.readouterr().out
    assert run_command(["new", "--out", str(tmp_path / "b.ring.json"), *given, "--json"]) in WITH_THIN_STROKES
    assert [each for each in json.loads(capsys.readouterr().out)["left_out"] if lost in each]


def test_a_motif_is_counted_in_repeats(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = str(tmp_path / "tide.ring.json")
    assert run_command(["new", "--out", out, "--motif-text", "tide"]) in WITH_THIN_STROKES
    capsys.readouterr()
    assert run_command(["make", out, "--out", str(tmp_path / "a.stl"), "--tolerance", "0.05"]) in WITH_THIN_STROKES
    told = capsys.readouterr().out
    assert " repeats (" in told.splitlines()[0]
    assert "cell" not in told.split("Take care")[0].replace("cellular", "")
