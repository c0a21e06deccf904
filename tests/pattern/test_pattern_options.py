"""Options refuse what cannot be used, with a sentence, a place and advice."""

from __future__ import annotations

import math
from types import SimpleNamespace

import pytest

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions


@pytest.mark.parametrize(
    ("options", "where"),
    [
        ({"family": "hexagons"}, "pattern.family"),
        ({"around": 0}, "pattern.around"),
        ({"around": 2}, "pattern.around"),
        ({"around": 10_000_000}, "pattern.around"),
        ({"around": 24.0}, "pattern.around"),
        ({"around": True}, "pattern.around"),
        ({"across": 0}, "pattern.across"),
        ({"across": "many"}, "pattern.across"),
        ({"around": 2000, "across": 151}, "pattern.across"),
        ({"seed": -1}, "pattern.seed"),
        ({"seed": 2**53}, "pattern.seed"),
        ({"scatter": 1.1}, "pattern.scatter"),
        ({"scatter": math.nan}, "pattern.scatter"),
        ({"evenness": -0.1}, "pattern.evenness"),
        ({"twist": 25}, "pattern.twist"),
        ({"twist": 1.5}, "pattern.twist"),
        ({"slide_mm": (math.inf, 0.0)}, "pattern.slide[0]"),
        ({"slide_mm": (0.0, 1e9)}, "pattern.slide[1]"),
        ({"slide_mm": 3.0}, "pattern.slide"),
    ],
)
def test_refused(options, where) -> None:
    with pytest.raises(InputError) as caught:
        PatternOptions(**options)
    assert caught.value.where == where
    assert caught.value.message
    assert caught.value.advice


@pytest.mark.parametrize(("rails", "where"), [((-0.1, 0.0), "rails.lower"), ((0.0, math.nan), "rails.upper")])
def test_rails_refused(rails, where) -> None:
    with pytest.raises(InputError) as caught:
        RailOptions(*rails)
    assert caught.value.where == where


def test_rails_wider_than_the_strip() -> None:
    strip = SimpleNamespace(length=58.0, width=6.0)
    with pytest.raises(InputError, match="8 mm of the 6 mm") as caught:
        make_pattern(strip, PatternOptions(), RailOptions(4.0, 4.0), Progress())
    assert caught.value.where == "rails"
    assert "5.9 mm" in caught.value.advice


def test_auto_rows_beyond_the_most_cells() -> None:
    strip = SimpleNamespace(length=20.0, width=20.0)
    for family in ("hexagon", "cellular"):
        with pytest.raises(InputError, match="more than 300000"):
            make_pattern(strip, PatternOptions(family, around=2000), RailOptions(), Progress())
