"""What differs between two designs: names and units come from the design's own fields."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ringtex.design.design_file import read_design
from ringtex.edits.design_differences import design_changes
from ringtex.edits.design_keys import with_values


@pytest.mark.parametrize(
    ("key", "value", "name", "unit"),
    [
        ("relief.depth", 0.41, "relief depth", "mm"),
        ("relief.flank", 55.0, "flank", "°"),
        ("pattern.around", 31, "around", ""),
        ("band.stations[0].edge_height", 1.31, "station 1 edge height", "mm"),
        ("relief.corner", 0.04, "relief corner", "mm"),
    ],
)
def test_a_change_is_named_with_its_unit(
    demo: Callable[[str], Path], key: str, value: float, name: str, unit: str
) -> None:
    before = read_design(demo("dome.ring.json"))
    after = with_values(before, {key: value})
    changed = {change.key: change for change in design_changes(before, after)}
    assert (changed[key].name, changed[key].unit) == (name, unit)
    assert changed[key].text.startswith(f"{name} ")
    assert changed[key].text.endswith(f"-> {value:g}")


def test_equal_designs_differ_in_nothing(demo: Callable[[str], Path]) -> None:
    design = read_design(demo("dome.ring.json"))
    assert design_changes(design, design) == []
