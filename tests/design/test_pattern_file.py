"""Pattern files, and putting a pattern on a design."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import patterns, rails, reliefs
from zoo import plain_design

from ringtex.basics.errors import InputError
from ringtex.design.design_file import (
    PatternSheet,
    design_from_json,
    read_pattern,
    sheet_from_json,
)
from ringtex.design.json_options import options_to_json


def pattern_json(sheet: PatternSheet) -> dict[str, Any]:
    return {"kind": "ringtex.pattern", "version": 2, **options_to_json(sheet)}


@given(st.builds(PatternSheet, name=st.just("x"), pattern=patterns(), relief=reliefs(), rails=rails()))
def test_what_is_written_reads_back_equal(sheet: PatternSheet) -> None:
    assert sheet_from_json(json.loads(json.dumps(pattern_json(sheet)))) == sheet


def test_a_file_reads_back_equal(tmp_path: Path) -> None:
    sheet = PatternSheet("Some pattern")
    (tmp_path / "a.pattern.json").write_text(json.dumps(pattern_json(sheet)), encoding="utf-8")
    assert read_pattern(tmp_path / "a.pattern.json") == sheet


def test_a_pattern_goes_on_a_design_and_leaves_finger_and_band() -> None:
    design = design_from_json(plain_design(make={"alloy": "silver_925"}))
    sheet = sheet_from_json(
        {
            "kind": "ringtex.pattern",
            "version": 2,
            "name": "Bricks",
            "pattern": {"family": "brick"},
            "relief": {"top_size": 0.5},
            "rails": {"lower": 1},
        }
    )
    both = sheet.on(design)
    assert (both.size, both.band, both.bore, both.make) == (design.size, design.band, design.bore, design.make)
    assert (both.name, both.pattern, both.relief, both.rails) == (sheet.name, sheet.pattern, sheet.relief, sheet.rails)


def test_designs_and_patterns_are_not_taken_for_each_other(tmp_path: Path) -> None:
    path = tmp_path / "a.pattern.json"
    path.write_text(json.dumps(plain_design()), encoding="utf-8")
    with pytest.raises(InputError, match="whole design, not a pattern"):
        read_pattern(path)
    with pytest.raises(InputError, match="ringtex new --from"):
        design_from_json(pattern_json(PatternSheet()))


def test_refusals_name_file_and_key(tmp_path: Path) -> None:
    path = tmp_path / "a.pattern.json"
    path.write_text('{"kind": "ringtex.pattern", "version": 2, "relief": {"depht": 1}}', encoding="utf-8")
    with pytest.raises(InputError, match="Did you mean 'depth'") as caught:
        read_pattern(path)
    assert caught.value.where == f"{path}, relief.depht"
