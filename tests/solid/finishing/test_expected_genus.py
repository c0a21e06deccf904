"""Holes by construction against the mesh's own Euler number."""

from __future__ import annotations

import pytest
from finished_rings import dome, shaped

from ringtex.basics.tolerances import DRAFT_CHORD_MM

CLOSED = {"floor": 0.8, "reach": 75, "wall": 1}
TWO_DRAINS = [{"angle": 25}, {"angle": -25}]
HEAD, PALM = {"u": 0.5, "v": 0.5, "diameter": 1.5}, {"u": 0, "v": 0.5, "diameter": 1.2}
SHOULDER = {"u": 0.62, "v": 0.5, "diameter": 1.5}


@pytest.mark.parametrize(
    ("changes", "genus"),
    [
        ({}, 1),
        ({"hollow": {}}, 1),
        ({"stones": [HEAD, PALM]}, 3),
        ({"hollow": {}, "stones": [HEAD, PALM]}, 3),
        # One drain joins the inner shell to the outside; a second one makes a way round; a stone opens roof and floor.
        ({"hollow": {**CLOSED, "drains": TWO_DRAINS[:1]}}, 1),
        ({"hollow": {**CLOSED, "drains": TWO_DRAINS}}, 2),
        ({"hollow": {**CLOSED, "drains": TWO_DRAINS[:1]}, "stones": [PALM]}, 2),
        ({"hollow": {**CLOSED, "drains": TWO_DRAINS[:1]}, "stones": [HEAD]}, 3),
        ({"hollow": {**CLOSED, "drains": TWO_DRAINS}, "stones": [HEAD, SHOULDER, PALM]}, 7),
    ],
)
def test_holes_by_hand_by_construction_and_by_the_mesh(changes: dict, genus: int) -> None:
    finished = shaped(dome(**changes), DRAFT_CHORD_MM).finished
    assert finished.genus == genus
    assert finished.mesh.problems(genus) == []
