"""Framing and the directions of the views."""

from __future__ import annotations

import numpy as np
import pytest
from export_sample_rings import bumpy_ring
from hypothesis import given
from hypothesis import strategies as st

from ringtex.basics.errors import InputError
from ringtex.export.picture.camera import VIEWS, camera_axes, close_to, named_view, slopes


def _places(view: str, width: int, height: int) -> np.ndarray:
    """(n, 2) picture places of the ring's vertices in pixels, by projecting them independently of the camera's rays."""
    vertices = bumpy_ring().vertices
    camera = named_view(view, vertices, width, height)
    right, up, back = ((vertices - camera.eye) @ axis for axis in camera.axes)
    assert np.all(back < 0)
    half_width, half_height = slopes(width, height)
    across, upward = right / -back / half_width, up / -back / half_height
    return np.stack(((across + 1) * width / 2, (1 - upward) * height / 2), axis=1)


@pytest.mark.parametrize("view", [view for view in VIEWS if view != "seam"])
@pytest.mark.parametrize(("width", "height"), [(900, 700), (300, 900), (64, 64)])
def test_the_ring_fills_the_picture_and_no_more(view: str, width: int, height: int) -> None:
    places = _places(view, width, height)
    low, high = places.min(axis=0), places.max(axis=0)
    share = (high - low) / (width, height)
    assert np.all(low > 0)
    assert np.all(high < (width, height))
    assert 0.84 < share.max() < 0.88
    assert (low + high) / 2 == pytest.approx(np.array([width, height]) / 2, abs=1e-3)


def test_the_seam_is_seen_closer() -> None:
    assert np.ptp(_places("seam", 900, 700)[:, 0]) > 1.4 * np.ptp(_places("palm", 900, 700)[:, 0])


RANDOM = np.random.default_rng(4)


@given(st.sampled_from(sorted(VIEWS)), st.floats(0, 900), st.floats(0, 700))
def test_rays_go_through_their_places(view: str, column: float, row: float) -> None:
    camera = named_view(view, bumpy_ring().vertices, 900, 700)
    ray = camera.directions(np.array([column]), np.array([row]), 900, 700)[0].astype(np.float64)
    assert np.linalg.norm(ray) == pytest.approx(1.0, abs=1e-6)
    right, up, back = camera.axes @ ray
    assert (right / -back / slopes(900, 700)[0] + 1) * 450 == pytest.approx(column, abs=1e-3)
    assert (1 - up / -back / slopes(900, 700)[1]) * 350 == pytest.approx(row, abs=1e-3)


@pytest.mark.parametrize(
    ("view", "from_where", "up"),
    [("head", [0, 1, 0], [0, 0, 1]), ("palm", [0, -1, 0], [0, 0, 1]), ("side", [0, 0, 1], [0, 1, 0])],
)
def test_views_look_from_where_they_say(view: str, from_where: list[int], up: list[int]) -> None:
    """Ring axis z, head at +y."""
    camera = named_view(view, bumpy_ring().vertices, 900, 700)
    assert np.dot(camera.axes[2], from_where) > 0.98
    assert np.dot(camera.axes[1], up) > 0.98
    assert camera.axes @ camera.axes.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(camera.axes) == pytest.approx(1.0)


def test_unknown_view() -> None:
    with pytest.raises(InputError, match="no view 'top'") as caught:
        named_view("top", bumpy_ring().vertices, 900, 700)
    assert "three_quarter" in caught.value.advice


@pytest.mark.parametrize("name", sorted(VIEWS))
def test_named_views_hold_the_ring(name: str) -> None:
    angles = np.linspace(0.0, 2.0 * np.pi, 90)
    places = np.concatenate([np.stack((9 * np.sin(angles), 9 * np.cos(angles), 0 * angles + z), 1) for z in (-3, 3)])
    pose = named_view(name, places, 640.0, 480.0)
    seen = np.array([pose.projected(place, 640.0, 480.0) for place in places])
    if name == "seam":
        assert pose.projected((0.0, -9.0, 0.0), 640.0, 480.0) == pytest.approx((320.0, 240.0))
    else:
        assert seen.min() > 0.0
        assert np.all(seen.max(axis=0) < [640.0, 480.0])
    assert pose.axes @ pose.axes.T == pytest.approx(np.eye(3), abs=1e-12)


def test_the_way_between_views_starts_and_ends_there() -> None:
    places = RANDOM.normal(size=(50, 3)) * 8.0
    for one in VIEWS:
        for other in VIEWS:
            a, b = (named_view(name, places, 800.0, 600.0) for name in (one, other))
            assert a.interpolated(b, 0.0).axes == pytest.approx(a.axes, abs=1e-6)
            assert a.interpolated(b, 1.0).axes == pytest.approx(b.axes, abs=1e-6)
            half = a.interpolated(b, 0.5)
            assert half.axes @ half.axes.T == pytest.approx(np.eye(3), abs=1e-9)
            assert half.interpolated(a, 1.0).distance == pytest.approx(a.distance)


def test_projection_and_pointer_agree() -> None:
    pose = named_view("three_quarter", RANDOM.normal(size=(50, 3)) * 8.0, 800.0, 600.0)
    for x, y in ((10.0, 20.0), (400.0, 300.0), (790.0, 500.0)):
        origin, direction = pose.ray(x, y, 800.0, 600.0)
        place = origin + 55.0 * direction
        clip = pose.projection(800.0, 600.0, 30.0) @ pose.view_matrix() @ np.append(place, 1.0)
        assert (0.5 + 0.5 * clip[0] / clip[3]) * 800.0 == pytest.approx(x)
        assert (0.5 - 0.5 * clip[1] / clip[3]) * 600.0 == pytest.approx(y)
        shifted = pose.projection(800.0, 600.0, 30.0, (3.0, -2.0)) @ pose.view_matrix() @ np.append(place, 1.0)
        assert (0.5 + 0.5 * shifted[0] / shifted[3]) * 800.0 == pytest.approx(x + 3.0)


def test_a_close_view_has_its_place_in_the_middle() -> None:
    pose = close_to(np.array([1.0, 9.0, 2.0]), camera_axes((0.2, 1.0, 0.1), (0.0, 0.0, 1.0)), 8.0, 500.0, 400.0)
    assert pose.projected((1.0, 9.0, 2.0), 500.0, 400.0) == pytest.approx((250.0, 200.0))
