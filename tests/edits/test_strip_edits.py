"""What is done to the pattern as a whole: slides, counts, twist, rails."""

from __future__ import annotations

from dataclasses import replace

import pytest
from zoo import plain_design

from ringtex.design.design_file import design_from_json
from ringtex.edits.strip_edits import slid, with_around, with_rails, with_twist
from ringtex.relief.cell_edits import CellEdit

FLAT = design_from_json(plain_design())
CELLULAR = design_from_json(plain_design(pattern={"family": "cellular", "around": 28, "across": 7}))


def test_a_slide_takes_hand_edits_along_and_wraps() -> None:
    edited = replace(FLAT, edits=replace(FLAT.edits, cells=(CellEdit(0.95, 0.5, 0.0),)))
    moved = slid(edited, (64.0, 8.0), 6.4, 0.8)
    assert moved.edits.cells[0].u == pytest.approx(0.05)
    assert moved.edits.cells[0].v == pytest.approx(0.6)
    assert slid(moved, (64.0, 8.0), -6.4, -0.8).pattern.slide_mm == (0.0, 0.0)
    assert slid(FLAT, (64.0, 8.0), 60.0, 0.0).pattern.slide_mm[0] == pytest.approx(-4.0)


def test_changes_stay_within_what_can_be_made() -> None:
    assert with_around(FLAT, 0).pattern.around == 3
    assert with_twist(FLAT, 99, 5).pattern.twist == 5
    assert with_rails(FLAT, 8.0, 99.0, None).rails.lower_mm == pytest.approx(7.2)
    assert with_rails(FLAT, 8.0, 0.512, -1.0).rails.lower_mm == 0.5
    assert slid(CELLULAR, (64.0, 8.0), 1.0, 1.0).pattern.slide_mm == (1.0, 0.0)
    assert with_twist(CELLULAR, 2, 5) == CELLULAR
