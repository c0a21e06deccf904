"""Relief that fades along curves and round spots."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from ringtex.basics.errors import InputError
from ringtex.design.design_file import design_from_json
from ringtex.make_ring import make_ring
from ringtex.relief.depth_fades import depth_factor
from ringtex.relief.relief_options import FadeOptions

RADIUS = 60.0 / (2.0 * np.pi)
STRIP = SimpleNamespace(
    length=60.0,
    width=8.0,
    to_band=lambda u, v: (u / 60.0 * 2.0 * np.pi - np.pi, v / 4.0 - 1.0),
    point=lambda u, v: np.column_stack([RADIUS * np.sin(u / RADIUS), -RADIUS * np.cos(u / RADIUS), v]),
)


def test_towards_edges_and_palm() -> None:
    edges = FadeOptions(across=((0.0, 0.0), (0.5, 1.0), (1.0, 0.0)))
    v = np.linspace(0.0, 8.0, 9)
    found = depth_factor(STRIP, edges, np.full(9, 7.0), v)
    assert found[0] == found[8] == 0.0
    assert found[4] == 1.0
    np.testing.assert_allclose(found, found[::-1], atol=1e-12)
    assert np.all(np.diff(found[:5]) > 0.0)
    palm = FadeOptions(around=((0.0, 1.0), (180.0, 0.2)))
    u = np.array([0.0, 15.0, 30.0, 45.0, 60.0])
    found = depth_factor(STRIP, palm, u, np.full(5, 4.0))
    np.testing.assert_allclose(found, [0.2, 0.6, 1.0, 0.6, 0.2], atol=1e-9)


def test_spots_reach_over_the_seam() -> None:
    spot = FadeOptions(spots=((0.0, 0.5, 3.0, 0.0),))
    u = np.array([0.0, 1.0, 59.0, 2.5, 57.5, 30.0])
    found = depth_factor(STRIP, spot, u, np.full(6, 4.0))
    assert found[0] == pytest.approx(0.0, abs=1e-12)
    assert found[5] == 1.0
    assert found[1] == pytest.approx(found[2], rel=0.05)
    assert 0.0 < found[1] < found[3] < 1.0


def band_design(**relief) -> dict:
    return {
        "kind": "ringtex.design", "version": 2, "size": {"scale": "iso", "value": "54"},
        "band": {"section": "flat", "stations": [{"angle": 0, "width": 6, "height": 2, "edge_height": 2}]},
        "pattern": {"family": "hexagon", "around": 36}, "relief": {"depth": 0.3, "wall_width": 0.3, **relief},
    }  # fmt: skip


def test_a_ring_is_as_deep_as_asked_everywhere() -> None:
    """The highest place near each angle of the mesh follows the curve; the volume lies between none and all."""
    fade = {"around": [[0, 1], [180, 0]]}
    ring = make_ring(design_from_json(band_design(fade=fade)), 0.02)
    assert ring.solid.mesh.closed
    outer = np.hypot(*ring.solid.mesh.vertices[:, :2].T)
    angle = np.abs(np.rad2deg(np.arctan2(-ring.solid.mesh.vertices[:, 0], ring.solid.mesh.vertices[:, 1])))
    base = 54.0 / (2.0 * np.pi) + 2.0
    assert np.max(outer[angle < 15.0]) == pytest.approx(base + 0.3, abs=0.005)
    assert np.max(outer[angle > 165.0]) < base + 0.02
    assert np.max(outer[np.abs(angle - 90.0) < 4.0]) == pytest.approx(base + 0.15, abs=0.02)
    whole = make_ring(design_from_json(band_design()), 0.02).solid.mesh.volume
    assert ring.solid.mesh.volume < whole


@pytest.mark.parametrize(
    ("fade", "where"),
    [
        ({"around": [[0, 1.5]]}, "relief.fade.around[0][1]"),
        ({"across": [[2, 1]]}, "relief.fade.across[0][0]"),
        ({"across": [[0.5, 1], [0.5, 0]]}, "relief.fade.across"),
        ({"spots": [[0, 0, 99, 0]]}, "relief.fade.spots[0][2]"),
        ({"spots": [[0, 0]]}, "relief.fade.spots[0]"),
        ({"edges": 1}, "relief.fade.edges"),
    ],
)
def test_bad_fades_are_refused_by_key(fade, where: str) -> None:
    with pytest.raises(InputError) as caught:
        design_from_json(band_design(fade=fade))
    assert caught.value.where == where
