"""The files that come with the program."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringtex.basics import resources
from ringtex.basics.errors import InputError

ROOT = Path(__file__).resolve().parent.parent.parent


def test_in_a_checkout_they_lie_beside_the_package() -> None:
    assert resources.demo_folder() == ROOT / "demo_patterns"
    assert resources.resource("starting_design.ring.json").parent == ROOT / "resources"


def test_in_a_wheel_they_lie_inside_the_package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    demos = tmp_path / "ringtex" / "_resources" / "demo_patterns"
    demos.mkdir(parents=True)
    (demos.parent / "some.json").touch()
    monkeypatch.setattr(resources, "_PACKAGE", tmp_path / "ringtex")
    assert resources.demo_folder() == demos
    assert resources.resource("some.json") == demos.parent / "some.json"


def test_a_missing_file_is_told() -> None:
    with pytest.raises(InputError, match="belongs to the program, is missing"):
        resources.resource("none.json")
