"""What the pattern's values ask of each other, against patterns that are made."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from zoo import plain_design

from ringtex.basics.progress import Progress
from ringtex.design.design_file import design_from_json
from ringtex.edits.pattern_ties import seed_has_effect
from ringtex.pattern.make_pattern import make_pattern
from ringtex.strip.unwrap import unwrap


@pytest.mark.parametrize(
    "pattern",
    [
        {"family": family, "around": 12, "across": 2, "scatter": scatter}
        for family in ("hexagon", "brick", "diamond", "cellular")
        for scatter in (0.0, 0.4)
    ]
    + [{"family": "hexagon", "around": 12, "across": 2, "evenness": 1.0}],
)
def test_a_seed_has_an_effect_where_another_seed_moves_corners(pattern: dict[str, Any]) -> None:
    design = design_from_json(plain_design(pattern=pattern))
    strip = unwrap(design.make_band(), design.strip.keep)
    one, other = (
        make_pattern(strip, replace(design.pattern, seed=seed), design.rails, Progress()).tiling for seed in (1, 2)
    )
    alike = one.corners.shape == other.corners.shape and bool(np.allclose(one.corners, other.corners, atol=1e-9))
    assert seed_has_effect(design) == (not alike)
