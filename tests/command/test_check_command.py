"""`ringtex check` on designs and meshes, good and broken."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from zoo import plain_design

from ringtex.basics.resources import demo_folder
from ringtex.command.main import run_command


def check(capsys: pytest.CaptureFixture[str], path: Path) -> tuple[int, Any, str]:
    code = run_command(["check", str(path), "--json"])
    out, err = capsys.readouterr()
    return code, json.loads(out) if out else None, err


@pytest.fixture
def ring(tmp_path: Path) -> Path:
    """A torus from another program's maker of meshes."""
    path = tmp_path / "torus.stl"
    trimesh.creation.torus(major_radius=9.5, minor_radius=1.0).export(path)
    return path


def test_a_sound_mesh_is_clean(ring: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, told, _ = check(capsys, ring)
    assert (code, told["errors"], told["closed"], told["genus"], told["kind"]) == (0, 0, True, 1, "mesh")


def test_a_mesh_with_holes(ring: Path, capsys: pytest.CaptureFixture[str]) -> None:
    mesh = trimesh.load(ring)
    broken = ring.with_name("broken.stl")
    trimesh.Trimesh(mesh.vertices, np.delete(mesh.faces, [5, 100], axis=0)).export(broken)
    code, told, _ = check(capsys, broken)
    assert code == 1
    assert told["findings"][0]["kind"] == "not_closed"
    assert (told["closed"], told["genus"], told["volume_mm3"]) == (False, None, None)


@pytest.mark.parametrize(("name", "holes"), [("hollow_dome", 5), ("pierced_signet", 49), ("plain_flat", 1)])
def test_what_make_wrote_is_clean(name: str, holes: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Stones' holes and pierced cells are told, and no fault."""
    mesh = tmp_path / "ring.stl"
    design = demo_folder() / f"{name}.ring.json"
    assert run_command(["make", str(design), "--out", str(mesh), "--tolerance", "0.02"]) == 0
    capsys.readouterr()
    code, told, _ = check(capsys, mesh)
    assert (code, told["errors"], told["genus"]) == (0, 0, holes)
    assert ("more_holes" in {finding["kind"] for finding in told["findings"]}) == (holes > 1)


def test_what_is_no_ring(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ball = tmp_path / "ball.ply"
    trimesh.creation.icosphere().export(ball)
    code, told, _ = check(capsys, ball)
    assert (code, told["genus"], told["findings"][0]["kind"]) == (1, 0, "wrong_genus")


def test_designs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    good, thin = tmp_path / "good.ring.json", tmp_path / "thin.ring.json"
    good.write_text(json.dumps(plain_design()), encoding="utf-8")
    thin.write_text(json.dumps(plain_design(relief={"wall_width": 0.1, "flank": 89})), encoding="utf-8")
    assert check(capsys, good)[:1] == (0,)
    code, told, _ = check(capsys, thin)
    assert (code, told["kind"], told["errors"]) == (1, "design", 1)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.stl", b""),
        ("cut.stl", b"\0" * 80 + b"\xff\0\0\0" + b"\0" * 30),
        ("text.ply", b"hello"),
        ("binary.obj", bytes(range(256))),
        ("noise.glb", bytes(range(256))),
        ("nozip.3mf", b"PK but not really"),
        ("drawing.dxf", b"0"),
        ("empty.ring.json", b""),
        ("cut.ring.json", b'{"kind": "ring'),
        ("half.pattern.json", b'{"kind": "ringtex.pattern", "version": 2}'),
    ],
)
def test_unusable_files(name: str, content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    code, told, err = check(capsys, path)
    assert (code, told) == (2, None)
    assert str(path) in err
    assert err.count("\n") == 1


@pytest.mark.parametrize("name", ["none.stl", "none.ring.json", "folder.stl", "folder.json"])
def test_missing_files_and_folders(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    if name.startswith("folder"):
        (tmp_path / name).mkdir()
    code, told, err = check(capsys, tmp_path / name)
    assert (code, told, err.count("\n")) == (2, None, 1)


def test_lines_for_a_person(ring: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["check", str(ring)]) == 0
    assert capsys.readouterr().out == "Nothing found to object to.\n"
