"""Limits in the annotations of options' fields."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Literal

import pytest

from ringtex.basics.errors import InputError
from ringtex.basics.limits import FRACTION, Within, limits_of, require_limits

DEPTH = Within(0.05, 1.0, "mm")
COUNT = Within(1, 300_000)


@dataclass(frozen=True)
class Sample:
    """Every kind of field that options have."""

    depth_mm: Annotated[float, DEPTH] = 0.3
    rise_mm: Annotated[float, Within(0.0, 2.0, "mm", "more breaks the edges")] = 0.0
    width_mm: Annotated[float, FRACTION] | None = None
    rows: Annotated[int, COUNT] | Literal["auto"] = "auto"
    curve: tuple[tuple[Annotated[float, Within(-360.0, 360.0, "degrees")], float], ...] = ()
    name: str = ""

    def __post_init__(self) -> None:
        require_limits(self, "sample")


def test_what_lies_within_passes_the_ends_included() -> None:
    Sample(0.05, 2.0, 1.0, 300_000, ((-360.0, 1e9), (360.0, 0.0)))
    Sample(1, 0, None, "auto")


@pytest.mark.parametrize(
    ("given", "where", "message", "advice"),
    [
        ({"depth_mm": 1.5}, "sample.depth", "1.5 is out of reach", "Use 0.05 to 1 mm"),
        ({"depth_mm": math.nan}, "sample.depth", "a number was expected, not nan", "Use 0.05 to 1 mm"),
        ({"depth_mm": math.inf}, "sample.depth", "a number was expected, not inf", "Use 0.05 to 1 mm"),
        ({"depth_mm": True}, "sample.depth", "a number was expected, not True", "Use 0.05 to 1 mm"),
        ({"depth_mm": "deep"}, "sample.depth", "a number was expected, not 'deep'", "Use 0.05 to 1 mm"),
        ({"rise_mm": 2.5}, "sample.rise", "2.5 mm is too large: more breaks the edges", "Use 0 to 2 mm"),
        ({"rise_mm": -1}, "sample.rise", "-1 mm is too small: more breaks the edges", "Use 0 to 2 mm"),
        ({"width_mm": 1.01}, "sample.width", "1.01 is out of reach", "Use 0 to 1"),
        ({"rows": 0}, "sample.rows", "0 is out of reach", "Use 1 to 300000"),
        ({"rows": "many"}, "sample.rows", "a whole number was expected, not 'many'", "Use 1 to 300000"),
        ({"rows": 2.0}, "sample.rows", "a whole number was expected, not 2.0", "Use 1 to 300000"),
        ({"curve": ((0.0, 1.0), (400.0, 1.0))}, "sample.curve[1][0]", "400 is out of reach", "Use -360 to 360 degrees"),
    ],
)
def test_what_lies_outside_is_refused_with_its_key(
    given: dict[str, object], where: str, message: str, advice: str
) -> None:
    with pytest.raises(InputError) as error:
        Sample(**given)  # type: ignore[arg-type]
    assert (error.value.where, error.value.message, error.value.advice) == (where, message, advice)


def test_limits_can_be_read() -> None:
    assert limits_of(Sample, "depth_mm") == DEPTH
    assert limits_of(Sample, "rows") == COUNT
    assert limits_of(Sample, "width_mm") == FRACTION
    assert limits_of(Sample, "name") is None
    with pytest.raises(KeyError):
        limits_of(Sample, "height_mm")
