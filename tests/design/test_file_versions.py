"""Kinds, versions and upgrade steps, and every old file that was kept."""

from __future__ import annotations

import copy
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from zoo import plain_design

from ringtex.basics.errors import InputError
from ringtex.design.design_file import design_from_json, read_design, read_pattern
from ringtex.design.file_versions import DESIGN_KIND, PATTERN_KIND, STEPS, current_version, upgraded

OLD_FILES = Path(__file__).resolve().parent.parent / "old_files"


def rename_width(old: Mapping[str, Any]) -> dict[str, Any]:
    return {"breadth" if key == "width" else key: value for key, value in old.items()}


def double_breadth(old: Mapping[str, Any]) -> dict[str, Any]:
    return {**old, "breadth": 2 * old["breadth"]}


THREE_VERSIONS = {DESIGN_KIND: (rename_width, double_breadth), PATTERN_KIND: ()}


@pytest.mark.parametrize(("version", "key", "value"), [(1, "width", 4), (2, "breadth", 4), (3, "breadth", 8)])
def test_each_version_is_brought_up_to_date_and_stays_untouched(version: int, key: str, value: int) -> None:
    data = {"kind": DESIGN_KIND, "version": version, key: value}
    before = dict(data)
    assert upgraded(data, DESIGN_KIND, THREE_VERSIONS) == {"breadth": 8}
    assert data == before


def test_a_newer_file_is_refused_by_name() -> None:
    with pytest.raises(InputError, match="version 4, and this ringtex reads versions up to 3") as caught:
        upgraded({"kind": DESIGN_KIND, "version": 4}, DESIGN_KIND, THREE_VERSIONS)
    assert "newer ringtex" in caught.value.advice


@pytest.mark.parametrize("version", [None, 0, -1, 1.0, "1", True, []])
def test_what_is_no_version(version: object) -> None:
    with pytest.raises(InputError) as caught:
        upgraded({"kind": DESIGN_KIND, "version": version}, DESIGN_KIND)
    assert caught.value.where == "version"


@pytest.mark.parametrize("kind", [None, "other.design", 1, PATTERN_KIND])
def test_another_kind(kind: object) -> None:
    with pytest.raises(InputError) as caught:
        upgraded({"kind": kind, "version": 1}, DESIGN_KIND)
    assert caught.value.where == "kind"


def test_missing_kind_and_version_are_said_to_be_missing() -> None:
    with pytest.raises(InputError, match=r"kind: .* it is missing"):
        upgraded({"version": 1}, DESIGN_KIND)
    with pytest.raises(InputError, match=r"version: .* it is missing"):
        upgraded({"kind": DESIGN_KIND}, DESIGN_KIND)


def test_a_sample_of_every_version_is_kept_and_read() -> None:
    for kind, ending in ((DESIGN_KIND, "ring.json"), (PATTERN_KIND, "pattern.json")):
        names = {f"version_{version}.{ending}" for version in range(1, current_version(kind) + 1)}
        assert names == {path.name for path in OLD_FILES.glob(f"*.{ending}")}
        assert len(STEPS[kind]) == len(names) - 1


def test_old_designs_mean_what_they_meant() -> None:
    design = read_design(OLD_FILES / "version_1.ring.json")
    head, palm = design.band.stations
    assert (head.width_mm, head.height_mm, palm.width_mm, palm.height_mm) == (18.0, 9.0, 5.0, 1.5)
    assert (design.size.value, design.pattern.around, design.relief.depth_mm) == ("54", 24, 0.3)
    assert design.relief.wall_width_mm == 0.4
    sheet = read_pattern(OLD_FILES / "version_1.pattern.json")
    assert (sheet.pattern.family, sheet.pattern.seed, sheet.relief.form) == ("cellular", 7, "pillow")
    assert sheet.relief.wall_width_mm == 0.4


@pytest.mark.parametrize("ending", ["ring.json", "pattern.json"])
def test_version_2_calls_the_ridge_of_version_1_wall_width(ending: str) -> None:
    old, new = (json.loads((OLD_FILES / f"version_{number}.{ending}").read_text(encoding="utf-8")) for number in (1, 2))
    before = copy.deepcopy(old)
    kind = old["kind"]
    assert upgraded(old, kind) == upgraded(new, kind)
    assert old == before
    assert new["relief"].keys() - old["relief"].keys() == {"wall_width"}
    assert new["version"] == current_version(kind) == 2


def test_errors_name_the_key_that_stands_in_the_file() -> None:
    for version, key in ((1, "ridge"), (2, "wall_width")):
        with pytest.raises(InputError) as caught:
            design_from_json(plain_design(version=version, relief={key: 9}))
        assert caught.value.where == f"relief.{key}"


def test_the_old_and_the_new_name_of_a_key_are_not_both_taken() -> None:
    with pytest.raises(InputError) as caught:
        design_from_json(plain_design(version=1, relief={"ridge": 0.4, "wall_width": 0.3}))
    assert caught.value.where == "relief.ridge"
