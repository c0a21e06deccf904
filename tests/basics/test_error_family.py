"""Errors: their sentences, and that they come whole out of other processes."""

from __future__ import annotations

import pickle

import pytest

from ringtex.basics.errors import Cancelled, InputError, OutputError, RingtexError, SelfCheckError
from ringtex.document.ring_files import StoppedPartway


@pytest.mark.parametrize(
    "error",
    [
        Cancelled(),
        StoppedPartway(["a.stl", "b.stl"]),
        InputError("the rail is wider than the band", "Make it narrower", "rails.lower"),
        OutputError("The disk is full", "Make room", "ring.stl"),
        SelfCheckError("the mesh is open"),
    ],
    ids=lambda error: type(error).__name__,
)
def test_an_error_comes_whole_out_of_another_process(error: RingtexError) -> None:
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is type(error)
    assert (str(again), again.message, again.advice, again.where) == (
        str(error), error.message, error.advice, error.where,
    )  # fmt: skip


def test_the_sentence_names_place_and_advice() -> None:
    assert str(InputError("too wide", "Make it narrower", "rails.lower")) == "rails.lower: too wide. Make it narrower"
    assert str(RingtexError("Too wide")) == "Too wide."
