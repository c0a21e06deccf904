"""Keys that may be given in two ways, in a design file and in a pattern file."""

from __future__ import annotations

import pytest
from zoo import plain_design

from ringtex.basics.errors import InputError
from ringtex.design.design_file import design_from_json, design_to_json, sheet_from_json
from ringtex.solid.finishing.stone_options import Stone, StoneRow


def test_a_carat_becomes_the_diameter_of_that_weight() -> None:
    entries = [
        {"u": 0.5, "v": 0.5, "carat": 0.25},
        {"count": 2, "stone": {"u": 0, "v": 0.5, "carat": 0.01, "proportions": {"table": 0.6}}},
    ]
    given = plain_design(stones=entries)
    single, row = design_from_json(given).stones
    assert isinstance(single, Stone)
    assert isinstance(row, StoneRow)
    assert single.carat == pytest.approx(0.25, abs=1e-6)
    assert row.stone.carat == pytest.approx(0.01, abs=1e-6)
    assert given["stones"] == entries
    assert "carat" not in design_to_json(design_from_json(given))["stones"][0]


def test_stones_and_rows_come_back_as_they_were_written() -> None:
    design = design_from_json(
        plain_design(
            stones=[{"u": 0.1, "v": 0.5, "diameter": 2}, {"count": 3, "stone": {"u": 0, "v": 0, "diameter": 1}}]
        )
    )
    assert design_from_json(design_to_json(design)) == design


@pytest.mark.parametrize("given", [{"wall_width": 0.5}, {"top_size": 0.5}])
def test_one_of_wall_width_and_top_size_is_enough(given: dict[str, float]) -> None:
    for relief in (
        design_from_json(plain_design(relief=given)).relief,
        sheet_from_json({"kind": "ringtex.pattern", "version": 2, "relief": given}).relief,
    ):
        widths = {"wall_width": relief.wall_width_mm, "top_size": relief.top_size}
        assert {key: value for key, value in widths.items() if value is not None} == given


def test_the_name_of_version_1_is_refused_with_the_new_one() -> None:
    with pytest.raises(InputError) as caught:
        design_from_json(plain_design(relief={"ridge": 0.5}))
    assert caught.value.where == "relief.ridge"
    assert "wall_width" in caught.value.advice
