"""Framing and the directions of the views."""

from __future__ import annotations

import numpy as np
import pytest
from export_sample_rings import bumpy_ring
from hypothesis import given
from hypothesis import strategies as st

from ringtex.basics.errors import InputError
from ringtex.export.picture.camera import VIEWS, camera_for


def _places(view: str, width: int, height: int) -> np.ndarray:
    """(n, 2) picture places of the ring's vertices in pixels, by projecting them independently of the camera's rays."""
    vertices = bumpy_ring().vertices
    camera = camera_for(vertices, view, width, height)
    right, up, back = ((vertices - camera.eye) @ axis for axis in camera.axes)
    assert np.all(back < 0)
    across, upward = right / -back / camera.slopes[0], up / -back / camera.slopes[1]
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


@given(st.sampled_from(VIEWS), st.floats(0, 900), st.floats(0, 700))
def test_rays_go_through_their_places(view: str, column: float, row: float) -> None:
    camera = camera_for(bumpy_ring().vertices, view, 900, 700)
    ray = camera.directions(np.array([column]), np.array([row]))[0].astype(np.float64)
    assert np.linalg.norm(ray) == pytest.approx(1.0, abs=1e-6)
    right, up, back = camera.axes @ ray
    assert (right / -back / camera.slopes[0] + 1) * 450 == pytest.approx(column, abs=1e-3)
    assert (1 - up / -back / camera.slopes[1]) * 350 == pytest.approx(row, abs=1e-3)


@pytest.mark.parametrize(
    ("view", "from_where", "up"),
    [("head", [0, 1, 0], [0, 0, 1]), ("palm", [0, -1, 0], [0, 0, 1]), ("side", [0, 0, 1], [0, 1, 0])],
)
def test_views_look_from_where_they_say(view: str, from_where: list[int], up: list[int]) -> None:
    """Ring axis z, head at +y."""
    camera = camera_for(bumpy_ring().vertices, view, 900, 700)
    assert np.dot(camera.axes[2], from_where) > 0.98
    assert np.dot(camera.axes[1], up) > 0.98
    assert camera.axes @ camera.axes.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(camera.axes) == pytest.approx(1.0)


def test_unknown_view() -> None:
    with pytest.raises(InputError, match="no view 'top'") as caught:
        camera_for(bumpy_ring().vertices, "top", 900, 700)
    assert "three_quarter" in caught.value.advice
