"""Presets: the trade's words, and what each of them means."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringtex.band.band import Band
from ringtex.band.bore import BoreOptions
from ringtex.band.presets import PRESETS, preset_named
from ringtex.basics.errors import InputError


def band(name: str) -> Band:
    return Band(54.0 / (2.0 * math.pi), BoreOptions(), preset_named(name).options)


def test_the_words() -> None:
    names = [preset.name for preset in PRESETS]
    assert names == ["plain", "tapered", "dome", "cigar-shaped", "saddle", "knife-edge", "asymmetric"]
    assert all(preset.hint for preset in PRESETS)


def test_each_is_what_it_says() -> None:
    head, shoulder, palm = (np.array([math.radians(angle)]) for angle in (0.0, 60.0, 180.0))
    assert band("plain").is_revolution
    for name in ("tapered", "dome", "cigar-shaped"):
        assert band(name).half_width(head) > band(name).half_width(palm)
    assert band("dome").crown_radius(head) - band("dome").crown_radius(palm) > 5.0
    assert band("cigar-shaped").crown_radius(head) - band("cigar-shaped").crown_radius(palm) < 1.0
    assert band("saddle").crown_radius(head) < band("saddle").crown_radius(shoulder)
    assert band("asymmetric").crown_radius(shoulder) > band("asymmetric").crown_radius(-shoulder) + 0.5
    for name in ("tapered", "dome", "cigar-shaped", "saddle"):
        assert band(name).crown_radius(shoulder) == pytest.approx(band(name).crown_radius(-shoulder))
    # A knife-edge is curved most at the crown: a radius of 0.2 mm.
    assert band("knife-edge").curvatures(head, np.zeros(1))[0] == pytest.approx(5.0, rel=0.02)


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("flat", "flat"), ("Flat", "flat"), ("plain_flat", "flat"), ("flat band", "flat"), ("half_round", "half-round"),
        ("half round", "half-round"), ("court", "court"), ("knife edge", "knife-edge"),
        ("cigar_shaped", "cigar-shaped"), ("dome ring", "dome"), ("Plain", "plain"), ("plain band", "plain"),
    ],
)  # fmt: skip
def test_what_a_user_types_is_understood(typed: str, name: str) -> None:
    assert preset_named(typed).name == name


def test_a_flat_band_is_flat_across() -> None:
    """The distance from the axis is the same from edge to edge, and no curvature but the cylinder's."""
    flat = band("flat")
    across = np.linspace(0.1, 0.9, 9)
    radius = flat.crown_radius(np.zeros(1))[0]
    assert preset_named("flat").options.section == "flat"
    assert np.ptp([flat.crown_radius(np.full(1, angle))[0] for angle in across]) < 1e-9
    assert radius == pytest.approx(54.0 / (2.0 * math.pi) + 1.8)


def test_other_words_are_refused() -> None:
    with pytest.raises(InputError) as caught:
        preset_named("signet")
    assert "saddle" in caught.value.advice
