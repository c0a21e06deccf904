"""Designs of rings that could be worn, and designs that once failed: each is a sound ring.

`tests/test_whole_space.py` draws from all that the options allow, most of which no band can be; here nearly every one
is built, and its relief is looked at triangle by triangle. `tests/benchmarks/many_designs.py` builds thousands.
"""

from pathlib import Path

import pytest
from hypothesis import given, settings
from ring_promises import broken_promises
from strategies import MAX_AROUND, UNSHRUNK, worn_designs

from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.design.design import Design
from ringtex.design.design_file import read_design

CORPUS = sorted((Path(__file__).parent / "corpus").glob("*.ring.json"))
LONG = settings().max_examples > 100
EXAMPLES = settings().max_examples if LONG else 15
CHORD_MM = DRAFT_CHORD_MM if LONG else 0.1
AROUND = MAX_AROUND if LONG else 16
"""Coarser and with fewer repeats in the usual run."""


@settings(max_examples=EXAMPLES, phases=UNSHRUNK)
@given(design=worn_designs(AROUND))
def test_every_design_that_could_be_worn_keeps_its_promises(design: Design) -> None:
    assert broken_promises(design, CHORD_MM)[1] == []


@pytest.mark.parametrize("path", CORPUS, ids=lambda path: path.name.removesuffix(".ring.json"))
def test_designs_that_once_failed_keep_their_promises(path: Path) -> None:
    coarse = path.name == "bore_that_hardly_rises.ring.json"  # a wide ring, whose fault was in the bore
    assert broken_promises(read_design(path), 0.06 if coarse else DRAFT_CHORD_MM)[1] == []


def test_the_corpus_is_there() -> None:
    assert len(CORPUS) >= 11
