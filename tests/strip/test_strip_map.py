from __future__ import annotations

import threading

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from strip_bands import KEEPS, SECTIONS, bands, dome_band, places, plain_band

from ringtex.basics.errors import InputError
from ringtex.strip.strip_map import StripMap
from ringtex.strip.unwrap import unwrap

BANDS = [(plain_band, section, 2.0) for section in SECTIONS] + [(dome_band, section, 2.0) for section in SECTIONS]
BANDS += [(plain_band, None, 1.0)]
CASES = [(*case, keep) for case in BANDS for keep in KEEPS]
CASES += [(dome_band, None, full, KEEPS[at % 3]) for at, full in enumerate((1.0, 1.5, 3.0, 12.0))]
"""Every section with all that can be kept; other fullnesses of a free one take turns over that."""


@pytest.fixture(scope="module", params=CASES, ids=lambda case: f"{case[0].__name__}-{case[1]}-{case[2]:g}-{case[3]}")
def strip(request) -> StripMap:
    make, section, full, keep = request.param
    return unwrap(make(section, full), keep)


def test_there_and_back(strip: StripMap) -> None:
    u, v = places(strip)
    back_u, back_v = strip.from_band(*strip.to_band(u, v))
    assert_allclose(back_u, u, atol=1e-9)
    assert_allclose(back_v, v, atol=1e-9)
    rng = np.random.default_rng(1)
    theta, across = rng.uniform(-np.pi, np.pi, 500), rng.uniform(-1.0, 1.0, 500)
    there_theta, there_across = strip.to_band(*strip.from_band(theta, across))
    assert_allclose(there_theta, theta, atol=1e-9)
    assert_allclose(there_across, across, atol=1e-9)


def test_fast_places_agree_with_the_bands_own_formulas(strip: StripMap) -> None:
    u, v = places(strip)
    frame = strip.jacobian(u, v)
    assert np.max(np.linalg.norm(strip.point(u, v) - frame.point, axis=1)) < 1e-4
    # Raised by 0.3 the normal's own error counts as well; a corner of a very full section turns fastest.
    raised = strip.shell_map(u, v, 0.3) - frame.point - 0.3 * frame.normal
    assert np.max(np.linalg.norm(raised, axis=1)) < 2e-3
    assert np.quantile(np.linalg.norm(raised, axis=1), 0.99) < 1e-4


def test_frames_on_a_grid_are_those_of_its_places(strip: StripMap) -> None:
    u, v = np.linspace(-0.1, 1.0, 7) * strip.length, np.array([0.0, 0.2, 0.5, 1.0]) * strip.width
    uu, vv = (grid.ravel() for grid in np.meshgrid(u, v, indexing="ij"))
    points, normals = (found.reshape(-1, 3) for found in strip.frames_on_grid(u, v))
    assert_allclose(points, strip.point(uu, vv), atol=1e-12)
    inner = (vv > 0.0) & (vv < strip.width)
    assert_allclose((points + 0.3 * normals)[inner], strip.shell_map(uu, vv, 0.3)[inner], atol=1e-12)


def test_the_two_halves_are_mirror_images(strip: StripMap) -> None:
    """Every section is symmetric about the plane z = 0."""
    (u, v), h = places(strip, 200), 0.2
    above, below = strip.shell_map(u, v, h), strip.shell_map(u, strip.width - v, h)
    assert_allclose(above * (1.0, 1.0, -1.0), below, atol=1e-9)
    assert_allclose(
        strip.metric(u, v), np.array((1.0, -1.0, 1.0))[:, None] * strip.metric(u, strip.width - v), atol=1e-9
    )
    assert_allclose(strip.curvatures(u, v), strip.curvatures(u, strip.width - v), atol=1e-9)


def test_the_strips_edges_are_the_bands_edges(strip: StripMap) -> None:
    u = np.linspace(0.0, strip.length, 97)
    for v, side in ((0.0, -1.0), (strip.width, 1.0)):
        theta, across = strip.to_band(u, np.full(97, v))
        point = strip.point(u, np.full(97, v))
        assert np.all(across == side)
        assert_allclose(point[:, 2], side * strip.band.half_width(theta), atol=1e-9)
        assert_allclose(np.hypot(point[:, 0], point[:, 1]), strip.band.edge_radius(theta), atol=1e-9)


def test_tangents_are_the_derivatives_of_places(strip: StripMap) -> None:
    rng = np.random.default_rng(2)
    u, v = rng.uniform(0.0, strip.length, 200), strip.width * rng.uniform(0.02, 0.98, 200)
    frame, step = strip.jacobian(u, v), 1e-5
    by_u = (strip.jacobian(u + step, v).point - strip.jacobian(u - step, v).point) / (2.0 * step)
    by_v = (strip.jacobian(u, v + step).point - strip.jacobian(u, v - step).point) / (2.0 * step)
    assert_allclose(frame.d_u, by_u, atol=1e-4)
    assert_allclose(frame.d_v, by_v, atol=1e-4)
    turned = np.sum(np.cross(frame.d_u, frame.d_v) * frame.normal, axis=1)
    assert np.all(turned > 0.0)  # (u, v, outwards) is right-handed
    E, F, G = np.sum(by_u * by_u, 1), np.sum(by_u * by_v, 1), np.sum(by_v * by_v, 1)
    for found, exact in zip(strip.metric(u, v), (E, F, G), strict=True):
        assert np.max(np.abs(found - exact) / (E + G)) < 5e-3


def test_nothing_shows_at_the_seam(strip: StripMap) -> None:
    v = np.linspace(0.0, strip.width, 33)
    start, end = strip.jacobian(np.zeros(33), v), strip.jacobian(np.full(33, strip.length), v)
    for one, other in zip(start, end, strict=True):
        assert_allclose(one, other, atol=1e-9)
    assert_allclose(
        strip.shell_map(np.full(33, -0.1), v, 0.2), strip.shell_map(np.full(33, strip.length - 0.1), v, 0.2), atol=1e-9
    )
    hair = 1e-6
    bend = (strip.jacobian(np.full(33, hair), v).d_u - strip.jacobian(np.full(33, strip.length - hair), v).d_u) / (
        2.0 * hair
    )
    inside = (strip.jacobian(np.full(33, 0.1 + hair), v).d_u - strip.jacobian(np.full(33, 0.1 - hair), v).d_u) / (
        2.0 * hair
    )
    assert np.max(np.abs(bend)) < 2.0 * np.max(np.abs(inside)) + 0.05
    assert_allclose(strip.to_band(np.zeros(1), np.array([strip.width / 2.0])), [[-np.pi], [0.0]], atol=1e-9)


@pytest.mark.parametrize("keep", KEEPS)
def test_a_mirrored_band_has_a_mirrored_strip(keep: str) -> None:
    strip = unwrap(dome_band(), keep)
    u, v = places(strip, 500)
    theta, across = strip.to_band(u, v)
    mirror_theta, mirror_across = strip.to_band(strip.length - u, v)
    assert_allclose(mirror_theta, -theta, atol=1e-9)
    assert_allclose(mirror_across, across, atol=1e-9)
    assert_allclose(strip.to_band(u, strip.width - v)[1], -across, atol=1e-8)


@given(bands(), st.sampled_from(KEEPS))
@settings(max_examples=15, deadline=None)
def test_any_band_can_be_flattened_and_back(band, keep: str) -> None:
    strip = unwrap(band, keep)
    u, v = places(strip, 1500)
    back_u, back_v = strip.from_band(*strip.to_band(u, v))
    assert_allclose(back_u, u, atol=1e-9)
    assert_allclose(back_v, v, atol=1e-9)
    frame = strip.jacobian(u, v)
    assert np.all(np.sum(np.cross(frame.d_u, frame.d_v) * frame.normal, axis=1) > 0.0)
    assert np.all(np.isfinite(strip.shell_map(u, v, 0.3)))
    # Stations that change abruptly are beyond any fixed table; a draft mesh's tolerance still holds.
    assert np.max(np.linalg.norm(strip.point(u, v) - frame.point, axis=1)) < 0.02
    assert np.all(np.isfinite(strip.max_curvature(u, v)))


@pytest.mark.parametrize("keep", KEEPS)
def test_curvatures_come_from_the_band(keep: str) -> None:
    strip = unwrap(dome_band("court"), keep)
    rng = np.random.default_rng(3)
    u, v = rng.uniform(0.0, strip.length, 800), strip.width * rng.uniform(0.0, 1.0, 800)
    exact = strip.band.curvatures(*strip.to_band(u, v))
    for found, wanted in zip(strip.curvatures(u, v), exact, strict=True):
        assert_allclose(found, wanted, atol=2e-3)
    assert_allclose(strip.max_curvature(u, v), np.max(np.abs(exact), axis=0), atol=2e-3)


def test_a_strip_is_flattened_once() -> None:
    first = unwrap(dome_band("court"), "shape")
    assert unwrap(dome_band("court"), "shape") is first
    assert unwrap(dome_band("court"), "area") is not first


def test_threads_share_one_strip() -> None:
    found: list[object] = []
    threads = [
        threading.Thread(target=lambda: found.append(unwrap(plain_band("court", 3.0), "shape"))) for _ in range(8)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 8
    assert len(set(map(id, found))) == 1


def test_an_unknown_way_to_flatten_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        unwrap(plain_band(), "volume")
    assert caught.value.where == "strip.keep"


def test_more_places_than_a_chunk_are_the_same_places() -> None:
    for band in (plain_band(), dome_band()):
        strip = unwrap(band, "shape")
        u, v = places(strip, 40000)
        whole = strip.shell_map(u, v, np.linspace(0.0, 0.4, 40000))
        assert_allclose(
            whole[30000:30100],
            strip.shell_map(u[30000:30100], v[30000:30100], np.linspace(0.0, 0.4, 40000)[30000:30100]),
        )
