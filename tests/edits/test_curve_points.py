"""Points of curves round the ring, and their mirror images across head and palm."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from ringtex.edits.place_curves import first_points, left_is_like_right, mirror_index_of, with_left_like_right

ANGLES = st.lists(st.integers(-179, 180), min_size=1, max_size=8, unique=True)


@given(ANGLES)
def test_once_made_alike_left_is_like_right_and_stays_so(angles: list[int]) -> None:
    points = tuple((float(angle), 1.0 + 0.01 * angle) for angle in angles)
    made = with_left_like_right(points)
    assert left_is_like_right(made)
    assert sorted(with_left_like_right(made)) == sorted(made)
    for index, (angle, value) in enumerate(made):
        mirrored = mirror_index_of(made, index)
        assert (mirrored is None) == (angle % 180.0 == 0.0)
        assert mirrored is None or made[mirrored][1] == value


def test_first_points_are_alike_on_both_sides() -> None:
    assert left_is_like_right(first_points("around", 1.0))
    assert [at for at, _ in first_points("across", 1.0)] == [0.0, 0.5, 1.0]
