"""Numbers as text against Python's own formatting."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringtex.basics.errors import SelfCheckError
from ringtex.export.mesh_files.number_text import ROUNDING_MM, decimal_rows, whole_rows

numbers = st.floats(-9e4, 9e4) | st.sampled_from([0.0, -0.0, 1e-9, -1e-9, 0.5e-7, -4.9e-8, 9.99999999, 99999999.0])


@given(st.lists(st.tuples(numbers, numbers), min_size=1, max_size=20))
def test_decimals(rows: list[tuple[float, float]]) -> None:
    values = np.array(rows)
    text = b"".join(decimal_rows(values, (b"<", b"|"), b">\n"))
    for line, row in zip(text.decode().splitlines(), rows, strict=True):
        words = line.strip("<>").split("|")
        for word, number in zip(words, row, strict=True):
            assert abs(float(word) - number) <= ROUNDING_MM + abs(number) * 3e-16
            assert word == f"{float(word):.7f}".replace("-0.0000000", "0.0000000")


@given(st.lists(st.tuples(st.integers(0, 99_999_999), st.integers(0, 12)), min_size=1, max_size=20))
def test_whole(rows: list[tuple[int, int]]) -> None:
    text = b"".join(whole_rows(np.array(rows, dtype=np.int32), (b"f ", b" "), b"\n"))
    assert text.decode() == "".join(f"f {a} {b}\n" for a, b in rows)


def test_pieces_join_up() -> None:
    values = np.arange(70_000, dtype=np.int32)[:, None]
    text = b"".join(whole_rows(values, (b"",), b"\n"))
    assert text == b"".join(b"%d\n" % i for i in range(70_000))


@pytest.mark.parametrize("bad", [np.nan, np.inf, 1e8])
def test_what_cannot_be_written(bad: float) -> None:
    with pytest.raises(SelfCheckError):
        list(decimal_rows(np.array([[bad]]), (b"",), b"\n"))
