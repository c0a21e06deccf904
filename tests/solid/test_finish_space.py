"""Everything that can be done to a ring, in any combination: what comes out is one sound body with the holes it should
have, or a refusal that names the key, or a finding that a cut breaks out.

The long run: `python3 dev.py test tests/solid/test_finish_space.py --hypothesis-profile=long -s`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import pytest
from finish_strategies import finished_designs
from hypothesis import given, settings

from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.checks.stones.stone_findings import spoils_genus
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.make_ring import make_ring

LONG = settings().max_examples > 100
EXAMPLES = settings().max_examples if LONG else 9
CHORD_MM = DRAFT_CHORD_MM if LONG else 0.1
KEYS = ("hollow", "stones", "plain", "inscription", "band", "bore", "pattern", "rails", "relief")


@pytest.fixture(scope="module")
def endings() -> Iterator[Counter[str]]:
    counted: Counter[str] = Counter()
    yield counted
    print(f"\n{sum(counted.values())} designs: {dict(counted.most_common())}")


def judge_refusal(error: InputError) -> None:
    """A refusal names a key of the design file, and says what to do."""
    assert error.where.split(".")[0].split("[")[0] in KEYS
    assert error.advice


@settings(max_examples=EXAMPLES)
@given(design=finished_designs())
def test_any_combination_is_one_body_with_the_holes_it_should_have(design: Design, endings: Counter[str]) -> None:
    assert design_from_json(design_to_json(design)) == design
    try:
        ring = make_ring(design, CHORD_MM)
    except InputError as error:
        judge_refusal(error)
        endings[f"refused: {error.where.split('[')[0]}"] += 1
        return
    finished = ring.finished
    assert finished.mesh.oriented
    assert finished.mesh.volume > 0.0
    assert len(finished.original_id) == len(finished.face_id) == len(finished.mesh.faces)
    if spoils_genus(ring.report.findings):
        endings["a cut breaks out, and is found"] += 1
        return
    assert finished.mesh.problems(finished.genus) == []
    endings["built"] += 1
