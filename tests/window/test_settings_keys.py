"""Values by their keys, and numbers as they are typed: no window needed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from zoo import SOUND, plain_design

pytest.importorskip("PySide6")

from ringtex.basics.errors import InputError
from ringtex.design.design_file import design_from_json
from ringtex.edits.design_keys import has_key, nearest_allowed, value_at, with_one, with_values
from ringtex.window.settings.controls.number_setting import number_of, stepped, text_of


@pytest.mark.parametrize("name", sorted(SOUND))
def test_values_are_those_of_the_file(name: str) -> None:
    body = SOUND[name]
    design = design_from_json(body)
    for place, station in enumerate(body["band"]["stations"]):
        for key, value in station.items():
            assert value_at(design, f"band.stations[{place}].{key}") == value
    for part in ("pattern", "relief", "rails", "bore"):
        for key, value in body.get(part, {}).items():
            assert list(value_at(design, f"{part}.{key}")) == value if isinstance(value, list) else True
            if not isinstance(value, list):
                assert value_at(design, f"{part}.{key}") == value


def test_a_key_that_is_not_there() -> None:
    design = design_from_json(plain_design())
    assert not has_key(design, "band.stations[7].width")
    assert not has_key(design, "relief.colour")
    assert has_key(design, "relief.top_size")


def test_several_values_change_together() -> None:
    design = design_from_json(plain_design())
    changed = with_values(design, {"relief.wall_width": None, "relief.top_size": 0.5, "pattern.slide[1]": 0.2})
    assert (changed.relief.wall_width_mm, changed.relief.top_size, changed.pattern.slide_mm) == (None, 0.5, (0.0, 0.2))


def test_ridge_and_top_size_exclude_each_other() -> None:
    design = design_from_json(plain_design())
    by_top = with_one(design, "relief.top_size", 0.6)
    assert by_top.relief.wall_width_mm is None
    assert with_one(by_top, "relief.wall_width", 0.4) == design


def test_a_flat_band_may_become_lower_than_its_unused_edge_height() -> None:
    lower = with_one(design_from_json(plain_design()), "band.stations[0].height", 1.2)
    assert (lower.band.stations[0].height_mm, lower.band.stations[0].edge_height_mm) == (1.2, 1.2)


def test_the_nearest_value_is_the_limit_or_the_border_with_what_else_is_set() -> None:
    design = design_from_json(SOUND["half-round"])
    assert nearest_allowed(design, "relief.depth", 3.0, 0.05, 1.0, 2) == 1.0
    # An edge cannot be higher than the crown of 2.2 mm.
    assert nearest_allowed(design, "band.stations[0].edge_height", 9.0, 0.3, 15.0, 2) == 2.2
    # A crown cannot be lower than the edge of 1.0 mm.
    assert nearest_allowed(design, "band.stations[0].height", 0.7, 0.6, 15.0, 2) == 1.0
    # A comfort bore must leave 0.3 mm of the edge's 1.0 mm (2 % of which are forgiven by the core).
    comfort = with_one(design, "bore.shape", "comfort")
    nearest = nearest_allowed(comfort, "bore.rise", 2.0, 0.0, 2.0, 2)
    assert nearest == pytest.approx(0.7, abs=0.011)


@given(st.floats(-3.0, 30.0), st.sampled_from(["width", "height", "edge_height", "fullness"]))
def test_whatever_is_wanted_the_nearest_can_be_had(wanted: float, name: str) -> None:
    design = design_from_json(SOUND["court"])
    limits = {"width": (1.0, 40.0), "height": (0.6, 15.0), "edge_height": (0.3, 15.0), "fullness": (1.0, 12.0)}[name]
    key = f"band.stations[0].{name}"
    nearest = nearest_allowed(design, key, wanted, *limits, 2)
    assert nearest is not None
    assert value_at(with_one(design, key, nearest), key) == nearest


@pytest.mark.parametrize(
    ("text", "unit", "number"),
    [("0.3", "mm", 0.3), ("0,3", "mm", 0.3), (" 0.3 mm ", "mm", 0.3), ("70°", "°", 70.0), ("-1.5", "mm", -1.5),
     ("−2", "", -2.0),     ("2 %", "%", 2.0), (".5", "", 0.5), ("3.", "", 3.0)],
)  # fmt: skip
def test_numbers_are_read_as_people_write_them(text: str, unit: str, number: float) -> None:
    assert number_of(text, unit, whole=False) == number


@pytest.mark.parametrize("text", ["", "abc", "0.3.1", "1e5", "nan", "inf", "0.3 cm", "1 2", "--1", "0x10"])
def test_what_is_no_number_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(InputError) as refused:
        number_of(text, "mm", whole=False, where="relief.depth")
    assert refused.value.where == "relief.depth"
    assert refused.value.advice


def test_a_count_is_whole() -> None:
    assert number_of("24", "", whole=True) == 24
    with pytest.raises(InputError, match="whole"):
        number_of("24.5", "", whole=True)


@given(st.floats(-400.0, 400.0).map(lambda value: round(value, 4)), st.sampled_from([0, 1, 2]))
def test_shown_numbers_read_back(value: float, decimals: int) -> None:
    assert number_of(text_of(value, decimals), "", whole=False) == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "step", "count", "then"),
    [(0.3, 0.05, 1, 0.35), (0.33, 0.05, 1, 0.35), (0.33, 0.05, -1, 0.3), (24, 1, 10, 34), (0.37, 0.05, 0, 0.35)],
)
def test_steps_fall_on_their_own_marks(value: float, step: float, count: int, then: float) -> None:
    assert stepped(value, step, count) == pytest.approx(then, abs=1e-12)
