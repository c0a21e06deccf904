import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringtex.basics.tolerances import MIN_CORNER_MM
from ringtex.relief.cell_profile import ARC_FRACTION, MAX_SHARE, ProfilePoint, rounded_profile


def turn(half_deg: float) -> list[ProfilePoint]:
    """Two parts 10 mm long that meet under 180 - 2 half_deg degrees, the first level."""
    angle = math.radians(2.0 * half_deg)
    end = ProfilePoint(10.0 + 10.0 * math.cos(angle), 0.0, 10.0 * math.sin(angle))
    return [ProfilePoint(0.0, 0.0, 0.0), ProfilePoint(10.0, 0.0, 0.0), end]


def places(points: list[ProfilePoint]) -> np.ndarray:
    return np.array([(point.inward_mm, point.height_mm) for point in points])


@given(
    half_deg=st.floats(10.0, 44.0), radius=st.floats(0.1, 0.5), chord=st.sampled_from([0.005, 0.02]), up=st.booleans()
)
def test_an_arc_has_its_radius_and_the_profile_straddles_it_within_the_chord(
    half_deg: float, radius: float, chord: float, up: bool
) -> None:
    """Circle tangent to two lines: it touches them r tan(half turn) before the corner (elementary geometry). The ends
    of the arc lie on these lines, so that levels stay exact, between its own ends and the corner."""
    sharp = turn(half_deg if up else -half_deg)
    arc = places(rounded_profile(sharp, radius, chord))[1:-1]
    reach = radius * math.tan(math.radians(half_deg))
    centre = np.array([10.0 - reach, radius if up else -radius])
    least = ARC_FRACTION * chord + 1e-12
    assert np.all(np.abs(np.hypot(*(arc - centre).T) - radius) <= least)
    assert arc[0, 1] == pytest.approx(0.0, abs=1e-12)
    assert 10.0 - reach - 1e-12 <= arc[0, 0] < 10.0
    direction = (places(sharp)[2] - places(sharp)[1]) / 10.0
    last = arc[-1] - places(sharp)[1]
    assert direction[0] * last[1] - direction[1] * last[0] == pytest.approx(0.0, abs=1e-12)
    assert 0.0 < last @ direction <= reach + 1e-12
    for start, end in pairwise(arc):
        middle = 0.5 * (start + end)
        assert radius - math.dist(middle, centre) <= least


def test_no_radius_or_no_turn_leaves_the_profile_alone() -> None:
    sharp = turn(30.0)
    assert rounded_profile(sharp, 0.0, 0.005) == sharp
    straight = [ProfilePoint(0.0, 0.0, 0.0), ProfilePoint(1.0, 0.0, 1.0), ProfilePoint(2.0, 0.0, 2.0)]
    assert rounded_profile(straight, 0.1, 0.005) == straight
    assert rounded_profile(sharp[:2], 0.1, 0.005) == sharp[:2]


def test_an_arc_takes_no_more_than_its_share_of_a_short_part() -> None:
    short = [ProfilePoint(0.0, 0.0, 0.0), ProfilePoint(0.2, 0.0, 0.0), ProfilePoint(0.4, 0.0, 0.2)]
    arc = places(rounded_profile(short, 5.0, 0.005))[1:-1]
    # Within the turn the arc may take, its first point lies a part of the way on.
    assert 0.2 - MAX_SHARE * 0.2 <= arc[0, 0] <= 0.2 - 0.7 * MAX_SHARE * 0.2
    assert arc[0, 1] == pytest.approx(0.0, abs=1e-12)


def test_a_turn_whose_arc_would_be_tiny_stays_sharp() -> None:
    tiny = turn(30.0)
    assert rounded_profile(tiny, 0.9 * MIN_CORNER_MM, 0.005) == tiny
    assert len(rounded_profile(tiny, 1.1 * MIN_CORNER_MM, 0.005)) > len(tiny)


def test_a_part_over_a_share_of_the_cell_counts_as_level_and_long() -> None:
    foot = [ProfilePoint(0.0, 0.0, 0.0), ProfilePoint(-0.1, 0.4, 0.0), ProfilePoint(0.0, 0.4, 0.3)]
    made = rounded_profile(foot, 0.1, 0.005)
    assert made[0] == foot[0]
    assert all(point.share == 0.4 for point in made[1:])
    assert made[1].height_mm == pytest.approx(0.0, abs=1e-12)
