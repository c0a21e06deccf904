"""`ringtex make`: results, files, refusals."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from zoo import MISFITS, SPOILT, plain_design

from ringtex.basics.caches import clear_all_caches
from ringtex.command.main import run_command
from ringtex.export.mesh_files.mesh_files import read_mesh

Make = Callable[..., tuple[int, Any, str]]

KEYS = {
    "triangles", "vertices", "closed", "genus", "volume_mm3", "area_mm2", "weight_g", "cells", "around", "across",
    "cell_area", "strip_length", "strip_width", "stretch", "seam", "size", "findings", "seconds",
}  # fmt: skip


@pytest.fixture
def make(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Make:
    """Run `ringtex make` on a design's JSON in the test's folder; gives the exit code, the JSON told and the errors."""
    monkeypatch.chdir(tmp_path)

    def run(design: dict[str, Any], *arguments: str) -> tuple[int, Any, str]:
        Path("a.ring.json").write_text(json.dumps(design), encoding="utf-8")
        code = run_command(["make", "a.ring.json", "--json", *arguments])
        out, err = capsys.readouterr()
        return code, json.loads(out) if out else None, err

    return run


def test_every_result_is_told(make: Make) -> None:
    code, told, _ = make(plain_design(), "--out", "ring.stl")
    assert code == 0
    assert set(told) >= KEYS
    assert set(told["cell_area"]) == {"min", "mean", "max", "cv"}
    assert set(told["stretch"]) == {"area_min", "area_max", "angle_error_degrees"}
    assert set(told["seam"]) == {"gap", "normal_degrees"}
    assert (told["closed"], told["genus"], told["cells"], told["around"], told["across"]) == (True, 1, 144, 24, 6)
    assert told["seam"]["gap"] == 0.0
    assert {"band", "strip", "pattern", "relief", "solid", "checks", "write", "read back"} <= set(told["seconds"])


def test_measures_of_a_flat_band_are_those_of_a_cylinder(make: Make) -> None:
    """The outer face of a flat band is a cylinder of radius R + t: it unrolls to 2 pi (R + t) x width without
    stretch, and the cells share it out. (Mesh areas are low by the square of the chord's share, under 0.1 %.)"""
    _, told, _ = make(plain_design(strip={"keep": "length"}), "--out", "ring.stl")
    length = 54.0 + 2.0 * math.pi * 1.6
    assert told["strip_length"] == pytest.approx(length, rel=1e-9)
    assert told["strip_width"] == pytest.approx(8.0, rel=1e-9)
    assert told["stretch"]["area_min"] == pytest.approx(1.0, abs=1e-9)
    assert told["stretch"]["area_max"] == pytest.approx(1.0, abs=1e-9)
    assert told["stretch"]["angle_error_degrees"] == pytest.approx(0.0, abs=1e-5)
    assert told["cell_area"]["mean"] == pytest.approx(length * 8.0 / 144, rel=1e-3)
    assert told["size"]["measured_circumference_mm"] == pytest.approx(54.0, abs=2.0 * math.pi * 0.005)
    # 925 silver 10.36 g/cm3 (a supplier's data sheet) within what published figures differ by.
    assert told["weight_g"] == pytest.approx(told["volume_mm3"] * 10.36e-3, rel=2e-3)


@pytest.mark.parametrize("ending", ["stl", "3mf", "obj", "ply", "glb"])
def test_every_format_holds_the_same_ring(ending: str, make: Make) -> None:
    code, told, _ = make(plain_design(), "--out", f"ring.{ending}")
    assert code == 0
    mesh = read_mesh(f"ring.{ending}")
    assert mesh.problems() == []
    assert len(mesh.faces) == told["triangles"]
    assert mesh.volume == pytest.approx(told["volume_mm3"], rel=1e-6)


def test_several_files_and_a_picture(make: Make) -> None:
    code, told, _ = make(plain_design(), "--out", "a.stl", "--out", "b.glb", "--picture", "c.png")
    assert code == 0
    assert [file["file"] for file in told["files"]] == ["a.stl", "b.glb", "c.png"]
    for file in told["files"]:
        assert Path(file["file"]).stat().st_size == file["bytes"] > 1000
    assert Path("c.png").read_bytes().startswith(b"\x89PNG")


def test_the_same_design_gives_the_same_bytes(make: Make) -> None:
    design = plain_design(pattern={"family": "cellular", "around": 12, "across": 3, "scatter": 0.5})
    for name in ("a.stl", "b.stl"):
        clear_all_caches()
        make(design, "--out", name)
    assert Path("a.stl").read_bytes() == Path("b.stl").read_bytes()


def test_size_and_tolerance_may_be_given(make: Make) -> None:
    _, fine, _ = make(plain_design(), "--out", "a.stl", "--size", "us 6 3/4")
    _, coarse, _ = make(plain_design(), "--out", "a.stl", "--tolerance", "0.02")
    assert (fine["size"]["scale"], fine["size"]["value"]) == ("us", "6 3/4")
    assert fine["size"]["circumference_mm"] == pytest.approx(53.783, abs=1e-3)
    assert coarse["triangles"] < fine["triangles"]


def test_shrinkage_makes_the_written_mesh_larger(make: Make) -> None:
    """A pattern that shrinks by p to the finished size must be 1 / (1 - p) as large in every direction."""
    _, told, _ = make(plain_design(make={"shrinkage_percent": 2.0}), "--out", "a.stl")
    assert told["pattern_scale"] == pytest.approx(1.0 / 0.98)
    assert told["files"][0]["file"] == "a_scaled_2pct.stl"
    assert read_mesh("a_scaled_2pct.stl").volume == pytest.approx(told["volume_mm3"] / 0.98**3, rel=1e-6)


def test_weights_and_cost_are_told(make: Make) -> None:
    """Metal costs weight as cast times price; sterling 925 at 10.36 g/cm3 (data sheet)."""
    _, told, _ = make(plain_design(make={"polish": 0.1}), "--out", "a.stl", "--price", "0.9")
    weights = told["weights"]
    assert weights["finished_g"] < told["weight_g"] < weights["as_cast_g"]
    assert told["metal_cost"] == pytest.approx(0.9 * weights["as_cast_g"])
    assert told["alloys"]["silver_925"]["as_cast_g"] == pytest.approx(weights["as_cast_g"])
    assert told["weight_g"] == pytest.approx(told["volume_mm3"] * 10.36e-3, rel=1e-3)


UNUSABLE_ARGUMENTS = {
    "no target": ([], "nothing to write"),
    "unknown ending": (["--out", "ring.xyz"], ".stl, .3mf"),
    "no ending": (["--out", "ring"], "ending"),
    "a folder": (["--out", "folder.stl"], "folder"),
    "a missing folder": (["--out", "none/ring.stl"], "no folder"),
    "twice": (["--out", "ring.stl", "--out", "./ring.stl"], "twice"),
    "picture's ending": (["--out", "ring.stl", "--picture", "ring.gif"], ".png"),
    "tolerance 0": (["--out", "ring.stl", "--tolerance", "0"], "tolerance"),
    "tolerance nan": (["--out", "ring.stl", "--tolerance", "nan"], "tolerance"),
    "tolerance 5": (["--out", "ring.stl", "--tolerance", "5"], "tolerance"),
    "size": (["--out", "ring.stl", "--size", "us 99"], "--size"),
    "price": (["--out", "ring.stl", "--price", "-1"], "price"),
    "no scale": (["--out", "ring.stl", "--size", "moon 5"], "iso, us, uk, jp, it"),
}


@pytest.mark.parametrize("name", UNUSABLE_ARGUMENTS)
def test_unusable_arguments(name: str, make: Make, tmp_path: Path) -> None:
    arguments, words = UNUSABLE_ARGUMENTS[name]
    (tmp_path / "folder.stl").mkdir()
    code, told, err = make(plain_design(), *arguments)
    assert (code, told) == (2, None)
    assert words in err
    assert err.count("\n") == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.ring.json", "folder.stl"]


BAD_DESIGNS = {**SPOILT, **MISFITS}
THROUGH = plain_design(
    band={"section": "flat", "stations": [{"angle": 0, "width": 8, "height": 0.7, "edge_height": 0.7}]},
    relief={"form": "sunk", "depth": 0.9, "flank": 89},
)


@pytest.mark.parametrize("name", [*BAD_DESIGNS, "relief deeper than the wall"])
def test_bad_designs_leave_the_old_file(name: str, make: Make) -> None:
    data, where = BAD_DESIGNS.get(name, (THROUGH, "relief"))
    Path("ring.stl").write_text("old", encoding="utf-8")
    code, told, err = make(data, "--out", "ring.stl")
    assert (code, told) == (2, None)
    assert where in err
    # A slow machine writes lines of progress before the one sentence.
    said = [line for line in err.splitlines() if not line.endswith("%")]
    assert len(said) == 1
    assert Path("ring.stl").read_text(encoding="utf-8") == "old"
    assert sorted(path.name for path in Path().iterdir()) == ["a.ring.json", "ring.stl"]


def test_a_full_disk_leaves_the_old_file(make: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's answer is given by hand, at the moment when the new file is made to last."""

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    Path("ring.stl").write_text("old", encoding="utf-8")
    monkeypatch.setattr("os.fsync", full)
    code, told, err = make(plain_design(), "--out", "ring.stl")
    assert (code, told) == (2, None)
    assert err == "ringtex: ring.stl: The disk is full. Make room, or choose another disk; the old file is untouched.\n"
    assert Path("ring.stl").read_text(encoding="utf-8") == "old"
    assert sorted(path.name for path in Path().iterdir()) == ["a.ring.json", "ring.stl"]


def test_a_ring_with_errors_is_written_and_ends_with_1(make: Make) -> None:
    """A groove of 0.1 mm is a sound mesh that no caster fills."""
    code, told, _ = make(plain_design(relief={"wall_width": 0.1, "flank": 89}), "--out", "ring.stl")
    assert code == 1
    assert "thin_groove" in [finding["kind"] for finding in told["findings"] if finding["level"] == "error"]
    assert read_mesh("ring.stl").problems() == []


def test_the_summary_for_a_person(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    design, out = tmp_path / "a.ring.json", tmp_path / "a.stl"
    design.write_text(json.dumps(plain_design(name="My band", pattern={"around": 28})), encoding="utf-8")
    assert run_command(["make", str(design), "--out", str(out)]) == 0
    told = capsys.readouterr().out
    assert told.startswith("My band: ISO 54, 112 cells (28 around, 4 across)\n")
    assert "Nothing found" in told
    assert f"Wrote {out} (STL" in told
    assert "licensed" in told
