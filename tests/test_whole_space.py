"""The whole design space: every accepted design gives a sound ring, every refused one says why.

The long run (2,000 designs): `python3 dev.py test tests/test_whole_space.py --hypothesis-profile=long -s`, which prints
how many were built and how many refused.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from ring_promises import KEYS
from strategies import MAX_AROUND, UNSHRUNK, designs, spoilt

from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.checks.geometry.cell_widths import cell_widths
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.make_ring import make_ring

LONG = settings().max_examples > 100
EXAMPLES = settings().max_examples if LONG else 18
CHORD_MM = DRAFT_CHORD_MM if LONG else 0.1
"""Coarser than a draft in the usual run: the same cells, walls and borders in a fifth of the triangles."""
AROUND = MAX_AROUND if LONG else 14
"""Fewer repeats in the usual run: every option is drawn as in the long run, on a quarter of the cells."""


@pytest.fixture(scope="module")
def endings() -> Iterator[Counter[str]]:
    """How many designs were built, and how many refused for which key."""
    counted: Counter[str] = Counter()
    yield counted
    print(f"\n{sum(counted.values())} designs: {dict(counted.most_common())}")


def judge_refusal(error: InputError) -> None:
    """A refusal names a key of the design file, and says in one sentence what to do."""
    assert error.where.split(".")[0].split("[")[0].removesuffix("_x") in (*KEYS, "kind", "version")
    assert error.advice
    assert "\n" not in str(error)


def build(design: Design, endings: Counter[str]) -> None:
    """Build and judge: a sound ring, or a refusal in a sentence with the key and advice."""
    try:
        ring = make_ring(design, CHORD_MM)
    except InputError as error:
        judge_refusal(error)
        endings[f"refused: {error.where.split('[')[0]}"] += 1
        return
    assert ring.pattern.tiling.problems() == []
    assert ring.solid.mesh.problems(genus=1) == []
    assert ring.solid.strip_positions.shape[1] == 3
    widths = cell_widths(ring.strip, ring.pattern.tiling, ring.solid)
    assert np.all(np.isfinite(widths.wall[ring.pattern.tiling.twin >= 0]))
    assert ring.report.readings.seam_gap_mm == 0.0
    endings["built"] += 1


@settings(max_examples=EXAMPLES, phases=UNSHRUNK)
@given(design=designs(AROUND))
def test_every_accepted_design_gives_a_sound_ring(design: Design, endings: Counter[str]) -> None:
    build(design, endings)


@settings(max_examples=EXAMPLES, phases=UNSHRUNK)
@given(data=designs(most_around=12).map(design_to_json).flatmap(spoilt))
def test_every_spoilt_design_is_built_or_refused(data: dict[str, Any], endings: Counter[str]) -> None:
    try:
        design = design_from_json(data)
    except InputError as error:
        judge_refusal(error)
        endings["refused when read"] += 1
        return
    if design.pattern.around <= 60:
        build(design, endings)
