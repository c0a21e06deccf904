"""Outlines as a design file keeps them."""

import pytest

from ringtex.basics.errors import InputError
from ringtex.pattern.motif.motif_outline import outline_from_text


def test_a_damaged_outline_is_refused_at_once() -> None:
    """A pattern that can read digits in many ways tried them all: minutes for a line of a hundred."""
    with pytest.raises(InputError, match="no outline at character 0"):
        outline_from_text("M0 0l" + "1234567 " * 20 + "1" * 200 + "x")
