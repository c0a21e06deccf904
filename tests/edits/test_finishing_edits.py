"""Stones, plain places and drains added and pulled: designs in, designs out."""

from __future__ import annotations

import pytest
from zoo import plain_design

from ringtex.design.design_file import design_from_json
from ringtex.edits.finishing_edits import Entry, new_drain, new_plain_place, new_stone, with_size


def test_each_new_one_stands_in_a_free_place() -> None:
    stones: tuple[object, ...] = ()
    places: tuple[object, ...] = ()
    drains: tuple[object, ...] = ()
    for _ in range(6):
        stones, places, drains = (
            (*stones, new_stone(stones)),
            (*places, new_plain_place(places)),
            (*drains, new_drain(drains)),
        )
    assert len({stone.u for stone in stones}) == 6  # type: ignore[attr-defined]
    assert len({place.u for place in places}) == 6  # type: ignore[attr-defined]
    assert len({drain.angle_deg for drain in drains}) == 6  # type: ignore[attr-defined]
    assert stones[0].u == 0.5, "the head"  # type: ignore[attr-defined]
    assert places[0].u == 0.0, "the palm"  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("kind", "grip", "wanted", "size"),
    [
        ("stones", "diameter", (2.52, 0.0), 2.5),
        ("stones", "diameter", (99.0, 0.0), 12.0),
        ("plain", "width", (3.51, 0.0), 3.5),
        ("plain", "height", (0.0, 0.1), 0.5),
    ],
)
def test_a_pulled_size_snaps_and_is_held(kind: str, grip: str, wanted: tuple[float, float], size: float) -> None:
    design = design_from_json(
        plain_design(stones=[{"u": 0.5, "v": 0.5, "diameter": 2}], plain=[{"u": 0, "v": 0.5, "width": 4, "height": 3}])
    )
    made, told = with_size(design, Entry(kind, 0), grip, *wanted)
    assert told == pytest.approx(size)
    assert made != design
