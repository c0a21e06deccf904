"""The studio and the curve from light to picture."""

from __future__ import annotations

import numpy as np
import pytest

from ringtex.export.picture.studio_light import MATERIALS, diffuse_studio, studio, tone_mapped


def _directions(count: int = 20_000) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    vectors = np.random.default_rng(5).normal(size=(count, 3))
    x, y, z = (vectors / np.linalg.norm(vectors, axis=1, keepdims=True)).astype(np.float32).T
    return x, y, z


def test_no_corner_of_the_studio_is_black_or_endless() -> None:
    for room in (studio, diffuse_studio):
        light = room(*_directions())
        assert light.dtype == np.float32
        assert 0.05 < light.min() < light.max() < 8.0


def test_the_studio_is_smooth() -> None:
    """No step: a thousandth of a radian changes the light by little, so a smooth face shows no lines of its own."""
    x, y, z = _directions()
    angle = np.float32(1e-3)
    turned = (x * np.cos(angle) - z * np.sin(angle), y, x * np.sin(angle) + z * np.cos(angle))
    assert np.abs(studio(*turned) - studio(x, y, z)).max() < 0.12


def test_the_studio_has_contrast() -> None:
    light = studio(*_directions())
    assert np.percentile(light, 98) > 5 * np.percentile(light, 10)


def test_developing_keeps_order_and_range() -> None:
    grey = np.repeat(np.linspace(0, 30, 500, dtype=np.float32)[:, None], 3, axis=1)
    shown = tone_mapped(grey)
    assert np.all(np.diff(shown[:, 0]) > 0)
    assert shown.min() == 0.0
    assert shown.max() < 1.0


def test_developing_keeps_the_hue_of_gold() -> None:
    gold = np.array([MATERIALS["yellow_gold"].tint], dtype=np.float32)
    for strength in (0.1, 0.5, 1.0, 3.0):
        red, green, blue = tone_mapped(gold * np.float32(strength))[0]
        assert red > green > blue
        assert red - blue > 0.12


def test_srgb_step() -> None:
    """IEC 61966-2-1 (from memory): linear 0.5 is shown as 0.7354; the curve before it gives 0.5 at this light."""
    half = np.full((1, 3), 0.46 ** (1 / 1.4), dtype=np.float32)
    assert tone_mapped(half)[0] == pytest.approx([0.7354] * 3, abs=2e-4)


@pytest.mark.parametrize("name", sorted(MATERIALS))
def test_finishes_reflect_no_more_than_they_get(name: str) -> None:
    assert all(0.0 < share <= 1.0 for share in MATERIALS[name].tint)
