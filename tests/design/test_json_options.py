"""Frozen options to and from JSON by their types, on options made for the purpose."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringtex.basics.errors import InputError
from ringtex.design.json_options import key_of, options_from_json, options_to_json
from ringtex.design.json_text import laid_out


@dataclass(frozen=True)
class Spot:
    angle_deg: float
    width_mm: float = 1.0

    def __post_init__(self) -> None:
        if self.width_mm < 0:
            raise InputError("too small", "Use more", "spot.width")


@dataclass(frozen=True)
class Sample:
    name: str
    count: int | Literal["auto"] = "auto"
    ridge_mm: float | None = None
    keep: Literal["shape", "area"] = "shape"
    mirror: bool = True
    slide_mm: tuple[float, float] = (0.0, 0.0)
    spots: tuple[Spot, ...] = field(default=())


def read(**changes: Any) -> Sample:
    return options_from_json(Sample, {"name": "x", **changes}, "sample")


def test_keys_are_field_names_without_units() -> None:
    assert [key_of(name) for name in ("wall_mm", "flank_deg", "shrinkage_percent", "seed")] == [
        "wall", "flank", "shrinkage_percent", "seed",
    ]  # fmt: skip


def test_everything_may_be_given() -> None:
    spots = [{"angle": 0}, {"angle": 180, "width": 2.5}]
    sample = read(count=3, ridge=1, keep="area", mirror=False, slide=[1, 2.5], spots=spots)
    assert sample == Sample("x", 3, 1.0, "area", False, (1.0, 2.5), (Spot(0.0), Spot(180.0, 2.5)))
    assert isinstance(sample.ridge_mm, float)


REFUSED = {
    "not an object": ([], "sample", "an object was expected, not a list"),
    "missing": ({}, "sample.name", "is missing"),
    "misspelt": ({"name": "x", "mirorr": True}, "sample.mirorr", "no such key"),
    "text for a number": ({"name": "x", "ridge": "0.4"}, "sample.ridge", "a number or null was expected"),
    "number for a text": ({"name": 54}, "sample.name", "a text was expected, not a number (54)"),
    "true for a number": ({"name": "x", "ridge": True}, "sample.ridge", "not true"),
    "number for true": ({"name": "x", "mirror": 1}, "sample.mirror", "true or false was expected"),
    "fraction for a count": ({"name": "x", "count": 2.5}, "sample.count", 'a whole number or "auto" was expected'),
    "true for a count": ({"name": "x", "count": True}, "sample.count", "not true"),
    "another word": ({"name": "x", "keep": "width"}, "sample.keep", '"shape" or "area" was expected'),
    "null": ({"name": "x", "mirror": None}, "sample.mirror", "not null"),
    "row too short": ({"name": "x", "slide": [1]}, "sample.slide", "a list of 2 was expected, not of 1"),
    "in a row": ({"name": "x", "slide": [1, "2"]}, "sample.slide[1]", "a number was expected"),
    "in an object in a row": ({"name": "x", "spots": [{"angle": 0}, {"angle": []}]}, "sample.spots[1].angle", "a list"),
    "key in a row": ({"name": "x", "spots": [{"angel": 0}]}, "sample.spots[0].angel", "no such key"),
    "refused by the options": (
        {"name": "x", "spots": [{"angle": 0, "width": -1}]},
        "sample.spots[0].width",
        "too small",
    ),
    "control characters": ({"name": "a\nb"}, "sample.name", "cannot be shown"),
    "half a character": ({"name": "\ud800"}, "sample.name", "cannot be shown"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused_with_the_path_and_what_was_expected(name: str) -> None:
    value, where, words = REFUSED[name]
    with pytest.raises(InputError) as caught:
        options_from_json(Sample, value, "sample")
    assert caught.value.where == where
    assert words in caught.value.message
    assert caught.value.advice


def test_the_nearest_known_key_is_named() -> None:
    with pytest.raises(InputError, match="Did you mean 'mirror'"):
        read(mirorr=True)
    with pytest.raises(InputError, match="The keys here are name, count, ridge"):
        read(zzz=1)


SPOTS = st.builds(Spot, st.floats(-180, 180), st.floats(0, 1e300))
SAMPLES = st.builds(
    Sample,
    name=st.text(st.characters(exclude_categories=("C", "Z"))),
    count=st.one_of(st.just("auto"), st.integers(-(10**9), 10**9)),
    ridge_mm=st.none() | st.floats(allow_nan=False, allow_infinity=False),
    keep=st.sampled_from(["shape", "area"]),
    mirror=st.booleans(),
    slide_mm=st.tuples(st.floats(-9, 9), st.floats(-9, 9)),
    spots=st.lists(SPOTS, max_size=30).map(tuple),
)


@given(SAMPLES)
def test_what_is_written_reads_back_equal_and_equal_writes_alike(sample: Sample) -> None:
    text = laid_out(options_to_json(sample))
    back = options_from_json(Sample, json.loads(text), "")
    assert back == sample
    assert laid_out(options_to_json(back)) == text


def test_layout_is_short_lines_in_the_fields_order() -> None:
    spots = tuple(Spot(float(i), 0.25) for i in range(5))
    assert laid_out(options_to_json(Sample("Öse", spots=spots))) == (
        "{\n"
        '  "name": "Öse",\n'
        '  "count": "auto",\n'
        '  "ridge": null,\n'
        '  "keep": "shape",\n'
        '  "mirror": true,\n'
        '  "slide": [0, 0],\n'
        '  "spots": [\n'
        '    {"angle": 0, "width": 0.25},\n'
        '    {"angle": 1, "width": 0.25},\n'
        '    {"angle": 2, "width": 0.25},\n'
        '    {"angle": 3, "width": 0.25},\n'
        '    {"angle": 4, "width": 0.25}\n'
        "  ]\n"
        "}\n"
    )
