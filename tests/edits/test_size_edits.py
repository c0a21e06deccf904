"""Finger sizes on another scale, and one mark up or down."""

from __future__ import annotations

import pytest

from ringtex.band.finger_size import FingerSize
from ringtex.basics.errors import InputError
from ringtex.edits.size_edits import size_as, size_stepped


def test_scales_in_millimetres_keep_the_size_and_others_take_their_nearest_mark() -> None:
    """ISO 8653: the size is the inner circumference; Italy is 40 less; US 6 3/4 is 53.8 mm round (encyclopaedia)."""
    assert size_as("iso", 53.8) == FingerSize("iso", "53.8")
    assert size_as("it", 53.8) == FingerSize("it", "13.8")
    assert size_as("us", 53.8) == FingerSize("us", "6 3/4")


@pytest.mark.parametrize(
    ("scale", "value", "up"), [("iso", "54", "55"), ("us", "6 3/4", "7"), ("uk", "N", "N 1/2"), ("jp", "13", "14")]
)
def test_a_step_goes_to_the_next_mark_and_back(scale: str, value: str, up: str) -> None:
    above = size_stepped(FingerSize(scale, value), 1)
    assert above.value == up
    assert size_stepped(above, -1).value == value


def test_beyond_the_last_mark_there_is_none() -> None:
    with pytest.raises(InputError, match="last mark"):
        size_stepped(FingerSize("jp", "30"), 1)
