"""Design files: read, refused, written."""

from __future__ import annotations

import json
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import designs, spoilt
from zoo import SOUND, SPOILT, plain_design

from ringtex.basics.errors import InputError, OutputError
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json, read_design, write_design

EXAMPLES = settings().max_examples if settings().max_examples > 100 else 40


@pytest.mark.parametrize("name", SOUND)
def test_sound_designs_are_read_and_written(name: str, tmp_path: Path) -> None:
    design = design_from_json(SOUND[name])
    path = tmp_path / "a.ring.json"
    write_design(design, path)
    assert read_design(path) == design


@settings(max_examples=EXAMPLES)
@given(designs())
def test_what_is_written_reads_back_equal_and_writes_alike(design: Design) -> None:
    data = json.loads(json.dumps(design_to_json(design)))
    back = design_from_json(data)
    assert back == design
    assert json.dumps(design_to_json(back)) == json.dumps(design_to_json(design))


@pytest.mark.parametrize("name", SPOILT)
def test_spoilt_designs_are_refused_by_key(name: str, tmp_path: Path) -> None:
    data, where = SPOILT[name]
    path = tmp_path / "a.ring.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_design(path)
    error = caught.value
    assert error.where == str(path) or error.where.startswith(f"{path}, ")
    assert where in f"{error.where} {error.message}"
    assert error.advice
    assert "\n" not in str(error)


@settings(max_examples=EXAMPLES)
@given(designs().map(design_to_json).flatmap(spoilt))
def test_any_spoilt_design_is_a_design_or_an_error_in_one_sentence(data: dict[str, Any]) -> None:
    try:
        told: object = design_from_json(data)
    except InputError as error:
        told = str(error)
    assert isinstance(told, Design) or (isinstance(told, str) and "\n" not in told and len(told) < 500)


@settings(max_examples=EXAMPLES)
@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(), lambda x: st.lists(x) | st.dictionaries(st.text(), x)
    )
)
def test_any_json_is_refused_in_one_sentence(data: object) -> None:
    with pytest.raises(InputError) as caught:
        design_from_json(plain_design(band=data))
    assert caught.value.where.startswith("band")


def test_a_missing_section_is_a_free_one() -> None:
    """A key that may be null and has no default can only mean null where it is missing."""
    data = plain_design(band={"stations": [{"angle": 0, "width": 8, "height": 2, "edge_height": 1, "fullness": 3}]})
    assert design_from_json(data).band.section is None


def test_whole_and_broken_numbers_make_one_design_and_one_file() -> None:
    whole, broken = plain_design(rails={"lower": 1}), plain_design(rails={"lower": 1.0})
    assert design_from_json(whole) == design_from_json(broken)
    assert json.dumps(design_to_json(design_from_json(whole))) == json.dumps(design_to_json(design_from_json(broken)))


def test_every_option_of_every_stage_is_a_key_of_the_file() -> None:
    data = design_to_json(design_from_json(plain_design()))
    assert list(data) == [
        "kind",
        "version",
        "name",
        "size",
        "band",
        "bore",
        "strip",
        "pattern",
        "rails",
        "relief",
        "make",
        "edits",
        "hollow",
        "stones",
        "plain",
        "inscription",
    ]
    design = design_from_json(plain_design())
    for stage in ("size", "band", "bore", "strip", "pattern", "rails", "relief", "make"):
        assert len(data[stage]) == len(fields(getattr(design, stage)))


def test_an_unwritable_target_leaves_the_old_file(tmp_path: Path) -> None:
    design = design_from_json(plain_design())
    with pytest.raises(OutputError):
        write_design(design, tmp_path)
    with pytest.raises(OutputError):
        write_design(design, tmp_path / "no such folder" / "a.ring.json")
    assert list(tmp_path.iterdir()) == []
