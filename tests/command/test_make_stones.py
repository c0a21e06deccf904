"""Stones written apart from the ring."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
import trimesh

Process = subprocess.CompletedProcess[str]


def test_stones_are_written_apart_in_their_places(
    ringtex: Callable[..., Process], demo: Callable[[str], Path], tmp_path: Path
) -> None:
    done = ringtex(
        "make",
        demo("hollow_dome.ring.json"),
        "--out",
        "ring.stl",
        "--stones",
        "stones.stl",
        "--tolerance",
        "0.05",
        "--json",
    )
    assert done.returncode == 0, done.stderr
    result = json.loads(done.stdout)
    assert [file["file"] for file in result["files"]] == ["ring.stl", "stones.stl"]
    stones = trimesh.load_mesh(tmp_path / "stones.stl").split()
    assert len(stones) == len(result["stones"]) == 4
    assert result["genus"] == result["genus_expected"] == 5
    assert result["weight_with_stones_g"] == pytest.approx(
        result["weight_g"] + sum(stone["g"] for stone in result["stones"])
    )
    widths = sorted(float(max(stone.extents)) for stone in stones)
    assert widths == pytest.approx(sorted(stone["mm"] for stone in result["stones"]), rel=0.01)


def test_stones_of_a_ring_without_any_are_refused(
    ringtex: Callable[..., Process], demo: Callable[[str], Path], tmp_path: Path
) -> None:
    done = ringtex("make", demo("plain_flat.ring.json"), "--out", "ring.stl", "--stones", "stones.stl")
    assert done.returncode == 2
    assert "no stones" in done.stderr
    assert list(tmp_path.iterdir()) == []
