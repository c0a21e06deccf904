"""Dimension lines: where they lie, what they say, which way round they are read."""

from __future__ import annotations

import numpy as np
import pytest

from ringtex.export.sheet.dimension_lines import dimension, measure_text
from ringtex.export.sheet.drawing import Path, Words
from ringtex.export.sheet.ring_drawing import fitting_scale, scale_words


def words_of(marks: list[Path | Words]) -> Words:
    return next(mark for mark in marks if isinstance(mark, Words))


@pytest.mark.parametrize(("value", "text"), [(5.0, "5.0"), (1.25, "1.25"), (17.188, "17.19"), (0.3, "0.3")])
def test_measures_have_one_or_two_decimals(value: float, text: str) -> None:
    assert measure_text(value) == text


@pytest.mark.parametrize(
    ("end", "angle"), [((40.0, 0.0), 0.0), ((-40.0, 0.0), 0.0), ((0.0, 40.0), 90.0), ((0.0, -40.0), 90.0)]
)
def test_words_are_read_from_below_or_from_the_right(end: tuple[float, float], angle: float) -> None:
    assert words_of(dimension((0.0, 0.0), end, 5.0, "40.0")).angle_deg == pytest.approx(angle)


def test_the_line_lies_off_the_outline_by_what_was_asked() -> None:
    marks = dimension((0.0, 0.0), (40.0, 0.0), 5.0, "40.0")
    lines = [mark.rows[0] for mark in marks if isinstance(mark, Path) and not mark.black]
    assert any(np.allclose(row, [[0.0, 5.0], [40.0, 5.0]]) for row in lines)
    assert 5.0 < words_of(marks).y < 6.0


def test_words_that_do_not_fit_stand_beyond_the_end() -> None:
    assert words_of(dimension((0.0, 0.0), (3.0, 0.0), 5.0, "3.0", "Palm width")).x > 3.0


def test_views_are_as_large_as_fits() -> None:
    assert fitting_scale(18.0, 9.0, 70.0, 60.0) == 3.0
    assert fitting_scale(500.0, 9.0, 70.0, 60.0) == 0.5
    assert (scale_words(3.0), scale_words(2.5), scale_words(0.5)) == ("3 : 1", "2.5 : 1", "1 : 2")
