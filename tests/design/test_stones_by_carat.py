"""Stones by weight in a design file."""

from __future__ import annotations

import pytest
from zoo import plain_design

from ringtex.design.design_file import design_from_json, design_to_json
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
