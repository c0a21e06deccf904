"""Proposals for stones and pierced cells: what the advice names is tried, and clears it."""

from __future__ import annotations

from typing import Any

import pytest
from zoo import band, plain_design, station

from ringtex.checks.finding import Level
from ringtex.design.design_file import design_from_json
from ringtex.document.proposal import propose

STURDY = band("flat", station(0, 8, 3.4, 3.4))
CELLS = {"across": "auto", "around": 12}


def stone(**changes: Any) -> dict[str, Any]:
    return {"u": 0.5, "v": 0.5, "diameter": 2.0, **changes}


CASES: dict[str, tuple[dict[str, Any], str, str]] = {
    "a stone at the edge": ({"stones": [stone(v=0.9)]}, "stone_at_edge", "stones"),
    "a stone too deep": (
        {"band": band("flat", station(0, 8, 1.8, 1.8)), "stones": [stone(diameter=4.0)]},
        "stone_deep",
        "stones",
    ),
    "stones of a row too close": (
        {"stones": [{"count": 5, "stone": stone(), "spacing": 2.2}]},
        "stones_close",
        "stones",
    ),
    "a row all round too close": ({"stones": [{"count": 24, "stone": stone(diameter=3.0)}]}, "stones_close", "stones"),
    "bars too narrow": (
        {"relief": {"form": "pierced", "wall_width": 0.4}, "rails": {"lower": 0.9, "upper": 0.9}},
        "thin_web",
        "relief",
    ),
    "a pierced border": (
        {"relief": {"form": "pierced", "wall_width": 1.0}, "rails": {"lower": 0.0, "upper": 0.0}},
        "thin_web",
        "rails",
    ),
    "a hole at the hollow's rim": (
        {"hollow": {"reach": 100.0, "wall": 1.0, "lip": 1.5}, "stones": [stone(u=0.5 + 100.0 / 360.0)]},
        "stone_at_rim",
        "hollow",
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_what_the_advice_names_is_proposed(name: str) -> None:
    changes, kind, stage = CASES[name]
    design = design_from_json(plain_design(**{"band": STURDY, "pattern": CELLS, **changes}))
    proposal = propose(design, tolerance_mm=0.1)
    assert kind in {found.kind.value for found in proposal.findings_before if found.level is not Level.NOTE}
    assert kind not in {found.kind.value for found in proposal.findings_after if found.level is not Level.NOTE}
    assert proposal.changes
    assert any(change.key.startswith(stage) for change in proposal.changes), proposal.sentences
